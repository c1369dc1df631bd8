"""No question about today reads a whole table that grows with every round."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from rounds.records.entries import Assign, OpenRound, OpenVisit, RecordActEntry
from rounds.store import read, read_acts, recording
from rounds.store.apply_entries import apply
from rounds.store.book import Book
from rounds.store.orm import pw
from rounds.store.round_models import VisitModel
from rounds.store.visit_search import BookArchive
from tests.store.houses import DAY, NOON, fill, new_house

# What there is at least one of per visit.
GROWING = frozenset(
    (
        "visit",
        "reading",
        "cell",
        "change",
        "flag",
        "action_change",
        "step",
        "not_seen",
        "remark",
        "act",
        "act_change",
    )
)


def aliases(sql: str) -> dict[str, str]:
    """The tables of a statement by the letters it gives them, whether we wrote it or the builder."""
    found = re.findall(r'(?:FROM|JOIN|,|INTO|UPDATE) "?(\w+)"?(?: AS)? "?(\w+)"?', sql)
    return {alias: table for table, alias in found}


ASKED: dict[str, Callable[[Book], object]] = {
    "history": lambda b: read.history(b, since_day=DAY - 3),
    "history of some": lambda b: read.history(b, since_day=DAY - 3, until_ms=NOON, enclosures=[1, 2]),
    "last_visits": lambda b: read.last_visits(b, 5, 30),
    "newest_with": lambda b: read.newest_with(b, {5: (["jelly_gone"], DAY - 9)}, DAY),
    "visits_of_round": lambda b: read.visits_of_round(b, _round(b)),
    "unseen_of_round": lambda b: read.unseen_of_round(b, _round(b)),
    "shelf_history of some": lambda b: read.shelf_history(b, ["shelf_temp"], DAY - 3, [1, 2]),
    "shelf_history": lambda b: read.shelf_history(b, ["shelf_temp"], DAY - 3),
    "changes": lambda b: read.changes(b, _visit(b)),
    "flags_of_visit": lambda b: read.flags_of_visit(b, _visit(b)),
    "not_seen": lambda b: read.not_seen(b, DAY),
    "steps_of": lambda b: read.steps_of(b, _round(b)),
    "walked_elsewhere": lambda b: read.walked_elsewhere(b, _round(b)),
    "open_actions": lambda b: read.open_actions(b, DAY),
    "round_of": lambda b: read.round_of(b, "Ferrow", DAY),
    "unfinished_rounds": lambda b: read.unfinished_rounds(b, DAY),
    "enclosures": lambda b: read.enclosures(b),
    "locks": lambda b: read.locks(b, DAY),
    "dues": lambda b: read.dues(b, DAY),
    "acts of an enclosure": lambda b: read.acts(b, enclosure=1),
    "acts of an animal": lambda b: read.acts(b, animal=1),
    "an act": lambda b: read_acts.of_uid(b, b"?" * 16),
    "acts after one": lambda b: read_acts.recorded(b, 40),
    "notes of an enclosure": lambda b: BookArchive(b).notes(1),
    "a key": lambda b: _write(b),
}


def _round(book: Book) -> bytes:
    return bytes((book.row('SELECT uid FROM "round" ORDER BY id DESC LIMIT 1') or ())[0])


def _visit(book: Book) -> bytes:
    return bytes((book.row("SELECT uid FROM visit WHERE id = 50") or ())[0])


def _write(book: Book) -> None:
    v, r = b"v" * 16, b"r" * 16
    with book.writing():
        apply(book, [OpenRound(r, "Ferrow", DAY, NOON, "UTC"), OpenVisit(v, r, 1, 1, NOON)])
        apply(
            book,
            [
                Assign(v, "moisture", 1, None, "wet", NOON, "Ferrow"),
                Assign(v, "moisture", 1, "wet", "dry", NOON, "Ferrow"),
            ],
        )
        apply(
            book,
            [
                Assign(v, "note", 1, None, "odd", NOON, "Ferrow"),
                Assign(v, "note", 1, "odd", None, NOON, "Ferrow"),
            ],
        )


@pytest.fixture(scope="module", params=["no statistics", "statistics"])
def filled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Book]:
    with new_house(tmp_path_factory.mktemp("house") / "tarn.book", 30) as book:
        fill(book, 20, range(1, 31), [("jelly_gone", 2), ("moisture", "right"), ("shelf_temp", 24.5)])
        with book.writing():
            book.run('INSERT INTO not_seen (round, enclosure) SELECT id, 1 FROM "round"')
        for n in range(60):
            box, stage = f"TL-{n // 2 + 1:03}", ("larvae", "colony")[n % 2]
            recording.record(
                book,
                RecordActEntry(
                    bytes([n]) * 16, "stage", box, {"stage": stage}, DAY, NOON, "Ferrow", sure=True
                ),
            )
        if request.param == "statistics":
            book.run("ANALYZE")
        yield book


def scans(book: Book, ask: Callable[[Book], Any], monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """The plan's lines that read a growing table from end to end, of every statement ``ask`` runs."""
    asked: list[tuple[str, Any]] = []
    plain = pw.SqliteDatabase.execute_sql

    def noting(db: Any, sql: str, values: Any = ()) -> Any:
        if re.match(r"SELECT|INSERT|UPDATE|DELETE", sql):
            asked.append((sql, values))
        return plain(db, sql, values)

    monkeypatch.setattr(pw.SqliteDatabase, "execute_sql", noting)
    ask(book)
    monkeypatch.undo()
    assert asked
    found = []
    for sql, values in asked:
        tables = aliases(sql)
        for *_, detail in book.rows(f"EXPLAIN QUERY PLAN {sql}", values):
            table = re.match(r'SCAN "?(\w+)"?', detail)
            if table and tables.get(table[1], table[1]) in GROWING:
                found.append(f"{detail}: {sql}")
    return found


