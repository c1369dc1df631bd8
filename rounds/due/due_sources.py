"""What work follows from: the books and the species files, read once for all enclosures.

Every span of the books goes in as it is and comes out wider by the range of the species;
nothing is ever made narrower than what it follows from. Rules of thumb for the care of
enclosures are in the species files, each with its source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from rounds.due import work_sentences
from rounds.due.due_index import Because, DueIndex, added, counted, of_animal, preset_range, sourced
from rounds.due.kinds import WorkSource, kind_of
from rounds.due.lasting_states import loans_back, lock_ends, pairing_periods
from rounds.due.planned_work import planned_pairings
from rounds.due.stage_lengths import (
    TO_WANDERING,
    UP_FROM_CELL,
    UP_FROM_REST,
    UP_FROM_WANDERING,
    StageOfLife,
)
from rounds.due.windows import StageSeen, work_window
from rounds.husbandry.life_table import LIFE_OF_STAGES, needs_somebody
from rounds.husbandry.species import Species, SpeciesRange
from rounds.husbandry.stages import VACANT
from rounds.records.column import Column
from rounds.records.tables import Animal, Brood, Content, Enclosure, Lot
from rounds.values.spans import LAST, UNKNOWN, Span, text


def facts(index: DueIndex, since: int) -> Iterator[WorkSource]:
    """Every fact of the books that work follows from, enclosure by enclosure.

    Pairings that ended before the day ``since`` are left out: years of them are in the books.
    """
    for box in index.ledger.rows(Enclosure):
        contents = index.contents.get(box.id, [])
        species = index.species(box, contents)
        kinds = LIFE_OF_STAGES[box.stage].work
        if box.id in index.vacated:
            kinds = tuple(kind for kind in kinds if kind not in needs_somebody())
        for source in dict.fromkeys(_OF_KIND[kind] for kind in kinds):
            yield from source(index, box, contents, species)
        yield from _leftovers(index, box, species)
        yield from _mature(index, box, contents, species)
    yield from pairing_periods(index, since)
    yield from planned_pairings(index)
    yield from loans_back(index)
    yield from lock_ends(index)


Source = Callable[[DueIndex, Enclosure, Sequence[Content], Species | None], Iterator[WorkSource]]


def _searches(
    index: DueIndex, box: Enclosure, _: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """The first search of this laying, then each next one; a search answers the one before it."""
    since = box.stage_since
    made = [search.made for search in index.searches.get(box.id, []) if search.made is not None]
    mine = [m for m in made if since is None or m.latest >= since.earliest]
    mine.sort(key=lambda m: (m.latest, m.earliest))
    before = len(made) - len(mine)
    first, again = preset_range(species, "first_search_days"), preset_range(species, "next_search_days")
    done = mine[0].latest if mine else None
    yield counted(
        "first-search", box.id, f"search-{before + 1}", since, first, work_sentences.first_search, done
    )
    for n, searched in enumerate(mine):
        done = mine[n + 1].latest if n + 1 < len(mine) else None
        anchor = f"search-{before + n + 2}"
        yield counted("next-search", box.id, anchor, searched, again, work_sentences.next_search, done)


def _repeated(
    kind: str,
    preset: str,
    again: Because,
    begun: Callable[[str, str, str, str], str],
    index: DueIndex,
    box: Enclosure,
    species: Species | None,
    events: list[Span],
) -> Iterator[WorkSource]:
    """Work that comes again so many days after it was last done, or after the stage began."""
    closed = [
        Span(due.done, due.done)
        for due in index.dues.get(box.id, [])
        if due.done is not None and kind_of(due.what) == kind
    ]
    every = sorted(
        {Span(e.earliest, e.latest) for e in (*events, *closed)}, key=lambda e: (e.latest, e.earliest)
    )
    stage_since = box.stage_since
    mine = [e for e in every if stage_since is None or e.latest >= stage_since.earliest]
    days = preset_range(species, preset)
    last = mine[-1] if mine else None
    if last is not None:
        earlier = mine[-2] if len(mine) > 1 else stage_since
        yield counted(kind, box.id, f"{kind}-{len(every)}", earlier, days, again, last.latest)
    because = again if last is not None else partial(begun, box.stage)
    yield counted(kind, box.id, f"{kind}-{len(every) + 1}", last or stage_since, days, because)


def _bedding(index: DueIndex, box: Enclosure) -> list[Span]:
    return [use.given for use in index.bedding.get(box.id, []) if use.given is not None]


def _rebed(
    index: DueIndex, box: Enclosure, _: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    yield from _repeated(
        "re-bed",
        "rebed_days",
        work_sentences.bed_again,
        work_sentences.bed_first,
        index,
        box,
        species,
        _bedding(index, box),
    )


def _substrate(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    if contents:
        events = _bedding(index, box)
        yield from _repeated(
            "substrate",
            "substrate_days",
            work_sentences.change_again,
            work_sentences.change_first,
            index,
            box,
            species,
            events,
        )


def _weighing(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Only L3 are weighed, and only where somebody weighs: the first weigh-in asks for the next."""
    events = index.weights.get(box.id, [])
    if events and any(content.instar == "L3" for content in contents):
        yield from _repeated(
            "weigh-in",
            "weighing_days",
            work_sentences.weigh_again,
            work_sentences.weigh_first,
            index,
            box,
            species,
            events,
        )


