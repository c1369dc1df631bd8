"""What one enclosure is asked at one look, and what a single key may confirm there."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from rounds.husbandry.readings import ReadingKind, StagePlan, Value, Vocabulary
from rounds.husbandry.stages import Depth
from rounds.named_tuple import NamedTuple
from rounds.records.observations import Visit
from rounds.values.spans import FIRST

FORTNIGHT = 14
JELLY_IN = "jelly_in"
"""The reading that a fresh cup is recorded as, in quarter cups."""
TO_SAY = "say:"
"""Begins the id of a row that is no reading: what a reading left to be said, answered by an act."""
EACH_TIME, ONCE_A_SHELF = "each time", "once a shelf"


class Ask(NamedTuple):
    """One question.

    ``confirms`` is what "as usual" writes: a value, ``(low, high)`` for a count that
    stays unknown within that range, or None when nothing may be confirmed. ``must`` says
    why the answer has to be typed ("" when it need not).
    """

    kind: ReadingKind
    depth: Depth
    confirms: Value | tuple[float, float] | None = None
    must: str = ""


def asks(
    vocabulary: Vocabulary,
    stage: str,
    species: str,
    depth: Depth,
    visits: Sequence[Visit],
    day: int,
    pressing: Collection[str] = (),
    *,
    first_on_shelf: bool = False,
    changed: int = FIRST,
    oldest: int = FIRST,
    vacated: bool = False,
    young_only: bool = False,
) -> tuple[Ask, ...]:
    """The questions of a stage at a depth, in the order they are asked.

    ``visits`` are earlier looks, oldest first; ``pressing`` are readings an open action
    rests on. ``changed`` is the last day on which the stage or who is here was another, and
    ``oldest`` the day from which one of those here certainly was: expected is what these
    animals do, and what was odd is asked again only if it can concern them. In a box that
    everybody has left (``vacated``) nothing is asked that is of animals, and where all are
    eggs and larvae (``young_only``) nothing that is of adults. What must be
    typed comes first, then what this depth shows, then the shallower ones; a shelf's own
    readings come last, at its first enclosure.
    """
    plan = vocabulary.stages[stage]
    out = []
    for id_, shown_at in readings(vocabulary, stage, depth, vacated=vacated, young_only=young_only).items():
        kind, usual = vocabulary.kinds[id_], plan.usual_value(id_, species)
        doubt = "" if id_ in pressing else _doubt(plan, species, kind, usual, visits, oldest, changed)
        out.append(
            Ask(
                kind,
                shown_at,
                confirmable(kind, usual, visits, day, changed),
                _must(id_, plan.first, pressing, doubt),
            )
        )
    if first_on_shelf:
        out += asks_of_shelf(vocabulary)
    return tuple(out)


def readings(
    vocabulary: Vocabulary, stage: str, depth: Depth, *, vacated: bool, young_only: bool
) -> dict[str, Depth]:
    """The readings that a stage asks at a depth, in their order, each with the depth that shows it.

    Whatever was read there before changes how they are asked, and never which they are.
    """
    plan = vocabulary.stages[stage]
    depths: dict[str, Depth] = {}
    for d in sorted(plan.asked):
        for id_ in plan.asked[d]:
            if d <= depth:
                depths.setdefault(id_, d)
    order = list(plan.first)
    for d in sorted(plan.asked, reverse=True):
        order += [i for i in plan.asked[d] if depths.get(i) == d and i not in order]
    unasked = vocabulary.unasked(vacated=vacated, young_only=young_only)
    return {
        i: depths[i] for i in order if i in depths and not vocabulary.kinds[i].retired and i not in unasked
    }


def presses(ask: Ask) -> bool:
    """Must it be read because something was wrong, and not as a matter of course?"""
    return ask.must not in ("", EACH_TIME, ONCE_A_SHELF)


def asks_of_shelf(vocabulary: Vocabulary) -> tuple[Ask, ...]:
    """What is read once for a shelf, at one of its enclosures; nothing of it is ever confirmed."""
    return tuple(Ask(vocabulary.kinds[i], Depth.WALL, None, ONCE_A_SHELF) for i in vocabulary.every_shelf)


def confirmable(
    kind: ReadingKind, usual: Value | None, visits: Sequence[Visit], day: int, changed: int = FIRST
) -> Value | tuple[float, float] | None:
    """What one key may confirm: the usual value, or for a count the range it stays unknown in."""
    if usual is None or kind.type != "count":
        return usual
    if usual != "history":
        return (float(usual), float(usual))
    return observed_range(kind.id, visits, day, changed) or (kind.low, kind.high)


def observed_range(
    reading: str, visits: Sequence[Visit], day: int, changed: int = FIRST
) -> tuple[float, float] | None:
    """The lowest and highest count of the fortnight before ``day``, since what is there is as it is; None: none.

    Observed only: what was confirmed never widens or narrows what is expected.
    """
    seen = [
        float(v.read[reading])
        for v in visits
        if day - FORTNIGHT <= v.day < day and v.day > changed and reading in v.read
    ]
    return (min(seen), max(seen)) if seen else None


def _doubt(
    plan: StagePlan,
    species: str,
    kind: ReadingKind,
    usual: Value | None,
    visits: Sequence[Visit],
    oldest: int,
    changed: int,
) -> str:
    """Why the usual may not be taken for granted: what this reading was when it last was anything at all.

    A look that left it unread ends no doubt: standing water that nobody looked at since stays.
    It also stays whoever moves in; a beetle that lay on its back has gone with its box mates.
    And a box is not wetter for the stage that began since, in which wet is usual.
    """
    last = next(
        (v for v in reversed(visits) if v.looked and (kind.id in v.read or kind.id in v.confirmed)), None
    )
    if last is None or (kind.of_animals and last.day < oldest):
        return ""
    value = last.read.get(kind.id)
    if value is not None and plan.is_fine(kind.id, species, value) is False:
        return "odd last time"
    if kind.of_animals or kind.type != "choice" or usual is None or last.day > changed:
        return ""
    was = kind.choice(str(last.confirmed.get(kind.id) if value is None else value))
    return f"{was.title} last time" if was is not None and was.id != usual else ""


def _must(id_: str, first: Sequence[str], pressing: Collection[str], doubt: str) -> str:
    if id_ in pressing:
        return "open action"
    return doubt or (EACH_TIME if id_ in first else "")
