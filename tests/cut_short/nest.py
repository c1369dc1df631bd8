"""Does deeds in processes that are to be cut short, each forked from one that has everything imported.

    python -m tests.cut_short.nest

reads a JSON object a line: ``deed``, ``folder``, ``said`` (a file for what the deed says), ``words`` (one
for what it prints) and ``go`` (a file that is waited for); prints the process's id, and its exit code once it has ended.
"""

from __future__ import annotations

import importlib
import json
import os
import pkgutil
import subprocess
import sys
import time
import traceback
from collections.abc import Callable
from functools import partial
from io import StringIO
from pathlib import Path
from types import TracebackType

from tests.endtoend.terminal import ROOT

MISTAKE = 70  # of sysexits.h: what the program's own mistakes end with


def main() -> None:
    from rounds.problems import RoundsError
    from tests.cut_short.deeds import CONTROLS, DEEDS, shipped

    assert sys.platform != "win32", "there is no fork"
    shipped()
    for package in ("acts", "files", "records", "store", "walk", "walk.machine", "due", "commands"):
        for module in pkgutil.iter_modules([str(ROOT / "rounds" / package.replace(".", "/"))]):
            importlib.import_module(f"rounds.{package}.{module.name}")
    for line in sys.stdin:
        asked = json.loads(line)
        pid = os.fork()
        if pid == 0:
            code = MISTAKE
            sys.stdout = sys.stderr = words = StringIO()
            said, told = (
                os.open(asked[f], os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600) for f in ("said", "words")
            )
            try:
                while not os.path.exists(asked["go"]):
                    time.sleep(0.0005)
                (DEEDS | CONTROLS)[asked["deed"]].do(Path(asked["folder"]), partial(_say, said))
                code = 0
            except RoundsError as error:
                print(error, file=sys.stderr)
                code = error.exit_code
            except BaseException:
                traceback.print_exc()
            finally:
                _say(told, words.getvalue())
                os._exit(code)
        print(pid, flush=True)
        _, status = os.waitpid(pid, 0)
        print(os.waitstatus_to_exitcode(status), flush=True)


def _say(file: int, words: str) -> None:
    os.writev(
        file, [f"{words}\n".encode()]
    )  # not `write`: what fails the deed's writes must not fail what it says


class Nest:
    """The process that forks, seen from outside. Its children find no config and no book of whoever runs it."""

    def __init__(self, scratch: Path) -> None:
        self._go = scratch / "go"
        self.said_file, self._words = scratch / "said", scratch / "words"
        home = scratch / "home"
        home.mkdir(parents=True)
        clean = {k: v for k, v in os.environ.items() if not k.startswith("ROUNDS_")}
        own = {
            name: str(home)
            for name in ("HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "TMPDIR")
        }
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.cut_short.nest"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**clean, **own, "ROUNDS_CONFIG": str(home), "PYTHONPATH": str(ROOT)},
        )

    def __enter__(self) -> Nest:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        with self._process as process:
            process.kill()

    def done(self, deed: str, folder: Path, cut: Callable[[int, Callable[[], None]], None]) -> int:
        """Have a deed done; the exit code, or minus the signal that ended it.

        ``cut(pid, go)`` is called while the process waits, and has to call ``go``.
        """
        for file in (self._go, self.said_file, self._words):
            file.unlink(missing_ok=True)
        files = {"folder": folder, "said": self.said_file, "words": self._words, "go": self._go}
        asked = {"deed": deed, **{name: str(file) for name, file in files.items()}}
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        print(json.dumps(asked), file=self._process.stdin, flush=True)
        cut(int(self._process.stdout.readline()), self._go.touch)
        return int(self._process.stdout.readline())

    def undisturbed(self, deed: str, folder: Path) -> float:
        """Have a deed done without a cut; the seconds it took."""
        began = 0.0

        def cut(_: int, go: Callable[[], None]) -> None:
            nonlocal began
            began = time.monotonic()
            go()

        code = self.done(deed, folder, cut)
        assert code == 0, self.words
        return time.monotonic() - began

    @property
    def said(self) -> list[str]:
        """What the last deed said, line by line."""
        text = self.said_file.read_text() if self.said_file.exists() else ""
        return [line.rstrip("\n") for line in text.splitlines(keepends=True) if line.endswith("\n")]

    @property
    def words(self) -> str:
        """What it printed."""
        return self._words.read_text() if self._words.exists() else ""


if __name__ == "__main__":
    main()
