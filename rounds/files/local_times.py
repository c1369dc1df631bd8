"""Local times of tables as UTC instants and round days."""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache
from typing import Any

from rounds.files import cell_sentences as sentences
from rounds.files.cells_in import CellError

_FORM = re.compile(
    r"([0-9]{4})-([0-9]{2})-([0-9]{2})[T ]([0-9]{2}):([0-9]{2})(?::([0-9]{2})(?:\.([0-9]{1,3}))?)?"
    r"(Z|[+-][0-9]{2}:[0-9]{2})?"
)
_EPOCH = date(1970, 1, 1).toordinal()


def _parts(text: str) -> tuple[int, int, int, int, int, str]:
    """Day (an ordinal), hour, minute, second, milliseconds and the offset as typed. Raises CellError."""
    m = _FORM.fullmatch(text.strip())
    if not m:
        raise CellError(sentences.no_local_time(text))
    if not 1900 <= int(m[1]) <= 2200:
        raise CellError(sentences.year_far_off(m[1]))
    try:
        day = date(int(m[1]), int(m[2]), int(m[3])).toordinal()
    except ValueError as e:
        raise CellError(sentences.no_such_day(f"{m[1]}-{m[2]}-{m[3]}")) from e
    hour, minute, second = int(m[4]), int(m[5]), int(m[6] or 0)
    if hour > 23 or minute > 59 or second > 59:
        raise CellError(sentences.no_such_time(":".join(filter(None, m.group(4, 5, 6)))))
    return day, hour, minute, second, int((m[7] or "0").ljust(3, "0")), m[8] or ""


def round_day(text: str, day_starts: int) -> int:
    """The round day of a local time, by the clock on the wall. Raises CellError."""
    day, hour, minute, *_ = _parts(text)
    return day - (hour * 60 + minute < day_starts)


