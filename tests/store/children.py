"""Programs run by tests in a process of their own: to be killed, held back or stripped of rights."""

from __future__ import annotations

import os
import subprocess
import sys
import textwrap
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
NOBODY = 65534


# Root may read and write everything, whatever the rights; so a child that tests rights steps
# down, but only once it has imported all it needs: the interpreter may live where only root can go.
_STEP_DOWN = f"""
import os, sys
import rounds.store.book, rounds.store.read, rounds.store.writer, rounds.store.rescue, rounds.store.backup
import rounds.store.models, traceback
if os.geteuid() == 0:
    os.setgroups([])
    os.setgid({NOBODY})
    os.setuid({NOBODY})
"""


# A line from one thread must not end up inside that of another: each is one write.
_WHOLE_LINES = """
import os
def print(*words, file=None):
    os.write(1 if file is None else file.fileno(), (" ".join(map(str, words)) + "\\n").encode())
"""


def start(code: str, *arguments: Any, unprivileged: bool = False, **options: Any) -> subprocess.Popen[str]:
    """Run ``code`` with ``arguments`` in ``sys.argv[1:]``; its output comes through pipes, line by line.

    ``unprivileged`` gives up root's power to read and write everything.
    """
    code = (_STEP_DOWN if unprivileged else "") + _WHOLE_LINES + textwrap.dedent(code)
    return subprocess.Popen(
        [sys.executable, "-u", "-c", code, *map(str, arguments)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
        **options,
    )


def run(code: str, *arguments: Any, unprivileged: bool = False) -> tuple[int, str, str]:
    """Run to the end: exit code, stdout, stderr."""
    with start(code, *arguments, unprivileged=unprivileged) as child:
        out, err = child.communicate(timeout=60)
    return child.returncode, out, err


def open_to_all(folder: Path) -> None:
    """Let another user reach ``folder``: pytest's own folders are closed to them."""
    for parent in (folder, *folder.parents):
        if parent == Path("/tmp") or parent == Path("/"):
            break
        parent.chmod(0o755)
