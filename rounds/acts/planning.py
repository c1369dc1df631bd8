"""Acts of what is meant and not yet done: planned pairings, promises, and where a line is from.

A plan moves nobody. It becomes a pairing when it is carried out at the rack, by an act of
its own or by ``pair``.
"""

from __future__ import annotations

from rounds.acts import pairing_sentences, planning_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, changed, refuse
from rounds.acts.due_acts import CONFIRM
from rounds.acts.fields import Field, FieldError
from rounds.acts.moving_and_locks import NOTE, ON, living
from rounds.acts.pairing_acts import together
from rounds.acts.pairing_checks import alive, name_taken, related, unsexed
from rounds.due import planned_pairings
from rounds.due.planned_pairings import OPEN_TO
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code, fresh_name
from rounds.records.tables import PATERNITY, PURPOSES, Animal, Enclosure, Line, Pairing, PlannedPairing
from rounds.text.cleaning import day_and_year
from rounds.values.spans import Span, told

MADE, DROP = "plan-made", "plan-drop"
_GROWN = ("holding", "resting")
KEPT_APART = (Line.species, Line.subspecies, Line.locality)
"""What lines are never crossed over without a word."""


@act(
    "plan-pair",
    "pairing planned",
    Field("with", "ref", "the other animal (LINE/NUMBER)", required=True, of="animal"),
    Field("purpose", "word", "cross, sibs (on purpose) or unplanned", words=PURPOSES, default="cross"),
    Field("box", "ref", "the box it is meant for (where the female is then unless given)", of="enclosure"),
    Field("from", "day", "first day on which to make it (today unless given)", default="today"),
    Field("until", "day", "last day on which to make it, if there is one"),
    Field("because", "text", "why these two"),
    Field("name", "text", "what the plan is called (PLAN-01 and so on unless given)", label=True),
    on="animal",
    about="A pairing is chosen; nobody moves until it is made at the rack.",
    stages=("holding", "pairing", "laying", "colony", "resting"),
)
def plan_pair(draft: Draft, given: ActInput) -> None:
    ledger, one, other = draft.ledger, given.subject, given["with"]
    refuse(
        *alive(ledger, one, "animal"),
        *alive(ledger, other, "with"),
        *name_taken(ledger, PlannedPairing, given["name"]),
    )
    female, male = _which(ledger, one, other)
    slips = [*_open_already(ledger, female), *_window(given)]
    stage = str(ledger.row(Enclosure, given["box"]).stage) if given["box"] is not None else ""
    if stage and stage not in OPEN_TO:
        slips.append(
            FieldError.of(
                "box", pairing_sentences.stage_does_not_fit(code(ledger, given["box"]), stage, OPEN_TO)
            )
        )
    refuse(*slips)
    ask(
        given,
        [
            *unsexed(ledger, female, "animal"),
            *unsexed(ledger, male, "with"),
            *(d for a in (female, male) for d in _not_free(ledger, a)),
            *_apart(ledger, female, male),
            *related(ledger, female, [male], given["purpose"], "with"),
        ],
    )
    draft.add(
        PlannedPairing(
            name=given["name"] or fresh_name(ledger, PlannedPairing.name, "PLAN"),
            female=female,
            male=male,
            purpose=given["purpose"],
            enclosure=given["box"],
            chosen=given.today,
            earliest=given["from"],
            latest=given["until"],
            why=given["because"] or "",
        )
    )


def _which(ledger: Ledger, one: int, other: int) -> tuple[int, int]:
    """Female and male of two animals; one whose sex is known says the other's."""
    if one == other:
        raise ActRefused.at("with", planning_sentences.same_animal())
    a, b = (str(ledger.row(Animal, x).sex) for x in (one, other))
    if a == b:
        refusal = {
            "m": planning_sentences.both_males,
            "f": planning_sentences.both_females,
            "unknown": planning_sentences.neither_sexed,
        }[a]
        raise ActRefused.at("with", refusal(animal_name(ledger, one), animal_name(ledger, other)))
    return (one, other) if a == "f" or b == "m" else (other, one)


