"""Every listing command in every form, over the demo book: JSON as its schema says, CSV that reads back."""

from __future__ import annotations

import csv
import io
import json
from contextlib import redirect_stdout
from datetime import date
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import click
import jsonschema
import pytest

from rounds.cli import cli, run
from rounds.commands.help import printing
from rounds.reports import catalogue
from rounds.settings import where
from tests.acts.trial_house import families
from tests.conftest import demo_of
from tests.store.houses import with_books

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
    "trial-plan": ("trial", "plan", "--endpoint", "adult", "--ends", "2027-02-14", "--seed", "3"),
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
    "backups": ("restore",),
    "checkup": ("checkup",),
    "exit-codes": ("help", "exit-codes"),
    "promises": ("help", "promises"),
    "report-fields": ("help", "reports"),
}
"""A command for each kind of report, by the kind's name."""

ELSEWHERE = {
    "trial-females": "a trial that runs",
    "trial-tally-kept-back": "a trial that runs",
    "recorded": "an act that is recorded",
    "row-counts": "an empty book to load into",
    "salvaged": "a book that something could not be read in",
}
"""Kinds that the demo book has nothing for, and what the tests at the end make for them."""

KINDS = dict(printing(cli, click.Context(cli)))
"""The kinds that each command says it prints."""


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = demo_of(date.fromisoformat(TODAY).toordinal(), tmp_path_factory)
    counts = "".join(
        f"{arm},{arm}{n},40,{alive}\n" for arm, alive in (("sib", 12), ("outcross", 30)) for n in range(5)
    )
    (path.parent / "counts.csv").write_text(f"arm,female,eggs,alive\n{counts}")
    (path.parent / "levels.csv").write_text("F,n,survived\n0,100,80\n0.25,100,60\n0.125,50,36\n0,60,47\n")
    return path


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    """What `rounds help json` prints."""
    told = io.StringIO()
    with redirect_stdout(told):
        assert run(["help", "json"]) == 0
    found: dict[str, Any] = json.loads(told.getvalue())
    jsonschema.Draft202012Validator.check_schema(found)
    return found


def check(found: object, schema: dict[str, Any]) -> None:
    """Hold printed JSON against a schema, dates too."""
    jsonschema.Draft202012Validator(
        schema, format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    ).validate(found)


def printed(book: Path, kind: str, form: str, capfdbinary: pytest.CaptureFixture[bytes]) -> str:
    files = {"COUNTS": str(book.parent / "counts.csv"), "LEVELS": str(book.parent / "levels.csv")}
    argv = [files.get(word, word) for word in COMMANDS[kind]]
    assert run(["--book", str(book), "--today", TODAY, *argv, "--as", form]) == 0
    return capfdbinary.readouterr().out.decode("utf-8")


def test_every_kind_of_report_is_looked_at() -> None:
    assert sorted([*COMMANDS, *ELSEWHERE]) == sorted(catalogue.kinds())


@pytest.mark.parametrize("kind", COMMANDS)
def test_json_is_what_the_schema_of_the_kind_says(
    book: Path, kind: str, schema: dict[str, Any], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    found = json.loads(printed(book, kind, "json", capfdbinary))
    assert found["report"] == kind
    check(found, schema)
    (command,) = [c for c in KINDS if " ".join(COMMANDS[kind]).startswith(c)]
    assert kind in KINDS[command]
    check(found, {"$defs": schema["$defs"], "oneOf": schema["commands"][command]})


def test_what_no_command_prints_is_not_taken(schema: dict[str, Any]) -> None:
    for wrong in (
        {},
        [],
        {"report": "trials", "version": 1},
        {"report": "trials", "version": 99, "rows": []},
    ):
        with pytest.raises(jsonschema.ValidationError):
            check(wrong, schema)
    check({"report": "trials", "version": 1, "rows": []}, schema)


def test_every_kind_is_printed_by_a_command_and_every_listing_says_what_it_prints() -> None:
    assert {kind for kinds in KINDS.values() for kind in kinds} == set(catalogue.kinds())
    assert all(KINDS.values())


def test_help_json_of_a_command_has_that_command_alone(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["help", "json", "trial", "verdict"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert list(found["commands"]) == ["trial verdict"]
    assert sorted(found["$defs"]) == ["trial-cost", "trial-verdict"]
    assert run(["help", "json", "trial"]) == 0
    parts = json.loads(capsys.readouterr().out)["commands"]
    assert sorted(parts) == [f"trial {part}" for part in ("list", "plan", "show", "tally", "verdict")]


def test_help_reports_says_every_field_of_the_schema(
    schema: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["help", "reports", "--as", "json"]) == 0
    rows = json.loads(capsys.readouterr().out)["rows"]
    for name, kind in schema["$defs"].items():
        fields = {
            r["field"] for r in rows if r["of"] == name and r["table"] is None and "." not in r["field"]
        }
        tables = {r["table"] for r in rows if r["of"] == name} - {None}
        assert {"report", "version"} | fields | tables == set(kind["properties"])
        for table in tables:
            inside = {r["field"] for r in rows if r["of"] == name and r["table"] == table}
            assert {f for f in inside if "." not in f} == set(
                kind["properties"][table]["items"]["properties"]
            )


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
    tmp_path: Path, schema: dict[str, Any], capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    path = tmp_path / "new.sqlite"
    assert run(["new", str(path)]) == 0
    capfdbinary.readouterr()
    tables = where.shipped("demo_data") / "first_tables"
    assert run(["--book", str(path), "load", str(tables), "--as", "json"]) == 0
    found = json.loads(capfdbinary.readouterr().out)
    check(found, schema)
    loaded = {r["table"]: r["rows"] for r in found["rows"]}
    assert loaded["enclosures"] == 10
    assert run(["--book", str(path), "write", str(tmp_path / "out"), "--as", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capfdbinary.readouterr().out.decode("utf-8"))))
    assert {"table": "enclosures", "rows": "10"} in rows


def test_a_trial_that_runs_and_an_act_are_what_the_schema_says(
    tmp_path: Path, schema: dict[str, Any], capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "trial.sqlite"
    with_books(path, families()).close()
    settled = ("--endpoint", "adult", "--ends", "2026-12-17", "--females", "4", "--record", "--sure")

    def call(*argv: str) -> Any:
        capsys.readouterr()
        assert run(["--book", str(path), "--today", "2026-05-21", *argv]) == 0
        return json.loads(capsys.readouterr().out) if "json" in argv else None

    call("trial", "plan", "spring", *settled)
    for argv, kind in (
        (("trial", "show", "spring"), "trial-females"),
        (("trial", "tally", "spring"), "trial-tally-kept-back"),
        (("trial", "verdict", "spring"), "trial-verdict"),
        (("record", "undo"), "recorded"),
    ):
        found = call(*argv, "--as", "json")
        assert found["report"] == kind
        check(found, schema)
