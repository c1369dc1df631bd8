"""Without the signals that Windows has not: no traceback, and what ends a walk still ends it.

Each test runs in an interpreter of its own that takes them away before it imports anything of ours.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

pytestmark = pytest.mark.skipif(os.name == "nt", reason="they are missing there by nature")

WITHOUT = """
import asyncio, os, pkgutil, signal, sys
for name in ("SIGHUP", "SIGKILL"):
    delattr(signal, name)
del os.geteuid
del asyncio.unix_events._UnixSelectorEventLoop.add_signal_handler  # what is left raises NotImplementedError
"""


def child(code: str, *argv: object) -> subprocess.CompletedProcess[str]:
    kept = {k: v for k, v in os.environ.items() if not k.startswith(("ROUNDS_", "COVERAGE_"))}
    return subprocess.run(
        [sys.executable, "-c", WITHOUT + code, *map(str, argv)],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**kept, "PYTHONPATH": str(ROOT)},
        check=False,
        timeout=120,
    )


def test_every_module_can_be_imported() -> None:
    done = child("""
import rounds
for module in pkgutil.walk_packages(rounds.__path__, "rounds."):
    if not module.name.endswith("__main__"):
        __import__(module.name)
print(len(sys.modules))
""")
    assert (done.returncode, done.stderr) == (0, "")
    assert int(done.stdout) > 300


@pytest.mark.parametrize("number", ["SIGINT", "SIGTERM"])
def test_a_signal_ends_the_walk_with_all_saved(number: str, demo_book: Path, tmp_path: Path) -> None:
    done = child(
        """
from pathlib import Path
from rounds.config import in_force
from rounds.screens.app import WalkApp
from rounds.walk.core import Walk
class Told(WalkApp):
    def on_ready(self):
        super().on_ready()
        self.walk.press("1")
        os.kill(os.getpid(), getattr(signal, sys.argv[2]))
walk = Walk(Path(sys.argv[1]), in_force(None, Path(sys.argv[1])), day=739677)
ended = Told(walk).run(headless=True)
print(ended == getattr(signal, sys.argv[2]), walk.saving.waiting, walk.kept, walk.close(5.0))
""",
        shutil.copy(demo_book, tmp_path / "book.sqlite"),
        number,
    )
    assert (done.returncode, done.stdout) == (0, "True 0 1 None\n"), done.stderr


def test_a_rescue_file_is_still_found(tmp_path: Path) -> None:
    done = child(
        """
from pathlib import Path
from rounds.records.entries import StandAt
from rounds.store import rescue
path = Path(sys.argv[1])
sys.platform = "win32"  # where no file says whose it is
print([rescue.write(path, [StandAt(b"r" * 16, 1)])] == rescue.pending(path))
""",
        tmp_path / "tarn.book",
    )
    assert (done.returncode, done.stdout) == (0, "True\n"), done.stderr


def test_a_child_is_asked_to_end_and_then_ended_by_force() -> None:
    """With neither signal there, both fall back to the one that every platform has."""
    done = child("""
import subprocess
from rounds import ending_signals
print([s.name for s in ending_signals.ENDING])
for end in (ending_signals.ask_to_end, ending_signals.end_by_force):
    process = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    end(process.pid)
    print(process.wait(30) == -signal.SIGTERM)
""")
    assert (done.returncode, done.stdout) == (0, "['SIGINT', 'SIGTERM']\nTrue\nTrue\n"), done.stderr
