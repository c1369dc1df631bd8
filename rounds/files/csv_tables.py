"""The one registry of CSV tables and columns: loading, writing and the documentation read it.

A table is a file ``NAME.csv``: UTF-8, one header line, one row each. Columns may stand in
any order; those that are not required may be left out. The tables of the books come from
:mod:`rounds.records.ledger`: a new column there is a column here. The tables of the walk
stand below.
"""

from __future__ import annotations

from typing import Any

from rounds.husbandry.stages import DEPTHS, FORBIDS, STAGES
from rounds.named_tuple import NamedTuple
from rounds.records import column as books
from rounds.records.record import Record
from rounds.records.tables import TABLES as BOOK_TABLES

ORDERS = ("straight", "serpentine")
HOW = ("read", "expected")
AGES = ("eggs", "L1", "L2", "L3")
AT_LEAST = "at_least"
"""The column that says of all counts of a row that they are so many or more."""
NOWHERE = "none"
"""In a place column: it stood nowhere then, which an empty cell does not say."""


class CsvColumn(NamedTuple):
    """One column.

    ``type`` names a reader of :mod:`rounds.files.cells_in`; ``words`` are its fixed
    answers; ``of`` is the table whose key a cell must be found in; ``holds`` is the
    column of the book's table that it fills ("" for none).
    """

    name: str
    type: str
    meaning: str
    required: bool = False
    of: str = ""
    words: tuple[str, ...] = ()
    holds: str = ""


class CsvTable(NamedTuple):
    """One table; ``key`` are the columns that tell its rows apart (none: any row may repeat).

    ``ledger`` is the table of the books it comes from ("" for one of the walk).
    """

    name: str
    meaning: str
    columns: tuple[CsvColumn, ...]
    key: tuple[str, ...] = ()
    required: bool = False
    ledger: str = ""

    @property
    def file(self) -> str:
        return f"{self.name}.csv"

    def column(self, name: str) -> CsvColumn | None:
        return next((c for c in self.columns if c.name == name), None)


C = CsvColumn

# What a table of the books is called as a file; any other bears its own name.
FILES = {
    "lot": "lots",
    "line": "lines",
    "animal": "animals",
    "enclosure": "enclosures",
    "place": "places",
    "content": "contents",
    "lock": "locks",
    "pairing": "pairings",
    "pairing_male": "pairing_males",
    "mating": "matings",
    "search": "searches",
    "brood": "broods",
    "weight": "weights",
    "batch": "batches",
    "batch_use": "batch_uses",
    "loan": "loans",
    "tick": "ticks",
    "plan": "plans",
    "trial": "trials",
    "trial_female": "trial_females",
}
NAMED = {
    ("animal", "number"): "animal",
    ("enclosure", "slot_order"): "order",
    ("lock", "from_day"): "from",
} | {(t.table, "name"): t.table for t in BOOK_TABLES.values() if t.key == ("name",)}
"""What a column of the books is called in its file, where it is not its own name."""

_GIVEN = {("enclosure", "number")}
"""Required columns that loading fills in where the file leaves them out."""
_TYPES: dict[tuple[str, str], tuple[str, tuple[str, ...]]] = {
    ("enclosure", "stage"): ("word", STAGES),
    ("stage_past", "stage"): ("word", STAGES),
    ("enclosure", "number"): ("whole", ()),
    ("enclosure", "slot_order"): ("count", ()),
    ("enclosure", "litres"): ("decimal", ()),
    ("lock", "forbids"): ("words", FORBIDS),
    ("content", "instar"): ("word", AGES),
    ("place", "bay"): ("bay", ()),
    ("place", "shelf"): ("whole", ()),
    ("place", "slot"): ("whole", ()),
    ("line", "name"): ("line", ()),
    ("animal", "number"): ("id", ()),
    ("content", "animal"): ("inmate", ()),
    ("trial", "seed"): ("seed", ()),
}
_PLAIN_COUNTS = ("recount", "low", "high")
"""Whole numbers beside the counts of a row that can say "at least"."""
_PLAIN = {
    "whole": "count",
    "number": "number",
    "yesno": "yesno",
    "day": "day",
    "span": "span",
    "text": "text",
}
_REFS = {"line": "line", "animal": "animal", "place": "address"}
_OWN_NAME = {
    "animal": C("who", "animal", "LINE/NUMBER, as other tables name it; it must fit the two columns"),
    "place": C("address", "address", "B3-2, as other tables name it; it must fit the other columns"),
}
_SPELT = {"animal": "as LINE/NUMBER", "place": "as B3-2"}


