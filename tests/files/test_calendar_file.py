"""Due work as iCalendar, CSV, JSON and text: what the bytes must be, and what they say."""

from __future__ import annotations

import csv
import io
import json
import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from rounds.due.kinds import DueWork
from rounds.files.calendar_file import Event, calendar, days, folded, text, uid
from rounds.reports.as_csv import as_csv
from rounds.reports.as_json import as_json
from rounds.reports.as_text import as_text
from rounds.reports.day_kinds import DUE
from rounds.reports.due_list import due_list
from rounds.reports.report_columns import data_columns
from rounds.values.spans import FIRST, LAST, Span

TODAY = 739_754  # 2026-05-18
STAMP = 1_780_300_800_123  # an instant of that day

SEARCH = DueWork(
    "first-search/TL-003/search-1",
    "first-search",
    "first search",
    3,
    None,
    Span(TODAY - 1, TODAY + 9),
    TODAY + 2,
    "laying since 2026-04-17; first search 26 to 35 days on",
)


def unfolded(raw: bytes) -> list[str]:
    """Content lines, put together again by the letter of the standard: CRLF and a blank are nothing."""
    assert raw.endswith(b"\r\n")
    return raw.replace(b"\r\n ", b"").decode("utf-8").split("\r\n")[:-1]


def one(work: DueWork, **more: str) -> list[str]:
    return unfolded(calendar([Event(work, **more)], "Tarn Lantern Beetle House", STAMP, TODAY))


def test_an_event_stands_over_its_window_and_says_why() -> None:
    lines = one(SEARCH, code="TL-003", place="B3-2")
    assert lines[:2] == ["BEGIN:VCALENDAR", "VERSION:2.0"]
    assert "DTSTART;VALUE=DATE:20260517" in lines
    assert "DTEND;VALUE=DATE:20260528" in lines  # the day after the last
    assert "SUMMARY:TL-003 first search" in lines
    assert "LOCATION:B3-2" in lines
    assert "STATUS:CONFIRMED" in lines
    assert "DTSTAMP:20260601T080000Z" in lines
    (why,) = (x for x in lines if x.startswith("DESCRIPTION:"))
    assert (
        why
        == r"DESCRIPTION:laying since 2026-04-17\; first search 26 to 35 days on\n17 May to 27 May\, most likely 20 May"
    )


def test_a_newer_file_changes_the_event_and_does_not_add_one() -> None:
    before = one(SEARCH)
    after = unfolded(
        calendar(
            [Event(SEARCH._replace(window=Span(TODAY, TODAY + 20), why="corrected"))],
            "Tarn Lantern Beetle House",
            STAMP + 60_000,
            TODAY,
        )
    )

    def named(lines: list[str], name: str) -> str:
        (found,) = (x for x in lines if x.startswith(f"{name}:"))
        return found.partition(":")[2]

    assert named(before, "UID") == named(after, "UID")
    assert int(named(before, "SEQUENCE")) < int(named(after, "SEQUENCE"))
    assert named(before, "DTSTAMP") < named(after, "DTSTAMP")


def test_another_house_or_another_work_is_another_event() -> None:
    keys = [("A", "x"), ("A", "y"), ("B", "x"), ("B", "y")]
    assert len({uid(*k) for k in keys}) == 4
    assert uid("A", "x") == uid("A", "x")


def test_work_that_is_done_leaves_the_calendar_and_is_forgotten_later() -> None:
    assert "STATUS:CANCELLED" in one(SEARCH._replace(done=TODAY - 3))
    assert not any(line.startswith("UID") for line in one(SEARCH._replace(done=TODAY - 200)))


@pytest.mark.parametrize(
    ("window", "likely", "off", "expected"),
    [
        (Span(TODAY, TODAY), None, None, (TODAY, TODAY)),
        (Span(FIRST, TODAY + 5), None, None, (TODAY + 5, TODAY + 5)),
        (Span(TODAY + 5, LAST), None, None, (TODAY + 5, TODAY + 5)),
        (Span(TODAY + 5, LAST), TODAY + 9, None, (TODAY + 5, TODAY + 9)),
        (Span(FIRST, LAST), None, None, (TODAY, TODAY)),
        (Span(TODAY, TODAY + 5), None, TODAY + 3, (TODAY + 3, TODAY + 5)),
        (Span(TODAY, TODAY + 5), None, TODAY + 9, (TODAY + 9, TODAY + 9)),
    ],
)
def test_an_open_end_is_cut_to_what_is_known(
    window: Span, likely: int | None, off: int | None, expected: tuple[int, int]
) -> None:
    assert days(SEARCH._replace(window=window, likely=likely, off_until=off), TODAY) == expected


def test_the_same_work_gives_the_same_bytes_in_any_order() -> None:
    other = Event(SEARCH._replace(key="z"), "TL-009")
    mine = Event(SEARCH, "TL-003")
    assert calendar([mine, other], "H", STAMP, TODAY) == calendar([other, mine], "H", STAMP, TODAY)


