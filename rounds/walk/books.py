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
    """``failed`` is why due work cannot be worked out from them ("" while it can).

    ``newest_act`` is the newest act of the book before anything was read: whatever is read later
    holds it, and perhaps more.
    """

    def __init__(self, book: Book, newest_act: int = 0) -> None:
        self._book, self._newest_act = book, newest_act
        self._as_read: Ledger | None = None  # without what this walk has recorded since
        self.failed = ""
        self._ledger: Ledger | None = None
        self._recorded: list[Recorded] | None = None

    @property
    def ledger(self) -> Ledger:
        """The books as they stand, with what this walk has recorded."""
        if self._ledger is None:
            from rounds.store import ledger_store  # no start needs it

            self._ledger = self._as_read = ledger_store.load(self._book)
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
            self._ledger = self._as_read = ledger

    def change(self, changes: Sequence[Change]) -> None:
        """Go on with the books as these changes leave them."""
        self._ledger = self.ledger.after(changes)

    def reread(self) -> None:
        """Forget the books as they stood: they are read again when next needed."""
        self._ledger = self._as_read = self._recorded = None

    def catch_up(self) -> tuple[Change, ...]:
        """Take in what everybody recorded meanwhile, in the order of the book; what that changed.

        Only while nothing that this walk has recorded waits to be written: the rows that an act
        adds have other numbers once another hand's act came before it. Acts that the books held
        already when they were read are made once more, which changes nothing: all that came
        after them are, too.
        """
        from rounds.store.read_acts import UNDO, every_after

        assert self._as_read is not None  # they were read, or nobody asks
        acts = every_after(self._book, self._newest_act)
        changes = tuple(change for act in acts for change in act.changes)
        self._ledger = self._as_read = self._as_read.after(changes)
        if self._recorded is not None and acts:
            again = {act.uid for act in acts}
            gone = {act.undoes for act in acts if act.undoes}
            left = [r for r in self._recorded if r.uid not in again and not (r.id and r.id in gone)]
            self._recorded = [*left, *(act for act in acts if act.name != UNDO and not act.undone)]
        self._newest_act = max((act.id for act in acts), default=self._newest_act)
        return changes
