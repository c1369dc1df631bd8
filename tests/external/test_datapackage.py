"""A written book read by an independent validator of the Data Package standard (frictionless, v1 of the specification)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, NamedTuple

import pytest

from rounds.files.csv_tables import TABLES
from rounds.files.load import load_folder
from rounds.files.write import write_folder
from rounds.records.observations import House
from rounds.store.book import create
from tests.files import whole
from tests.files.folders import HOUSE, VOCABULARY
from tests.files.folders import write as tables

frictionless = pytest.importorskip("frictionless")

HOSTILE = ["=1+1", "+x", "'-", 'a "b", c', "two\nlines", "\rx", "\x1b[31m", "\u202e", "[bold]"]


@pytest.fixture
def written(tmp_path: Path) -> Path:
    """A small house with visits, readings, an act that was taken back, flags, and texts that bite."""
    with create(tmp_path / "a.book", House("", "UTC")) as book:
        load_folder(tables(tmp_path / "t", HOUSE), book, VOCABULARY)
        with book.writing():
            for n, text in enumerate(HOSTILE):
                book.run("INSERT INTO line (name, species, note) VALUES (?, 'M', ?)", (f"{text}{n}", text))
        whole._record(book, "look-again", 3, {"about": "x", "because": "=y", "in": "+3"})
        whole._record(book, "stage", 1, {"stage": "holding", "on": "January 2026"})
        with book.writing():
            whole.apply(
                book,
                list(whole._walk(book, [{"note": "'=", "skip": "", "sure": {"shut": True}, "damp": "wet"}])),
            )
        write_folder(tmp_path / "out", book, VOCABULARY)
    return tmp_path / "out"


def problems(folder: Path) -> list[tuple[str, str]]:
    report = frictionless.Package(str(folder / "datapackage.json")).validate()
    return [(task.name, error.type) for task in report.tasks for error in task.errors] + [
        ("package", e.type) for e in report.errors
    ]


def test_a_written_book_is_a_valid_data_package(written: Path) -> None:
    assert problems(written) == []
    package = frictionless.Package(str(written / "datapackage.json"))
    assert [r.path for r in package.resources] == [t.file for t in TABLES]
    rows = {r.name: r.read_rows() for r in package.resources}
    for table in (
        "acts",
        "act-changes",
        "changes",
        "flags",
        "actions",
        "action-changes",
        "steps",
        "readings",
        "rounds",
    ):
        assert rows[table], table  # nothing was valid only because it was empty
    notes = {row["note"] for row in rows["lines"]}
    assert "'=1+1" in notes  # as a spreadsheet gets it; loading takes the apostrophe away


class Bend(NamedTuple):
    table: str
    old: str
    new: str
    error: str


@pytest.mark.parametrize(
    "bends",
    [  # several at a time, each in a table of its own: a validation takes long
        [
            Bend("enclosures", "TL-001,1,pairing", "TL-001,one,pairing", "type-error"),
            Bend("contents", "UMBER/1", "UMBER/77", "foreign-key"),
            Bend("readings", "read\n", "guess\n", "constraint-error"),
        ],
        [
            Bend("enclosures", ",pairing,", ",parking,", "constraint-error"),
            Bend("visits", "TL-003", "TL-333", "foreign-key"),
            Bend("lines", "line,species", "line,kind", "incorrect-label"),
        ],
        [Bend("enclosures", "TL-002,2", "TL-001,2", "primary-key")],
    ],
    ids=lambda bends: " ".join(bend.error for bend in bends),
)
def test_the_validator_sees_what_is_wrong(written: Path, bends: list[Bend]) -> None:
    """The control: the same checks must find tables that do not fit their description."""
    for bend in bends:
        path = written / f"{bend.table}.csv"
        before = path.read_text(encoding="utf-8")
        path.write_text(before.replace(bend.old, bend.new), encoding="utf-8")
        assert path.read_text(encoding="utf-8") != before
    assert set(problems(written)) >= {(bend.table, bend.error) for bend in bends}


def test_every_reference_of_the_books_is_a_foreign_key(written: Path) -> None:
    package: dict[str, Any] = json.loads((written / "datapackage.json").read_text(encoding="utf-8"))
    described = {r["path"]: r["schema"] for r in package["resources"]}
    for table in TABLES:
        keys = {k["fields"] for k in described[table.file].get("foreignKeys", [])}
        refs = {c.name for c in table.columns if c.of} - ({"place"} if table.name == "visits" else set())
        assert keys == refs, table.name
