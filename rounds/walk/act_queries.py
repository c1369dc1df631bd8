"""Acts on the walk: what may be recorded in the books as they stand, and what may be taken back.

Loaded when the first act is offered, not before: a walk that records none pays nothing for
it. What the walk records is seen here at once and written by the writer.
"""

from __future__ import annotations

import logging
from collections.abc import Callable, Mapping
from functools import cached_property

from rounds.acts import (
    arrival_law,
    arrival_sentences,
    card_fields,
    checklists,
    due_acts,
    due_sentences,
    fields,
    registry,
    species_checks,
)
from rounds.acts.act import BadAct, ConfirmationRequired, PlannedAct, Recorded, Settings
from rounds.acts.card import WHOM, Card, CardAnswer
from rounds.acts.card_answers import MOST, plain_answers
from rounds.acts.card_check import read_answer
from rounds.acts.fields import FieldError, FieldRefused
from rounds.acts.offer import Offer
from rounds.acts.offers import ELSEWHERE, for_due, offers
from rounds.config import Config, for_acts
from rounds.due.kinds import DueWork
from rounds.due.planned_pairings import AnotherF, Hindrances
from rounds.due.shown_work import likely_cells, shown
from rounds.husbandry import locks
from rounds.husbandry.stages import VACANT
from rounds.records import enclosure_view
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.observations import Action, DueNotice
from rounds.records.stops import DUE_AHEAD, Stop
from rounds.records.tables import Animal, Batch, Enclosure, Line, PlannedPairing
from rounds.store.read_acts import subject
from rounds.walk import walk_sentences
from rounds.walk.books import Books
from rounds.walk.machine.state import Drafted, DueHere, OlderAct
from rounds.walk.older_acts import older_acts

