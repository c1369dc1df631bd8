"""The first Ctrl-C of a long search: it ends the search, and what was found by then is printed."""

from __future__ import annotations

import signal
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def first_interrupt() -> Iterator[Callable[[], bool]]:
    """Within it the first interrupt makes what is given True and stops nothing; a second one stops the command.

    Where interrupts are ignored (a job in the background), or handled in another thread, it stays False.
    """
    asked = threading.Event()
    before = signal.getsignal(signal.SIGINT)
    if before is signal.SIG_IGN or threading.current_thread() is not threading.main_thread():
        yield asked.is_set
        return

    def back() -> None:
        signal.signal(signal.SIGINT, signal.default_int_handler if before is None else before)

    def note(*_: object) -> None:
        asked.set()
        back()

    signal.signal(signal.SIGINT, note)
    try:
        yield asked.is_set
    finally:
        back()
