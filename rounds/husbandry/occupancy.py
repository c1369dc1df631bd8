"""Since when those who are in an enclosure have been there: today's animals are compared with themselves only."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.named_tuple import NamedTuple
from rounds.values.spans import FIRST, LAST, Span


class Company(NamedTuple):
    """Two days (``date.toordinal()``), both :data:`FIRST` while nobody knows.

    On ``same_since`` somebody came or left the last time: after that day exactly those of
    today were there. From ``oldest_since`` on at least one of them certainly was.
    """

    same_since: int = FIRST
    oldest_since: int = FIRST


ANYONE = Company()


def company(came: Iterable[Span | None], left: Iterable[Span | None]) -> Company:
    """``came`` since when each of those is there who are there, ``left`` until when each of the others was.

    The latest day of a span counts, its earliest when its end is open. A coming that nobody dated is taken as long ago: what
    then holds is what would hold if it were not asked at all. Where nobody is left, nothing
    of the past concerns those here.
    """
    here = [_day(s) for s in came]
    same = max([*here, *(_day(s) for s in left)], default=FIRST)
    return Company(same, min(here, default=same))


def _day(span: Span | None) -> int:
    if span is None:
        return FIRST
    return span.latest if span.latest < LAST else span.earliest
