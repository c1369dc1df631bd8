"""Acts of the way from larva to breeding adult: wandering, cell, and four dates of the adult.

Each date is only what was recorded; none is made from another. They are checked against
each other as spans: what was certainly before an earlier step is refused.
"""

from __future__ import annotations

from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired, act
from rounds.acts.act_checks import may
from rounds.acts.common import ON, living, lock, put, set_stage
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.groups import (
    WHICH,
    counted,
    groups,
    name,
    put_some,
    some_of,
    take_out,
    the_group,
)
from rounds.records.column import Column
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name, code
from rounds.records.tables import Animal, Content, Enclosure, Lock
from rounds.records.whereabouts import inside
from rounds.values.spans import Span, text

STEPS: dict[Column[Span | None], str] = {
    Animal.born: "hatching",
    Animal.wandering: "wandering",
    Animal.cell: "its cell",
    Animal.eclosed: "eclosing",
    Animal.emerged: "emerging",
    Animal.first_feed: "the first feed",
    Animal.mature: "being mature",
    Animal.died: "death",
}
"""Columns of an animal that follow one another, with their words."""

CELL_REASON = "a cell is built, or about to be"
_WHO = Field("animal", "ref", "which animal, when several live there", of="animal")
_COUNT = Field("count", "counts", "how many of a counted group (all unless given)")
_INTO = Field("into", "ref", "the enclosure it was moved into, empty or prepared", of="enclosure")


def stepped(
    draft: Draft, animal: int, step: Column[Span | None], when: Span, given: ActInput, field: str = "on"
) -> None:
    """Record one step of an animal's life. Refused out of order, asked about when it was recorded before."""
    one = draft.ledger.row(Animal, animal)
    who = animal_name(draft.ledger, animal)
    known, wrong, order = one.value(step), [], list(STEPS)
    for other, said in STEPS.items():
        day = one.value(other)
        if day is None or other is step:
            continue
        if order.index(other) < order.index(step) and when.latest < day.earliest:
            wrong.append(
                FieldError(
                    field,
                    f"{STEPS[step]} would come before {said} ({text(day)}).",
                    "Expected that day or later.",
                )
            )
        if order.index(other) > order.index(step) and when.earliest > day.latest:
            wrong.append(
                FieldError(
                    field,
                    f"{STEPS[step]} would come after {said} ({text(day)}).",
                    "Expected that day or earlier.",
                )
            )
    if wrong:
        raise ActRefused(*wrong)
    if known == when:
        raise ActRefused(
            FieldError(field, f"{who} is in the books with that day already.", "There is nothing to record.")
        )
    if known is not None and not given.sure:
        raise ConfirmationRequired(
            field, f"{who} has {text(known)} for {STEPS[step]} in the books. Is it {text(when)}?"
        )
    draft.set(step, animal, when)


class _Meant:
    """Whom an act on an enclosure concerns: one animal, or some of one group."""

    def __init__(self, draft: Draft, given: ActInput) -> None:
        ledger, box = draft.ledger, given.subject
        here = [content.animal for content in inside(ledger, box) if content.animal is not None]
        named, picks = given["animal"], any(given[f.name] is not None for f in (*WHICH, _COUNT))
        self.animal: int | None = None
        self.group: Content | None = None
        if named is not None:
            if picks:
                raise ActRefused(
                    FieldError(
                        "animal",
                        "has a number, so it is not one of a group.",
                        "Leave the count and the group out.",
                    )
                )
            if named not in here:
                raise ActRefused(
                    FieldError(
                        "animal",
                        f"{animal_name(ledger, named)} is not in {code(ledger, box)}.",
                        "Check which one, or move it first.",
                    )
                )
            self.animal = named
        elif picks or not here:
            self.group = the_group(ledger, given)
        elif len(here) == 1 and not groups(ledger, box):
            self.animal = here[0]
        else:
            names = ", ".join(animal_name(ledger, a) for a in here)
            raise ActRefused(
                FieldError(
                    "animal", "is missing: several live there.", f"{code(ledger, box)} holds: {names}."
                )
            )
        if self.group is None:
            self.all = len(inside(ledger, box)) == 1
            return
        was = counted(self.group)
        self.count: Counts = given["count"] or was
        if given["count"] is not None:
            some_of(was, self.count)
        if self.group.instar == "eggs":
            raise ActRefused(FieldError("age", "eggs do not wander or build cells.", "Expected larvae."))
        self.all = self.count == was and len(inside(ledger, box)) == 1


