"""Keepers by name: whoever first records something is written down."""

from __future__ import annotations

from rounds.store.book import Book
from rounds.store.cell_codec import storable
from rounds.store.row_checksums import seal


def keeper_id(book: Book, name: str) -> int | None:
    """The row of the keeper called ``name``, made if need be; None for nobody.

    Raises Unsavable for a name that no file can give back.
    """
    if not name:
        return None
    made = book.run("INSERT INTO keeper (name) VALUES (?) ON CONFLICT (name) DO NOTHING", (storable(name),))
    if made.rowcount == 1:
        seal(book.db, "keeper", "name = ?", (name,))
    found = book.row("SELECT id FROM keeper WHERE name = ?", (name,))
    assert found is not None  # inserted above, or it was there
    return int(found[0])
