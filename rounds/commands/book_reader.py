"""The book and the config opened for a command, with what has to be said about either printed to stderr."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from functools import cached_property
from typing import TYPE_CHECKING

from rounds.commands.output import tell

if TYPE_CHECKING:
    from rounds.commands.options import CliContext
    from rounds.config import Config
    from rounds.records.ledger import Ledger
    from rounds.records.observations import EnclosureState, House
    from rounds.store.book import Book


class BookReader:
    """An open book. Its parts are read when they are first asked for, while it is open, and stay afterwards."""

    def __init__(self, book: Book, asked_day: int | None) -> None:
        self.book = book
        self._asked_day = asked_day

    @cached_property
    def house(self) -> House:
        from rounds.store import read

        return read.house(self.book)

    @cached_property
    def ledger(self) -> Ledger:
        from rounds.store.ledger_store import load

        return load(self.book)

    @cached_property
    def enclosures(self) -> list[EnclosureState]:
        """In shelf order."""
        from rounds.store import read

        return read.enclosures(self.book)

    @cached_property
    def today(self) -> int:
        """The round day asked for, or the house's now."""
        from rounds.husbandry.round_day import round_day
        from rounds.store.ids import now_ms

        return self._asked_day or round_day(now_ms(), self.house.zone, self.house.day_starts)

    @cached_property
    def keeper(self) -> str:
        """Who records when nobody was named: the book's first keeper."""
        from rounds.store import read

        return next(iter(read.keepers(self.book)), "keeper")


def reading(given: CliContext, day: int | None = None) -> AbstractContextManager[BookReader]:
    """The book, opened for reading; ``day`` is the round day meant where ``--today`` is not. Raises BookError."""
    return _opened(given, day, readonly=True)


def writing(given: CliContext, day: int | None = None) -> AbstractContextManager[BookReader]:
    """The book, opened for writing, and ``day`` as for :func:`reading`. Raises BookError."""
    return _opened(given, day, readonly=False)


@contextmanager
def _opened(given: CliContext, day: int | None, *, readonly: bool) -> Iterator[BookReader]:
    from rounds.store import database_errors
    from rounds.store.book import open_book

    with open_book(given.book, readonly=readonly) as book:
        for note in book.notes:
            for line in note.split("\n"):
                tell(line)
        with database_errors.in_words(given.book):
            yield BookReader(book, day or given.today)


def config_in_force(given: CliContext, *, places: bool = False) -> Config:
    """The config for the book; that it is not the keeper's own as it stands is told.

    ``places``: every rule knows its file and line.
    """
    from rounds.config import in_force

    config = in_force(given.config, given.book, places=places)
    tell(config.banner)
    return config
