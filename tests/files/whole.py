"""Whole books made at random, and everything such a book holds, for comparing two of them."""

from __future__ import annotations

import sqlite3
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

from rounds.acts import registry
from rounds.acts.act import BadAct, ConfirmationRequired
from rounds.files.csv_tables import OF_LEDGER
from rounds.husbandry.stages import STAGES
from rounds.records.column import Column
from rounds.records.entries import (
    AS_EXPECTED,
    NOTE,
    SKIPPED,
    Assign,
    CloseRound,
    OpenRound,
    OpenVisit,
    SetActionEntry,
    SetFlag,
    UndoStep,
)
from rounds.records.observations import Action, Flag, House
from rounds.records.record import Record
from rounds.records.tables import TABLES, Enclosure
from rounds.store import ledger_store
from rounds.store.apply_entries import apply
from rounds.store.book import Book, create
from rounds.store.bulk import Loading, change_mark
from rounds.store.ids import Ids
from rounds.store.load_order import ORDER, late
from rounds.store.snapshot import HouseRow
from rounds.values.span_parser import parse_span
from rounds.values.spans import FIRST, LAST, Span

texts = st.one_of(
    st.text(st.characters(exclude_characters="\0", codec="utf-8"), max_size=10),
    st.sampled_from(
        [
            "=1+1",
            "'=x",
            "''-",
            "-5",
            "@a",
            "\tb",
            "\rc",
            "+",
            "'",
            '"',
            "a,b",
            'say "no"',
            "two\nlines",
            " blank ",
            "[bold]x",
            "\x1b[31m",
            "\u202eabc",
            "none",
            "yes",
        ]
    ),
)
names = texts.filter(lambda t: bool(t) and t == t.strip() and "/" not in t)
days = st.integers(date(2001, 1, 1).toordinal(), date(2040, 1, 1).toordinal())
words = st.sampled_from(
    ["", "spring 2025", "about 2025-11-03", "unknown", "last week", "May 2026", "before 2026-01-01", " x "]
)
spans = st.one_of(
    st.none(),
    st.builds(lambda a, n, w: Span(a, a + n, w), days, st.integers(0, 90), words),
    st.builds(lambda a: Span(FIRST, a), days),
    st.builds(lambda a: Span(a, LAST), days),
    st.sampled_from(
        ["spring 2026", "2026-01-05", "5 March 2026", "unknown", "between 2025-01-01 and 2025-02-01"]
    ).map(parse_span),
)
numbers = st.one_of(st.none(), st.floats(0.001, 900, allow_nan=False), st.integers(1, 900).map(float))

_BY_NAME: dict[str, st.SearchStrategy[Any]] = {
    "stage": st.sampled_from(STAGES),
    "forbids": st.sampled_from(["dig", "open move", "dig open move wet"]),
    "bay": st.sampled_from("ABZ"),
    "shelf": st.integers(1, 9),
    "slot": st.integers(1, 20),
    "state": st.just("alive"),
    "instar": st.sampled_from(["", "eggs", "L1", "L3"]),
    "litres": numbers,
    "sex": st.just("unknown"),
}
_LIFE = ("born", "wandering", "cell", "eclosed", "emerged", "first_feed", "mature")


def needed(table: type[Record], column: Column) -> bool:
    """Must a row say this?"""
    return next(c.required for c in OF_LEDGER[table.table].columns if c.holds == column.name)


def _cell(draw: st.DrawFn, table: type[Record], c: Column, made: dict[str, dict[Any, Any]]) -> Any:
    """Any value the column can hold."""
    if c.type == "ref":
        keys = list(made.get(c.of, {}))
        if late(table, c):
            return None
        return draw(st.sampled_from(keys if needed(table, c) else [None, *keys]))
    if c.name in _LIFE:
        return None
    if c.name in _BY_NAME:
        return draw(_BY_NAME[c.name])
    if c.words:
        return draw(st.sampled_from(c.words))
    if c.type == "text":
        return draw(
            names
            if c.name in table.key
            else texts.filter(bool)
            if needed(table, c) or c.default is None
            else texts
        )
    return draw(
        {
            "whole": st.integers(0, 999)
            if needed(table, c) or c.default is not None
            else st.one_of(st.none(), st.integers(0, 999)),
            "number": numbers,
            "yesno": st.booleans(),
            "day": st.one_of(st.none(), days),
            "span": spans,
        }[c.type]
    )


