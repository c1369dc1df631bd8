"""What a walk handed to the writer, and what came back: saved, waiting, refused, in trouble.

The writer calls from its own thread; everything it tells is taken up here in single
assignments, and the listener (the screen) is woken to look.
"""

from __future__ import annotations

from bisect import bisect_right
from collections import deque
from collections.abc import Callable, Iterable

from rounds.config import Config, for_acts
from rounds.records.entries import Entry
from rounds.store.book import Book
from rounds.store.writer import Writer

CellPlace = tuple[int, bytes | None, str]
"""A stop, an earlier visit being corrected or None, and the kind of the cell."""


class Saving:
    """The writer of one walk, and how far it has come.

    ``said`` is why nothing can be saved at the moment, or nothing. A value may be shown as
    saved only when :meth:`is_saved` says so.
    """

    def __init__(self, book: Book, config: Config, writer: type[Writer]) -> None:
        self.path = path = book.path
        self.saved_up_to = self.put_up_to = 0
        self.said = ""
        self.refused: deque[tuple[Entry, str]] = deque()
        self._tickets: dict[CellPlace, int] = {}
        self._newest: dict[int, int] = {}  # by stop: the ticket of what was recorded there last
        self._counted: list[int] = []  # tickets of recorded keys, rising
        self.wake: Callable[[], object] = lambda: None  # tells the screen to look
        self.writer = writer(
            path,
            self._on_saved,
            self._on_trouble,
            on_refused=self._on_refused,
            settings=lambda: for_acts(config),
            watch=book.watch,
        )

    def put(self, entries: list[Entry], cells: Iterable[CellPlace]) -> None:
        """Hand one key's entries over; ``cells`` are those it gave a value."""
        self.put_up_to = self.writer.put(entries)
        recorded = False
        for cell in cells:
            self._tickets[cell] = self._newest[cell[0]] = self.put_up_to
            recorded = True
        if recorded:
            self._counted.append(self.put_up_to)

    def is_all_saved(self, stop: int) -> bool:
        """Whether everything that was recorded at a stop is committed."""
        return self._newest.get(stop, 0) <= self.saved_up_to

    def is_saved(self, cell: CellPlace) -> bool:
        """Whether the cell's newest value is committed (values of an earlier start are)."""
        return self.ticket(cell) <= self.saved_up_to

    def ticket(self, cell: CellPlace) -> int:
        """The ticket of the cell's newest value (0: it was recorded by an earlier start, or by nobody)."""
        return self._tickets.get(cell, 0)

    @property
    def waiting(self) -> int:
        """How many recorded keys are not committed yet."""
        return len(self._counted) - self.count

    @property
    def count(self) -> int:
        """How many recorded keys of this start are committed."""
        return bisect_right(self._counted, self.saved_up_to)

    def _on_saved(self, ticket: int) -> None:
        self.saved_up_to = ticket
        self.wake()

    def _on_trouble(self, said: str | None) -> None:
        # Which book it is need not be said here, and a long path would push the reason off the screen.
        self.said = (said or "").removeprefix(f"{self.path}: ")
        self.wake()

    def _on_refused(self, ticket: int, entry: Entry, why: str) -> None:  # noqa: ARG002
        self.refused.append((entry, why))
        self.wake()