NAMING_SPECIES = ("arrival", "line", "box")
"""Acts that are told a species."""
MOST_NAMED = 6
"""Species named when what was typed can be several."""
Told = tuple[tuple[str, str], ...]
_CALLED = {Batch.table: "name", Animal.table: "number", Line.table: "name"}
"""Records that an act makes and the walk names when it is recorded, by the column of their name."""
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
        self._cards: dict[tuple[int, str, str, Told, bytes], Card] = {}
        self._without: tuple[bytes, Ledger] | None = None  # the books without an act that is being corrected
        self._works: dict[int, list[DueWork]] = {}
        self.another: Mapping[int, AnotherF] = {}

    def know_another(self, another: Mapping[int, AnotherF]) -> None:
        """Plans whose F is another by now, as it was worked out beside the keys."""
        if another != self.another:
            self.another = another
            self._works.clear()

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
            self._cards.clear()
            self._works.clear()
            self._without = None
        return ledger

    def _books(self, instead: bytes) -> Ledger:
        """The books as they stand; while an older act is corrected, as they would stand without it."""
        ledger = self.ledger
        if not instead:
            return ledger
        if self._without is None or self._without[0] != instead:
            act = next(a for a in self.books.recorded if a.uid == instead)
            self._without = (instead, ledger.after(registry.reversal(act.changes)))
        return self._without[1]

    def offers(self, enclosure: int) -> tuple[Offer, ...]:
        """The acts of the stage."""
        ledger = self.ledger
        known = self._offers.get(enclosure)
        if known is None:
            known = self._offers[enclosure] = offers(ledger, enclosure)
        return known

    def card(self, enclosure: int, act: str, whom: str, told: Told, instead: bytes = b"") -> Card:
        """The card of an act at an enclosure, as it stands with what was told."""
        ledger, key = self._books(instead), (enclosure, act, whom, told, instead)
        found = self._cards.get(key)
        if found is None:
            if len(self._cards) > 64:
                self._cards.clear()
            offer = self._offer(enclosure, act, whom)
            found = self._cards[key] = card_fields.card(
                ledger,
                enclosure,
                registry.known(act),
                offer,
                whom or offer.only,
                told,
                self.day,
                lambda so_far: (
                    self.draft(
                        act, whom or offer.only, dict((*offer.given, *so_far)), sure=True, instead=instead
                    ).asks
                ),
                self._own_answers(enclosure, act),
            )
            why = self._waiting(enclosure, act)
            if why:
                whole = " ".join((*map(due_sentences.withheld, why), found.caution)).rstrip()
                brief = (*map(due_sentences.waits, why), *found.headlines)
                found = self._cards[key] = found._replace(caution=whole, headlines=brief)
        return found

    def _waiting(self, enclosure: int, act: str) -> tuple[str, ...]:
        """Why the work of an act has to wait here, to be read before any other caution of its card."""
        here = self.works(enclosure)
        cell = bool(likely_cells(here, self.day))
        return due_acts.waiting(act, here, self.day + DUE_AHEAD, likely_cell=cell)

    def _offer(self, enclosure: int, act: str, whom: str) -> Offer:
        """The act as it is listed; what a page or due work knows all about need not be listed at the stage."""
        found = next((o for o in self.offers(enclosure) if o.act == act), None)
        if found is not None and (not whom or whom in dict(found.whom)):
            return found
        if act in (due_acts.DONE, due_acts.OFF) or (act in ELSEWHERE and not whom):
            return for_due(registry.known(act), str(self.ledger.row(Enclosure, enclosure).code))
        title = found.title if found is not None else registry.known(act).title
        return Offer(act, title, ((whom, whom),), found.given if found is not None else ())

    def read_answer(self, enclosure: int, act: str, field: str, text: str) -> tuple[str, str]:
        """What a field is told by what was typed and "", or "" and what is wrong with it."""
        found = registry.known(act)
        label = next((f.label for f in self.card(enclosure, act, "", ()).fields if f.name == field), field)
        if field == WHOM:
            return self._whom(enclosure, act, text.strip(), label)
        one = next(f for f in found.fields if f.name == field)
        if field == species_checks.FIELD:  # a part of the name is enough where only one has it
            every = species_checks.known(self.ledger, self.config.species)
            names = species_checks.meant(text, every)
            if len(names) > 1:
                return "", arrival_sentences.several_species(text.strip(), names[:MOST_NAMED])
            text = names[0] if names else text
        return read_answer(one, text, self.ledger, self.day, label)

    def _whom(self, enclosure: int, act: str, text: str, label: str) -> tuple[str, str]:
        low = text.casefold()
        for typed, words in self._offer(enclosure, act, "").whom:
            if low in (typed.casefold(), words.casefold()):
                return typed, ""
        try:
            fields.ref(registry.known(act).on, text, self.ledger)
        except FieldRefused as e:
            return "", walk_sentences.wrong_answer(label, e.refusal.message, e.refusal.hint)
        return text, ""

    def _own_answers(self, enclosure: int, act: str) -> dict[str, tuple[CardAnswer, ...]]:
        """Answers that follow from the config: open steps of a checklist, due work, reasons to put it off."""
        if act == "tick":
            here = self.begun(enclosure)
            if len(here) == 1:  # any of its open steps
                steps = plain_answers(line.step.id for line in here[0].open)
                return {"item": steps, "list": plain_answers([here[0].checklist.id])}
            return {
                "list": plain_answers(b.checklist.id for b in here)
                or plain_answers(self._that_fit(enclosure))
            }
        if act in NAMING_SPECIES:
            names = species_checks.offered(self.ledger, enclosure, self.config.species)
            return {species_checks.FIELD: plain_answers(names[:MOST])}
        if act not in (due_acts.DONE, due_acts.OFF):
            return {}
        own = {"work": plain_answers(self.due_names(enclosure))}
        if act == due_acts.OFF:
            own["because"] = plain_answers(c.title for c in self.config.vocabulary.put_offs)
        return own

    def due_names(self, enclosure: int) -> tuple[str, ...]:
        """Work that is planned or due at an enclosure, by the words it is called by."""
        return tuple(self._due_by_name(enclosure))

    def due_here(self, enclosure: int) -> tuple[DueHere, ...]:
        """The same, each with the act that does it where that fits here today."""
        fitting = {o.act for o in self.offers(enclosure) if not o.unfit}
        return tuple(
            self._to_confirm(name, work)
            or DueHere(
                name,
                next((a for a in due_acts.OWN_ACT.get(work.kind, ()) if a in fitting), ""),
                told=due_acts.TOLD_OF.get(work.kind, ()),
            )
            for name, work in self._due_by_name(enclosure).items()
        )

    def _to_confirm(self, name: str, work: DueWork) -> DueHere | None:
        """A plan that the keeper is asked to confirm before it is carried out.

        What a key does never hangs on how far the work beside the keys has come: it is worked out here.
        """
        if work.plan is None:
            return None
        ledger = self.ledger
        plan = ledger.row(PlannedPairing, work.plan)
        hindrances = Hindrances(ledger, another=self.settings.plans_again(ledger, [plan]))
        to_confirm = hindrances.to_be_confirmed(plan, work.planned(self.day))
        return DueHere(name, due_acts.CONFIRM, plan.name) if to_confirm else None

    def _due_by_name(self, enclosure: int) -> dict[str, DueWork]:
        return {
            name: work
            for name, work in due_acts.labels(self.ledger, self.works(enclosure)).items()
            if work.begins() <= self.day + DUE_AHEAD and not work.put_off(self.day)
        }

    def older(self, enclosure: int) -> tuple[OlderAct, ...]:
        """Acts that concerned an enclosure, the newest first."""
        return older_acts(self.ledger, self.books.recorded, enclosure)

    def law(self, act: str, whom: str, typed: Mapping[str, str]) -> str:
        """What is on file about the law on the species an act brings in, or nothing."""
        return arrival_law.at_arrival(act, self.ledger, whom, typed, lambda: self.config.species)

    def begun(self, enclosure: int) -> tuple[checklists.Begun, ...]:
        """Set-ups and clearings that were begun here: their open steps stay in sight."""
        return checklists.begun(self.ledger, enclosure, self.config.checklists, self.config.species)

    def _that_fit(self, enclosure: int) -> tuple[str, ...]:
        """Lists that can be begun here: set-ups where nobody lives, clearings elsewhere."""
        box = self.ledger.row(Enclosure, enclosure)
        use = "set-up" if box.stage in VACANT else "clearing"
        return tuple(
            c.id
            for c in self.config.checklists
            if c.use == use
            and (not c.species or box.species in c.species)
            and (use == "set-up" or box.stage in c.stages)
        )

    def works(self, enclosure: int) -> list[DueWork]:
        """Work at an enclosure that is not done, however far ahead; none, and the books are told, when that fails."""
        ledger = self.ledger
        known = self._works.get(enclosure)
        if known is None:
            try:
                known = due_acts.open_at(ledger, self.config.species, enclosure, self.day, self.another)
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

    def plan(
        self, act: str, whom: str, typed: dict[str, str], *, sure: bool, instead: bytes = b""
    ) -> PlannedAct:
        """Raises BadAct or ConfirmationRequired."""
        ledger = self._books(instead)
        return registry.plan(act, whom, typed, ledger, self.day, sure=sure, settings=self.settings)

    def draft(
        self, act: str, whom: str, typed: dict[str, str], *, sure: bool, instead: bytes = b""
    ) -> Drafted:
        """Whether an act may be recorded as it was typed; nothing is recorded by asking."""
        try:
            planned = self.plan(act, whom, typed, sure=sure, instead=instead)
        except ConfirmationRequired as e:
            return Drafted(question=e.text)
        except BadAct as e:
            refused, wrong = "; ".join(map(str, e.slips)), tuple((s.field, str(s)) for s in e.slips)
            return Drafted(refused=refused, asks=_lacking(act, typed, e.slips), wrong=wrong)
        made = [
            str(c.values[_CALLED[c.table]])
            for c in planned.changes
            if isinstance(c, Add) and c.table in _CALLED
        ]
        named = ", ".join(filter(None, (whom, *made)))
        return Drafted(said=_titled(planned.act.title, named))

    def record(self, uid: bytes, act: str, whom: str, typed: dict[str, str], *, sure: bool) -> set[int]:
        """Take an act into the books as they stand here; which enclosures it concerns."""
        planned = self.plan(act, whom, typed, sure=sure)
        table, subject = planned.act.on, planned.subject or None
        made = Recorded(uid, act, planned.changes, 0, table, subject, typed, self.day, sure=sure)
        self.books.recorded.append(made)
        return self._take(planned.changes)

    def concerns(self, uid: bytes) -> set[int]:
        """The enclosures an act of the book concerned (none when it was taken back)."""
        return {
            e
            for a in self.books.recorded
            if a.uid == uid
            for e in enclosure_view.touched(self.ledger, a.changes)
        }

    def said(self, uid: bytes) -> str:
        """A recorded act in words: its title, and whom it concerned."""
        act = next(a for a in self.books.recorded if a.uid == uid)
        return _titled(registry.known(act.name).title, subject(self.ledger, act.table, act.subject))

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
        cell = bool(likely_cells(self.works(enclosure), self.day))
        return before._replace(enclosure=box, locks=held, dues=self.dues(enclosure), likely_cell=cell)

    def _take(self, changes: tuple[Change, ...]) -> set[int]:
        added = {(c.table, c.id) for c in changes if isinstance(c, Add)}
        before = enclosure_view.touched(self.ledger, [c for c in changes if (c.table, c.id) not in added])
        self.books.change(changes)
        return before | enclosure_view.touched(self.ledger, changes)


def _titled(title: str, whom: str) -> str:
    return f"{title} ({whom})" if whom else title


def _lacking(act: str, typed: dict[str, str], slips: tuple[FieldError, ...]) -> str:
    """The first field that is missing as things are, when nothing else is wrong: which of several groups, say."""
    if not all(s.unsaid for s in slips):
        return ""
    name = slips[0].field
    known = any(f.name == name for f in registry.known(act).fields)
    return name if known and name not in typed else ""
