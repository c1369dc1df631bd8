"""When a brood hatched, as far as the books and the species' shortest times say.

Nobody sees eggs hatch in the dark. What is known is when the female came in (or the last
time all of the substrate was searched), what was found, and when. The rule, for each instar
that was found, on its own:

* earliest: female in, or last complete search, plus the shortest egg time;
* latest: the day of the search less the shortest time from hatching to the instar found.

Eggs had not hatched when they were found, so their span begins with the search; it ends the
longest egg time after it, and stays open where that time is not known. Part days are
dropped from shortest times and rounded up in longest ones: a span may only be too wide.
"""

from __future__ import annotations

import math

from rounds.husbandry import hatching_sentences
from rounds.named_tuple import NamedTuple
from rounds.values.spans import FIRST, LAST, Span

FOUND = ("eggs", "L1", "L2", "L3")
"""What a search can find, youngest first."""

Days = tuple[float, float]
"""Shortest and longest, days."""


class Times(NamedTuple):
    """How long a species takes, each as (shortest, longest) days; None where nobody knows.

    ``egg`` from laying to hatching, ``l1`` and ``l2`` from hatching or moulting to the next moult.
    """

    egg: Days | None = None
    l1: Days | None = None
    l2: Days | None = None


NOTHING = Times()


class Hatch(NamedTuple):
    """The span, and ``doubt``: why the times of the species could not be used ("" when they were)."""

    span: Span
    doubt: str = ""


def since_hatching(found: str, times: Times) -> int:
    """The fewest whole days from hatching to ``found``; instars of unknown length count nothing."""
    before = {"eggs": (), "L1": (), "L2": (times.l1,), "L3": (times.l1, times.l2)}[found]
    return math.floor(sum(t[0] for t in before if t))


def hatch(found: str, made: Span, since: Span | None, times: Times | None, left: Span | None = None) -> Hatch:
    """When what was found as ``found`` (one of FOUND) in a search ``made`` then had hatched.

    ``since`` is when the female came in or, if later, the last complete search; None when
    nobody knows. ``left`` is the hatch of eggs or larvae that an earlier search left in place,
    which may be those found now. The span is never empty: where the species' times
    contradict the books, the books are believed and the doubt is returned.

    Raises ValueError when ``since`` begins after ``made`` ends.
    """
    if since is not None and since.earliest > made.latest:
        raise ValueError("the female came in after the search")
    known = times or NOTHING
    fastest = known.egg[0] if known.egg else 0.0
    base = since.earliest if since is not None else FIRST
    low = _later(base, math.floor(fastest))
    if left is not None:
        low, base = min(low, left.earliest), min(base, left.earliest)
    if found == "eggs":
        longest = math.ceil(known.egg[1]) if known.egg else None
        high = LAST if longest is None else _later(made.latest, longest)
        low = max(low, made.earliest)
        if low <= high:
            return Hatch(Span(low, high))
        return Hatch(Span(made.earliest, high), hatching_sentences.EGGS_TOO_OLD)
    high = _later(made.latest, -since_hatching(found, known))
    if low <= high:
        return Hatch(Span(low, high))
    apart = made.latest - base
    return Hatch(
        Span(min(base, made.latest), made.latest),
        hatching_sentences.too_soon(found, apart, math.floor(fastest) + since_hatching(found, known)),
    )


def _later(day: int, days: int) -> int:
    """Open ends stay open."""
    return day if day in (FIRST, LAST) else min(max(day + days, FIRST + 1), LAST - 1)