def _open_already(ledger: Ledger, female: int) -> list[FieldError]:
    return [
        FieldError.of(
            "with",
            planning_sentences.has_an_open_plan(
                animal_name(ledger, female), planned_pairings.both(ledger, r), r.name, DROP
            ),
        )
        for r in planned_pairings.open_plans(ledger, PlannedPairing.female.is_(female))
    ]


def _window(given: ActInput) -> list[FieldError]:
    first, last = given["from"], given["until"]
    slips = [
        FieldError.of(f, planning_sentences.day_over(day_and_year(d)))
        for f, d in (("from", first), ("until", last))
        if d is not None and d < given.today
    ]
    if last is not None and first is not None and last < first and not slips:
        slips.append(
            FieldError.of(
                "until", planning_sentences.ends_before_it_begins(day_and_year(last), day_and_year(first))
            )
        )
    return slips


def _not_free(ledger: Ledger, animal: int) -> list[ActWarning]:
    known, name = ledger.row(Animal, animal), animal_name(ledger, animal)
    out: list[ActWarning] = []
    if known.promised:
        out.append(("with", planning_sentences.promised_to(name, known.promised)))
    if known.state == "missing":
        out.append(("with", planning_sentences.missing(name)))
    return out


def _apart(ledger: Ledger, female: int, male: int) -> list[ActWarning]:
    """Another species, subspecies or place of origin is asked about; so is one that is not known."""
    f, m = (ledger.row(Line, ledger.row(Animal, a).line) for a in (female, male))
    if f.name == m.name:
        return []
    out: list[ActWarning] = []
    for column in KEPT_APART:
        a, b, said = f.value(column), m.value(column), column.name
        if a == b:
            continue
        if a and b:
            out.append(("with", planning_sentences.kept_apart(said, f.name, a, m.name, b)))
        else:
            out.append(("with", planning_sentences.not_recorded(said, m.name if a else f.name, a or b)))
    return out


@act(
    MADE,
    "planned pairing made",
    Field(
        "in",
        "ref",
        "the box they are in (the planned one, else the female's, unless given)",
        of="enclosure",
    ),
    Field(
        "paternity", "word", "certain, likely or open (follows from the book unless given)", words=PATERNITY
    ),
    ON,
    Field("name", "text", "what the pairing is called (P-01 and so on unless given)", label=True),
    NOTE,
    on="plan",
    about="The two animals of a plan were put together, as it was planned.",
    stages=OPEN_TO,
)
def plan_made(draft: Draft, given: ActInput) -> None:
    ledger, planned = draft.ledger, _open(draft.ledger, given.subject)
    where = planned_pairings.homes(ledger)
    box = given["in"] if given["in"] is not None else planned_pairings.meant_for(planned, where)
    if box is None:
        raise ActRefused.at("in", planning_sentences.she_is_in_no_enclosure())
    values = {
        "female": planned.female,
        "males": [planned.male],
        "purpose": planned.purpose,
        "note": given["note"],
        "paternity": given["paternity"],
        "on": given["on"],
        "name": given["name"],
    }
    as_pair = ActInput(
        box, values, given.today, given.keeper, sure=given.sure, settings=given.settings, act=given.act
    )
    together(draft, as_pair, planned.female, [planned.male], _early(ledger, planned, given, where))


def _early(
    ledger: Ledger, planned: PlannedPairing, given: ActInput, where: dict[int, int]
) -> list[ActWarning]:
    """What keeps the plan from being offered is asked about: it was done all the same."""
    when: Span = given["on"]
    out: list[ActWarning] = []
    if planned.earliest is not None and when.latest < planned.earliest:
        out.append(("on", planning_sentences.planned_for_later(planned.name, day_and_year(planned.earliest))))
    another = given.settings.plans_again(ledger, [planned])
    hindrances = planned_pairings.Hindrances(ledger, where, another)  # of locks the pairing itself asks
    if held := hindrances.but_for_locks(planned, min(when.latest, given.today)):
        out.append(("plan", planning_sentences.hindered(held)))
    return out


