"""The ledger as one walk sees it: read when it is first needed, and followed act by act.

A walk that records no act pays nothing for it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.store.book import Book

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rounds.acts.act import Recorded
    from rounds.records.ledger import Change, Ledger


class Books:
    """``failed`` is why due work cannot be worked out from them ("" while it can)."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self.failed = ""
        self._ledger: Ledger | None = None
        self._recorded: list[Recorded] | None = None

    @property
    def ledger(self) -> Ledger:
        """The books as they stand, with what this walk has recorded."""
        if self._ledger is None:
            from rounds.store import ledger_store  # no start needs it

            self._ledger = ledger_store.load(self._book)
        return self._ledger

    @property
    def recorded(self) -> list[Recorded]:
        """Acts of the book that were not taken back, oldest first."""
        if self._recorded is None:
            from rounds.store import ledger_store  # no start needs it

            self._recorded = list(ledger_store.recorded(self._book))
        return self._recorded

    @property
    def at_hand(self) -> Ledger | None:
        """The books when they were needed already, else None: nothing is read."""
        return self._ledger

    def adopt(self, ledger: Ledger) -> None:
        """Take over books that another thread has read, unless they were read here already."""
        if self._ledger is None:
            self._ledger = ledger

    def change(self, changes: Sequence[Change]) -> None:
        """Go on with the books as these changes leave them."""
        self._ledger = self.ledger.after(changes)

    def reread(self) -> None:
        """Forget the books as they stood: they are read again when next needed."""
        self._ledger = self._recorded = None
