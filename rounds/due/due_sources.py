"""What work follows from: the books and the species files, read once for all enclosures.

Every span of the books goes in as it is and comes out wider by the range of the species;
nothing is ever made narrower than what it follows from. Rules of thumb for the care of
enclosures are in the species files, each with its source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping

from rounds.due.due_index import Rows, Shelf, added, after, counted, of_animal, preset_range
from rounds.due.kinds import WorkSource, kind_of
from rounds.due.planned_work import planned_pairings
from rounds.husbandry.spans import LAST, UNKNOWN, Span, text
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.column import Row


def facts(shelf: Shelf, since: int) -> Iterator[WorkSource]:
    """Every fact of the books that work follows from, enclosure by enclosure.

    Pairings that ended before the day ``since`` are left out: years of them are in the books.
    """
    for id_, box in shelf.ledger.rows("enclosure"):
        rows = shelf.contents.get(id_, [])
        species = shelf.species(box, rows)
        for source in _BY_STAGE.get(str(box["stage"]), ()):
            yield from source(shelf, id_, box, rows, species)
        yield from _leftovers(shelf, id_, box, species)
        yield from _mature(shelf, id_, rows, species)
    yield from _pairings(shelf, since)
    yield from planned_pairings(shelf)
    yield from _loans(shelf)
    yield from _locks(shelf)


Source = Callable[[Shelf, int, Row, Rows, Species | None], Iterator[WorkSource]]


def _searches(shelf: Shelf, id_: int, box: Row, _: Rows, species: Species | None) -> Iterator[WorkSource]:
    """The first search of this laying, then each next one; a search answers the one before it."""
    since: Span | None = box["stage_since"]
    made = [r["made"] for _, r in shelf.searches.get(id_, []) if r["made"] is not None]
    mine = [m for m in made if since is None or m.latest >= since.earliest]
    mine.sort(key=lambda m: (m.latest, m.earliest))
    before = len(made) - len(mine)
    first, again = preset_range(species, "first_search_days"), preset_range(species, "next_search_days")
    done = mine[0].latest if mine else None
    yield counted(
        "first-search", id_, f"search-{before + 1}", since, first, "laying since", "first search", done
    )
    for n, search in enumerate(mine):
        done = mine[n + 1].latest if n + 1 < len(mine) else None
        anchor = f"search-{before + n + 2}"
        yield counted("next-search", id_, anchor, search, again, "searched", "next search", done)


def _repeated(
    kind: str, preset: str, what: str, then: str, shelf: Shelf, id_: int, box: Row, species: Species | None,
    events: list[Span],
) -> Iterator[WorkSource]:  # fmt: skip
    """Work that comes again so many days after it was last done, or after the stage began."""
    closed = [
        Span(r["done"], r["done"])
        for _, r in shelf.dues.get(id_, [])
        if r["done"] is not None and kind_of(r["what"]) == kind
    ]
    every = sorted(
        {Span(e.earliest, e.latest) for e in (*events, *closed)}, key=lambda e: (e.latest, e.earliest)
    )
    begun: Span | None = box["stage_since"]
    mine = [e for e in every if begun is None or e.latest >= begun.earliest]
    days = preset_range(species, preset)
    last = mine[-1] if mine else None
    if last is not None:
        earlier = mine[-2] if len(mine) > 1 else begun
        yield counted(kind, id_, f"{kind}-{len(every)}", earlier, days, what, then, last.latest)
    open_since, said_what = (last, what) if last is not None else (begun, f"{box['stage']} since")
    yield counted(kind, id_, f"{kind}-{len(every) + 1}", open_since, days, said_what, then)


def _bedding(shelf: Shelf, id_: int) -> list[Span]:
    return [r["given"] for _, r in shelf.bedding.get(id_, []) if r["given"] is not None]


def _rebed(shelf: Shelf, id_: int, box: Row, _: Rows, species: Species | None) -> Iterator[WorkSource]:
    yield from _repeated(
        "re-bed", "rebed_days", "bedded", "bedded afresh", shelf, id_, box, species, _bedding(shelf, id_)
    )


def _substrate(shelf: Shelf, id_: int, box: Row, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    if rows:
        events = _bedding(shelf, id_)
        yield from _repeated(
            "substrate", "substrate_days", "changed", "changed again", shelf, id_, box, species, events
        )


def _weighing(shelf: Shelf, id_: int, box: Row, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    """Only L3 are weighed, and only where somebody weighs: the first weigh-in asks for the next."""
    events = shelf.weights.get(id_, [])
    if events and any(r["instar"] == "L3" for _, r in rows):
        yield from _repeated(
            "weigh-in", "weighing_days", "weighed", "weighed again", shelf, id_, box, species, events
        )


def _quarantine(
    shelf: Shelf, id_: int, box: Row, rows: Rows, species: Species | None
) -> Iterator[WorkSource]:
    """The last day that any arrival in it was given; without one, the species' usual time."""
    lots = {lot for _, r in rows for lot in (r["lot"], of_animal(shelf, r, "lot")) if lot is not None}
    ends = [
        (r["quarantine_until"], r["name"])
        for r in (shelf.ledger.row("lot", i) for i in lots)
        if r["quarantine_until"]
    ]
    since: Span | None = box["stage_since"]
    if ends:
        day, name = max(ends)
        yield WorkSource(
            "quarantine-end", id_, None, "quarantine", since or UNKNOWN, Span(day, day), day,
            f"{name} is in quarantine until then",
        )  # fmt: skip
    else:
        days = preset_range(species, "quarantine_days")
        yield counted("quarantine-end", id_, "quarantine", since, days, "in quarantine since", "over")