@pytest.mark.parametrize("name", ASKED)
def test_nothing_that_grows_is_read_whole(filled: Book, name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    assert scans(filled, ASKED[name], monkeypatch) == []


@pytest.mark.parametrize(
    "sql",
    [
        "SELECT * FROM visit WHERE at_ms > 5",
        "SELECT max(seq) FROM visit v GROUP BY v.seq",
        "SELECT v.id FROM reading g CROSS JOIN visit v ON v.id = g.visit WHERE v.enclosure = 1",
    ],
)
def test_control_a_query_of_the_wrong_shape_is_found_out(
    filled: Book, sql: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert scans(filled, lambda book: book.rows(sql), monkeypatch)


def test_control_a_query_of_the_builder_is_seen_by_its_table(
    filled: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    late = VisitModel.select(VisitModel.seq).where(VisitModel.at_ms > 5)
    assert scans(filled, lambda book: book.ask(late), monkeypatch)


def test_a_visit_with_four_readings_takes_at_most_140_bytes(tmp_path: Path) -> None:
    path = tmp_path / "tarn.book"
    with new_house(path, 200) as book:
        cells = [
            ("jelly_gone", 3),
            ("jelly_in", 4),
            ("moisture", "right"),
            ("as_expected", {"smell": "earthy", "mites": "none"}),
        ]
        fill(book, 5, range(1, 201), cells)
        book.tidy()
        before = path.stat().st_size
        fill_more(book, 25, cells)
        book.tidy()
    assert (path.stat().st_size - before) / (25 * 200) <= 140


def fill_more(book: Book, days: int, cells: list[tuple[str, Any]]) -> None:
    from rounds.store.ids import Ids
    from tests.store.houses import Steady, walk

    clock = Steady(NOON + 86_400_000)
    ids = Ids(clock)
    for day in range(days):
        with book.writing():
            apply(book, walk(ids, clock, DAY + 1 + day, range(1, 201), cells))
