"""Broken CSV: every kind of damage is one sentence with a place, and nothing gets through."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.files.csv_rows import MAX_CELL, PER_FILE, Sink, rows
from rounds.problems import BadInput
from tests.sampled import sampled


def read(tmp_path: Path, raw: bytes) -> tuple[list[tuple[int, list[str]]], Sink]:
    path = tmp_path / "keepers.csv"
    path.write_bytes(raw)
    sink = Sink()
    return list(rows(path, sink)), sink


@pytest.mark.parametrize(
    ("raw", "line", "column", "part"),
    [
        (b"a,b\n1,\x002\n", 2, 2, "NUL"),
        (b"a,b\n\xff,2\n", 2, 1, "not UTF-8"),
        (b"a,b\n1,2\n1,x\xc3\n", 3, 2, "not UTF-8"),
        ("a,b\n1,2\n".encode("utf-16"), 1, 0, "UTF-16"),
        (b'a,b\n1,2"3\n', 2, 2, "quote stands inside"),
        (b'a,b"\n1,2\n', 1, 2, "quote stands inside"),
        (b'a,b\n"1"x,2\n', 2, 0, "after its closing quote"),
        (b'a,b\n1,2\n3,"4\n5,6\n', 3, 0, "never closed"),
        (b"a,b\r1,2\r", 1, 0, "carriage return"),
        (b"a,b\n1,2\r3\n", 2, 0, "carriage return"),
        (b"a,b\n1," + b"x" * (MAX_CELL + 1) + b"\n", 2, 0, "cell is longer"),
        (b"a,b\n1,2\n" + b"y" * (1 << 21), 3, 0, "line is longer"),
    ],
)
def test_damage_is_told_with_its_place(tmp_path: Path, raw: bytes, line: int, column: int, part: str) -> None:
    _, sink = read(tmp_path, raw)
    (problem,) = sink.problems
    assert (problem.file, problem.line, problem.column) == ("keepers.csv", line, column)
    assert part in problem.message
    assert sink.broken == {"keepers.csv"}


def test_a_cell_is_too_long_also_where_another_library_allows_longer_ones(tmp_path: Path) -> None:
    before = csv.field_size_limit(1 << 24)
    try:
        _, sink = read(tmp_path, b"a,b\n1," + b"x" * (MAX_CELL + 1) + b"\n")
    finally:
        csv.field_size_limit(before)
    (problem,) = sink.problems
    assert (problem.line, problem.message) == (2, f"a cell is longer than {MAX_CELL} characters.")


def test_what_is_only_unusual_is_read(tmp_path: Path) -> None:
    raw = b'\xef\xbb\xbfa,b\r\n\r\n"x ""y"" z, w","two\nlines"\r\n,,\n\n\x1b[31m,"=1"\nlast,row'
    found, sink = read(tmp_path, raw)
    assert not sink
    assert found == [
        (1, ["a", "b"]),
        (3, ['x "y" z, w', "two\nlines"]),
        (7, ["\x1b[31m", "=1"]),
        (8, ["last", "row"]),
    ]


def test_a_missing_file_and_a_folder_are_told(tmp_path: Path) -> None:
    sink = Sink()
    assert list(rows(tmp_path / "none.csv", sink)) == []
    assert list(rows(tmp_path, sink)) == []
    assert ["cannot be read" in p.message for p in sink.problems] == [True, True]


@settings(max_examples=sampled(50, 200))
@given(
    st.lists(
        st.lists(
            st.text(st.characters(exclude_characters="\0", codec="utf-8"), max_size=6), min_size=2, max_size=4
        ),
        max_size=6,
    ),
    st.sampled_from(["\n", "\r\n"]),
)
def test_what_a_csv_writer_wrote_is_read_back(
    tmp_path_factory: pytest.TempPathFactory, table: list[list[str]], end: str
) -> None:
    out = io.StringIO()
    csv.writer(out, lineterminator=end, quoting=csv.QUOTE_ALL).writerows(table)
    found, sink = read(tmp_path_factory.mktemp("t"), out.getvalue().encode())
    wanted = [row for row in table if any(row)]
    assert not sink
    assert [cells for _, cells in found] == wanted


def test_only_so_many_problems_are_told_and_the_rest_counted() -> None:
    sink = Sink()
    for i in range(PER_FILE + 7):
        sink.add("visits.csv", i + 1, 1, "is odd.")
    sink.add("lines.csv", 1, 1, "is odd too.")
    with pytest.raises(BadInput) as e:
        sink.raise_if_any()
    assert len(e.value.problems) == PER_FILE + 1
    assert e.value.closing == "And 7 more in visits.csv. Nothing was loaded."


def test_nothing_collected_raises_nothing() -> None:
    Sink().raise_if_any()