def _hatch(shelf: Shelf, id_: int, box: Row, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    """Eggs hatch from the day they were counted to the longest egg time after it, or as recorded."""
    eggs = preset_range(species, "egg_days")
    groups = [r for _, r in rows if r["instar"] == "eggs" or (box["stage"] == "eggs" and not r["instar"])]
    if not groups and box["stage"] == "eggs":
        yield _from_eggs(id_, "eggs", box["stage_since"], None, eggs)
    for n, row in enumerate(groups, 1):
        brood = shelf.ledger.row("brood", row["brood"]) if row["brood"] is not None else None
        anchor = f"brood-{brood['name']}" if brood is not None else f"eggs-{n}"
        found = brood["found"] if brood is not None else row["since"] or box["stage_since"]
        yield _from_eggs(id_, anchor, found, brood["hatch"] if brood is not None else None, eggs)


def _from_eggs(
    id_: int, anchor: str, found: Span | None, recorded: Span | None, eggs: SpeciesRange | None
) -> WorkSource:
    since = UNKNOWN if found is None else found
    window = None
    why = ""
    if eggs is not None and not since.unknown:
        window = Span(since.earliest, since.plus(math.ceil(eggs.high)).latest)
        why = f"eggs {text(since)}; they hatch within {eggs.high:g} days ({eggs.source})"
    if recorded is not None and recorded.latest < LAST:
        both = recorded if window is None else window.meet(recorded)
        if both is not None and both != window:
            window, why = (
                Span(both.earliest, both.latest),
                f"hatch {text(recorded)} by the books" + (f"; {why}" if why else ""),
            )
    return WorkSource("hatch", id_, None, anchor, since, window, None, why)


def _wandering(shelf: Shelf, id_: int, _: Row, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    days = species.larva_days() if species is not None else None
    for row in (r for _, r in rows):
        if row["instar"] == "eggs" or of_animal(shelf, row, "wandering") is not None:
            continue
        brood_id = row["brood"] if row["brood"] is not None else of_animal(shelf, row, "brood")
        brood = shelf.ledger.row("brood", brood_id) if brood_id is not None else None
        hatched = of_animal(shelf, row, "born") or (brood["hatch"] if brood is not None else None)
        if row["animal"] is not None:
            anchor = shelf.animal(row["animal"])
        elif brood is not None:
            anchor = f"brood-{brood['name']}"
        else:
            continue  # nobody knows when these hatched
        yield counted("wandering", id_, anchor, hatched, days, "hatched", "wandering", animal=row["animal"])


def _emergence(shelf: Shelf, id_: int, box: Row, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    """Cell and rest count from the animal's own dates where it is alone, else from the stage's."""
    stage = str(box["stage"])
    alone = rows[0][1] if len(rows) == 1 else None
    column, parts, what = {
        "wandering": ("wandering", ("wandering_days", "cell_days"), "wandering since"),
        "cell": ("cell", ("cell_days",), "in its cell since"),
        "resting": ("eclosed", ("rest_days",), "resting since"),
    }[stage]
    own = of_animal(shelf, alone, column) if alone is not None else None
    known = [preset_range(species, p) for p in parts]
    days = added([k for k in known if k is not None]) if all(known) else None
    animal = alone["animal"] if alone is not None else None
    if animal is not None:
        anchor = shelf.animal(animal)
    else:
        broods = sorted(
            {str(shelf.ledger.row("brood", r["brood"])["name"]) for _, r in rows if r["brood"] is not None}
        )
        anchor = "+".join(broods) or "all"
    yield counted("emergence", id_, anchor, own or box["stage_since"], days, what, "up", animal=animal)


def _prepared(_: Shelf, id_: int, box: Row, __: Rows, species: Species | None) -> Iterator[WorkSource]:
    """Watched from the first day on: fresh substrate may heat up or turn sour before anything lives in it."""
    since, days = box["stage_since"], preset_range(species, "prepared_days")
    window, _likely = after(since, days)
    if window is not None and days is not None:
        window = Span(since.earliest, window.latest)
        why = f"prepared {text(since)}; heat and souring show within {days} days ({days.source})"
        yield WorkSource("prepared", id_, None, f"prepared-{text(since)}", since, window, None, why)


_BY_STAGE: Mapping[str, tuple[Source, ...]] = {
    "quarantine": (_quarantine,),
    "laying": (_searches, _rebed, _hatch),
    "eggs": (_hatch,),
    "larvae": (_substrate, _weighing, _hatch, _wandering),
    "wandering": (_emergence,),
    "cell": (_emergence,),
    "resting": (_emergence,),
    "prepared": (_prepared,),
}


def _leftovers(shelf: Shelf, id_: int, box: Row, species: Species | None) -> Iterator[WorkSource]:
    days = preset_range(species, "leftovers_days")
    for n, (_, row) in enumerate(shelf.protein.get(id_, []), 1):
        given, out = row["given"] or UNKNOWN, row["taken_out"]
        done = out.latest if out is not None else None
        if done is None and box["stage"] in ("empty", "prepared"):
            continue
        if row["out_by"] is not None:
            window, likely = Span(row["out_by"], row["out_by"]), row["out_by"]
            why = f"{row['what'] or 'protein'} given {text(given)}, out by the day set then"
            yield WorkSource("leftovers", id_, None, f"protein-{n}", given, window, likely, why, done)
        else:
            yield counted("leftovers", id_, f"protein-{n}", given, days, "protein given", "out", done)


def _mature(shelf: Shelf, id_: int, rows: Rows, species: Species | None) -> Iterator[WorkSource]:
    for row in (r for _, r in rows if r["animal"] is not None):
        animal = shelf.ledger.row("animal", row["animal"])
        if animal["first_feed"] is not None and animal["mature"] is None:
            yield counted(
                "mature", id_, shelf.animal(row["animal"]), animal["first_feed"], preset_range(species, "mature_days"),
                "first feed", "ready", animal=row["animal"],
            )  # fmt: skip


def _pairings(shelf: Shelf, since: int) -> Iterator[WorkSource]:
    """A pair that stays together in a laying enclosure is meant to: its period does not end."""
    for id_, row in shelf.ledger.rows("pairing"):
        box_id = row["enclosure"]
        if row["until"] is None:
            box_id = shelf.box_of.get(row["female"], box_id)
        if box_id is None:
            continue
        if row["until"] is not None and row["until"].latest < since and box_id not in shelf.dues:
            continue
        box = shelf.ledger.row("enclosure", box_id)
        if row["until"] is None and box["stage"] in ("laying", "colony"):
            continue
        done = row["until"].latest if row["until"] is not None else None
        days = preset_range(shelf.species(box, shelf.contents.get(box_id, [])), "together_days")
        anchor = f"pairing-{row['name'] or id_}"
        yield counted("pairing-over", box_id, anchor, row["since"], days, "together since", "over", done)


def _loans(shelf: Shelf) -> Iterator[WorkSource]:
    for animal, rows in shelf.loans.items():
        name = shelf.animal(animal)
        for n, (_, row) in enumerate(rows, 1):
            due: Span | None = row["due_back"]
            whom = "to" if row["way"] == "in" else "from"
            why = (
                f"{name} is due back {whom} {row['owner'] or 'its owner'} {text(due)}"
                if due is not None
                else ""
            )
            likely = due.latest if due is not None and due.exact else None
            done = row["back"].latest if row["back"] is not None else None
            yield WorkSource(
                "loan-back", shelf.box_of.get(animal), animal, f"loan-{n}", row["since"] or UNKNOWN,
                Span(due.earliest, due.latest) if due is not None else None, likely, why, done,
            )  # fmt: skip


def _locks(shelf: Shelf) -> Iterator[WorkSource]:
    """Locks that end by themselves; one without an end is lifted by an act."""
    seen: dict[tuple[str, int], int] = {}
    for _, row in shelf.ledger.rows("lock"):
        subject = ("animal", row["animal"]) if row["animal"] is not None else ("enclosure", row["enclosure"])
        if subject[1] is None:
            continue
        n = seen[subject] = seen.get(subject, 0) + 1
        until: Span | None = row["until"]
        if until is None or row["lifted"] is not None or until.latest >= LAST:
            continue
        box = (
            shelf.box_of.get(row["animal"], row["enclosure"])
            if row["animal"] is not None
            else row["enclosure"]
        )
        why = f"do not {', '.join(str(row['forbids']).split())} until {text(until)}: {row['reason'] or 'no reason given'}"
        likely = until.latest if until.exact else None
        since = Span(row["from_day"], row["from_day"])
        yield WorkSource(
            "lock-end",
            box,
            row["animal"],
            f"lock-{n}",
            since,
            Span(until.earliest, until.latest),
            likely,
            why,
        )
