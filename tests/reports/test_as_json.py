"""Documents as JSON: every document is what the schema of its kind says, as the jsonschema library judges."""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings

from rounds.reports.as_json import as_json
from rounds.reports.exit_codes import KIND, exit_codes
from rounds.reports.json_schema import json_schema
from rounds.reports.report import Report, ReportDocument, ReportKind, ReportRow, document
from tests.reports.documents import EVERY_TYPE, LISTING, SUMMARY, VERDICT, any_documents
from tests.sampled import sampled

CHECKERS = {
    k.name: jsonschema.Draft202012Validator(
        json_schema(k), format_checker=jsonschema.Draft202012Validator.FORMAT_CHECKER
    )
    for k in (LISTING, SUMMARY, VERDICT, KIND)
}


@pytest.mark.parametrize("of", [LISTING, SUMMARY, VERDICT, KIND], ids=lambda k: k.name)
def test_the_schema_itself_is_a_schema(of: ReportKind) -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema(of))


@settings(max_examples=sampled(80, 1000))
@given(any_documents())
def test_every_document_is_what_its_schema_says(made: ReportDocument) -> None:
    CHECKERS[made.kind.name].validate(json.loads(as_json(made)))


def row(**changed: Any) -> dict[str, Any]:
    made: dict[str, Any] = {c.name: None for c in EVERY_TYPE} | {"code": "T-01", "why": []}
    return {**made, **changed}


@pytest.mark.parametrize(
    "wrong",
    [
        {"code": None},
        {"grams": "9"},
        {"count": 1.5},
        {"seen": "28 Feb"},
        {"seen": "2026-02-30"},
        {"window": "2026-02-28"},
        {"certain": "yes"},
        {"state": "resting"},
        {"why": None},
        {"told": "a=b"},
        {"clause": {"text": "x"}},
        {"more": 1},
    ],
)
def test_the_schema_refuses_what_is_not_so(wrong: dict[str, Any]) -> None:
    """The control: without the change the object is fine."""
    checker = CHECKERS["boxes"]
    checker.validate({"report": "boxes", "version": 1, "rows": [row()]})
    with pytest.raises(jsonschema.ValidationError):
        checker.validate({"report": "boxes", "version": 1, "rows": [row(**wrong)]})
    with pytest.raises(jsonschema.ValidationError):
        checker.validate({"report": "boxes", "version": 2, "rows": [row()]})


def test_an_object_with_kind_version_fields_and_tables() -> None:
    result = {"finding": "lower", "broods": 12, "b": {"value": 1.5, "high": float("inf")}}
    assert json.loads(as_json(document(VERDICT, "", result=result))) == {
        "report": "verdict",
        "version": 1,
        "finding": "lower",
        "broods": 12,
        "b": {"value": 1.5, "low": None, "high": None, "how": None},
        "notes": [],
        "dropped": [],
    }
    day = date(2026, 2, 28).toordinal()
    full = ReportRow(("T-01", 0.1 + 0.2, 3, day, None, True, "alive", ["wet"], {"to": "B3-2"}, None))
    (found,) = json.loads(as_json(document(LISTING, "", Report("", EVERY_TYPE, [full]))))["rows"]
    assert found == row(
        grams=0.30000000000000004,
        count=3,
        seen="2026-02-28",
        certain=True,
        state="alive",
        why=["wet"],
        told={"to": "B3-2"},
    )


def test_nothing_is_lost_and_nothing_steers() -> None:
    text = "two\nlines \x1b[2J \u202e 漢字 \ud800"
    out = as_json(document(LISTING, "", Report("", EVERY_TYPE, [ReportRow((text, *[None] * 9))])))
    assert json.loads(out)["rows"][0]["code"] == text
    assert "\x1b" not in out
    assert "\u202e" not in out
    assert "漢字" in out


def test_units_and_meanings_are_in_the_schema() -> None:
    fields = json_schema(LISTING)["properties"]["rows"]["items"]["properties"]
    assert fields["grams"] == {"description": "Weight of the larva (g)", "type": ["number", "null"]}
    assert fields["state"]["enum"] == ["alive", "dead", None]
    assert fields["code"] == {"description": "Code of the box", "type": "string"}


def test_the_exit_codes_are_all_in_their_table() -> None:
    from rounds import crash, problems

    known = {v for m in (problems, crash) for k, v in vars(m).items() if k.startswith("EXIT_")}
    assert {r["code"] for r in json.loads(as_json(exit_codes()))["rows"]} == known == {0, 1, 2, 3, 70, 130}
