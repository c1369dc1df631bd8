"""Work that follows from stages of an animal's life: what they do by themselves, when nobody has seen it yet.

Eggs hatch, larvae wander, adults come up and become ready to breed. Where a stage has not been
seen to end, its window comes from what is known of it so far (:mod:`rounds.due.windows`).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from rounds.due import work_sentences
from rounds.due.due_index import Because, DueIndex, added, counted, of_animal, preset_range, sourced
from rounds.due.kinds import WorkSource
from rounds.due.stage_lengths import (
    TO_WANDERING,
    UP_FROM_CELL,
    UP_FROM_REST,
    UP_FROM_WANDERING,
    StageOfLife,
)
from rounds.due.windows import StageSeen, work_window
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.column import Column
from rounds.records.tables import Animal, Brood, Content, Enclosure
from rounds.values.spans import LAST, UNKNOWN, Span, told


def hatching(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Eggs hatch from the day they were counted to the longest egg time after it, or as recorded."""
    eggs = preset_range(species, "egg_days")
    groups = [each for each in contents if each.instar == "eggs" or (box.stage == "eggs" and not each.instar)]
    if not groups and box.stage == "eggs":
        yield _from_eggs(box.id, "eggs", box.stage_since, None, eggs)
    for n, group in enumerate(groups, 1):
        brood = index.ledger.row(Brood, group.brood) if group.brood is not None else None
        anchor = f"brood-{brood.name}" if brood is not None else f"eggs-{n}"
        found = brood.found if brood is not None else group.since or box.stage_since
        yield _from_eggs(box.id, anchor, found, brood.hatch if brood is not None else None, eggs)


def _from_eggs(
    id_: int, anchor: str, found: Span | None, recorded: Span | None, eggs: SpeciesRange | None
) -> WorkSource:
    since = UNKNOWN if found is None else found
    window = None
    why = ""
    if eggs is not None and not since.unknown:
        window = Span(since.earliest, since.plus(math.ceil(eggs.high)).latest)
        why = work_sentences.eggs_hatch(told(since), eggs.high, eggs.source)
    if recorded is not None and recorded.latest < LAST:
        both = recorded if window is None else window.meet(recorded)
        if both is not None and both != window:
            window, why = (
                Span(both.earliest, both.latest),
                work_sentences.hatch_by_the_books(told(recorded), why),
            )
    return WorkSource("hatch", id_, None, anchor, since, window, None, why)


LEFT_CELL: tuple[Column[Span | None], ...] = (Animal.emerged, Animal.first_feed, Animal.mature)
"""Any of these recorded of an animal says that it has left its cell."""
AFTER_WANDERING: tuple[Column[Span | None], ...] = (
    Animal.wandering,
    Animal.cell,
    Animal.eclosed,
    *LEFT_CELL,
)
"""Any of these recorded of an animal says that nobody need wait for it to wander."""


