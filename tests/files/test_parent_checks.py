"""Pedigrees in a table: loops, however deep, and births that cannot be."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files.load import load_folder
from rounds.files.parent_checks import _loops
from rounds.problems import BadInput
from rounds.store.book import Book
from tests.files.folders import HOUSE, VOCABULARY, write

HEAD = "line,animal,sex,sire,dam,born,emerged,first_feed,mature\n"


def told(folder: Path, rows: str, book: Book) -> list[str]:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "places", "lines", "enclosures")}
    with pytest.raises(BadInput) as e:
        load_folder(write(folder, {**tables, "animals": HEAD + rows}), book, VOCABULARY)
    return [str(p) for p in e.value.problems]


def test_a_loop_is_told_once_with_its_chain(tmp_path: Path, book: Book) -> None:
    rows = "UMBER,1,m,UMBER/3,,,,,\nUMBER,2,f,UMBER/1,,,,,\nUMBER,3,m,,UMBER/2,,,,\nUMBER,4,m,UMBER/3,,,,,\n"
    (line,) = told(tmp_path / "t", rows, book)
    assert line.startswith("animals.csv:2:4  sire: an animal cannot be its own ancestor: UMBER/")
    assert line.count("<-") == 3


def test_a_loop_through_the_book_is_found(tmp_path: Path, book: Book) -> None:
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "places", "lines", "enclosures")}
    first = HEAD + "UMBER,1,m,,,,,,\nUMBER,2,m,UMBER/1,,,,,\n"
    load_folder(write(tmp_path / "a", {**tables, "animals": first}), book, VOCABULARY)
    found = told(tmp_path / "b", "UMBER,1,m,UMBER/2,,,,,\n", book)
    assert any("its own ancestor" in line for line in found)
    assert any("the book has nothing here" in line for line in found)


def test_a_pedigree_deeper_than_the_stack_is_walked() -> None:
    chain = {("L", str(n)): (("L", str(n + 1)),) for n in range(50_000)}
    assert list(_loops(chain)) == []
    chain["L", "50000"] = (("L", "0"),)
    (loop,) = _loops(chain)
    assert len(loop) == 50_001


@given(st.dictionaries(st.integers(0, 8), st.lists(st.integers(0, 8), max_size=2), max_size=9))
def test_loops_are_found_where_an_animal_reaches_itself(parents: dict[int, list[int]]) -> None:
    graph = {("L", str(a)): tuple(("L", str(b)) for b in bs) for a, bs in parents.items()}

    def reaches(a: int, goal: int, seen: set[int]) -> bool:
        return any(b == goal or (b not in seen and reaches(b, goal, seen | {b})) for b in parents.get(a, []))

    found = list(_loops(graph))
    assert bool(found) == any(reaches(a, a, set()) for a in parents)
    for loop in found:
        for child, parent in zip(loop, [*loop[1:], loop[0]], strict=True):
            assert parent in graph[child]


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        (
            "UMBER,1,m,,,2026-02-01,,,\nUMBER,2,f,UMBER/1,,2026-01-01,,,\n",
            "animals.csv:3:4  sire: UMBER/1 (2026-02-01) was not born before its young UMBER/2 (2026-01-01)",
        ),
        (
            "UMBER,1,m,,,2026-02-01,before 2026-01-15,,\n",
            "animals.csv:2:7  emerged: before 2026-01-15 is before `born` (2026-02-01)",
        ),
        (
            "UMBER,1,m,,,,2026-01-15,,about 2025-12-01\n",
            "animals.csv:2:9  mature: about 2025-12-01 is before `emerged` (2026-01-15)",
        ),
    ],
)
def test_lives_out_of_order_are_told(tmp_path: Path, book: Book, rows: str, said: str) -> None:
    assert any(line.startswith(said) for line in told(tmp_path / "t", rows, book))


def test_what_may_be_true_is_not_refused(tmp_path: Path, book: Book) -> None:
    rows = (
        "UMBER,1,m,,,spring 2026,,,\nUMBER,2,unknown,UMBER/1,,2026-05-01,about 2026-05-04,2026-05-01,\n"
        "UMBER,3,f,,UMBER/2,unknown,before 2026-01-01,,\n"
    )
    tables = {k: v for k, v in HOUSE.items() if k in ("house", "places", "lines", "enclosures")}
    assert (
        load_folder(write(tmp_path / "t", {**tables, "animals": HEAD + rows}), book, VOCABULARY).added[
            "animals"
        ]
        == 3
    )
