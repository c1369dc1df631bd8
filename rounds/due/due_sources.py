"""What work follows from: the books and the species files, read once for all enclosures.

Every span of the books goes in as it is and comes out wider by the range of the species;
nothing is ever made narrower than what it follows from. Rules of thumb for the care of
enclosures are in the species files, each with its source.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from rounds.due import work_sentences
from rounds.due.awaited_stages import emergence, hatching, maturing, wandering
from rounds.due.due_index import Because, DueIndex, counted, of_animal, preset_range
from rounds.due.kinds import WorkSource, kind_of
from rounds.due.lasting_states import doubted_labels, loans_back, lock_ends, pairing_periods
from rounds.due.planned_work import planned_pairings
from rounds.due.windows import work_window
from rounds.husbandry.life_table import LIFE_OF_STAGES, needs_somebody
from rounds.husbandry.species import Species
from rounds.husbandry.stages import VACANT
from rounds.records.tables import Animal, Content, Enclosure, Lot
from rounds.values.spans import UNKNOWN, Span, text, told


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
        yield from maturing(index, box, contents, species)
    yield from pairing_periods(index, since)
    yield from planned_pairings(index)
    yield from loans_back(index)
    yield from lock_ends(index)
    yield from doubted_labels(index)


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


def _prepared(
    _: DueIndex, box: Enclosure, __: Sequence[Content], species: Species | None
) -> Iterator[WorkSource]:
    """Watched from the first day on: fresh substrate may heat up or turn sour before anything lives in it."""
    since, days = box.stage_since, preset_range(species, "prepared_days")
    found = work_window(since, days)
    if since is not None and found is not None and days is not None:
        window = Span(since.earliest, found.window.latest)
        why = work_sentences.souring_shows(told(since), str(days), days.source)
        yield WorkSource("prepared", box.id, None, f"prepared-{text(since)}", since, window, None, why)


_OF_KIND: Mapping[str, Source] = {
    "quarantine-end": _quarantine,
    "first-search": _searches,
    "next-search": _searches,
    "re-bed": _rebed,
    "hatch": hatching,
    "substrate": _substrate,
    "weigh-in": _weighing,
    "wandering": wandering,
    "emergence": emergence,
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
            why = work_sentences.protein_out_by(protein.what, told(given))
            yield WorkSource("leftovers", box.id, None, f"protein-{n}", given, window, likely, why, done)
        else:
            yield counted(
                "leftovers", box.id, f"protein-{n}", given, days, work_sentences.leftovers_out, done
            )
