"""Keepers by name: whoever first records something is written down."""

from __future__ import annotations

from rounds.store.book import Book


def keeper_id(book: Book, name: str) -> int | None:
    """The row of the keeper called ``name``, made if need be; None for nobody."""
    if not name:
        return None
    book.run("INSERT INTO keeper (name) VALUES (?) ON CONFLICT (name) DO NOTHING", (name,))
    found = book.row("SELECT id FROM keeper WHERE name = ?", (name,))
    assert found is not None  # inserted above, or it was there
    return int(found[0])
