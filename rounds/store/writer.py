"""The one thread that writes a walk into the book.

``put`` never waits; the thread takes all that waits, writes it in one transaction, and only
when COMMIT has returned says how far the book has come. On a slow disk the entries of many
keys share one flush; on a fast one each has its own.
"""

from __future__ import annotations

import logging
import threading
from collections import deque
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.named_tuple import NamedTuple
from rounds.problems import BookError
from rounds.records.entries import CloseRound, Entry
from rounds.store import database_errors
from rounds.store.apply_entries import EntryRefused, apply
from rounds.store.book import Book, open_book
from rounds.store.file_watch import LOG_REPLACED, FileWatch

if TYPE_CHECKING:
    from rounds.acts.act import Settings

FOLD_AFTER = 60
"""Commits (of a key each, ten to fifteen pages of the log) after which a lull folds the log into the file."""
LULL = 0.4  # seconds without a key: nobody waits for the disk then
FIRST_WAIT, LONGEST_WAIT = 0.05, 2.0  # seconds between attempts, doubling
_log = logging.getLogger(__name__)


class Ticketed(NamedTuple):
    ticket: int
    entry: Entry


class Writer:
    """Writes entries in the order they were put, from a thread and a connection of its own.

    ``on_saved(n)``: every entry up to ticket ``n`` is committed. ``on_trouble(sentence)``:
    nothing can be saved at present, and why; ``on_trouble(None)``: it can again. Both are
    called from the writer's thread and must return quickly.

    An entry that can never be written (it names a visit the book has not) is set aside and
    the others are written; it stays trouble for good, no ticket from it on is reported as
    saved, and ``close`` hands it back.

    An act that the books no longer allow (another keeper was quicker) is handed to
    ``on_refused(ticket, entry, sentence)`` before its batch is reported as saved, and is then
    the listener's; without a listener it is an entry that can never be written. ``settings``
    gives what acts are planned with, once there is one.

    ``watch`` is that of the book the entries were made from: into another file that was put
    in its place nothing is written, however often it is tried. Without one it is the first
    file that was opened.
    """

    def __init__(
        self,
        path: Path | str,
        on_saved: Callable[[int], None],
        on_trouble: Callable[[str | None], None],
        *,
        on_refused: Callable[[int, Entry, str], None] | None = None,
        settings: Callable[[], Settings] | None = None,
        watch: FileWatch | None = None,
    ) -> None:
        self.path = Path(path)
        self._on_saved, self._on_trouble, self._on_refused = on_saved, on_trouble, on_refused
        self._settings = settings
        self._waiting: deque[Ticketed] = deque()  # until committed or refused
        self._refused: list[Ticketed] = []
        self._tickets = 0
        self._changed = threading.Condition()
        self._closing = False
        self._abandoned = False
        self._troubled = False
        self._told = 0
        self._unfolded = 0  # commits since the log was folded in last
        self._book: Book | None = None
        self._watch = watch
        self._thread = threading.Thread(target=self._work, name="rounds-writer", daemon=True)
        self._thread.start()

    def put(self, entries: Sequence[Entry]) -> int:
        """Queue entries; returns the ticket of the last one. Tickets count from 1.

        Raises RuntimeError after ``close``.
        """
        with self._changed:
            if self._closing:
                raise RuntimeError("the writer is closed")
            for entry in entries:
                self._tickets += 1
                self._waiting.append(Ticketed(self._tickets, entry))
            self._changed.notify_all()
            return self._tickets

    def drain(self, timeout: float) -> bool:
        """Wait until nothing waits; True when everything put so far is committed."""
        with self._changed:
            empty = self._changed.wait_for(lambda: not self._waiting or self._abandoned, timeout)
            return empty and not self._waiting and not self._refused

    def close(self, timeout: float) -> list[Entry]:
        """Save what waits, for at most ``timeout`` seconds, and stop.

        Returns the entries that are not known to be saved, in their order, for
        :func:`rounds.store.rescue.write`. One in flight may have been saved all the same;
        writing it again does no harm.
        """
        with self._changed:
            self._closing = True
            self._changed.notify_all()
        self._thread.join(timeout)
        with self._changed:
            self._abandoned = True
            left = sorted([*self._refused, *self._waiting], key=lambda t: t.ticket)
            self._changed.notify_all()
        return [t.entry for t in left]

    # The thread

    def _work(self) -> None:
        try:
            self.open()  # so that the first key need not wait for it
        except BookError as error:
            _log.warning("the writer waits: %s", error)  # the first batch tries again, and tells
        wait = FIRST_WAIT
        while batch := self._next():
            if self._attempt(batch) is None:
                wait = FIRST_WAIT
                continue
            with self._changed:
                # A put wakes us as well, but only time or a mended book helps.
                self._changed.wait_for(lambda: self._abandoned, wait)
            wait = min(wait * 2, LONGEST_WAIT)
        self._shut()

    def _next(self) -> list[Ticketed]:
        """All that waits; an empty list when there is nothing more to come."""
        while True:
            lull = LULL if self._unfolded >= FOLD_AFTER else None
            with self._changed:
                if self._changed.wait_for(lambda: self._waiting or self._closing or self._abandoned, lull):
                    return [] if self._abandoned else list(self._waiting)
            self._fold_in_some()

    def _attempt(self, batch: list[Ticketed]) -> Exception | None:
        """Save a batch; the error if the book could not be written, with nothing of it saved."""
        try:
            try:
                self.save(batch)
            except Exception as error:
                if database_errors.is_of_the_book(error) or isinstance(error, BookError):
                    raise
                self._save_what_can(batch)
        except Exception as error:
            if not (database_errors.is_of_the_book(error) or isinstance(error, BookError)):
                _log.exception("the writer failed")
            said = str(error) if isinstance(error, BookError) else database_errors.sentence(error, self.path)
            if not database_errors.is_lock(error):
                self._shut()  # a connection that failed is not trusted with the next attempt
            self._say_trouble(said)
            return error
        if any(isinstance(t.entry, CloseRound) for t in batch):
            self._tidy()
        return None

    def save(self, batch: list[Ticketed]) -> None:
        """Write a batch in one transaction and, once it is committed, say so.

        The order of these two is the promise of the whole program; tests override this
        method to show that the reverse order is found out.
        """
        book = self.open()
        with book.writing():
            apply(book, [t.entry for t in batch], self._settings)
        self._unfolded += 1
        self.saved(batch)

    def open(self) -> Book:
        """The writer's own connection. Raises BookError if the book is not where it was."""
        if self._watch is not None:
            self._watch.check()
            if not self._watch.has_its_log() and self._book is None:  # one that is open sees to its log first
                raise BookError(f"{self.path}: {LOG_REPLACED}")
        if self._book is None:
            self._book = open_book(self.path)
        if self._watch is None:
            self._watch = self._book.watch
        return self._book

    def saved(self, batch: list[Ticketed], refused: Sequence[Ticketed] = ()) -> None:
        """Take a committed batch from the queue and report it; what was ``refused`` is not saved."""
        with self._changed:
            self._refused += refused
            for _ in batch:
                self._waiting.popleft()
            self._changed.notify_all()
            upto = self._refused[0].ticket - 1 if self._refused else batch[-1].ticket
        if self._troubled and not self._refused:
            self._troubled = False
            self._call(self._on_trouble, None)
        if upto > self._told:
            self._told = upto
            self._call(self._on_saved, upto)

    def _save_what_can(self, batch: list[Ticketed]) -> None:
        """Something in the batch can never be written: write the rest, one by one."""
        refused: list[tuple[Ticketed, Exception]] = []
        book = self.open()
        with book.writing():
            for ticketed in batch:
                book.run("SAVEPOINT entry")
                try:
                    apply(book, [ticketed.entry], self._settings)
                except Exception as error:
                    if database_errors.is_of_the_book(error):
                        raise
                    book.run("ROLLBACK TO entry")
                    refused.append((ticketed, error))
                book.run("RELEASE entry")
        for ticketed, why in refused:
            _log.error(
                "an entry cannot be written: %s %d (%s)", type(ticketed.entry).__name__, ticketed.ticket, why
            )
        for ticketed, why in list(refused):
            if self._on_refused is not None and isinstance(why, EntryRefused):
                refused.remove((ticketed, why))
                self._call(self._on_refused, ticketed.ticket, ticketed.entry, str(why))
        self.saved(batch, [ticketed for ticketed, _ in refused])
        if refused:
            self._say_trouble(self._kept(*refused[0]))

    def _kept(self, ticketed: Ticketed, why: Exception) -> str:
        n = len(self._refused)
        said = str(why) if isinstance(why, EntryRefused) else f"{type(ticketed.entry).__name__}: {why}"
        return f"{n} {'entry' if n == 1 else 'entries'} cannot be written into the book ({said}) and will be kept beside it."

    def _say_trouble(self, said: str) -> None:
        self._troubled = True
        self._call(self._on_trouble, said)

    def _call(self, tell: Callable[..., None], *what: object) -> None:
        try:
            tell(*what)
        except Exception:  # a screen that is gone must not stop the saving
            _log.exception("a listener of the writer failed")

    def _tidy(self) -> None:
        try:
            self.open().tidy()
        except Exception as error:  # statistics and a shorter log are a help, not a promise
            _log.warning("the book was not tidied: %s", error)

    def _fold_in_some(self) -> None:
        """Spare the commits of keys the work: one that folds in the log as well takes many times as long."""
        self._unfolded = 0
        try:
            self.open().fold_in_some()
        except Exception as error:  # the log is a little longer then, and the next lull comes
            _log.warning("the log was not folded in: %s", error)

    def _shut(self) -> None:
        if self._book is not None:
            book, self._book = self._book, None
            try:
                book.close()
            except Exception as error:
                _log.warning("the book was not closed cleanly: %s", error)