def _column(table: type[Record], c: books.Column[Any]) -> CsvColumn:
    required = c.required and (table.table, c.name) not in _GIVEN
    name, words, meaning = NAMED.get((table.table, c.name), c.name), tuple(w for w in c.words if w), c.meaning
    if c.type == "ref":
        keyed = bool(BOOK_TABLES[c.of].key)
        type_ = _REFS.get(c.of, "id") if keyed else "row"
        if (table.table, c.name) in _TYPES:
            type_ = _TYPES[table.table, c.name][0]
        meaning += f", {_SPELT[c.of]}" if c.of in _SPELT else "" if keyed else ", by its id"
    elif (table.table, c.name) in _TYPES:
        type_, words = _TYPES[table.table, c.name]
    else:
        type_ = "word" if words else "id" if c.name in table.key else _PLAIN[c.type]
        if (
            type_ == "count"
            and AT_LEAST in (other.name for other in table.columns)
            and c.name not in _PLAIN_COUNTS
        ):
            type_ = "held_count"
    of = FILES.get(c.of, c.of)
    return CsvColumn(name, type_, meaning, required, of, words, c.name)


def _table(table: type[Record]) -> CsvTable:
    columns = [_column(table, c) for c in table.columns]
    key = tuple(NAMED.get((table.table, k), k) for k in table.key)
    if not key:
        columns.insert(0, C("id", "row", "a number of its own; needed only where another table names it"))
        key = ("id",)
    elif table.table in _OWN_NAME:
        columns.insert(0, _OWN_NAME[table.table])
    columns.append(C("void", "yesno", "yes: it was taken back and counts for nothing", holds="void"))
    required = table.table in ("place", "enclosure")
    return CsvTable(
        FILES.get(table.table, table.table), table.meaning, tuple(columns), key, required, table.table
    )


BOOKS: tuple[CsvTable, ...] = tuple(_table(t) for t in BOOK_TABLES.values())

_VISIT = C("visit", "id", "the visit's id", required=True, of="visits")
_AT = C("at", "time", "local date and time in the house's zone (2026-02-01T07:31)", required=True)