def _quarantine(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """The last day that any arrival in it was given; without one, the species' usual time."""
    lots = {
        lot for each in contents for lot in (each.lot, of_animal(index, each, Animal.lot)) if lot is not None
    }
    ends = [
        (lot.quarantine_until, lot.name)
        for lot in (index.ledger.row(Lot, id_) for id_ in lots)
        if lot.quarantine_until
    ]
    since = box.stage_since
    if ends:
        day, name = max(ends)
        yield WorkSource(
            "quarantine-end",
            box.id,
            None,
            "quarantine",
            since or UNKNOWN,
            Span(day, day),
            day,
            work_sentences.arrival_in_quarantine(name),
        )
    else:
        days = preset_range(species, "quarantine_days")
        yield counted("quarantine-end", box.id, "quarantine", since, days, work_sentences.quarantine_over)


def _hatch(
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
        why = work_sentences.eggs_hatch(text(since), eggs.high, eggs.source)
    if recorded is not None and recorded.latest < LAST:
        both = recorded if window is None else window.meet(recorded)
        if both is not None and both != window:
            window, why = (
                Span(both.earliest, both.latest),
                work_sentences.hatch_by_the_books(text(recorded), why),
            )
    return WorkSource("hatch", id_, None, anchor, since, window, None, why)


AFTER_WANDERING: tuple[Column[Span | None], ...] = (
    Animal.wandering,
    Animal.cell,
    Animal.eclosed,
    Animal.emerged,
    Animal.first_feed,
    Animal.mature,
)
"""Any of these recorded of an animal says that nobody need wait for it to wander."""


def _wandering(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
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


_UP: Mapping[str, tuple[Column[Span | None], StageOfLife, tuple[str, ...], Because]] = {
    "wandering": (
        Animal.wandering,
        UP_FROM_WANDERING,
        ("wandering_days", "cell_days"),
        work_sentences.up_after_wandering,
    ),
    "cell": (Animal.cell, UP_FROM_CELL, ("cell_days",), work_sentences.up_after_cell),
    "resting": (Animal.eclosed, UP_FROM_REST, ("rest_days",), work_sentences.up_after_rest),
}
"""By stage: the day it counts from, the stage of life, the values of the species file that add up, the sentence."""
OUT: tuple[Column[Span | None], ...] = (Animal.emerged, Animal.first_feed, Animal.mature)
"""Any of these recorded of an animal says that it has left its cell."""


def _emergence(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Cell and rest count from the animal's own dates where it is alone, else from the stage's.

    Those that have left their cells are not waited for. A species file without a time for the cell
    may have one for the pupa and the rest in it: the cell lasts as long as both and longer.
    """
    waiting = [each for each in contents if all(of_animal(index, each, step) is None for step in OUT)]
    if contents and not waiting:
        return
    contents = waiting
    alone = contents[0] if len(contents) == 1 else None
    column, stage, parts, because = _UP[box.stage]
    own = of_animal(index, alone, column) if alone is not None else None
    days, unknown = _stage_days(species, parts)
    of_house, by_house = _or_own_records(index, species, stage, None if unknown else days)
    if by_house:
        days, unknown = of_house, []  # the house saw the stage as a whole
    animal = alone.animal if alone is not None else None
    broods = sorted({each.brood for each in contents if each.brood is not None})
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


def _prepared(
    _: DueIndex, box: Enclosure, __: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Watched from the first day on: fresh substrate may heat up or turn sour before anything lives in it."""
    since, days = box.stage_since, preset_range(species, "prepared_days")
    found = work_window(since, days)
    if since is not None and found is not None and days is not None:
        window = Span(since.earliest, found.window.latest)
        why = work_sentences.souring_shows(text(since), str(days), days.source)
        yield WorkSource("prepared", box.id, None, f"prepared-{text(since)}", since, window, None, why)


_OF_KIND: Mapping[str, Source] = {
    "quarantine-end": _quarantine,
    "first-search": _searches,
    "next-search": _searches,
    "re-bed": _rebed,
    "hatch": _hatch,
    "substrate": _substrate,
    "weigh-in": _weighing,
    "wandering": _wandering,
    "emergence": _emergence,
    "prepared": _prepared,
}
"""What finds each kind of work that belongs to a stage; the stages are those of the table of life."""


def _leftovers(index: DueIndex, box: Enclosure, species: Species | None) -> Iterator[WorkSource]:
    days = preset_range(species, "leftovers_days")
    for n, protein in enumerate(index.protein.get(box.id, []), 1):
        given, out = protein.given or UNKNOWN, protein.taken_out
        done = out.latest if out is not None else None
        if done is None and box.stage in VACANT:
            continue
        if protein.out_by is not None:
            window, likely = Span(protein.out_by, protein.out_by), protein.out_by
            why = work_sentences.protein_out_by(protein.what, text(given))
            yield WorkSource("leftovers", box.id, None, f"protein-{n}", given, window, likely, why, done)
        else:
            yield counted(
                "leftovers", box.id, f"protein-{n}", given, days, work_sentences.leftovers_out, done
            )


def _mature(
    index: DueIndex, box: Enclosure, contents: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
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
