"""Due work of a whole house, worked out beside the keys: shown when it is there, missed by none of them.

It takes half a second in a house of a thousand enclosures, which no start and no key can
wait for. A thread with a connection of its own does it, from the books of the walk once
it has read them, else from the database.
"""

from __future__ import annotations

import gc
import logging
import sys
import threading
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.config import Config
from rounds.named_tuple import NamedTuple
from rounds.records.observations import DueNotice
from rounds.records.round_summary import NO_NEEDS, Need
from rounds.walk import walk_sentences

if TYPE_CHECKING:
    from rounds.due.kinds import DueWork
    from rounds.due.planned_pairings import AnotherF
    from rounds.records.ledger import Ledger

SLICE = 0.0005
"""Seconds that the thread keeps the interpreter while a key waits (ten times as long is usual)."""
REST = 0.3
"""Seconds without another act before it is all worked out again: acts typed in a row cost once."""
_log = logging.getLogger(__name__)


class Found(NamedTuple):
    """Due work as of a day, and the books it follows from.

    ``dues`` by enclosure id: what begins by the day asked for. ``carry`` by enclosure id:
    what set-ups of today and tomorrow need, by thing, ``needs`` what the other due work
    does. ``likely_cells`` are enclosures whose larvae may be in their cells. ``another`` are plans whose F is another by now. ``said`` is why there is none of these. ``works`` is all work, however far ahead, also what is put off or lately done.
    """

    ledger: Ledger | None
    dues: Mapping[int, tuple[DueNotice, ...]] = {}
    carry: Mapping[int, Mapping[str, float]] = {}
    said: str = ""
    works: tuple[DueWork, ...] = ()
    needs: Mapping[int, Sequence[Need]] = NO_NEEDS
    another: Mapping[int, AnotherF] = {}
    likely_cells: frozenset[int] = frozenset()


def find(ledger: Ledger, config: Config, day: int, until: int) -> Found:
    """All due work of the books as of ``day`` that can begin by ``until``."""
    from rounds.acts import checklists
    from rounds.analysis.pairing.plans_again import PlansRemembered
    from rounds.due.carry import needs
    from rounds.due.planned_pairings import open_plans
    from rounds.due.shown_work import likely_cells, shown
    from rounds.due.work import works

    another = PlansRemembered()(ledger, open_plans(ledger))
    every = works(ledger, config.species, day, another)
    carry = checklists.carry(ledger, config.checklists, config.species, every, day)
    wanted = needs(ledger, config.species, every, day)
    for id_, some in checklists.lacking(ledger, config.checklists, config.species, every, day).items():
        wanted[id_] = (*wanted.get(id_, ()), *some)
    dues = shown(ledger, every, day, until)
    cells = likely_cells(every, day)
    return Found(ledger, dues, carry, works=every, needs=wanted, another=another, likely_cells=cells)


def added(*wanted: Mapping[int, Sequence[Need]]) -> dict[int, tuple[Need, ...]]:
    """What each enclosure wants brought, by all of these together."""
    out: dict[int, tuple[Need, ...]] = {}
    for some in wanted:
        for enclosure, needs in some.items():
            out[enclosure] = (*out.get(enclosure, ()), *needs)
    return out


class DueWorkFinder:
    """Works it out again whenever it is asked to; only the answer to the newest asking counts.

    ``tell`` is called from the thread when there is an answer to :meth:`take`.
    """

    def __init__(self, path: Path, config: Config, day: int, until: int, tell: Callable[[], object]) -> None:
        self.path, self.config, self.day, self.until, self._tell = path, config, day, until, tell
        self._changed = threading.Condition()
        self._asked = self._answered = 0
        self._ledger: Ledger | None = None
        self._answer: Found | None = None
        self._running = self._stopped = False

    def ask(self, ledger: Ledger | None) -> None:
        """Begin (again) with these books; None: with those in the database."""
        with self._changed:
            self._asked += 1
            self._ledger, self._answer = ledger, None
            if not self._running:
                self._running = True
                threading.Thread(target=self._work, name="rounds-due", daemon=True).start()

    def take(self) -> Found | None:
        """The answer, once, when there is one that nothing came after."""
        with self._changed:
            answer, self._answer = self._answer, None
            return answer

    def wait(self, timeout: float) -> bool:
        """Wait for the answer to the newest asking; False when it did not come in time."""
        with self._changed:
            return self._changed.wait_for(lambda: self._answered == self._asked, timeout)

    def stop(self) -> None:
        """Nobody wants an answer any more."""
        with self._changed:
            self._stopped = True

    # The thread

    def _work(self) -> None:
        while True:
            with self._changed:
                number, ledger = self._asked, self._ledger
                if number == self._answered or self._stopped:
                    self._running = False
                    return
                if ledger is not None and self._changed.wait_for(partial(self._overtaken, number), REST):
                    continue
            found = self._found(ledger)
            with self._changed:
                current = number == self._asked and not self._stopped
                if current:
                    self._answer, self._answered = found, number
                    self._changed.notify_all()
            if current:
                try:
                    self._tell()
                except Exception:  # a screen that is gone hears nothing
                    _log.exception("nobody heard that due work was worked out")

    def _overtaken(self, number: int) -> bool:
        return self._asked != number or self._stopped

    def _found(self, ledger: Ledger | None) -> Found:
        usual, collecting = sys.getswitchinterval(), gc.isenabled()
        sys.setswitchinterval(SLICE)
        gc.disable()  # a collection would look through all the books, while a key waits
        try:
            if ledger is None:
                from rounds.store.book import open_book
                from rounds.store.ledger_store import load

                with open_book(self.path, readonly=True) as book:
                    ledger = load(book)
            found = find(ledger, self.config, self.day, self.until)
            import rounds.walk.act_queries  # noqa: F401  # so that the first act of the walk need not wait for it
            from rounds.acts.registry import all_acts

            all_acts()
        except Exception as error:
            _log.exception("due work could not be worked out")
            from rounds.store import damage  # no start needs it

            return Found(None, said=walk_sentences.due_work_failed(damage.reason(error, self.path)))
        finally:
            sys.setswitchinterval(usual)
            if collecting:
                gc.enable()
        return found