@given(st.text())
@example("ü" * 200)
@example("🪲" * 200)
@example("a" * 74 + "ß")
@example("")
def test_lines_are_folded_at_75_octets_and_never_inside_a_character(line: str) -> None:
    line = line.replace("\r", "").replace("\n", "")
    raw = folded(line)
    pieces = raw.split(b"\r\n")
    assert pieces.pop() == b""
    assert all(len(p) <= 75 for p in pieces)
    for piece in pieces:
        piece.decode("utf-8")  # each is whole characters
    assert (pieces[0] + b"".join(p[1:] for p in pieces[1:])).decode("utf-8") == line
    assert all(p.startswith(b" ") for p in pieces[1:])


@given(st.text(st.characters(codec="utf-8"), max_size=200))
@example("a;b,c\\n\nd\r\nBEGIN:VEVENT")
@example("\x1b]0;owned\x07\u202e")
def test_text_can_neither_end_its_line_nor_steer_a_terminal(typed: str) -> None:
    written = text(typed)
    assert "\n" not in written
    assert "\r" not in written
    assert not {unicodedata.category(c) for c in written} & {"Cc", "Cf"}
    bare = written.replace("\\\\", "").replace("\\n", "").replace("\\;", "").replace("\\,", "")
    assert not set(bare) & set("\\;,")


def events() -> list[Event]:
    late = SEARCH._replace(
        key="late", window=Span(TODAY - 9, TODAY - 2), likely=TODAY - 5, withheld="do not dig (moulting)"
    )
    off = SEARCH._replace(key="off", off_until=TODAY + 5, off_why="she still digs")
    later = SEARCH._replace(key="later", window=Span(TODAY, TODAY + 90), likely=TODAY + 60)
    return [
        Event(SEARCH, "TL-003", "B3-2"),
        Event(late, "TL-004", "A1-1"),
        Event(off, "=cmd()", "A1-2"),
        Event(later, "TL-006", ""),
    ]


def test_the_text_groups_by_how_near_it_is_and_counts_the_rest() -> None:
    far = SEARCH._replace(key="far", window=Span(TODAY + 20, TODAY + 30), likely=None)
    out = as_text(due_list([*events(), Event(far, "TL-007")], TODAY, TODAY + 14, {}))
    lines = out.split("\n")
    assert lines[0] == (
        "Mon 18 May 2026: 4 due, or can begin by Mon 1 Jun 2026: 1 overdue, 1 this week, 1 later, 1 put off"
    )
    titles = [line for line in lines if line and not line.startswith(" ")][1:]
    assert titles == [
        "Overdue: 1",
        "This week, to Mon 25 May 2026: 1",
        "Later, most likely after Mon 25 May 2026: 1",
        "Put off: 1",
        "and 1 more later, the last from Sun 7 Jun 2026 on: rounds due --until +20 lists them",
    ]
    assert lines[lines.index(titles[1]) + 1] == "  Wed 20 May 2026"
    assert "    B3-2  TL-003  first search: 17 May to 27 May, likely 20 May" in lines
    assert "  A1-1  TL-004  first search: 9 May to 16 May, likely 13 May, 2 days late" in lines
    assert "      has to wait: do not dig (moulting)" in lines
    assert "      put off until 23 May: she still digs" in lines
    assert "TL-007" not in out


def test_what_the_last_words_say_lists_all_of_it() -> None:
    far = [
        Event(SEARCH._replace(key=f"far{n}", window=Span(TODAY + n, TODAY + 90), likely=None))
        for n in (20, 400)
    ]
    short = as_text(due_list(far, TODAY, TODAY + 14, {}))
    until = int(short.rsplit("--until +", 1)[1].split()[0])
    assert "more later" not in as_text(due_list(far, TODAY, TODAY + until, {}))
    assert "and 1 more later" in as_text(due_list(far, TODAY, TODAY + until - 1, {}))


def test_csv_and_json_hold_the_same_and_no_formula() -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(due_list(events(), TODAY, LAST, {})), newline="")))
    objects = json.loads(as_json(due_list(events(), TODAY, LAST, {})))["rows"]
    names = [c.name for c in data_columns(DUE.tables[0].columns)]
    assert [list(o) for o in objects] == [names] * len(objects)
    assert list(rows[0]) == names
    assert (
        [o["key"] for o in objects]
        == [r["key"] for r in rows]
        == ["late", "first-search/TL-003/search-1", "off", "later"]
    )
    assert objects[2]["enclosure"] == "=cmd()"
    assert rows[2]["enclosure"] != "=cmd()"
    assert rows[2]["enclosure"].endswith("=cmd()")
    assert (objects[0]["overdue"], rows[0]["overdue"]) == (True, "yes")
    assert [o["group"] for o in objects] == ["overdue", "this week", "put off", "later"]
    assert (objects[1]["put_off_until"], rows[1]["put_off_until"]) == (None, "")
    open_ = SEARCH._replace(window=Span(FIRST, LAST), likely=None)
    (unknown,) = json.loads(as_json(due_list([Event(open_)], TODAY, LAST, {})))["rows"]
    assert (unknown["earliest"], unknown["likely"], unknown["latest"]) == (None, None, None)