def _placed(draft: Draft, given: ActInput, meant: _Meant, stage: str) -> int:
    """Move whom it concerns into the enclosure named, which is in ``stage`` from then on."""
    box, when = given.subject, given["on"]
    into: int | None = given["into"]
    if into is None:
        return box
    if into == box:
        raise ActRefused(FieldError("into", "is where it was.", "Leave it out, or give another enclosure."))
    now = draft.ledger.row(Enclosure, into).stage
    if now not in ("empty", "prepared") or inside(draft.ledger, into):
        raise ActRefused(
            FieldError(
                "into",
                f"{code(draft.ledger, into)} is in use.",
                "Expected an enclosure that is empty or prepared.",
            )
        )
    may(draft, box, "move", given)
    set_stage(draft, into, stage, when)
    if meant.animal is not None:
        old = next(content for content in inside(draft.ledger, box) if content.animal == meant.animal)
        put(draft, meant.animal, into, when)
        new = next(r.id for r in inside(draft.ledger, into) if r.animal == meant.animal)
        draft.set(Content.instar, new, old.instar)
    elif meant.group is not None:
        take_out(draft, meant.group, meant.count, when)
        put_some(draft, meant.group, meant.count, into, when)
    return into


@act(
    "wandering",
    "seen wandering",
    _WHO,
    _COUNT,
    _INTO,
    Field(
        "then",
        "word",
        "stage (it is in stage wandering now), lock (a cell's lock only) or nothing",
        words=("stage", "lock", "nothing"),
        default="stage",
    ),
    Field("until", "span", "with a lock: until when (until it is lifted unless given)"),
    *WHICH,
    ON,
    on="enclosure",
    about="A larva leaves its food to look for where to build its cell.",
    stages=("larvae", "wandering"),
)
def wandering(draft: Draft, given: ActInput) -> None:
    meant = _Meant(draft, given)
    if given["until"] is not None and given["then"] != "lock":
        raise ActRefused(FieldError("until", "belongs to then=lock.", "Leave it out, or say then=lock."))
    if given["until"] is not None and given["until"].latest < given.today:
        raise ActRefused(FieldError("until", "is over already.", "Give a day to come."))
    if meant.animal is not None:
        living(draft.ledger, meant.animal)
        stepped(draft, meant.animal, Animal.wandering, given["on"], given)
    box = _placed(draft, given, meant, "wandering")
    if given["then"] == "stage" and box == given.subject:
        _whole(draft, given, meant, "wandering")
        set_stage(draft, box, "wandering", given["on"])
    elif given["then"] == "lock":
        _cell_lock(draft, box, meant, given)
    if not draft.changes:
        raise ActRefused(
            FieldError(
                "then", "nothing would be recorded for a group.", "Say stage or lock, or where it went."
            )
        )


def _whole(draft: Draft, given: ActInput, meant: _Meant, stage: str) -> None:
    """A stage holds for a whole enclosure: ask when only some of it are there."""
    if not meant.all and not given.sure:
        there = ", ".join(
            animal_name(draft.ledger, content.animal)
            if content.animal is not None
            else name(draft.ledger, content)
            for content in inside(draft.ledger, given.subject)
        )
        raise ConfirmationRequired(
            "then", f"{code(draft.ledger, given.subject)} holds {there}. Put all of it into stage {stage}?"
        )


def _cell_lock(draft: Draft, box: int, meant: _Meant, given: ActInput) -> None:
    since = min(given["on"].earliest, given.today)
    made = lock(draft, box, "dig open move wet", since, given["until"], CELL_REASON)
    draft.set(Lock.animal, made, meant.animal)