def wandering(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Larvae wander so many days after they hatched; where nobody knows when they did, nothing is due."""
    days, by_house = _or_own_records(
        index, species, TO_WANDERING, species.larva_days() if species is not None else None
    )
    for content in contents:
        later = any(of_animal(index, content, step) is not None for step in AFTER_WANDERING)
        if content.instar == "eggs" or later:
            continue
        brood_id = content.brood if content.brood is not None else of_animal(index, content, Animal.brood)
        brood = index.ledger.row(Brood, brood_id) if brood_id is not None else None
        hatched = of_animal(index, content, Animal.born) or (brood.hatch if brood is not None else None)
        if content.animal is not None:
            anchor = index.animal(content.animal)
        elif brood is not None:
            anchor = f"brood-{brood.name}"
        else:
            continue  # nobody knows when these hatched
        seen = _seen(index, species, TO_WANDERING, content, brood_id, hatched, by_house=by_house)
        found = work_window(hatched, days, seen)
        if found is not None and found.no_digging_from is not None:
            before = index.no_digging.get(box.id, LAST)
            index.no_digging[box.id] = min(before, found.no_digging_from)
        yield sourced(
            "wandering",
            box.id,
            anchor,
            hatched,
            days,
            work_sentences.will_wander,
            found,
            animal=content.animal,
            brood=brood_id,
        )


def _or_own_records(
    index: DueIndex, species: Species | None, stage: StageOfLife, days: SpeciesRange | None
) -> tuple[SpeciesRange | None, bool]:
    """The species file's range, or what the house's own finished stages tell; and whether it is the house's."""
    if days is not None or species is None:
        return days, False
    own = index.lengths.own_range(stage, species.name)
    return own, own is not None


def _seen(
    index: DueIndex,
    species: Species | None,
    stage: StageOfLife,
    content: Content | None,
    brood: int | None,
    since: Span | None,
    *,
    open_end: bool = False,
    by_house: bool = False,
) -> StageSeen | None:
    """What is known of a stage that one of these has not been seen to end.

    ``by_house``: the range is made of the house's other broods, so that they do not count once more.
    """
    if species is None or since is None:
        return None
    evidence = index.lengths.evidence(stage, species.name, brood, since)
    if by_house:
        evidence = evidence._replace(other_broods=())
    alone = content is None or content.animal is not None
    sex = (of_animal(index, content, Animal.sex) or "") if content is not None else ""
    heads = 1 if alone or content is None else max(content.total, 1)
    made_for = 0 if by_house else species.durations_at or 0
    return StageSeen(index.today, evidence, sex, heads, open_end, made_for)


_UP: Mapping[str, tuple[StageOfLife, tuple[str, ...], Because]] = {
    "wandering": (UP_FROM_WANDERING, ("wandering_days", "cell_days"), work_sentences.up_after_wandering),
    "cell": (UP_FROM_CELL, ("cell_days",), work_sentences.up_after_cell),
    "resting": (UP_FROM_REST, ("rest_days",), work_sentences.up_after_rest),
}
"""By stage of the enclosure: the stage of life, the values of the species file that add up, the sentence."""


def emergence(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Cell and rest count from the animal's own dates where it is alone, else from the stage's.

    Those that have left their cells are not waited for. A species file without a time for the cell
    may have one for the pupa and the rest in it: the cell lasts as long as both and longer.
    """
    waiting = [each for each in contents if all(of_animal(index, each, step) is None for step in LEFT_CELL)]
    if contents and not waiting:
        return
    alone = waiting[0] if len(waiting) == 1 else None
    stage, parts, because = _UP[box.stage]
    own = of_animal(index, alone, stage.begin[0]) if alone is not None else None
    days, unknown = _stage_days(species, parts)
    of_house, by_house = _or_own_records(index, species, stage, None if unknown else days)
    if by_house:
        days, unknown = of_house, []  # the house saw the stage as a whole
    animal = alone.animal if alone is not None else None
    broods = sorted({each.brood for each in waiting if each.brood is not None})
    if animal is not None:
        anchor = index.animal(animal)
        brood = index.ledger.row(Animal, animal).brood
    else:
        anchor = "+".join(sorted(index.ledger.row(Brood, one).name for one in broods)) or "all"
        brood = broods[0] if len(broods) == 1 else None
    since = own or box.stage_since
    seen = _seen(index, species, stage, alone, brood, since, open_end=bool(unknown), by_house=by_house)
    found = work_window(since, days, seen)
    if found is not None and unknown:
        found = found._replace(reason=work_sentences.rest_not_known(" and ".join(unknown)))
    yield sourced("emergence", box.id, anchor, since, days, because, found, animal=animal, brood=brood)


def _stage_days(species: Species | None, parts: tuple[str, ...]) -> tuple[SpeciesRange | None, list[str]]:
    """The values added up, and what of the stage has none and makes it longer."""
    if species is None:
        return None, []
    known: list[SpeciesRange] = []
    unknown: list[str] = []
    for part in parts:
        found = species.range(part)
        if found is not None:
            known.append(found)
        elif part == "cell_days":
            # The cell holds the pre-pupa, the pupa and the rest; no file has a value for the first alone.
            inside = [(name, species.range(name)) for name in ("pupa_days", "rest_days")]
            known += [one for _, one in inside if one is not None]
            unknown += ["the time before the pupa", *(_PART[name] for name, one in inside if one is None)]
            if inside[0][1] is None:
                return None, []
        else:
            unknown.append(_PART[part])
    return added(known), unknown


_PART = {
    "wandering_days": "wandering",
    "pupa_days": "the pupa",
    "rest_days": "the rest in the cell",
}


def maturing(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """An adult is ready to breed so many days after its first feed."""
    days = preset_range(species, "mature_days")
    for content in contents:
        if content.animal is None:
            continue
        animal = index.ledger.row(Animal, content.animal)
        if animal.first_feed is not None and animal.mature is None:
            yield counted(
                "mature",
                box.id,
                index.animal(animal.id),
                animal.first_feed,
                days,
                work_sentences.ready_to_breed,
                animal=animal.id,
            )