@act(
    DROP,
    "plan given up",
    Field("because", "text", "why", required=True),
    on="plan",
    about="A planned pairing is not going to be made.",
    stages=(*OPEN_TO, "resting", "quarantine"),
)
def plan_drop(draft: Draft, given: ActInput) -> None:
    _open(draft.ledger, given.subject)
    planned_pairings.plan_dropped(draft, given.subject, given.today, given["because"])


@act(
    CONFIRM,
    "plan confirmed",
    Field("because", "text", "why it is meant all the same"),
    on="plan",
    about="A planned pairing is meant all the same, although more is known of the two since it was chosen.",
    stages=(*OPEN_TO, "resting", "quarantine"),
)
def plan_confirm(draft: Draft, given: ActInput) -> None:
    ledger, planned = draft.ledger, _open(draft.ledger, given.subject)
    another = given.settings.plans_again(ledger, [planned])
    hindrances = planned_pairings.Hindrances(ledger, another=another)
    found = hindrances.unconfirmed(planned)
    if not found:
        raise ActRefused.at("plan", planning_sentences.nothing_to_confirm(planned.name))
    why = hindrances.confirmed_why(planned, given["because"] or "")
    draft.set(PlannedPairing.why, given.subject, why)
    ask(given, [("plan", planning_sentences.more_is_known(reason)) for reason in found])


def _open(ledger: Ledger, plan: int) -> PlannedPairing:
    """The plan, which must be open."""
    planned = ledger.row(PlannedPairing, plan)
    if planned.pairing is not None:
        pairing = ledger.row(Pairing, planned.pairing)
        since = told(pairing.since) if pairing.since is not None else ""
        raise ActRefused.at("plan", planning_sentences.was_made(planned.name, pairing.name, since))
    if planned.dropped is not None:
        raise ActRefused.at(
            "plan",
            planning_sentences.given_up(planned.name, day_and_year(planned.dropped), planned.dropped_why),
        )
    return planned


@act(
    "promised",
    "promised",
    Field("to", "text", "to whom, or for what it is kept", required=True),
    on="animal",
    about="It is promised or kept for something, and is not offered for pairing.",
    stages=_GROWN,
)
def promised(draft: Draft, given: ActInput) -> None:
    living(draft.ledger, given.subject)
    draft.set(Animal.promised, given.subject, given["to"])
    changed(draft, "to", animal_name(draft.ledger, given.subject))


@act(
    "promise-over",
    "promised no more",
    on="animal",
    about="It is not promised or kept for anything any more.",
)
def promise_over(draft: Draft, given: ActInput) -> None:
    if not draft.ledger.row(Animal, given.subject).promised:
        raise ActRefused.at(
            "animal", planning_sentences.not_promised(animal_name(draft.ledger, given.subject))
        )
    draft.set(Animal.promised, given.subject, "")


@act(
    "line-from",
    "origin of a line recorded",
    Field("locality", "text", "the place in the wild it comes from, as it is on record", label=True),
    Field("subspecies", "text", "its subspecies", label=True),
    on="line",
    about="Where in the wild a line comes from, or its subspecies; lines of another are not crossed unasked.",
)
def line_from(draft: Draft, given: ActInput) -> None:
    if not given["locality"] and not given["subspecies"]:
        raise ActRefused.at("locality", planning_sentences.neither_place_nor_subspecies())
    for column in (Line.locality, Line.subspecies):
        if given[column.name]:
            draft.set(column, given.subject, given[column.name])
    changed(draft, "locality", str(draft.ledger.row(Line, given.subject).name))
