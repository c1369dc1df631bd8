"""Loaded visits are judged like walked ones: the newest of each enclosure, and only once."""

from __future__ import annotations

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from rounds.cli import run
from rounds.config import read
from rounds.files.load import load_folder
from rounds.records.entries import SetActionEntry, SetFlag
from rounds.records.observations import House
from rounds.reports.as_json import as_json
from rounds.reports.as_text import as_text
from rounds.reports.summary_report import summary_report
from rounds.settings.layers import layers
from rounds.store import read as book_read
from rounds.store.apply_entries import apply
from rounds.store.book import Book, create, open_book
from rounds.store.ids import Ids
from rounds.text.cleaning import day_words
from rounds.walk.daily_summary import judge_newest, of_day
from tests.files.folders import HOUSE, write
from tests.screens.house import DAY

CONFIG = read(layers(None)[:1])
LAST = "2026-02-28T07:3"


def tables(visits: str, readings: str) -> dict[str, str | bytes]:
    return {
        **HOUSE,
        "visits": "visit,at,keeper,enclosure,seq,skipped,note\n" + visits,
        "readings": "visit,reading,depth,value,how\n" + readings,
    }


def loaded(tmp_path: Path, visits: str, readings: str, *, since: str = "2026-02-01") -> Book:
    """The two of TL-001 are there ``since`` then."""
    book = create(tmp_path / "book.sqlite", House("", "UTC"))
    written = tables(visits, readings)
    written["contents"] = str(written["contents"]).replace("2026-02-01", since)
    load_folder(write(tmp_path / "tables", written), book, CONFIG.vocabulary)
    return book


def judged(book: Book) -> list[tuple[str, str]]:
    entries = judge_newest(book, CONFIG, Ids().new)
    with book.writing():
        apply(book, entries)
    return [
        (type(e).__name__, e.flag.rule if isinstance(e, SetFlag) else e.action.rule)
        for e in entries
        if isinstance(e, (SetFlag, SetActionEntry))
    ]


@pytest.mark.parametrize("newest", ["water", "right"])
def test_only_the_newest_visit_leaves_something_standing(tmp_path: Path, newest: str) -> None:
    visits = "a,2026-02-27T07:30,Ferrow,TL-002,1,,\nb,2026-02-28T07:30,Ferrow,TL-002,1,,\n"
    with loaded(tmp_path, visits, f"a,moisture,wall,water,read\nb,moisture,wall,{newest},read\n") as book:
        found = judged(book)
    assert found == (
        [("SetFlag", "standing-water"), ("SetActionEntry", "standing-water")] if newest == "water" else []
    )


def test_a_second_load_raises_nothing_twice(tmp_path: Path) -> None:
    with loaded(tmp_path, f"a,{LAST}0,Ferrow,TL-002,1,,\n", "a,moisture,wall,water,read\n") as book:
        assert judged(book)
        assert judged(book) == []
        assert [r.action.rule for r in of_day(book, CONFIG, DAY).rows] == ["standing-water"]


def test_the_command_that_loads_visits_has_the_rules_judge_them(tmp_path: Path) -> None:
    folder = write(
        tmp_path / "tables", tables(f"a,{LAST}0,Ferrow,TL-002,1,,\n", "a,moisture,wall,water,read\n")
    )
    path = tmp_path / "loaded.sqlite"
    create(path, House("", "UTC")).close()
    assert run(["--book", str(path), "load", str(folder)]) == 0
    with open_book(path) as book:
        [actions] = book_read.open_actions(book, DAY).values()
        assert [a.rule for a in actions] == ["standing-water"]
        assert judged(book) == [], "the command did it"


def test_a_skipped_visit_is_not_judged(tmp_path: Path) -> None:
    with loaded(tmp_path, f"a,{LAST}0,Ferrow,TL-003,1,leave,\n", "") as book:
        assert judged(book) == []


def test_a_house_without_visits_has_nothing_to_judge(tmp_path: Path) -> None:
    with loaded(tmp_path, "", "") as book:
        assert judge_newest(book, CONFIG, Ids().new) == []
        found = of_day(book, CONFIG, DAY)
        assert (found.rows, found.seen, len(found.unseen)) == ((), 0, 3)


def test_the_summary_of_a_day_does_not_know_later_looks(tmp_path: Path) -> None:
    visits = "a,2026-02-27T07:30,Ferrow,TL-002,1,,\nb,2026-02-28T07:30,Ferrow,TL-003,1,,\n"
    with loaded(tmp_path, visits, "a,moisture,wall,right,read\nb,moisture,wall,right,read\n") as book:
        day_before = of_day(book, CONFIG, DAY - 2)
        day = of_day(book, CONFIG, DAY - 1)
    assert [e.code for e, _ in day_before.unseen] == ["TL-001", "TL-003"]
    assert [e.code for e, _ in day.unseen] == ["TL-001", "TL-002"]


