"""Due work as an iCalendar file (RFC 5545), to be read into a calendar again and again.

Each piece of work is one all-day event over its window. Its UID is made from the house
and the work's key, so reading a newer file changes the event instead of adding another.
SEQUENCE and DTSTAMP rise with the instant of writing. Work known to be done is sent as
cancelled for a while, so that it leaves the calendar.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, date, datetime
from uuid import NAMESPACE_URL, uuid5

from rounds.due.kinds import REMEMBERED, DueWork
from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean, day_words
from rounds.values.spans import FIRST, LAST, span_words

PRODID = "-//rounds//due work//EN"
OCTETS = 75
"""Longest line without its end, in octets (RFC 5545, 3.1)."""
_COUNTED_FROM = 1_577_836_800  # 2020-01-01, so that seconds fit SEQUENCE's 32 bits until 2088
_LONG = 4000


class Event(NamedTuple):
    """Work with the names it is shown by: the enclosure's code, its place, the animal."""

    work: DueWork
    code: str = ""
    place: str = ""
    animal: str = ""


def calendar(events: Iterable[Event], house: str, stamp_ms: int, today: int) -> bytes:
    """The whole file, UTF-8 with CRLF; the same for the same arguments, in the order of UIDs.

    ``stamp_ms`` is the instant of writing (UTC epoch ms), ``today`` the house's round day.
    """
    written = sorted(
        (uid(house, e.work.key), e) for e in events if e.work.done is None or e.work.done > today - REMEMBERED
    )
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODID}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{text(clean(f'{house}: due', _LONG))}",
    ]
    for id_, event in written:
        lines += _event(id_, event, stamp_ms, today)
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def uid(house: str, key: str) -> str:
    """The UID of a piece of work: a name-based UUID (RFC 9562, version 5) of house and key."""
    return str(uuid5(uuid5(NAMESPACE_URL, f"urn:rounds:{house}"), key))


def _event(id_: str, event: Event, stamp_ms: int, today: int) -> Iterator[str]:
    work = event.work
    first, last = days(work, today)
    seconds = stamp_ms // 1000
    yield "BEGIN:VEVENT"
    yield f"UID:{id_}"
    yield f"DTSTAMP:{datetime.fromtimestamp(seconds, UTC):%Y%m%dT%H%M%SZ}"
    yield f"SEQUENCE:{min(max(seconds - _COUNTED_FROM, 0), 2**31 - 1)}"
    yield f"DTSTART;VALUE=DATE:{_date(first)}"
    yield f"DTEND;VALUE=DATE:{_date(min(last + 1, LAST))}"
    yield f"SUMMARY:{text(clean(' '.join(p for p in (event.code, event.animal, work.what) if p), _LONG))}"
    yield f"DESCRIPTION:{text(chr(10).join(_described(work, today)))}"
    if event.place:
        yield f"LOCATION:{text(clean(event.place, _LONG))}"
    yield f"CATEGORIES:{text(work.kind)}"
    yield f"STATUS:{'CANCELLED' if work.done is not None else 'CONFIRMED'}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def days(work: DueWork, today: int) -> tuple[int, int]:
    """First and last day of the event. An open end is cut to the likely day, the other end, or today."""
    known = [
        d
        for d in (work.likely, work.window.latest, work.window.earliest)
        if d is not None and FIRST < d < LAST
    ]
    cut = known[0] if known else today
    first = work.window.earliest if work.window.earliest > FIRST else cut
    last = work.window.latest if work.window.latest < LAST else max(first, cut)
    if work.off_until is not None and work.off_until < LAST:
        first = max(first, work.off_until)
    return first, max(first, last)


def _described(work: DueWork, today: int) -> Iterator[str]:
    if work.why:
        yield work.why
    window = span_words(work.window.earliest, work.window.latest) if not work.window.unknown else "open"
    yield window + (f", most likely {day_words(work.likely)}" if work.likely is not None else "")
    if work.withheld:
        yield f"has to wait: {work.withheld}"
    if work.off_until is not None and work.put_off(today):
        yield f"put off until {day_words(work.off_until)}: {work.off_why}"


def _date(day: int) -> str:
    d = date.fromordinal(day)
    return f"{d.year:04}{d.month:02}{d.day:02}"


def text(value: str) -> str:
    """A TEXT value (RFC 5545, 3.3.11): backslash, semicolon, comma and line ends escaped."""
    lines = (clean(line, _LONG) for line in value.split("\n"))
    return "\\n".join(line.replace("\\", "\\\\").replace(";", "\\;").replace(",", "\\,") for line in lines)


def folded(line: str) -> bytes:
    """A content line cut to at most 75 octets a piece, never inside a character, ended by CRLF."""
    out: list[bytes] = []
    piece = b""
    for ch in line:
        more = ch.encode("utf-8")
        if len(piece) + len(more) > OCTETS:
            out.append(piece)
            piece = b" "  # the blank that marks a continuation counts as one of its octets
        piece += more
    return b"\r\n".join([*out, piece]) + b"\r\n"