@act(
    "cell",
    "in its cell",
    _WHO,
    _COUNT,
    _INTO,
    Field("until", "span", "not to be disturbed until (until it emerges unless given)"),
    *WHICH,
    ON,
    on="enclosure",
    about="It has built its cell; from now on the enclosure is not touched.",
    stages=("larvae", "wandering"),
)
def cell(draft: Draft, given: ActInput) -> None:
    meant = _Meant(draft, given)
    if given["until"] is not None and given["until"].latest < given.today:
        raise ActRefused(FieldError("until", "is over already.", "Give a day to come."))
    if meant.animal is not None:
        living(draft.ledger, meant.animal)
        stepped(draft, meant.animal, Animal.cell, given["on"], given)
    box = _placed(draft, given, meant, "cell")
    if box == given.subject:
        _whole(draft, given, meant, "cell")
    set_stage(draft, box, "cell", given["on"])
    if given["until"] is not None:
        _cell_lock(draft, box, meant, given)
    if not draft.changes:
        raise ActRefused(
            FieldError(
                "enclosure",
                f"{code(draft.ledger, box)} is in stage cell already.",
                "There is nothing to record.",
            )
        )


_STAGE = Field("stage", "stage", "the stage its enclosure is in from now on (unless given it stays)")


def _adult(draft: Draft, given: ActInput, step: Column[Span | None]) -> None:
    """One of the four dates of an adult, and the stage of its enclosure when the keeper says so."""
    living(draft.ledger, given.subject)
    stepped(draft, given.subject, step, given["on"], given)
    here = next(
        (
            content.id
            for content in draft.ledger.rows(Content, Content.animal.is_(given.subject))
            if content.until is None
        ),
        None,
    )
    if here is not None and step in (Animal.eclosed, Animal.emerged):
        draft.set(Content.instar, here, "")
    if step is Animal.emerged:
        for held in list(draft.ledger.rows(Lock, Lock.animal.is_(given.subject))):
            if held.lifted is None and held.reason == CELL_REASON:
                draft.set(Lock.lifted, held.id, given.today)
    if given["stage"] is None:
        return
    if here is None:
        raise ActRefused(
            FieldError(
                "stage", f"{animal_name(draft.ledger, given.subject)} is in no enclosure.", "Leave it out."
            )
        )
    box = draft.ledger.row(Content, here).enclosure
    if given["stage"] in ("empty", "prepared"):
        raise ActRefused(
            FieldError(
                "stage", f"cannot be {given['stage']} with an animal inside.", "Expected resting or holding."
            )
        )
    if len(inside(draft.ledger, box)) > 1 and not given.sure:
        raise ConfirmationRequired(
            "stage", f"{code(draft.ledger, box)} holds others too. Is all of it {given['stage']} now?"
        )
    set_stage(draft, box, given["stage"], given["on"])


@act(
    "eclosed",
    "eclosed",
    _STAGE,
    ON,
    on="animal",
    about="It left its pupal skin; it stays in its cell and hardens.",
    stages=("cell",),
)
def eclosed(draft: Draft, given: ActInput) -> None:
    _adult(draft, given, Animal.eclosed)


@act(
    "emerged",
    "emerged",
    _STAGE,
    ON,
    on="animal",
    about="It left its cell by itself.",
    stages=("cell", "resting"),
)
def emerged(draft: Draft, given: ActInput) -> None:
    _adult(draft, given, Animal.emerged)


@act(
    "first-feed",
    "first feed",
    _STAGE,
    ON,
    on="animal",
    about="It ate for the first time as an adult.",
    stages=("resting", "holding"),
)
def first_feed(draft: Draft, given: ActInput) -> None:
    _adult(draft, given, Animal.first_feed)


@act(
    "mature",
    "ready to breed",
    _STAGE,
    ON,
    on="animal",
    about="It is ready to breed.",
    stages=("holding", "resting"),
)
def mature(draft: Draft, given: ActInput) -> None:
    _adult(draft, given, Animal.mature)
