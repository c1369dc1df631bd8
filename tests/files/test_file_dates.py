"""Dates with strokes: one file's dates settle the order of day and month, or the keeper is told once."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from rounds.files.load import load_folder
from rounds.files.write import write_folder
from rounds.problems import BadInput, Problem
from rounds.store.book import Book
from rounds.values.rough_width import RoughWidth
from rounds.values.spans import Span
from tests.files.folders import HOUSE, VOCABULARY, write

HEAD = "line,animal,sex,born,emerged\n"


def born(folder: Path, animals: str, book: Book) -> dict[str, Span]:
    """The births of the animals of a folder, by number, as the book has them."""
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "keepers", "places", "lines", "enclosures")}
    load_folder(write(folder, {**tables, "animals": HEAD + animals}), book, VOCABULARY)
    rows = book.rows("SELECT number, born_earliest, born_latest, born_words FROM animal")
    return {number: Span(earliest, latest, words or "") for number, earliest, latest, words in rows}


def problems(folder: Path, animals: str, book: Book) -> list[Problem]:
    with pytest.raises(BadInput) as e:
        born(folder, animals, book)
    return e.value.problems


def one(year: int, month: int, day: int) -> Span:
    ordinal = date(year, month, day).toordinal()
    return Span(ordinal, ordinal)


@pytest.mark.parametrize(
    ("settling", "fifth_of_june"),
    [
        ("31/10/2025", one(2025, 6, 5)),
        ("before 31/10/2025", one(2025, 6, 5)),
        ("10/31/2025", one(2025, 5, 6)),
    ],
)
def test_another_date_of_the_file_settles_the_order(
    tmp_path: Path, book: Book, settling: str, fifth_of_june: Span
) -> None:
    rows = f"UMBER,1,m,05/06/2025,\nUMBER,2,f,,{settling}\n"
    assert born(tmp_path / "t", rows, book)["1"] == fifth_of_june


def test_a_file_that_settles_nothing_is_one_problem_at_the_first(tmp_path: Path, book: Book) -> None:
    rows = "".join(f"UMBER,{n},m,2025-03-01,0{n}/0{n + 1}/2025\n" for n in range(1, 9))
    [told] = problems(tmp_path / "t", rows, book)
    assert (told.file, told.line, told.column) == ("animals.csv", 2, 5)
    assert "So can 7 more." in told.message
    assert "`2025-02-01` or `2025-01-02`" in told.hint
    assert not book.rows("SELECT id FROM animal")


def test_dates_that_contradict_each_other_settle_nothing(tmp_path: Path, book: Book) -> None:
    rows = "UMBER,1,m,05/06/2025,31/10/2025\nUMBER,2,f,06/07/2025,10/31/2025\n"
    [told] = problems(tmp_path / "t", rows, book)
    assert told.line == 2
    assert "`31/10/2025`" in told.message
    assert "`10/31/2025`" in told.message


def test_other_slips_are_told_beside_it(tmp_path: Path, book: Book) -> None:
    rows = "UMBER,1,m,05/06/2025,\nUMBER,2,f,31/02/2025,\nUMBER,3,f,06/07/2025,\n"
    told = problems(tmp_path / "t", rows, book)
    assert [p.line for p in told] == [2, 3]
    assert "February 2025 has 28 days" in told[1].message


@pytest.mark.parametrize("typed", ["31.10.2025", "31/10/2025", "31-10-2025", "05/05/2025", "05.06.2025"])
def test_nothing_is_said_of_two_ways_where_there_is_one(tmp_path: Path, book: Book, typed: str) -> None:
    assert born(tmp_path / "t", f"UMBER,1,m,{typed},\n", book)["1"].exact


COUNTS = "enclosure,line,females,unsexed,at_least\n"


@pytest.mark.parametrize(
    ("cells", "counted"),
    [("2,7,", (2, 7, 0)), ("2,30+,", (2, 30, 1)), (",>30,yes", (0, 31, 1)), (",at least 5,", (0, 5, 1))],
)
def test_a_count_of_at_least_so_many_says_it_for_its_row(
    tmp_path: Path, book: Book, cells: str, counted: tuple[int, int, int]
) -> None:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "keepers", "places", "lines", "enclosures")}
    tables["contents"] = COUNTS + f"TL-002,LOCH,{cells}\n"
    load_folder(write(tmp_path / "t", tables), book, VOCABULARY)
    assert book.rows("SELECT females, unsexed, at_least FROM content") == [counted]
    assert not any(load_folder(tmp_path / "t", book, VOCABULARY).added.values())


@pytest.mark.parametrize("cells", [",~20,no", "2-3,4,", ",up to 5,", ",30+,no"])
def test_what_no_row_can_hold_is_refused(tmp_path: Path, book: Book, cells: str) -> None:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "keepers", "places", "lines", "enclosures")}
    tables["contents"] = COUNTS + f"TL-002,LOCH,{cells}\n"
    with pytest.raises(BadInput) as e:
        load_folder(write(tmp_path / "t", tables), book, VOCABULARY)
    [told] = e.value.problems
    assert (told.file, told.line) == ("contents.csv", 2)
    assert told.hint
    assert not book.rows("SELECT id FROM content")


ROUGH = "enclosure,line,females,unsexed,at_least,high,count_words\n"


def test_a_rough_count_is_read_written_and_read_again(tmp_path: Path, book: Book) -> None:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "keepers", "places", "lines", "enclosures")}
    tables["contents"] = COUNTS + "TL-002,LOCH,2,ca. 20,\n"
    load_folder(write(tmp_path / "t", tables), book, VOCABULARY, about=RoughWidth(25, 1))
    held = "SELECT females, unsexed, at_least, high, count_words FROM content"
    assert book.rows(held) == [(2, 15, 1, 25, "ca. 20")]
    write_folder(tmp_path / "out", book, VOCABULARY)
    assert not any(load_folder(tmp_path / "out", book, VOCABULARY).added.values())


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ("2,15,yes,15,", "high"),
        ("2,15,yes,14,", "high"),
        ("2,15,no,20,", "at_least"),
    ],
)
def test_the_most_of_a_rough_count_agrees_with_its_row(
    tmp_path: Path, book: Book, cells: str, column: str
) -> None:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "keepers", "places", "lines", "enclosures")}
    tables["contents"] = ROUGH + f"TL-002,LOCH,{cells}\n"
    with pytest.raises(BadInput) as e:
        load_folder(write(tmp_path / "t", tables), book, VOCABULARY)
    [told] = e.value.problems
    assert told.message.startswith(f"{column}: ")