@st.composite
def books(draw: st.DrawFn) -> dict[str, dict[Any, dict[str, Any]]]:
    """Rows of every table of the registry, by key, with references that hold."""
    made: dict[str, dict[Any, dict[str, Any]]] = {}
    for table in ORDER:
        rows: dict[Any, dict[str, Any]] = {}
        least = 1 if table.table in ("place", "enclosure", "line") else 0
        if any(c.type == "ref" and not made.get(c.of) and needed(table, c) for c in table.columns):
            made[table.table] = rows
            continue
        for n in range(draw(st.integers(least, 3))):
            row = {c.name: _cell(draw, table, c, made) for c in table.columns} | {
                "void": draw(st.integers(0, 5)) == 0
            }
            if _kept(table, row, n, rows):
                key = tuple(row[k] for k in table.key)
                rows[(key[0] if len(key) == 1 else key) if key else n + 1] = row
        made[table.table] = rows
    return made


def _kept(table: type[Record], row: dict[str, Any], n: int, rows: dict[Any, dict[str, Any]]) -> bool:
    """Bend a row to what the house's own rules ask; False for one that cannot stand beside the others."""
    key = tuple(row[k] for k in table.key)
    if key and (key[0] if len(key) == 1 else key) in rows:
        return False
    match table.table:
        case "enclosure":
            row["number"], row["void"] = n + 1, False
        case "place" | "line":
            row["void"] = False
        case "content":
            if row["animal"] is not None:
                row |= {"males": 0, "females": 0, "unsexed": 0, "at_least": False, "until": Span(9, 9)}
            elif row["line"] is None and row["brood"] is None and row["lot"] is None:
                return False
            else:
                row["males"] += 1
        case "lock":
            if (row["enclosure"] is None) == (row["animal"] is None):
                return False
            row |= {"from_day": 1, "until": row["until"]}
        case "due":
            if row["enclosure"] is None and row["animal"] is None:
                return False
            row |= {"earliest": 730_000, "likely": None, "latest": 730_000 + n}
        case "plan":
            if row["female"] == row["male"]:
                return False
            row |= {"earliest": 730_000, "latest": 730_000 + n}
            if row["pairing"] is None:
                row["dropped"] = 730_000 if n or row["dropped"] is None else row["dropped"]
            else:
                row["dropped"] = None
    if "high" in row:
        _rough(row)
    return True


def _rough(row: dict[str, Any]) -> None:
    """Bend a drawn number to the most of a rough count of what the row counts; a numbered animal has none."""
    if row["high"] is None or row.get("animal") is not None:
        row["high"] = None
        return
    kinds = ("unsexed",) if "unsexed" in row else ("eggs", "l1", "l2", "l3")
    row["high"] += 1 + sum(row[kind] or 0 for kind in kinds)
    if "at_least" in row:
        row["at_least"] = True


values = {
    "eaten": st.integers(0, 9),
    "heat": st.integers(0, 450).map(lambda n: n / 10),
    "damp": st.sampled_from(["dry", "right", "wet"]),
    "shut": st.booleans(),
}
confirmed = st.fixed_dictionaries(
    {},
    optional={
        "damp": values["damp"],
        "shut": st.booleans(),
        "eaten": st.tuples(st.integers(0, 3), st.integers(3, 9)),
    },
)
looks = st.lists(
    st.fixed_dictionaries(
        {"note": texts, "skip": st.sampled_from(["", "", "leave"]), "sure": st.one_of(st.none(), confirmed)},
        optional=values,
    ),
    max_size=5,
)


