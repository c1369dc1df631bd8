"""Due work by how near it is: overdue, today, this week, later, put off; and what is further, counted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rounds.due import work_sentences
from rounds.due.kinds import DueWork
from rounds.due.work import by_day
from rounds.due.work_groups import harm
from rounds.named_tuple import NamedTuple
from rounds.records.stops import DUE_AHEAD
from rounds.text.cleaning import long_day

OVERDUE, TODAY, WEEK, LATER, OFF = "overdue", "today", "this week", "later", "put off"
NEAR = (OVERDUE, TODAY, WEEK, LATER, OFF)
"""The groups, in the order in which they are listed."""


class Near(NamedTuple):
    """One group: its name (of :data:`NEAR`), its works day by day, by harm and then in shelf order within a day."""

    name: str
    works: tuple[DueWork, ...]


class Listed(NamedTuple):
    """Work up to a day, in groups that hold something; ``more`` begins after it, ``ends`` says how far."""

    groups: tuple[Near, ...]
    more: int
    ends: int  # the last day on which any of what is not listed begins; 0 when there is none

    @property
    def works(self) -> tuple[DueWork, ...]:
        return tuple(w for group in self.groups for w in group.works)


def group_of(work: DueWork, today: int) -> str:
    """The group it stands in: by the day it is planned for, the next seven days being this week."""
    if work.put_off(today):
        return OFF
    if work.overdue(today):
        return OVERDUE
    day = work.planned(today)
    return TODAY if day <= today else WEEK if day <= today + DUE_AHEAD else LATER


def listed(found: Iterable[DueWork], today: int, until: int, order: Mapping[int, int]) -> Listed:
    """Open work that can begin by ``until`` in groups, what is nearest first; the rest is counted.

    ``order`` is the position by enclosure id. What is put off begins on the day it is put off to.
    """
    open_ = [w for w in found if w.done is None]
    groups: dict[str, list[DueWork]] = {name: [] for name in NEAR}
    for day in by_day((w for w in open_ if w.begins() <= until), today, order):
        for work in sorted(day.works, key=harm):
            groups[group_of(work, today)].append(work)
    further = [w.begins() for w in open_ if w.begins() > until]
    return Listed(
        tuple(Near(name, tuple(some)) for name, some in groups.items() if some),
        len(further),
        max(further, default=0),
    )


def title(name: str, today: int, until: int) -> str:
    """``this week, to Wed 2 Dec 2026``: the group and its last day, where that is not in its name."""
    if name == TODAY:
        return work_sentences.today(long_day(today))
    if name == WEEK:
        return work_sentences.this_week(long_day(min(today + DUE_AHEAD, until)))
    if name == LATER:  # its window may be open by then
        return work_sentences.later(long_day(today + DUE_AHEAD))
    return name


def when(work: DueWork, today: int) -> str:
    """``9 days late``, ``today``, ``Thu 26 Nov``: the day work stands under, or for how long it is overdue."""
    if work.overdue(today):
        return work_sentences.overdue(today - work.window.latest)
    return day_of(work.planned(today), today)


def day_of(day: int, today: int) -> str:
    """``today``, ``tomorrow``, or ``Thu 26 Nov``."""
    return {today: "today", today + 1: "tomorrow"}.get(day) or long_day(day)[:-5]
