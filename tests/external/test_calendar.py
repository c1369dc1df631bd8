"""Calendars read back by a parser of somebody else's: RFC 5545 as the `icalendar` package reads it.

What must hold of a file comes from RFC 5545: UID and DTSTAMP are required and UID is unique
(3.6.1, 3.8.4.7), DTEND is exclusive (3.6.1), TEXT is escaped (3.3.11), lines are at most 75
octets (3.1).
"""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import icalendar
import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.due.kinds import DUE_KINDS, DueWork
from rounds.due.work import works
from rounds.files.calendar_file import Event, calendar, days
from rounds.text.cleaning import clean
from rounds.values.spans import Span
from tests.acts.books import TODAY, house
from tests.husbandry.test_species import shipped

STAMP = 1_780_300_800_123


def read(raw: bytes) -> list[dict[str, object]]:
    """The events of a file as the package sees them."""
    found = icalendar.Calendar.from_ical(raw)
    assert found["VERSION"] == "2.0"
    assert found["PRODID"]
    assert not found.errors
    out = []
    for event in found.walk("VEVENT"):
        assert not event.errors
        out.append(
            {
                "uid": str(event["UID"]),
                "summary": str(event["SUMMARY"]),
                "description": str(event["DESCRIPTION"]),
                "start": event.decoded("DTSTART"),
                "end": event.decoded("DTEND"),
                "stamp": event.decoded("DTSTAMP"),
                "sequence": int(event["SEQUENCE"]),
                "status": str(event["STATUS"]),
                "place": str(event["LOCATION"]) if "LOCATION" in event else "",
            }
        )
    return out


def test_the_house_read_back_is_the_house_written() -> None:
    every = [w for w in works(house(), shipped(), TODAY) if w.done is None]
    assert len(every) > 8
    events = [Event(w, f"T-{w.enclosure:02}", "B3-2") for w in every]
    found = read(calendar(events, "Tarn Lantern Beetle House", STAMP, TODAY))
    assert len(found) == len({e["uid"] for e in found}) == len(every)
    by_words = {(str(e["summary"]), e["start"]): e for e in found}
    for event in events:
        first, last = days(event.work, TODAY)
        got = by_words[f"{event.code} {event.work.what}", date.fromordinal(first)]
        assert got["end"] == date.fromordinal(last) + timedelta(days=1)
        assert str(got["description"]).split("\n")[0] == event.work.why
        assert got["stamp"] == datetime.fromtimestamp(STAMP // 1000, UTC)
        assert got["place"] == "B3-2"
        assert got["status"] == "CONFIRMED"


def test_read_again_after_a_change_each_event_has_its_old_uid_and_a_higher_sequence() -> None:
    every = works(house(), shipped(), TODAY)
    before = read(calendar([Event(w) for w in every], "H", STAMP, TODAY))
    later = [
        w._replace(window=w.window.plus(3), done=TODAY if w.kind == "substrate" else w.done) for w in every
    ]
    after = {e["uid"]: e for e in read(calendar([Event(w) for w in later], "H", STAMP + 86_400_000, TODAY))}
    assert before
    assert {e["uid"] for e in before} == after.keys()
    for event in before:
        assert after[event["uid"]]["sequence"] > event["sequence"]  # type: ignore[operator]
    assert "CANCELLED" in {e["status"] for e in after.values()}


@given(
    st.text(st.characters(codec="utf-8"), max_size=120),
    st.text(st.characters(codec="utf-8"), max_size=400),
    st.integers(-400, 400),
    st.integers(0, 90),
    st.sampled_from(sorted(DUE_KINDS)),
)
def test_any_words_come_back_as_they_are_shown(
    what: str, why: str, start: int, length: int, kind: str
) -> None:
    window = Span(TODAY + start, TODAY + start + length)
    work = DueWork("k", kind, what, 1, None, window, None, why)
    (event,) = read(calendar([Event(work, "TL-001")], why or "H", STAMP, TODAY))
    assert event["summary"] == clean(f"TL-001 {what}" if what else "TL-001", 4000)
    wanted = "\n".join(clean(line, 4000) for line in why.split("\n"))
    assert str(event["description"]).startswith(wanted)
    assert event["start"] == date.fromordinal(window.earliest)
    assert event["end"] == date.fromordinal(window.latest + 1)


def test_the_parser_would_see_a_line_that_is_not_folded_right() -> None:
    """The control: a continuation without its blank is an error to it, so the tests above can fail."""
    long = works(house(), shipped(), TODAY)[0]._replace(why="x" * 200)
    raw = calendar([Event(long, "T-04")], "H", STAMP, TODAY)
    assert read(raw)
    assert b"\r\n " in raw
    with pytest.raises((ValueError, AssertionError, KeyError)):
        read(raw.replace(b"\r\n ", b"\r\n", 1))