def make(
    path: Path,
    rows: dict[str, dict[Any, dict[str, Any]]],
    walked: list[dict[str, Any]],
    house: str,
    data: Any,
) -> Book:
    """A book of these rows, with a round, an act or two, flags and actions."""
    book = create(path, House("", "UTC"))
    with Loading(book, change_mark(book.db)) as into:
        into.house(HouseRow(house, "Europe/Berlin", 240, "straight"))
        into.keepers(["Ferrow"])
        into.tables(rows)
    with book.writing():
        apply(book, list(_walk(book, walked)))
    for name, code, typed in data:
        _record(book, name, code, typed)
    return book


def _walk(book: Book, walked: list[dict[str, Any]]) -> Any:
    new = Ids().new
    boxes = [i for (i,) in book.rows("SELECT id FROM enclosure ORDER BY id")]
    at = 1_770_000_000_123
    round_, day = new(), date(2026, 2, 2).toordinal()
    yield OpenRound(round_, "Tamsel", day, at, "Europe/Berlin", "evening", ("A",), "f00d")
    for n, look in enumerate(walked, 1):
        visit, at = new(), at + 61_001
        yield OpenVisit(visit, round_, boxes[n % len(boxes)], n, at)
        cells = {k: v for k, v in look.items() if k in values}
        for kind, value in {**cells, NOTE: look["note"] or None, SKIPPED: look["skip"] or None}.items():
            if value is not None:
                yield Assign(visit, kind, 1 if kind in values else 0, None, value, at, "Tamsel")
        if look["sure"] is not None:
            yield Assign(visit, AS_EXPECTED, 1, None, look["sure"], at, "Tamsel")
        if "damp" in cells:
            yield Assign(visit, "damp", 1, cells["damp"], None, at + 7, "Ferrow", look["note"])
            yield UndoStep(round_, n, visit, "damp", 1, cells["damp"])
            flag = Flag("wet", "now", look["note"], "do", "")
            yield SetFlag(visit, flag, True, "f00d")
            yield SetActionEntry(
                Action(new(), boxes[0], "wet", "now", look["note"], "do", day), visit, at, "Tamsel"
            )
    if len(walked) > 2:
        yield CloseRound(round_, at + 5, (boxes[0],))


def _record(book: Book, name: str, code: int, typed: dict[str, str]) -> None:
    day = date(2026, 2, 3).toordinal()
    with book.writing():
        books_ = ledger_store.load(book)
        here = [enclosure.code for enclosure in books_.rows(Enclosure)]
        try:
            plan = registry.plan(name, here[code % len(here)], typed, books_, day, "Ferrow", sure=True)
        except (BadAct, ConfirmationRequired):
            return
        uid = Ids().new()
        ledger_store.save(book, plan, uid, typed, day, 1_770_100_000_000 + code, "Ferrow", sure=True)
        if code % 3 == 0:
            ledger_store.undo(book, uid, Ids().new(), day, 1_770_100_000_500 + code, "Ferrow")


recorded = st.lists(
    st.one_of(
        st.tuples(
            st.just("look-again"),
            st.integers(0, 9),
            st.fixed_dictionaries({"about": st.just("x"), "because": names, "in": st.just("+3")}),
        ),
        st.tuples(
            st.just("stage"),
            st.integers(0, 9),
            st.fixed_dictionaries({"stage": st.sampled_from(STAGES), "on": st.just("January 2026")}),
        ),
        st.tuples(
            st.just("lock"),
            st.integers(0, 9),
            st.just({"forbids": "dig,wet", "reason": "=x", "until": "before 2026-05-01"}),
        ),
    ),
    max_size=4,
)

