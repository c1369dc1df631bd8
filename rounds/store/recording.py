"""Recording acts and taking them back outside a walk: one transaction each, saved when it returns."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from rounds.acts import registry
from rounds.acts.act import NO_SETTINGS, Recorded, Settings
from rounds.problems import BookError
from rounds.records.entries import RecordActEntry, UndoActEntry
from rounds.records.ledger import Ledger
from rounds.store import database_errors
from rounds.store import ledger_store as books
from rounds.store.book import Book
from rounds.store.cell_codec import Unsavable
from rounds.store.orm import pw
from rounds.store.read_acts import of_uid
from rounds.store.read_rounds import open_actions

WAIT = 5.0
"""Seconds to wait for another program that writes: a walk's writer needs far less."""


def record(book: Book, e: RecordActEntry, settings: Callable[[], Settings] | None = None) -> Recorded:
    """Plan an act against the books as they are and record it.

    ``settings`` gives those of the house. Recording an ``e`` of the same uid again does
    nothing. Raises BadAct and ConfirmationRequired, and then nothing was written; BookError
    when the book cannot be written.
    """
    with _saving(book):
        put(book, e, settings)
    return _found(book, e.uid)


def record_all(
    book: Book, entries: Sequence[RecordActEntry], settings: Callable[[], Settings] | None = None
) -> list[Recorded]:
    """Record several acts one after the other in one transaction: all of them, or none.

    Raises what :func:`record` raises.
    """
    with _saving(book):
        ledger = books.load(book)
        for e in entries:
            ledger = put(book, e, settings, ledger) or ledger
    return [_found(book, e.uid) for e in entries]


def take_back(book: Book, e: UndoActEntry) -> Recorded:
    """Take the act ``e.act`` back (b"": the newest); returns the act that does so.

    Raises BadAct and BookError.
    """
    with _saving(book):
        books.undo(book, e.act or None, e.uid, e.day, e.at_ms, e.keeper, e.visit)
    return _found(book, e.uid)


def put(
    book: Book, e: RecordActEntry, settings: Callable[[], Settings] | None, ledger: Ledger | None = None
) -> Ledger | None:
    """Record an act inside the caller's transaction; ``ledger`` is the books if they are known.

    Returns the books after it, or ``ledger`` when ``e`` was recorded before. Raises BadAct,
    ConfirmationRequired, Unsavable, peewee's errors.
    """
    if of_uid(book, e.uid) is not None:
        return ledger
    if ledger is None:
        ledger = books.load(book)
    known = settings() if settings is not None else NO_SETTINGS
    known = known._replace(open_actions=lambda box: _to_do(book, e.day, box))
    plan = registry.plan(e.act, e.subject, e.typed, ledger, e.day, e.keeper, sure=e.sure, settings=known)
    books.save(book, plan, e.uid, e.typed, e.day, e.at_ms, e.keeper, e.visit, sure=e.sure)
    return ledger.after(plan.changes)


def _to_do(book: Book, day: int, enclosure: int) -> tuple[str, ...]:
    """What is still to be done at an enclosure, in words: an act that brings animals there asks about it."""
    return tuple(action.todo or action.reason for action in open_actions(book, day).get(enclosure, ()))


def _found(book: Book, uid: bytes) -> Recorded:
    found = of_uid(book, uid)
    assert found is not None  # just committed
    return found


@contextmanager
def _saving(book: Book) -> Iterator[None]:
    try:
        with book.writing(WAIT):
            yield
    except pw.DatabaseError as error:
        raise BookError(database_errors.sentence(error, book.path)) from error
    except Unsavable as error:
        raise BookError(f"{book.path}: the act was not recorded: {error}.") from error
