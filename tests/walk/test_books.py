"""The books of a walk: read when first needed, taken over from a thread only while they were not, and read anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.records.ledger import Ledger
from rounds.store import ledger_store
from rounds.store.book import open_book
from rounds.walk.books import Books


def test_they_are_read_when_first_needed_and_once(demo_book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    asked = []
    load = ledger_store.load
    monkeypatch.setattr(ledger_store, "load", lambda book: asked.append(book) or load(book))
    with open_book(demo_book, readonly=True) as book:
        books = Books(book)
        assert books.at_hand is None
        assert not asked
        assert books.ledger is books.ledger is books.at_hand
        assert asked == [book]
        books.adopt(Ledger())
        assert books.ledger == load(book), "what was read here stands"
        books.reread()
        assert books.at_hand is None
        assert books.ledger == load(book)
        assert len(asked) == 2


def test_those_of_a_thread_are_taken_over_and_then_stay(demo_book: Path) -> None:
    with open_book(demo_book, readonly=True) as book:
        books, found = Books(book), Ledger()
        books.adopt(found)
        books.adopt(ledger_store.load(book))
        assert books.ledger is found
