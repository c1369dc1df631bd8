"""Acts of weighing: an animal, or one of a counted group."""

from __future__ import annotations

from rounds.acts import shared_act_sentences, weighing_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.groups import WHICH, groups, instar_still, the_group
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON, living
from rounds.husbandry.life_table import HERE
from rounds.husbandry.stages import INSTARS
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import Animal, Content, Line, Weight
from rounds.records.whereabouts import box_of, inside, species_of
from rounds.values.spans import FIRST, LAST, Span, told

JUMP = 5.0
"""So many times the last weight is asked about: a point typed in the wrong place makes it ten
times, and between weigh-ins some weeks apart only the youngest larvae grow as fast (estimate)."""
FAR_BEYOND = 1.5
"""So many times the heaviest larva of the species file is asked about (estimate)."""
GROWTH = 1.4
"""Head width after a moult to before it (Dyar's rule, from memory); beetles grow by more, so that this asks late."""
SEXES = ("m", "f", "unknown")
DROP = 2 / 3
"""A third lighter than the last is asked about. Larvae lose less than that before the cell (from memory)."""

_GRAMS = Field("grams", "number", "weight, grams", required=True, low=0.01, high=500)
_HEAD = Field("head_mm", "number", "head width, millimetres", low=0.3, high=40)
_INSTAR = Field("instar", "word", "its instar: L1, L2 or L3", words=INSTARS)


@act(
    "weigh",
    "weighed",
    _GRAMS,
    _HEAD,
    _INSTAR,
    ON,
    on="animal",
    about="An animal's weight, and its head width where it was measured.",
    stages=("larvae", "holding", "quarantine"),
)
def weigh(draft: Draft, given: ActInput) -> None:
    ledger, animal, when = draft.ledger, given.subject, given["on"]
    weighed = living(ledger, animal)
    refuse(*_instar_fits(weighed, given))
    # A grown beetle weighs about half of what the larva did, so only its own kind is compared.
    grown = weighed.eclosed or weighed.emerged
    young = grown is None or when.latest < grown.earliest
    past = [
        weight
        for weight in ledger.rows(Weight, Weight.animal.is_(animal))
        if grown is None or (weight.made is not None and (weight.made.latest < grown.earliest) == young)
    ]
    species = ledger.row(Line, weighed.line).species if weighed.line is not None else ""
    instar = given["instar"] or _instar_here(ledger, animal, when)
    beyond = _beyond_the_species(given, species, weighed.sex, instar) if young else []
    ask(given, [*_doubts(animal_name(ledger, animal), past, given, grouped=False), *beyond])
    draft.add(
        Weight(
            animal=animal,
            made=when,
            grams=given["grams"],
            head_mm=given["head_mm"],
            instar=given["instar"] or "",
        )
    )
    box = box_of(ledger, animal)
    if box is not None:
        for there in inside(ledger, box):
            if there.animal == animal and given["instar"]:
                draft.set(Content.instar, there.id, given["instar"])
        follow(draft, given, HERE, box)


@act(
    "weigh-one",
    "one of a group weighed",
    _GRAMS,
    _HEAD,
    _INSTAR,
    *WHICH,
    ON,
    on="enclosure",
    about="The weight of one larva of a counted group here.",
    stages=("larvae",),
)
def weigh_one(draft: Draft, given: ActInput) -> None:
    ledger, box, when = draft.ledger, given.subject, given["on"]
    if not groups(ledger, box):
        alone = [
            animal_name(ledger, content.animal)
            for content in inside(ledger, box)
            if content.animal is not None
        ]
        raise ActRefused.at("enclosure", weighing_sentences.no_group_to_weigh(code(ledger, box), alone))
    group = the_group(ledger, given)
    slips = []
    if group.instar == "eggs":
        slips.append(FieldError.of("enclosure", weighing_sentences.holds_eggs(code(ledger, box))))
    if group.since is not None and when.latest < group.since.earliest:
        slips.append(FieldError.of("on", shared_act_sentences.before_they_came_on(told(group.since))))
    refuse(*slips)
    instar = given["instar"] or instar_still(group, when)
    beyond = _beyond_the_species(given, species_of(ledger, box), "unknown", instar)
    ask(given, [*_doubts(code(ledger, box), _of_group(ledger, group.id), given, grouped=True), *beyond])
    draft.add(
        Weight(
            content=group.id,
            made=when,
            grams=given["grams"],
            head_mm=given["head_mm"],
            instar=given["instar"] or "",
        )
    )
    follow(draft, given, HERE, box)