TABLES: tuple[CsvTable, ...] = (
    CsvTable(
        "house",
        "the house the book belongs to: exactly one row",
        (
            C("name", "text", "its name", required=True),
            C("zone", "zone", "its time zone, as in the IANA list (Europe/Berlin)", required=True),
            C("day_starts", "clock", "when its day starts, 04:00 unless given"),
            C(
                "order",
                "word",
                "how shelves are walked: straight, or serpentine (there and back)",
                words=ORDERS,
            ),
        ),
        required=True,
    ),
    CsvTable(
        "keepers", "who walks", (C("keeper", "id", "a name, as it is shown", required=True),), ("keeper",)
    ),
    *BOOKS,
    CsvTable(
        "rounds",
        "walks; one that is not here is made of its visits",
        (
            C("id", "id", "any id of its own", required=True),
            C("keeper", "id", "who", required=True, of="keepers"),
            C("day", "day", "the house's round day", required=True),
            C("name", "text", "of a second walk on one day (evening)"),
            C("zone", "zone", "the time zone it was walked in", required=True),
            C("bays", "list", "the bays walked, with blanks between; empty: all of them"),
            C("opened", "time", "when it was begun", required=True),
            C("closed", "time", "when it was over; empty: it is not"),
            C("fingerprint", "text", "of the config in force"),
            C("standing_at", "id", "where an open one stands", of="enclosures"),
            C("source", "word", "walked, or loaded from tables", words=("walked", "loaded")),
        ),
        ("id",),
    ),
    CsvTable(
        "visits",
        "one visit to one box on one walk",
        (
            C("visit", "id", "any id of its own", required=True),
            _AT,
            C("keeper", "id", "who", required=True, of="keepers"),
            C("enclosure", "id", "its code", required=True, of="enclosures"),
            C("seq", "whole", "its place in that day's walk; rows stand in file order unless given"),
            C("round", "text", "name of a second walk on one day (evening)"),
            C("in_round", "id", "the id of its walk, when rounds.csv has it", of="rounds"),
            C(
                "place",
                "address",
                f"where it stood then; where it stands now unless given; {NOWHERE}: nowhere",
                of="places",
            ),
            C("skipped", "skip", "why nobody looked"),
            C("note", "text", "what was noted"),
        ),
        ("visit",),
    ),
    CsvTable(
        "readings",
        "what was read at visits",
        (
            _VISIT,
            C("reading", "reading", "its id, as in readings.yaml", required=True),
            C("depth", "word", "wall, lid or dug", required=True, words=tuple(DEPTHS)),
            C(
                "value",
                "value",
                "a number, an answer's id, or yes or no; an expected count is 1..3",
                required=True,
            ),
            C("how", "word", "read, or expected: confirmed by one key as usual", required=True, words=HOW),
        ),
        ("visit", "reading", "depth"),
    ),
    CsvTable(
        "not_seen",
        "boxes that nobody looked at in a walk that is over",
        (
            C("round", "id", "the walk", required=True, of="rounds"),
            C("enclosure", "id", "its code", required=True, of="enclosures"),
        ),
        ("round", "enclosure"),
    ),
    CsvTable(
        "changes",
        "readings that held another value before",
        (
            _VISIT,
            C("reading", "text", "which reading", required=True),
            C("depth", "word", "wall, lid or dug", required=True, words=tuple(DEPTHS)),
            C("old", "json", "the value before, as JSON", required=True),
            C("new", "json", "the value after, as JSON", required=True),
            C("at", "time", "when it was changed", required=True),
            C("keeper", "id", "by whom", of="keepers"),
            C("why", "text", "why"),
        ),
    ),
    CsvTable(
        "flags",
        "what rules raised at visits",
        (
            _VISIT,
            C("rule", "text", "the rule's id", required=True),
            C("day", "day", "round day", required=True),
            C("level", "text", "how urgent", required=True),
            C("reason", "text", "why it was raised"),
            C("todo", "text", "what to do"),
            C("withheld", "text", "which lock keeps that back"),
            C("stands", "yesno", "whether it still stood at the visit's end", required=True),
            C("fingerprint", "text", "of the rules in force"),
        ),
        ("visit", "rule"),
    ),
    CsvTable(
        "actions",
        "what has to be done",
        (
            C("id", "uid", "an id of its own (a UUID)", required=True),
            C("enclosure", "id", "its code", required=True, of="enclosures"),
            C("rule", "text", "the rule that raised it"),
            C("level", "text", "how urgent", required=True),
            C("reason", "text", "why"),
            C("todo", "text", "what to do"),
            C("opened", "day", "since which day", required=True),
            C("opened_visit", "id", "at which visit", of="visits"),
            C(
                "state",
                "word",
                "open, done, off (put off) or withdrawn",
                required=True,
                words=("open", "done", "off", "withdrawn"),
            ),
            C("until", "day", "put off until"),
            C("why", "text", "why it was put off"),
            C("cause_gone", "yesno", "its cause is no longer seen"),
            C("withheld", "text", "which lock keeps it back"),
            C("closed", "day", "the day it was done"),
        ),
        ("id",),
    ),
    CsvTable(
        "action_changes",
        "every state an action had",
        (
            C("action", "uid", "which action", required=True, of="actions"),
            C("visit", "id", "at which visit", of="visits"),
            C("at", "time", "when", required=True),
            C("keeper", "id", "by whom", of="keepers"),
            C("state", "json", "its fields then, as JSON", required=True),
        ),
    ),
    CsvTable(
        "steps",
        "what undo needs of a walk that is not over",
        (
            C("round", "id", "the walk", required=True, of="rounds"),
            C("seq", "count", "which key of it", required=True),
            C("subject", "uid", "the visit or the action that was changed", required=True),
            C("reading", "text", "which reading; empty for an action"),
            C("depth", "word", "wall, lid or dug", required=True, words=tuple(DEPTHS)),
            C("before", "json", "the value before, as JSON", required=True),
            C("undone", "yesno", "it was taken back"),
        ),
    ),
    CsvTable(
        "acts",
        "what was recorded, in order",
        (
            C("id", "uid", "an id of its own (a UUID)", required=True),
            C("act", "text", "which act", required=True),
            C("on", "text", "the table of its subject; empty: the house"),
            C("subject", "text", "its subject's name there"),
            C("given", "json", "what was typed, as JSON", required=True),
            C("day", "day", "round day", required=True),
            C("at", "time", "when", required=True),
            C("keeper", "id", "by whom", of="keepers"),
            C("visit", "id", "at which visit", of="visits"),
            C("sure", "yesno", "a doubtful value was said yes to"),
            C("undone_by", "uid", "the act that took it back", of="acts"),
        ),
        ("id",),
    ),
    CsvTable(
        "act_changes",
        "what each act changed",
        (
            C("act", "uid", "which act", required=True, of="acts"),
            C("seq", "count", "its place among the act's changes", required=True),
            C("table", "text", "the table that was changed", required=True),
            C("row", "text", "the row's name or id there", required=True),
            C("column", "text", "the column; empty: the row was added"),
            C(
                "before",
                "json",
                "the value before, as JSON; rows by name, spans as {span: words}",
                required=True,
            ),
            C("after", "json", "the value after, or all of a new row", required=True),
        ),
        ("act", "seq"),
    ),
)

BY_NAME = {t.name: t for t in TABLES}
OF_LEDGER = {t.ledger: t for t in BOOKS}
