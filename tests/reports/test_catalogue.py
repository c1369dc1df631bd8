"""The kinds of reports there are: each is declared once, and its schema is a schema."""

from __future__ import annotations

import json

import jsonschema
import pytest

from rounds.reports import catalogue
from rounds.reports.as_json import as_json
from rounds.reports.exit_codes import exit_codes
from rounds.reports.json_schema import json_schema
from rounds.reports.report import ReportKind
from rounds.reports.report_columns import data_columns


@pytest.mark.parametrize("of", catalogue.kinds().values(), ids=lambda k: k.name)
def test_every_kind_has_a_schema_that_says_what_each_field_means(of: ReportKind) -> None:
    schema = json_schema(of)
    jsonschema.Draft202012Validator.check_schema(schema)
    for columns in (of.fields, *(t.columns for t in of.tables)):
        for column in data_columns(columns):
            assert not column.meaning.endswith("."), f"{of.name}: {column.name}"


def test_no_two_kinds_have_one_name() -> None:
    declared = [v.name for m in catalogue._MODULES for v in vars(m).values() if isinstance(v, ReportKind)]
    assert sorted(declared) == list(catalogue.kinds())


def test_one_schema_takes_every_kind_and_only_those() -> None:
    checker = jsonschema.Draft202012Validator(catalogue.schema_of({"any": catalogue.kinds()}))
    found = json.loads(as_json(exit_codes()))
    checker.validate(found)
    for wrong in ({**found, "report": "due"}, {**found, "version": 99}, {**found, "more": 1}, []):
        with pytest.raises(jsonschema.ValidationError):
            checker.validate(wrong)
