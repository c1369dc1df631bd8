"""Acts on the walk: what may be recorded in the books as they stand, and what may be taken back.

Loaded when the first act is offered, not before: a walk that records none pays nothing for
it. What the walk records is seen here at once and written by the writer.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from functools import cached_property

from rounds.acts import arrival_law, checklists, due_acts, offered_answers, registry
from rounds.acts.act import BadAct, ConfirmationRequired, PlannedAct, Recorded, Settings
from rounds.acts.fields import FieldError
from rounds.acts.offer import Offer, OfferField
from rounds.acts.offers import asked, dated, offers
from rounds.config import Config, for_acts
from rounds.due.kinds import DueWork
from rounds.due.shown_work import shown
from rounds.husbandry import locks
from rounds.records import enclosure_view
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.observations import Action, DueNotice
from rounds.records.stops import DUE_AHEAD, Stop
from rounds.records.tables import Batch, Enclosure
from rounds.walk import walk_sentences
from rounds.walk.books import Books
from rounds.walk.machine.state import Drafted

WORDS = 9
"""Work that one digit can choose from."""
_log = logging.getLogger(__name__)


class ActDesk:
    """Acts in the books of one walk, on its day. Keys of its tables are ids of enclosures."""

    def __init__(
        self, books: Books, config: Config, day: int, to_do: Callable[[int], tuple[Action, ...]]
    ) -> None:
        """``to_do`` gives the actions that are open at an enclosure."""
        self.books, self.config, self.day, self._to_do = books, config, day, to_do
        self._known_of: Ledger | None = None  # the books that offers and works were made from
        self._offers: dict[int, tuple[Offer, ...]] = {}
        self._works: dict[int, list[DueWork]] = {}

    @cached_property
    def settings(self) -> Settings:
        return for_acts(self.config)._replace(
            open_actions=lambda box: tuple(action.todo or action.reason for action in self._to_do(box))
        )

    @property
    def ledger(self) -> Ledger:
        """The books; what was made of an earlier state of them is forgotten."""
        ledger = self.books.ledger
        if self._known_of is not ledger:
            self._known_of = ledger
            self._offers.clear()
            self._works.clear()
        return ledger

    def offers(self, enclosure: int) -> tuple[Offer, ...]:
        """Acts for the work that is due first, then the stage's."""
        ledger = self.ledger
        known = self._offers.get(enclosure)
        if known is None:
            every = (self._by_digit(enclosure, o) for o in offers(ledger, enclosure))
            known = self._offers[enclosure] = (*self._for_due(enclosure), *every)
        return known

    def caution(self, act: str) -> str:
        """What to mind with an act, or nothing."""
        return registry.known(act).caution

    def law(self, act: str, whom: str, typed: Mapping[str, str]) -> str:
        """What is on file about the law on the species an act brings in, or nothing."""
        return arrival_law.at_arrival(act, self.ledger, whom, typed, lambda: self.config.species)

    def begun(self, enclosure: int) -> tuple[checklists.Begun, ...]:
        """Set-ups and clearings that were begun here: their open steps stay in sight."""
        return checklists.begun(self.ledger, enclosure, self.config.checklists, self.config.species)

    def _by_digit(self, enclosure: int, offer: Offer) -> Offer:
        """Ticking a checklist, the batch of substrate, who is paired: by digits instead of words."""
        if offer.act != "tick":
            return offered_answers.by_digit(self.ledger, enclosure, offer)
        here = self.begun(enclosure)
        if len(here) == 1:  # any of its open steps
            steps = tuple(line.step.id for line in here[0].open)[:9]
            return offer._replace(fields=(OfferField("item", walk_sentences.WHICH_STEP, steps),))
        names = tuple(b.checklist.id for b in here) or self._that_fit(enclosure)
        return offer._replace(
            fields=(OfferField("list", walk_sentences.WHICH_CHECKLIST, names[:9]),) if names else ()
        )

    def _that_fit(self, enclosure: int) -> tuple[str, ...]:
        """Lists that can be begun here: set-ups where nobody lives, clearings elsewhere."""
        box = self.ledger.row(Enclosure, enclosure)
        use = "set-up" if box.stage in ("empty", "prepared") else "clearing"
        return tuple(
            c.id
            for c in self.config.checklists
            if c.use == use
            and (not c.species or box.species in c.species)
            and (use == "set-up" or box.stage in c.stages)
        )

    def _for_due(self, enclosure: int) -> list[Offer]:
        """What can be done about due work: worked out here and now, never from what a thread has found by then."""
        named = due_acts.labels(self.ledger, self.works(enclosure))
        words = tuple(
            name
            for name, w in named.items()
            if w.begins() <= self.day + DUE_AHEAD and not w.put_off(self.day)
        )
        if not words:
            return []
        code = str(self.ledger.row(Enclosure, enclosure).code)
        which = OfferField("work", walk_sentences.WHICH_WORK, words[:WORDS])
        found = [registry.known(name) for name in (due_acts.DONE, due_acts.OFF)]
        return [
            Offer(
                a.id,
                a.title,
                ((code, code),),
                (which, *(asked(f) for f in a.fields if f.required)),
                dated=dated(a),
            )
            for a in found
        ]

    def works(self, enclosure: int) -> list[DueWork]:
        """Work at an enclosure that is not done, however far ahead; none, and the books are told, when that fails."""
        ledger = self.ledger
        known = self._works.get(enclosure)
        if known is None:
            try:
                known = due_acts.open_at(ledger, self.config.species, enclosure, self.day)
            except Exception as error:  # a mistake of ours must not keep anybody from recording acts
                _log.exception("due work could not be worked out")
                self.books.failed, known = walk_sentences.due_work_failed(str(error)), []
            self._works[enclosure] = known
        return known

    def dues(self, enclosure: int) -> tuple[DueNotice, ...]:
        """Work to show at an enclosure."""
        works = self.works(enclosure)
        if self.books.failed:
            return enclosure_view.dues(self.ledger, enclosure, self.day + DUE_AHEAD)
        return shown(self.ledger, works, self.day, self.day + DUE_AHEAD).get(enclosure, ())

    def plan(self, act: str, whom: str, typed: dict[str, str], *, sure: bool) -> PlannedAct:
        """Raises BadAct or Question."""
        return registry.plan(act, whom, typed, self.ledger, self.day, sure=sure, settings=self.settings)

    def draft(self, act: str, whom: str, typed: dict[str, str], *, sure: bool) -> Drafted:
        """Whether an act may be recorded as it was typed; nothing is recorded by asking."""
        try:
            planned = self.plan(act, whom, typed, sure=sure)
        except ConfirmationRequired as e:
            return Drafted(question=e.text)
        except BadAct as e:
            refused, wrong = "; ".join(map(str, e.slips)), tuple((s.field, str(s)) for s in e.slips)
            return Drafted(refused=refused, asks=_lacking(act, typed, e.slips), wrong=wrong)
        made = [
            str(c.values["name"]) for c in planned.changes if isinstance(c, Add) and c.table == Batch.table
        ]
        named = ", ".join(filter(None, (whom, *made)))
        return Drafted(said=f"{planned.act.title} ({named})" if named else planned.act.title)

    def record(self, uid: bytes, act: str, whom: str, typed: dict[str, str], *, sure: bool) -> set[int]:
        """Take an act into the books as they stand here; which enclosures it concerns."""
        planned = self.plan(act, whom, typed, sure=sure)
        self.books.recorded.append(Recorded(uid, act, planned.changes))
        return self._take(planned.changes)

    def concerns(self, uid: bytes) -> set[int]:
        """The enclosures an act of the book concerned (none when it was taken back)."""
        return {
            e
            for a in self.books.recorded
            if a.uid == uid
            for e in enclosure_view.touched(self.ledger, a.changes)
        }

    def keeps(self, uid: bytes) -> str:
        """Why an act cannot be taken back yet: acts that rest on it ("" when it can)."""
        recorded = self.books.recorded
        at = next(i for i, a in enumerate(recorded) if a.uid == uid)
        resting = registry.depending(recorded[at], recorded[at + 1 :])
        names = tuple(dict.fromkeys(registry.known(a.name).title for a in resting))
        return walk_sentences.other_acts_rest_on_it(names) if resting else ""

    def take_back(self, uid: bytes) -> set[int]:
        """Take an act out of the books again; which enclosures it concerned."""
        act = next(a for a in self.books.recorded if a.uid == uid)
        self.books.recorded.remove(act)
        return self._take(registry.reversal(act.changes))

    def stop(self, enclosure: int, before: Stop) -> Stop:
        """The stop as the books have it now; its place in the walk stays."""
        box = enclosure_view.enclosure(self.ledger, enclosure)
        mine = enclosure_view.locks(self.ledger, enclosure, self.day)
        held = locks.in_force(box.stage, mine, self.day, vacated=box.vacated)
        return before._replace(enclosure=box, locks=held, dues=self.dues(enclosure))

    def _take(self, changes: tuple[Change, ...]) -> set[int]:
        added = {(c.table, c.id) for c in changes if isinstance(c, Add)}
        before = enclosure_view.touched(self.ledger, [c for c in changes if (c.table, c.id) not in added])
        self.books.change(changes)
        return before | enclosure_view.touched(self.ledger, changes)


def _lacking(act: str, typed: dict[str, str], slips: tuple[FieldError, ...]) -> OfferField | None:
    """The first field that is missing as things are, when nothing else is wrong (what becomes of a box left vacant, whether it was looked through, which of several groups)."""
    if not all(s.unsaid for s in slips):
        return None
    fields = {f.name: f for f in registry.known(act).fields}
    name = slips[0].field
    return asked(fields[name]) if name in fields and name not in typed else None
