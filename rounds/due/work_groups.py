"""Due work as people go about it: one line a job and brood, what costs lives before what can wait."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.due.kinds import DUE_KINDS, DueWork
from rounds.values.spans import Span

FEWEST = 3
"""So many boxes with the same job are one line; fewer stand by themselves."""
_WITHHELD = 3


def harm(work: DueWork) -> int:
    """0 where waiting costs lives; work that a lock withholds comes last, whatever it is."""
    return _WITHHELD if work.withheld else DUE_KINDS[work.kind].harm


def by_job(works: Iterable[DueWork], today: int) -> list[tuple[DueWork, ...]]:
    """The same works in the same order, those of one job, brood and day as one where their first stands.

    Work with an animal of its own, or that a keeper asked for, always stands by itself, and so
    does each of fewer than :data:`FEWEST` alike: in its own place.
    """
    works = list(works)
    alike: dict[tuple[object, ...], list[DueWork]] = {}
    for work in works:
        alike.setdefault(_job(work, today), []).append(work)
    out: list[tuple[DueWork, ...]] = []
    for work in works:
        some = alike[_job(work, today)]
        if len(some) < FEWEST:
            out.append((work,))
        elif some[0] is work:
            out.append(tuple(some))
    return out


def _job(work: DueWork, today: int) -> tuple[object, ...]:
    alone = work.kind == "own" or work.plan is not None or work.enclosure is None
    if alone or (work.animal is not None and work.brood is None):
        return (work.key,)
    return (
        work.what,
        work.brood,
        work.planned(today),
        work.overdue(today),
        work.put_off(today),
        work.withheld,
    )


def window(works: Iterable[DueWork]) -> Span:
    """The window that holds those of all."""
    windows = [work.window for work in works]
    return Span(min(one.earliest for one in windows), max(one.latest for one in windows))