_NAMED = {
    "round": "SELECT r.uid, k.name, r.day, r.name, r.zone, r.bays, r.opened_ms, r.closed_ms, r.fingerprint, e.code, r.source"
    ' FROM "round" r JOIN keeper k ON k.id = r.keeper LEFT JOIN enclosure e ON e.id = r.at_enclosure ORDER BY r.uid',
    "visit": "SELECT v.uid, e.code, r.uid, v.seq, v.at_ms, p.bay, p.shelf, p.slot FROM visit v JOIN enclosure e ON e.id ="
    ' v.enclosure JOIN "round" r ON r.id = v.round LEFT JOIN place p ON p.id = v.place ORDER BY v.uid',
    "cell": "SELECT v.uid, c.reading, c.depth, c.number, c.text FROM cell c JOIN visit v ON v.id = c.visit"
    " WHERE c.number IS NOT NULL OR c.text IS NOT NULL ORDER BY 1, 2",
    "change": "SELECT v.uid, k.reading, k.depth, c.old, c.new, c.at_ms, w.name, c.why FROM change c JOIN visit v ON v.id = c.visit"
    " JOIN kind k ON k.id = c.kind LEFT JOIN keeper w ON w.id = c.keeper ORDER BY c.id",
    "flag": "SELECT v.uid, f.rule, f.day, f.level, f.reason, f.todo, f.withheld, f.stands, f.fingerprint FROM flag f"
    " JOIN visit v ON v.id = f.visit ORDER BY 1, 2",
    "action": "SELECT a.uid, e.code, a.rule, a.level, a.reason, a.todo, a.opened, v.uid, a.state, a.until, a.why, a.cause_gone,"
    " a.withheld, a.closed FROM action a JOIN enclosure e ON e.id = a.enclosure LEFT JOIN visit v ON v.id ="
    " a.opened_visit ORDER BY a.id",
    "action_change": "SELECT a.uid, v.uid, c.at_ms, w.name, c.state FROM action_change c JOIN action a ON a.id = c.action"
    " LEFT JOIN visit v ON v.id = c.visit LEFT JOIN keeper w ON w.id = c.keeper ORDER BY c.id",
    "step": 'SELECT r.uid, s.seq, s.subject, s.kind, s.depth, s.before, s.undone FROM step s JOIN "round" r ON r.id = s.round'
    " ORDER BY 1, 2, 3, 4",
    "not_seen": 'SELECT r.uid, e.code FROM not_seen n JOIN "round" r ON r.id = n.round JOIN enclosure e ON e.id = n.enclosure'
    " ORDER BY 1, 2",
    "act": "SELECT a.uid, a.name, a.subject_table, a.subject, a.given, a.day, a.at_ms, k.name, a.sure, u.uid FROM act a"
    " LEFT JOIN keeper k ON k.id = a.keeper LEFT JOIN act u ON u.id = a.undone_by ORDER BY a.id",
    "act_change": 'SELECT a.uid, c.seq, c."table", c."row", c."column", c.before, c.after FROM act_change c'
    " JOIN act a ON a.id = c.act ORDER BY 1, 2",
}
_NOT_WRITTEN_YET = ("attachment", "tag", "tagged")
"""Tables that nothing fills: they need files of their own once something does."""
_OF_THE_FILE = ("meta", "schema_step", "kind", "phrase", "remark", "reading")


def content(path: Path) -> dict[str, list[Any]]:
    """Every row of every table of a book, straight from the file.

    Raises AssertionError for a table this does not know: a new one must not go uncompared.
    """
    db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
    try:
        assert db.execute("PRAGMA foreign_key_check").fetchall() == []
        have = {
            n
            for (n,) in db.execute(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'"
            )
        }
        own = {*TABLES, "house", "keeper"}
        assert have == {*own, *_OF_THE_FILE, *_NOT_WRITTEN_YET, *(_NAMED.keys() - {"cell"})}, have
        for table, column in {
            **dict.fromkeys(_NOT_WRITTEN_YET, "1"),
            "reading": "act",
        }.items():
            assert db.execute(f"SELECT count({column}) FROM {table}").fetchone() == (0,), (
                f"{table} is not written"
            )
        return {t: db.execute(f'SELECT * FROM "{t}" ORDER BY rowid').fetchall() for t in sorted(own)} | {
            t: db.execute(sql).fetchall() for t, sql in _NAMED.items()
        }
    finally:
        db.close()