def test_due_work_is_listed_with_its_lock_and_what_is_put_off_is_not(tmp_path: Path) -> None:
    with loaded(tmp_path, "", "") as book, book.writing():
        for what, earliest, off in (
            ("first search", -2, None),
            ("wipe the lid", 0, None),
            ("weigh", -1, 3),
            ("later", 1, None),
        ):
            book.run(
                "INSERT INTO due (enclosure, what, earliest, latest, why, off_until) VALUES (1, ?, ?, ?, 'because', ?)",
                (what, DAY + earliest, DAY + 9, off and DAY + off),
            )
        book.run(
            "INSERT INTO lock (enclosure, forbids, from_day, until_earliest, until_latest, until_words, reason)"
            " VALUES (1, 'dig', ?, ?, ?, '', 'eggs below')",
            (DAY - 9, DAY + 5, DAY + 5),
        )
    with open_book(tmp_path / "book.sqlite") as book:
        found = of_day(book, CONFIG, DAY)
    mine = {d.what: d.withheld for e, d in found.due if e.id == 1}
    assert mine["wipe the lid"] == ""
    assert "do not dig" in mine["first search"]
    assert "eggs below" in mine["first search"]
    assert not {"weigh", "later"} & set(mine)
    assert "has to wait: do not dig" in as_text(summary_report(found, {}))
    rows = [
        row for row in json.loads(as_json(summary_report(found, {})))["due"] if row["what"] == "first search"
    ]
    assert "eggs below" in rows[0]["withheld"]


def test_what_a_set_up_needs_stands_beside_what_the_rules_want_brought(tmp_path: Path) -> None:
    with loaded(tmp_path, "", "") as book:
        plain = {c.what: c.amount for c in of_day(book, CONFIG, DAY).carry}
        with book.writing():
            book.run(
                "UPDATE enclosure SET stage = 'prepared', species = 'Pachnoda marginata', litres = 11 WHERE id = 2"
            )
            since = (DAY - 1, DAY - 1)
            book.run(
                "UPDATE enclosure SET stage_since_earliest = ?, stage_since_latest = ? WHERE id = 2", since
            )
            laying = next(
                c
                for c in CONFIG.checklists
                if c.use == "set-up" and any("litres" in s.bring.values() for s in c.steps)
            )
            ticked = next(s for s in laying.steps if not s.bring)
            book.run(
                "INSERT INTO tick (enclosure, list, item, done_earliest, done_latest) VALUES (2, ?, ?, ?, ?)",
                (laying.id, ticked.id, DAY, DAY),
            )
        carried = {c.what: c for c in of_day(book, CONFIG, DAY).carry}
    needed = {what for s in laying.steps for what in s.bring}
    assert needed <= set(carried)
    assert any(
        "TL-002" in carried[what].codes and carried[what].amount > plain.get(what, 0) for what in needed
    )


def test_before_anybody_walks_the_summary_carries_what_the_walk_would(
    demo_book: Path, tmp_path: Path
) -> None:
    """After a day without a walk, cups given at the last one are two days old, not fresh."""
    from rounds.walk.core import Walk
    from tests.endtoend import rack

    book = Path(shutil.copy(demo_book, tmp_path / "carry.sqlite"))
    later = rack.MORNING + 86_400_000
    walk = Walk(book, rack.config(), day=rack.TODAY + 1, clock=lambda: later)
    try:
        carried = walk.round.carry()
        found = of_day(walk.book, walk.config, walk.day)
    finally:
        walk.close(10)
    by_rule = {c.what: (c.amount, c.codes) for c in found.carry}
    assert carried
    for c in carried:
        assert by_rule[c.what] == (c.amount, c.codes)


def test_a_cup_that_nobody_changed_for_weeks_is_brought_and_its_age_is_said(tmp_path: Path) -> None:
    """However many looks came after it: after a fortnight, and after more than a walk looks back on."""
    from rounds.walk.core import Walk

    for ago in (14, 16, 60):
        first = DAY - ago
        days = [first + n for n in range(ago)]
        said = [date.fromordinal(d).isoformat() for d in days]
        visits = "".join(f"v{n},{d}T07:30,Ferrow,TL-001,1,,\n" for n, d in enumerate(said))
        readings = "v0,jelly_in,lid,4,read\n" + "".join(
            f"v{n},jelly_gone,lid,0,read\n" for n in range(1, ago)
        )
        folder = tmp_path / str(ago)
        folder.mkdir()
        with loaded(folder, visits, readings, since="2025-12-01") as book:
            [box] = [e for e in book_read.enclosures(book) if e.code == "TL-001"]
            assert box.stage in ("holding", "pairing", "laying", "quarantine")
            [cups] = [c for c in of_day(book, CONFIG, DAY).carry if c.what == "cups"]
            path = book.path
        assert "TL-001" in cups.codes
        assert f"TL-001: The last cup was given on {day_words(first)}; jelly keeps about three" in cups.why
        walk = Walk(path, CONFIG, day=DAY)
        assert [c for c in walk.round.carry() if c.what == "cups"] == [cups]
        assert walk.close(10) is None
