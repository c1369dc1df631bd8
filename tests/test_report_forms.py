"""Every listing command in every form, over the demo book: JSON as its schema says, CSV that reads back."""

from __future__ import annotations

import csv
import io
import json
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from rounds.cli import run
from rounds.reports import catalogue
from rounds.settings import where

TODAY = "2026-03-01"
COMMANDS: dict[str, tuple[str, ...]] = {
    "summary": ("summary", "--on", "2026-02-28"),
    "stand-in": ("summary", "--safe"),
    "season": ("summary", "--season"),
    "due": ("due",),
    "batch": ("batch", "S-06"),
    "lot": ("lot", "MG-25"),
    "kinship": ("kinship",),
    "kinship-matrix": ("kinship", "--matrix", "UMBER/11", "UMBER/12"),
    "kinship-between": ("kinship", "--between", "UMBER/11", "UMBER/12"),
    "colony": ("kinship", "--colony"),
    "pairings": ("pairings", "--all"),
    "pairing-plans": ("pairings", "--plans"),
    "trial-plan": ("trial", "plan", "--endpoint", "adult", "--ends", "2027-02-28", "--seed", "3"),
    "trials": ("trial", "list"),
    "trial-tally": ("trial", "tally", "--counts", "COUNTS"),
    "trial-verdict": ("trial", "verdict", "--counts", "COUNTS"),
    "trial-cost": ("trial", "verdict", "--levels", "LEVELS"),
    "acts": ("record",),
    "act-fields": ("record", "pair", "--fields"),
    "history": ("record", "history"),
    "keys": ("keys",),
    "where": ("where",),
    "table-columns": ("load", "--columns"),
    "problems": ("rules", "test"),
    "rules-explained": ("rules", "explain", "TL-014"),
    "rules-replayed": ("rules", "replay", "--from", "2026-02-20"),
}
"""A command for each kind of report, by the kind's name."""

ELSEWHERE = {
    "trial-females": "tests/test_trial_kept_command.py",
    "trial-tally-kept-back": "tests/test_trial_kept_command.py",
    "recorded": "tests/test_record.py",
    "row-counts": "below, as it needs an empty book",
    "exit-codes": "tests/reports/test_as_json.py",
}
"""Kinds that the demo book has nothing for, and where they are looked at."""

SCHEMA = jsonschema.Draft202012Validator(
    catalogue.all_schemas(), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
)


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("forms") / "book.sqlite"
    assert run(["new", str(path), "--zone", "UTC"]) == 0
    assert run(["--book", str(path), "load", str(where.shipped("demo_data"))]) == 0
    counts = "".join(
        f"{arm},{arm}{n},40,{alive}\n" for arm, alive in (("sib", 12), ("outcross", 30)) for n in range(5)
    )
    (path.parent / "counts.csv").write_text(f"arm,female,eggs,alive\n{counts}")
    (path.parent / "levels.csv").write_text("F,n,survived\n0,100,80\n0.25,100,60\n0.125,50,36\n0,60,47\n")
    return path


def printed(book: Path, kind: str, form: str, capfdbinary: pytest.CaptureFixture[bytes]) -> str:
    files = {"COUNTS": str(book.parent / "counts.csv"), "LEVELS": str(book.parent / "levels.csv")}
    argv = [files.get(word, word) for word in COMMANDS[kind]]
    assert run(["--book", str(book), "--today", TODAY, *argv, "--as", form]) == 0
    return capfdbinary.readouterr().out.decode("utf-8")


def test_every_kind_of_report_is_looked_at() -> None:
    assert sorted([*COMMANDS, *ELSEWHERE]) == sorted(catalogue.kinds())


@pytest.mark.parametrize("kind", COMMANDS)
def test_json_is_what_the_schema_of_the_kind_says(
    book: Path, kind: str, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    found = json.loads(printed(book, kind, "json", capfdbinary))
    assert found["report"] == kind
    SCHEMA.validate(found)


@pytest.mark.parametrize("kind", COMMANDS)
def test_csv_has_the_columns_and_rows_of_the_kind(
    book: Path, kind: str, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    text = printed(book, kind, "csv", capfdbinary)
    head, *rows = csv.reader(io.StringIO(text, newline=""), strict=True)
    assert {len(row) for row in rows} <= {len(head)}
    found: dict[str, Any] = json.loads(printed(book, kind, "json", capfdbinary))
    (table, *more) = catalogue.kinds()[kind].tables or (None,)
    if table is not None and not more and table.in_json:
        assert len(rows) == len(found[table.name])
        assert head == [c.name for c in table.columns if c.name]


@pytest.mark.parametrize("kind", COMMANDS)
def test_forms_for_people_are_whole_and_clean(
    book: Path, kind: str, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    text = printed(book, kind, "text", capfdbinary)
    assert all(line.isprintable() and line == line.rstrip(" ") for line in text.splitlines())
    assert "\n\n\n" not in text
    assert printed(book, kind, "markdown", capfdbinary).startswith("# ")
    parser = HTMLParser()
    parser.feed(printed(book, kind, "html", capfdbinary))
    parser.close()


def test_rows_loaded_and_written_are_counted_in_every_form(
    tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "new.sqlite"
    assert run(["new", str(path)]) == 0
    capfdbinary.readouterr()
    assert run(["--book", str(path), "load", str(where.shipped("demo_data")), "--as", "json"]) == 0
    found = json.loads(capfdbinary.readouterr().out)
    SCHEMA.validate(found)
    loaded = {r["table"]: r["rows"] for r in found["rows"]}
    assert loaded["enclosures"] == 60
    assert run(["--book", str(path), "write", str(tmp_path / "out"), "--as", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capfdbinary.readouterr().out.decode("utf-8"))))
    assert {"table": "enclosures", "rows": "60"} in rows
