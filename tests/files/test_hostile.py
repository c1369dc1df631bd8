"""Tables damaged at random: a load is refused in words or right, and a refused one changes nothing."""

from __future__ import annotations

import csv
import re
import time
import tracemalloc
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rounds.files.load import load_folder
from rounds.problems import BadInput
from rounds.records.observations import House
from rounds.store.book import Book, create
from tests.files.folders import HOUSE, VOCABULARY, write
from tests.files.test_load import fingerprint
from tests.sampled import sampled

pieces = st.one_of(
    st.binary(max_size=4),
    st.sampled_from(
        [
            b"\0",
            b'"',
            b",",
            b"\n",
            b"\r",
            b"\xff",
            b"\xef\xbb\xbf",
            b"'=",
            b"\x1b[2J",
            "\u202e".encode(),
            b"9" * 400,
            b"-1",
            b"1..2",
            b"2026-02-30",
            b"UMBER/1",
            b"TL-001",
            b"unknown",
            b";",
            b"\t",
        ]
    ),
)
damage = st.lists(
    st.tuples(st.sampled_from(sorted(HOUSE)), st.integers(0, 400), st.integers(0, 6), pieces),
    min_size=1,
    max_size=3,
)


@settings(
    max_examples=sampled(30, 120), deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(damage=damage)
def test_damage_is_refused_in_words_or_harmless(
    tmp_path: Path, damage: list[tuple[str, int, int, bytes]]
) -> None:
    tables: dict[str, bytes] = {k: v.encode() for k, v in HOUSE.items()}
    for table, at, cut, new in damage:
        raw = tables[table]
        at %= len(raw)
        tables[table] = raw[:at] + new + raw[at + cut :]
    folder = tmp_path / "t"
    with _book(tmp_path) as book:
        before = fingerprint(book)
        try:
            load_folder(write(folder, tables), book, VOCABULARY)  # type: ignore[arg-type]
        except BadInput as e:
            refused = e
        else:
            book.close()
            (tmp_path / "b" / "a.book").unlink()  # used up
            return
        assert fingerprint(book) == before
    assert refused.problems
    for problem in refused.problems:
        assert str(problem).isprintable(), problem
        assert problem.file.endswith(".csv")


def _book(tmp_path: Path) -> Book:
    from rounds.store.book import open_book

    path = tmp_path / "b" / "a.book"
    return open_book(path) if path.exists() else create(path, House("", "UTC"))


def test_the_fingerprint_would_show_a_change(tmp_path: Path) -> None:
    """The control: had a load left anything behind, the tests above would have seen it."""
    with _book(tmp_path) as book:
        before = fingerprint(book)
        load_folder(write(tmp_path / "t", HOUSE), book, VOCABULARY)
        assert fingerprint(book) != before


@pytest.mark.parametrize(
    ("name", "raw"),
    [
        ("NUL", b"line,species\nUMBER,\0\n"),
        ("lone quote", b'line,species\n"UMBER,D\n' + b"x" * 200_000),
        ("latin-1", "line,species\nUMBER,Käfer\n".encode("latin-1")),
        ("utf-16", "line,species\nUMBER,D\n".encode("utf-16")),
        ("carriage returns only", b"line,species\rUMBER,D\r"),
        ("too many cells", b"line,species\nUMBER,D,3\n"),
        ("too few cells", b"line,species\nUMBER\n"),
        ("header twice", b"line,line\nUMBER,D\n"),
        ("no header", b"UMBER,Dicronorhina\n"),
        ("empty", b""),
        ("semicolons", b"line;species\nUMBER;D\n"),
    ],
)
def test_the_corpus_is_refused(tmp_path: Path, name: str, raw: bytes) -> None:
    with _book(tmp_path) as book:
        before = fingerprint(book)
        with pytest.raises(BadInput) as e:
            load_folder(write(tmp_path / "t", {**HOUSE, "lines": raw}), book, VOCABULARY)
        assert fingerprint(book) == before
    assert {p.file for p in e.value.problems} == {"lines.csv"}, name
    assert e.value.closing.endswith("Nothing was loaded.")


MIB = 1 << 20


HUGE: dict[str, tuple[bytes, bytes, int, str]] = {
    "a long line": (b"line,species\n", b"x", 100 * MIB, "lines.csv:2  the line is longer than 1 MiB"),
    "quotes": (b"line,species\n", b'"', 20 * MIB, "lines.csv:2  the line is longer than 1 MiB"),
    "an open quote": (b'line,species\n"', b"x\n", 20 * MIB, "lines.csv:2  a cell is longer than 131072"),
    "NULs": (b"", b"\0", 20 * MIB, "lines.csv:1  the line is longer than 1 MiB"),
    "columns": (b"c0", b",c", 100_000, "lines.csv:1:1  `c0` is not a column"),
    "bad rows": (b"line,species\n", b"x\n", 2 * MIB, "lines.csv:2:2  the row has 1 cells, the header 2"),
    "digits": (b"line,species\n", b"9", 900_000, "lines.csv:2  a cell is longer than 131072"),
}
"""A beginning, what follows it so many times, and what is said."""


@pytest.mark.parametrize("name", HUGE)
def test_what_is_huge_is_refused_in_little_memory_and_time(tmp_path: Path, name: str) -> None:
    begins, unit, times, said = HUGE[name]
    before_us = csv.field_size_limit(1 << 30)  # as a library in the same process may leave it
    with _book(tmp_path) as book:
        folder = write(tmp_path / "t", {**HOUSE, "lines": begins + unit * times})
        before = fingerprint(book)
        tracemalloc.start()
        start = time.process_time()
        with pytest.raises(BadInput, match=re.escape(said)):
            load_folder(folder, book, VOCABULARY)
        assert time.process_time() - start < 10
        assert tracemalloc.get_traced_memory()[1] < 60 * MIB
        tracemalloc.stop()
        assert fingerprint(book) == before
    assert csv.field_size_limit(before_us) == 1 << 30


@pytest.mark.parametrize(
    "raw",
    [b"\xef\xbb\xbfline,species\r\nUMBER,D\r\nLOCH,=1+1\r\n", b"line,species\nUMBER,\x1b]0;x\x07\nLOCH,D"],
)
def test_what_is_only_odd_is_kept_as_it_stands(tmp_path: Path, raw: bytes) -> None:
    with _book(tmp_path) as book:
        load_folder(write(tmp_path / "t", {**HOUSE, "lines": raw}), book, VOCABULARY)
        found = {s for (s,) in book.rows("SELECT species FROM line")}
    assert found & {"=1+1", "\x1b]0;x\x07"}
