"""Acts of the way from larva to breeding adult: wandering, cell, and four dates of the adult.

Each date is only what was recorded; none is made from another. They are checked against
each other as spans: what was certainly before an earlier step is refused.
"""

from __future__ import annotations

from rounds.acts import growing_sentences, identity_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, ConfirmationRequired, act
from rounds.acts.act_checks import may, sexes_stay_right
from rounds.acts.fields import Counts, Field, FieldError
from rounds.acts.groups import (
    WHICH,
    counted,
    groups,
    instar_still,
    name,
    put_some,
    some_of,
    take_out,
    the_group,
)
from rounds.acts.life import follow, set_stage
from rounds.acts.moving_and_locks import ON, living, put
from rounds.husbandry.life_table import ANIMAL, HERE
from rounds.husbandry.stages import VACANT
from rounds.records.column import Column
from rounds.records.ledger import Draft
from rounds.records.naming import animal_name, code
from rounds.records.tables import SEXES, Animal, Content, Enclosure
from rounds.records.whereabouts import inside
from rounds.values.spans import Span, told

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

_WHO = Field("animal", "ref", "which animal, when several live there", of="animal")
_COUNT = Field("count", "counts", "how many of a counted group (all unless given)")
_INTO = Field("into", "ref", "the box it was moved into, empty or prepared", of="enclosure")


def stepped(draft: Draft, animal: int, step: Column[Span | None], when: Span, given: ActInput) -> None:
    """Record one step of an animal's life. Refused out of order, asked about when it was recorded before."""
    one = draft.ledger.row(Animal, animal)
    who = animal_name(draft.ledger, animal)
    known, wrong, order = one.value(step), [], list(STEPS)
    for other, said in STEPS.items():
        day = one.value(other)
        if day is None or other is step:
            continue
        if order.index(other) < order.index(step) and when.latest < day.earliest:
            wrong.append(FieldError.of("on", growing_sentences.step_before(STEPS[step], said, told(day))))
        if order.index(other) > order.index(step) and when.earliest > day.latest:
            wrong.append(FieldError.of("on", growing_sentences.step_after(STEPS[step], said, told(day))))
    if wrong:
        raise ActRefused(*wrong)
    if known == when:
        raise ActRefused.at("on", growing_sentences.day_known_already(who))
    if known is not None and not given.sure:
        raise ConfirmationRequired(
            "on", growing_sentences.another_day_known(who, told(known), STEPS[step], told(when))
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
                raise ActRefused.at("animal", growing_sentences.has_a_number())
            if named not in here:
                raise ActRefused.at(
                    "animal",
                    growing_sentences.animal_not_there(animal_name(ledger, named), code(ledger, box)),
                )
            self.animal = named
        elif picks or not here:
            self.group = the_group(ledger, given)
        elif len(here) == 1 and not groups(ledger, box):
            self.animal = here[0]
        else:
            names = [animal_name(ledger, a) for a in here]
            raise ActRefused.at("animal", growing_sentences.which_animal(code(ledger, box), names))
        if self.group is None:
            self.all = len(inside(ledger, box)) == 1
            return
        was = counted(self.group)
        self.count: Counts = given["count"] or was
        if given["count"] is not None:
            some_of(was, self.count)
        if self.group.instar == "eggs":
            raise ActRefused.at("age", growing_sentences.eggs_do_not_wander())
        young = instar_still(self.group, given["on"])
        if young in ("L1", "L2") and not given.sure:
            raise ConfirmationRequired("age", growing_sentences.too_young_to_wander(young))
        self.all = self.count == was and len(inside(ledger, box)) == 1


def _placed(draft: Draft, given: ActInput, meant: _Meant) -> int:
    """Move whom it concerns into the enclosure named; which one they are in now."""
    box, when = given.subject, given["on"]
    into: int | None = given["into"]
    if into is None:
        return box
    if into == box:
        raise ActRefused.at("into", growing_sentences.where_it_was())
    now = draft.ledger.row(Enclosure, into).stage
    if now not in VACANT or inside(draft.ledger, into):
        raise ActRefused.at("into", growing_sentences.not_free(code(draft.ledger, into)))
    may(draft, box, "move", given)
    if meant.animal is not None:
        put(draft, meant.animal, into, when)
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
        raise ActRefused.at("until", growing_sentences.until_without_a_lock())
    if given["until"] is not None and given["until"].latest < given.today:
        raise ActRefused.at("until", shared_act_sentences.over_already())
    if meant.animal is not None:
        living(draft.ledger, meant.animal)
        stepped(draft, meant.animal, Animal.wandering, given["on"], given)
    box = _placed(draft, given, meant)
    if given["then"] == "stage" and box == given.subject:
        _whole(draft, given, meant, "wandering")
    if given["then"] == "stage" or box != given.subject:
        follow(draft, given, HERE, box)
    if given["then"] == "lock":
        follow(draft, given, HERE, box, meant.animal, as_="wandering: lock", until=given["until"])
    if not draft.changes:
        raise ActRefused.at("then", growing_sentences.nothing_for_a_group())


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
            "then",
            growing_sentences.whole_enclosure_into_stage(code(draft.ledger, given.subject), there, stage),
        )


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
    about="It has built its cell; from now on the box is not touched.",
    stages=("larvae", "wandering"),
)
def cell(draft: Draft, given: ActInput) -> None:
    meant = _Meant(draft, given)
    if given["until"] is not None and given["until"].latest < given.today:
        raise ActRefused.at("until", shared_act_sentences.over_already())
    if meant.animal is not None:
        living(draft.ledger, meant.animal)
        stepped(draft, meant.animal, Animal.cell, given["on"], given)
    box = _placed(draft, given, meant)
    if box == given.subject:
        _whole(draft, given, meant, "cell")
    follow(draft, given, HERE, box)
    if given["until"] is not None:
        follow(draft, given, HERE, box, meant.animal, as_="cell: until", until=given["until"])
    if not draft.changes:
        raise ActRefused.at("enclosure", growing_sentences.in_stage_cell_already(code(draft.ledger, box)))


