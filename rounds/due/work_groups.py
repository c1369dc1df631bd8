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
    """The same works in the same order, those of one job, brood and day drawn together.

    Work with an animal of its own, or that a keeper asked for, always stands by itself.
    """
    alike: dict[tuple[object, ...], list[DueWork]] = {}
    for work in works:
        alone = work.kind == "own" or work.plan is not None or work.enclosure is None
        by_itself = alone or (work.animal is not None and work.brood is None)
        key = (work.key,) if by_itself else _job(work, today)
        alike.setdefault(key, []).append(work)
    return [
        bunch
        for some in alike.values()
        for bunch in ([tuple(some)] if len(some) >= FEWEST else [(work,) for work in some])
    ]


def _job(work: DueWork, today: int) -> tuple[object, ...]:
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
