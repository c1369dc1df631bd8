"""Loaded visits are judged like walked ones: the newest of each enclosure, and only once."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.config import layers, read
from rounds.daily import judge_newest, of_day
from rounds.exchange.load import load_folder
from rounds.husbandry.entries import SetAction, SetFlag
from rounds.husbandry.records import House
from rounds.store.book import Book, create
from rounds.store.ids import Ids
from rounds.store.write import apply
from tests.exchange.folders import HOUSE, write
from tests.screens.house import DAY

CONFIG = read(layers(None)[:1])
LAST = "2026-02-28T07:3"


def tables(visits: str, readings: str) -> dict[str, str | bytes]:
    return {
        **HOUSE, "visits": "visit,at,keeper,enclosure,seq,skipped,note\n" + visits, "readings": "visit,reading,depth,value,how\n" + readings,
    }  # fmt: skip


def loaded(tmp_path: Path, visits: str, readings: str) -> Book:
    book = create(tmp_path / "book.sqlite", House("", "UTC"))
    load_folder(write(tmp_path / "tables", tables(visits, readings)), book, CONFIG.vocabulary)
    return book


def judged(book: Book) -> list[tuple[str, str]]:
    entries = judge_newest(book, CONFIG, Ids().new)
    with book.writing():
        apply(book, entries)
    return [(type(e).__name__, e.flag.rule if isinstance(e, SetFlag) else e.action.rule) for e in entries if isinstance(e, (SetFlag, SetAction))]


@pytest.mark.parametrize("newest", ["water", "right"])
def test_only_the_newest_visit_leaves_something_standing(tmp_path: Path, newest: str) -> None:
    visits = "a,2026-02-27T07:30,Ferrow,TL-002,1,,\nb,2026-02-28T07:30,Ferrow,TL-002,1,,\n"
    with loaded(tmp_path, visits, f"a,moisture,wall,water,read\nb,moisture,wall,{newest},read\n") as book:
        found = judged(book)
    assert found == ([("SetFlag", "standing-water"), ("SetAction", "standing-water")] if newest == "water" else [])


def test_a_second_load_raises_nothing_twice(tmp_path: Path) -> None:
    with loaded(tmp_path, f"a,{LAST}0,Ferrow,TL-002,1,,\n", "a,moisture,wall,water,read\n") as book:
        assert judged(book)
        assert judged(book) == []
        assert [r.action.rule for r in of_day(book, CONFIG, DAY).rows] == ["standing-water"]


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