_STAGE = Field("stage", "stage", "the stage its box is in from now on (follows from the act unless given)")


def _adult(draft: Draft, given: ActInput, step: Column[Span | None]) -> None:
    """One of the four dates of an adult, and what follows for it and its enclosure.

    The stage follows from the table unless the keeper says another.
    """
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
    if here is not None:
        draft.set(Content.instar, here, "")
    follow(draft, given, ANIMAL, animal=given.subject)
    if given["stage"] is None:
        if here is not None:
            follow(draft, given, HERE, draft.ledger.row(Content, here).enclosure)
        return
    if here is None:
        raise ActRefused.at(
            "stage", growing_sentences.in_no_enclosure(animal_name(draft.ledger, given.subject))
        )
    box = draft.ledger.row(Content, here).enclosure
    if given["stage"] in VACANT:
        raise ActRefused.at("stage", growing_sentences.no_stage_for_an_animal(given["stage"]))
    if len(inside(draft.ledger, box)) > 1 and not given.sure:
        raise ConfirmationRequired(
            "stage", growing_sentences.others_in_that_stage_too(code(draft.ledger, box), given["stage"])
        )
    set_stage(draft, given, box, given["stage"])


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
    Field("sex", "word", "its sex, as an adult shows it: m, f or unknown", words=SEXES),
    _STAGE,
    ON,
    on="animal",
    about="It left its cell by itself.",
    stages=("cell", "resting"),
)
def emerged(draft: Draft, given: ActInput) -> None:
    if given["sex"] not in (None, "unknown"):
        _sexed_as_adult(draft, given)
    _adult(draft, given, Animal.emerged)


def _sexed_as_adult(draft: Draft, given: ActInput) -> None:
    """A grown beetle shows its sex for certain."""
    before, sex = draft.ledger, given["sex"]
    known = before.row(Animal, given.subject)
    if known.sex not in ("unknown", sex) and not given.sure:
        who = animal_name(before, given.subject)
        raise ConfirmationRequired("sex", identity_sentences.another_sex_known(who, known.sex, sex))
    draft.set(Animal.sex, given.subject, sex)
    draft.set(Animal.sexed_how, given.subject, "adult")
    draft.set(Animal.sexed_sure, given.subject, "certain")
    sexes_stay_right(before, draft)


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