def _instar_fits(animal: Animal, given: ActInput) -> list[FieldError]:
    grown = animal.eclosed or animal.emerged
    if given["instar"] is None or grown is None or given["on"].earliest < grown.latest:
        return []
    return [FieldError.of("instar", weighing_sentences.is_grown(told(grown)))]


def _of_group(ledger: Ledger, content: int) -> list[Weight]:
    """Weights of the group and of its kind in the same enclosure before it was put together anew."""
    now = ledger.row(Content, content)
    alike = {
        group.id
        for group in ledger.rows(Content, Content.enclosure.is_(now.enclosure), Content.animal.is_(None))
        if group.brood == now.brood and group.line == now.line
    }
    return [weight for weight in ledger.rows(Weight) if weight.content in alike]


def _doubts(who: str, past: list[Weight], given: ActInput, *, grouped: bool) -> list[ActWarning]:
    """What may be a slip, against the last day of weighing before (several of a group: their range)."""
    grams, head = given["grams"], given["head_mm"]
    dated = [(_start(weight.made), weight) for weight in past if weight.made is not None]
    day = max((made for made, _ in dated if made <= _start(given["on"])), default=None)
    if day is None:
        return []
    last = [weight for made, weight in dated if made == day]
    out: list[ActWarning] = []
    weights = [weight.grams for weight in last if weight.grams is not None]
    if weights and grams > JUMP * (most := max(weights)):
        meant = _point(grams / 10, weights)
        out.append(
            ("grams", weighing_sentences.much_heavier(grams, grams / most, most, meant, grouped=grouped))
        )
    if weights and grams < DROP * (least := min(weights)):
        meant = _point(grams * 10, weights)
        loss = 100 * (1 - grams / least)
        out.append(("grams", weighing_sentences.lighter(who, grams, loss, least, meant)))
    heads = [weight.head_mm for weight in last if weight.head_mm is not None]
    # A head does not grow between moults and never shrinks; a fifth is left for measuring and for size.
    if heads and head is not None and (head < 0.8 * min(heads) or head > JUMP * max(heads)):
        out.append(
            ("head_mm", weighing_sentences.another_head(who, head, min(heads), _point(head / 10, heads)))
        )
    instars = [weight.instar for weight in last if weight.instar in INSTARS]
    if given["instar"] and instars and INSTARS.index(given["instar"]) < min(map(INSTARS.index, instars)):
        out.append(("instar", weighing_sentences.had_that_instar(who, instars[0])))
    return out


def _instar_here(ledger: Ledger, animal: int, when: Span) -> str:
    """The instar an animal was recorded with lately where it is; "" when none was."""
    box = box_of(ledger, animal)
    here = () if box is None else inside(ledger, box)
    return next((instar_still(there, when) for there in here if there.animal == animal), "")


def _beyond_the_species(given: ActInput, name: str, sex: str, of_instar: str) -> list[ActWarning]:
    """A larva far heavier, or a head far wider or narrower, than the species file knows: most likely a slip.

    ``of_instar`` is its instar as told or, untold, as recorded. An L1 or L2 is held against what the
    heaviest larva weighed then, if weight goes with the cube of the head's width.
    """
    species = given.settings.species.get(name)
    if species is None:
        return []
    out: list[ActWarning] = []
    peaks = [
        species.range("peak_grams", one) for one in (SEXES if sex not in ("m", "f") else (sex, "unknown"))
    ]
    most = max((peak.high for peak in peaks if peak is not None), default=None)
    if most is not None and given["grams"] > FAR_BEYOND * most:
        out.append(("grams", weighing_sentences.beyond_the_species(given["grams"], name, most)))
    elif most is not None and of_instar in INSTARS:
        moults = len(INSTARS) - 1 - INSTARS.index(of_instar)
        if moults and given["grams"] > FAR_BEYOND * most / GROWTH ** (3 * moults):
            out.append(("grams", weighing_sentences.much_for_instar(given["grams"], of_instar, name, most)))
    head, instar = given["head_mm"], given["instar"]
    wide = species.range("head_mm", instar) if instar else None
    if head is not None and wide is not None and not 0.8 * wide.low <= head <= 1.2 * wide.high:
        out.append(
            ("head_mm", weighing_sentences.head_of_another_instar(head, instar, name, wide.low, wide.high))
        )
    return out


def _point(other: float, last: list[float]) -> float | None:
    """The value with its point moved, where that would fit the last ones."""
    return other if DROP * min(last) <= other <= JUMP * max(last) else None


def _start(span: Span) -> int:
    """For the order of weighings: a span's latest known day."""
    return span.latest if span.latest < LAST else max(span.earliest, FIRST)
