"""Due work as the walk shows it: that of the book until all of it was worked out beside the keys.

It changes what is shown, never what a key does (see rounds.walk.due_background).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.config import Config
from rounds.records.observations import DueNotice
from rounds.records.round_summary import NO_NEEDS, Need
from rounds.records.stops import DUE_AHEAD
from rounds.walk.books import Books
from rounds.walk.route import Route

if TYPE_CHECKING:
    from rounds.due.kinds import DueWork
    from rounds.due.planned_pairings import AnotherF
    from rounds.walk.due_background import DueWorkFinder


class WalkDues:
    """``carry`` and ``needs`` by enclosure id: what due work wants brought.

    ``works`` is all of it, however far ahead; None: not there yet. ``another`` are plans whose
    F is another by now. ``finder`` works it out,
    once it was asked to.
    """

    def __init__(self, path: Path, config: Config, day: int, route: Route, books: Books) -> None:
        self._path, self._config, self._day, self._route, self._books = path, config, day, route, books
        self.finder: DueWorkFinder | None = None
        self.carry: Mapping[int, Mapping[str, float]] = {}
        self.needs: Mapping[int, Sequence[Need]] = NO_NEEDS
        self.works: tuple[DueWork, ...] | None = None
        self.another: Mapping[int, AnotherF] = {}
        self._failed = ""

    def look_up(self, tell: Callable[[], object]) -> None:
        """Begin to work out all due work; ``tell`` is called, from a thread, whenever there is some to take."""
        from rounds.walk.due_background import DueWorkFinder  # no start needs it

        until = self._day + DUE_AHEAD
        self.finder = DueWorkFinder(self._path, self._config, self._day, until, tell)
        self.finder.ask(self._books.at_hand)

    def take(self) -> bool:
        """Show what was worked out meanwhile; False when there is nothing new."""
        found = self.finder.take() if self.finder is not None else None
        if found is None:
            return False
        self._failed = found.said
        if found.ledger is None:
            return True
        self._books.adopt(found.ledger)
        self.carry, self.works, self.needs = found.carry, found.works, found.needs
        self.another = found.another
        for i, s in enumerate(self._route.stops):
            mine = found.dues.get(s.enclosure.id, ())
            cell = s.enclosure.id in found.likely_cells
            if mine != s.dues or cell != s.likely_cell:
                self._route.put(i, s._replace(dues=mine, likely_cell=cell))
        return True

    def put(self, enclosure: int, works: Sequence[DueWork]) -> None:
        """What an act left to do at an enclosure, in place of what was known of it."""
        if self.works is not None:
            self.works = (*(w for w in self.works if w.enclosure != enclosure), *works)

    def look_again(self) -> None:
        """An act was recorded: what hangs together with it elsewhere, and what to carry, is worked out anew."""
        if self.finder is not None:
            self.finder.ask(self._books.ledger)

    def stop(self) -> None:
        """Nobody wants an answer any more."""
        if self.finder is not None:
            self.finder.stop()

    @property
    def said(self) -> str:
        """Why only the work that the book holds is shown ("" when all of it is, or is not there yet)."""
        return self._failed or self._books.failed

    def undone(self) -> list[tuple[int, DueNotice]]:
        """Work that was due and not done, nor put off: the stop, and the work there, the soonest to end first."""
        found = [(i, d) for i, s in enumerate(self._route.stops) for d in s.dues if d.planned() <= self._day]
        return sorted(found, key=lambda row: row[1].window.latest)
