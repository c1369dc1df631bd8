"""Work beside the keys: one thread with a connection of its own, and what it has come to so far.

No key waits for it. Only the newest asking under a name counts; an older one is given up at
its next word.
"""

from __future__ import annotations

import logging
import sys
import threading
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from rounds.store.book import open_book
from rounds.store.visit_search import BookArchive
from rounds.views.sources import Archive, Slow, Tell
from rounds.walk import walk_sentences

Work = Callable[[Archive, Tell], Any]
SLICE = 0.0005
"""Seconds that the thread keeps the interpreter while a key waits (ten times as long is usual)."""
PAUSE = 0.1
"""Seconds at least between two words of progress."""
KEPT = 200
"""Answers that are kept until the books change."""
_log = logging.getLogger(__name__)


class Behind:
    """``tell`` is called, from the thread, whenever there is something new to show."""

    def __init__(self, path: Path, tell: Callable[[], object]) -> None:
        self.path, self._tell = path, tell
        self._changed = threading.Condition()
        self._going: dict[str, tuple[str, Slow]] = {}  # by name: the key last asked for, and how far it is
        self._done: dict[tuple[str, str], Slow] = {}
        self._of_visits: set[tuple[str, str]] = set()
        self._todo: list[tuple[str, str, Work]] = []
        self._running = self._stopped = False
        self._told = 0.0

    def ask(self, name: str, key: str, work: Work, *, of_visits: bool = False) -> Slow:
        """What the work under this name and key has come to; it is begun when it was not."""
        with self._changed:
            if of_visits:
                self._of_visits.add((name, key))
            known = self._done.get((name, key))
            if known is not None:
                return known
            going = self._going.get(name)
            if going is not None and going[0] == key:
                return going[1]
            self._going[name] = (key, Slow(None, walk_sentences.WORKING))
            self._todo = [t for t in self._todo if t[0] != name] + [(name, key, work)]
            if not self._running and not self._stopped:
                self._running = True
                threading.Thread(target=self._run, name="rounds-behind", daemon=True).start()
            return self._going[name][1]

    def forget(self) -> None:
        """The books changed: whatever is asked for next is worked out anew."""
        with self._changed:
            self._going.clear()
            self._done.clear()
            self._todo.clear()

    def forget_visits(self) -> None:
        """Visits were saved: what follows from them is worked out anew when it is asked for next."""
        with self._changed:
            for name, key in self._of_visits:
                self._done.pop((name, key), None)
                going = self._going.get(name)
                if going is not None and going[0] == key:
                    del self._going[name]
            self._todo = [t for t in self._todo if (t[0], t[1]) not in self._of_visits]
            self._of_visits.clear()

    def wait(self, timeout: float) -> bool:
        """Wait until nothing is being worked out; False when it was not in time."""
        with self._changed:
            return self._changed.wait_for(lambda: not self._running, timeout)

    def stop(self) -> None:
        """Nobody wants an answer any more."""
        with self._changed:
            self._stopped = True
            self._todo.clear()
            self._going.clear()

    # The thread

    def _run(self) -> None:
        while True:
            with self._changed:
                if not self._todo or self._stopped:
                    self._running = False
                    self._changed.notify_all()
                    return
                name, key, work = self._todo.pop()
            usual = sys.getswitchinterval()
            sys.setswitchinterval(SLICE)
            try:
                with open_book(self.path, readonly=True) as book:
                    value = work(BookArchive(book), partial(self._go_on, name, key))
                slow = Slow(value, "")
            except Exception as error:  # a mistake of ours, or a book that is gone: the walk goes on
                _log.exception("%s could not be worked out", name)
                from rounds.store import damage  # no start needs it

                slow = Slow(None, walk_sentences.not_worked_out(damage.reason(error, self.path)))
            finally:
                sys.setswitchinterval(usual)
            self._came_to(name, key, slow, done=True)

    def _go_on(self, name: str, key: str, words: str, so_far: Any = None, /) -> bool:
        return self._came_to(name, key, Slow(so_far, words))

    def _came_to(self, name: str, key: str, slow: Slow, *, done: bool = False) -> bool:
        with self._changed:
            going = self._going.get(name)
            current = going is not None and going[0] == key and not self._stopped
            if current and done:
                del self._going[name]
                if len(self._done) >= KEPT:
                    del self._done[next(iter(self._done))]
                self._done[name, key] = slow
            elif current:
                self._going[name] = (key, slow)
        now = time.monotonic()
        if current and (done or now - self._told > PAUSE):  # not a paint for every word of progress
            self._told = now
            try:
                self._tell()
            except Exception:  # a screen that is gone hears nothing
                _log.exception("nobody heard what was worked out")
        return current
