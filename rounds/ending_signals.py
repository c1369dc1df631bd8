"""The signals that end a program, as far as the platform has them.

Windows has no SIGHUP and no SIGKILL; a console window that is closed there says SIGBREAK.
Names that the platform has not are left out, so that nobody has to ask which one it is.
"""

from __future__ import annotations

import os
import signal
import sys


def present(*names: str) -> tuple[signal.Signals, ...]:
    """Those of the named signals that this platform has, in the order given."""
    found = (getattr(signal, name, None) for name in names)
    return tuple(number for number in found if isinstance(number, signal.Signals))


ENDING = present("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")
"""Asked to end: by ctrl+c, by the system, by a window that was closed."""
WINDOW_CLOSED = present("SIGHUP", "SIGBREAK", "SIGTERM")[0]
BY_FORCE = present("SIGKILL", "SIGTERM")[0]
"""What no program can refuse; on Windows the system ends it for any signal sent from outside."""


def ask_to_end(pid: int) -> None:
    """Tell a child what a closed window would; on Windows it must have been started in a group of its own.

    Raises ProcessLookupError for one that has ended.
    """
    if sys.platform == "win32":
        # Any other number would end it at once, with nothing saved.
        os.kill(pid, signal.CTRL_BREAK_EVENT)
    else:
        os.kill(pid, WINDOW_CLOSED)


def end_by_force(pid: int) -> None:
    """End the process whatever it is doing. Raises ProcessLookupError."""
    os.kill(pid, BY_FORCE)