class Clock:
    """Reads local times of one zone.

    A time the clocks skipped is refused. One they passed twice is taken as the first
    passing, and :attr:`twice` counts it, unless its offset says which is meant. Zone
    rules come from pendulum; the offset of an hour without a change is kept, because a
    table may hold a million times and few different hours.
    """

    def __init__(self, zone: str, day_starts: int, shift_days: int = 0) -> None:
        import pendulum

        self._pendulum = pendulum
        self.zone: Any = pendulum.timezone(zone)
        self.zone_name, self.day_starts, self.shift = zone, day_starts, shift_days
        self.twice = 0
        self._hours: dict[tuple[int, int], int | None] = {}
        self._written_hours: dict[int, int | None] = {}
        # By what is written: the day and hour without the offset that holds in it, a minute and second, a fraction.
        self._hours_before: dict[str, tuple[int, int, int]] = {}
        self._seconds_before: dict[str, tuple[int, int]] = {}
        self._fractions_before: dict[str, int] = {}

    def read_before(self, text: str) -> tuple[int, int] | None:
        """What :meth:`read` gives, if an hour, a minute and a fraction like these were read before."""
        hour = self._hours_before.get(text[:13])
        second = self._seconds_before.get(text[13:19])
        fraction = self._fractions_before.get(text[19:])
        if hour is None or second is None or fraction is None:
            return None
        at_ms, day, minutes = hour
        return at_ms + second[0] + fraction, day - (minutes + second[1] < self.day_starts)

    def read(self, text: str) -> tuple[int, int]:
        """Epoch milliseconds and round day (an ordinal). Raises CellError."""
        day, hour, minute, second, ms, offset_text = _parts(text)
        day += self.shift
        local = ((day - _EPOCH) * 86400 + hour * 3600 + minute * 60 + second) * 1000 + ms
        round_day = day - (hour * 60 + minute < self.day_starts)
        offset = self._hour(day, hour)
        if offset_text:
            offset = self._said(offset_text, day, hour, minute, second, text)
        elif offset is None:
            offset = self._slow(day, hour, minute, second, text)
        elif len(text) in (16, 19, 23) and text[0].isdigit() and text[-1].isdigit():  # no blanks around it
            within = (minute * 60 + second) * 1000
            self._hours_before[text[:13]] = local - within - ms - offset * 1000, day, hour * 60
            self._seconds_before[text[13:19]] = within, minute
            self._fractions_before[text[19:]] = ms
        return local - offset * 1000, round_day

    def written(self, at_ms: int) -> str:
        """The local time as :meth:`read` takes it, with the offset where it is needed."""
        hour = at_ms // 3_600_000
        if hour not in self._written_hours:
            self._written_hours[hour] = self._offset_throughout(hour)
        offset = self._written_hours[hour]
        if offset is None:
            return self._written_slowly(at_ms)
        day, ms = divmod(at_ms + offset * 1000, 86_400_000)
        minute, ms = divmod(ms, 60_000)
        text = f"{_iso(day)}T{minute // 60:02}:{minute % 60:02}"
        return text if not ms else f"{text}:{ms // 1000:02}" + (f".{ms % 1000:03}" if ms % 1000 else "")

    def _offset_throughout(self, hour: int) -> int | None:
        """The offset (seconds) of an hour since the epoch; None where it changes, or where a time is passed twice."""
        ends = []
        for at in (hour * 3600, hour * 3600 + 3599):
            then: Any = self._pendulum.from_timestamp(at, tz=self.zone)
            ends.append(self._hour(date(then.year, then.month, then.day).toordinal(), then.hour))
            ends.append(int(then.utcoffset().total_seconds()))
        return ends[0] if len(set(ends)) == 1 else None

    def _written_slowly(self, at_ms: int) -> str:
        then: Any = self._pendulum.from_timestamp(at_ms // 1000, tz=self.zone)
        ms = at_ms % 1000
        text: str = then.format("YYYY-MM-DD[T]HH:mm") + (f":{then.second:02}" if then.second or ms else "")
        text += f".{ms:03}" if ms else ""
        day = date(then.year, then.month, then.day).toordinal()
        first, later = self._offsets(day, then.hour, then.minute, then.second)
        if first != later:
            text += _offset(int(then.utcoffset().total_seconds()))
        return text

    def _hour(self, day: int, hour: int) -> int | None:
        """The offset (seconds) that holds throughout a local hour, or None if it changes in it."""
        key = (day, hour)
        if key not in self._hours:
            ends = {self._offsets(day, hour, m, s) for m, s in ((0, 0), (30, 0), (59, 59))}
            first = min(ends)
            self._hours[key] = first[0] if len(ends) == 1 and first[0] == first[1] else None
        return self._hours[key]

    def _offsets(self, day: int, hour: int, minute: int, second: int) -> tuple[int, int]:
        """Offsets in seconds of the first and second passing of a local time.

        Where they differ the time was passed twice (first > second) or skipped (first < second).
        """
        d = date.fromordinal(day)
        at: list[Any] = [
            self._pendulum.naive(d.year, d.month, d.day, hour, minute, second, fold=fold).replace(
                tzinfo=self.zone
            )
            for fold in (0, 1)
        ]
        first, second_ = (int(a.utcoffset().total_seconds()) for a in at)
        return first, second_

    def _slow(self, day: int, hour: int, minute: int, second: int, text: str) -> int:
        first, later = self._offsets(day, hour, minute, second)
        if first < later:
            raise self._skipped(text)
        if first > later:
            self.twice += 1
        return first

    def _said(self, offset: str, day: int, hour: int, minute: int, second: int, text: str) -> int:
        said = 0
        if offset != "Z":
            said = (1 if offset[0] == "+" else -1) * (int(offset[1:3]) * 3600 + int(offset[4:6]) * 60)
        possible = self._offsets(day, hour, minute, second)
        if said not in possible:
            known = tuple(sorted({_offset(p) for p in possible}))
            raise CellError(sentences.other_offset(text, offset, self.zone_name, known))
        if possible[0] < possible[1]:
            raise self._skipped(text)
        return said

    def _skipped(self, text: str) -> CellError:
        return CellError(sentences.hour_left_out(text, self.zone_name))


@lru_cache(4096)
def _iso(day: int) -> str:
    """A day since the epoch."""
    return date.fromordinal(day + _EPOCH).isoformat()


def _offset(seconds: int) -> str:
    sign = "-" if seconds < 0 else "+"
    return f"{sign}{abs(seconds) // 3600:02}:{abs(seconds) // 60 % 60:02}"
