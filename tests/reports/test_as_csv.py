"""Documents as CSV: what the csv module of the standard library reads back is what was put in."""

from __future__ import annotations

import csv
import io
import math

from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.files.cells_out import guarded, unguarded
from rounds.reports.as_csv import FIGURES, as_csv
from rounds.reports.cell_values import plain_text
from rounds.reports.report import (
    ONE_ROW,
    Report,
    ReportDocument,
    ReportRow,
    ReportTable,
    document,
    kind,
    listing_kind,
    only,
)
from rounds.reports.report_columns import ReportColumn, data_columns
from tests.reports.documents import EVERY_TYPE, HOSTILE, SUMMARY, VERDICT, any_documents, listings, simple
from tests.sampled import sampled


def read(text: str) -> list[list[str]]:
    """RFC 4180 as the standard library reads it; a broken quotation raises."""
    return list(csv.reader(io.StringIO(text, newline=""), strict=True))


@settings(max_examples=sampled(60, 800))
@given(listings())
def test_the_csv_module_reads_back_every_cell(made: ReportDocument) -> None:
    out = read(as_csv(made))
    columns = data_columns(EVERY_TYPE)
    assert out[0] == [c.name for c in columns]
    (report,) = made.reports("rows")
    for row, cells in zip(report.rows, out[1:], strict=True):
        for at, (column, cell) in enumerate(zip(columns, cells, strict=True)):
            value = row.cells[at]
            if column.type == "number":
                assert (
                    (math.isnan(value) or math.isinf(value) if cell == "" else float(cell) == value)
                    if value is not None
                    else cell == ""
                )
            elif column.type == "whole":
                assert cell == ("" if value is None else str(value))
            else:
                assert unguarded(cell) == plain_text(column, value)


@settings(max_examples=sampled(60, 800))
@given(any_documents())
def test_no_spreadsheet_runs_a_text_and_every_row_has_all_columns(made: ReportDocument) -> None:
    text = as_csv(made)
    assert text.endswith("\r\n")
    assert "\n" not in text.replace("\r\n", "")
    out = read(text)
    assert {len(row) for row in out} == {len(out[0])}
    for row in out[1:]:
        for cell in row:
            assert cell[:1] not in ("=", "+", "@", "\t", "\r")
            assert not cell.startswith("-") or float(cell) < 0 or float(cell) == 0


@given(HOSTILE)
def test_the_guard_can_be_taken_away_again(text: str) -> None:
    assert unguarded(guarded(text)) == text
    assert guarded(text)[:1] not in ("=", "+", "-", "@", "\t", "\r")


def test_a_negative_number_is_no_formula_and_a_text_like_one_is() -> None:
    columns = (ReportColumn("n", "n", "number", "A number"), ReportColumn("t", "t", "text", "A text"))
    assert read(as_csv(simple(columns, (-1.5, "-1.5"))))[1] == ["-1.5", "'-1.5"]


@given(st.floats(allow_nan=False, allow_infinity=False))
def test_numbers_keep_their_full_precision(value: float) -> None:
    (cell,) = read(as_csv(simple((ReportColumn("n", "n", "number", "A number", places=1),), (value,))))[1]
    assert float(cell) == value


def test_of_several_tables_each_has_a_csv_of_its_own() -> None:
    action, carry = SUMMARY.tables
    made = document(
        SUMMARY,
        "",
        Report("Needs action", action.columns, [ReportRow(("T-01", "now", "=wet"))], name="action"),
        Report("To carry", carry.columns, [ReportRow(("cups", 2.5, None))], name="carry"),
    )
    assert read(as_csv(made)) == [["enclosure", "level", "reason"], ["T-01", "now", "'=wet"]]
    assert read(as_csv(only(made, "action"))) == read(as_csv(made))
    assert read(as_csv(only(made, "carry"))) == [["what", "amount", "reason"], ["cups", "2.5", ""]]


def test_a_result_is_a_row_a_figure() -> None:
    result = {
        "finding": "lower",
        "b": {"value": 1.25, "low": 0.5, "high": None, "how": "profile"},
        "notes": ["one", "two"],
        "dropped": [{"female": "UMBER/3", "why": "no eggs"}],
    }
    assert read(as_csv(document(VERDICT, "", result=result))) == [
        list(FIGURES),
        ["finding", "lower", "", "", ""],
        ["B per gamete", "1.25", "0.5", "", "profile"],
        ["note", "one", "", "", ""],
        ["note", "two", "", "", ""],
        ["dropped out", "UMBER/3", "", "", "no eggs"],
    ]


def test_a_kind_may_say_which_table_its_csv_is() -> None:
    layout = ReportTable(
        "layout", (ReportColumn("place", "place", "text", "Where she stands"),), "A place a row"
    )
    chances = ReportTable("chances", (ReportColumn("b", "B", "number", "A cost"),), "A cost a row")
    plan = kind(
        "plan",
        "A plan",
        "A plan",
        layout,
        chances,
        fields=(ReportColumn("eggs", "eggs", "whole", "Eggs each"),),
        csv="layout",
    )
    made = document(
        plan, "", Report("", layout.columns, [ReportRow(("C1-1",))], name="layout"), result={"eggs": 40}
    )
    assert as_csv(made) == "place\r\nC1-1\r\n"


def test_several_reports_of_one_table_are_one_table() -> None:
    columns = (ReportColumn("name", "name", "text", "Its name"),)
    of = listing_kind("names", "Names", "A name a row", columns)
    made = document(
        of, "", Report("One", columns, [ReportRow(("a",))]), Report("Two", columns, [ReportRow(("b",))])
    )
    assert as_csv(made) == "name\r\na\r\nb\r\n"
    assert as_csv(document(of, "")) == "name\r\n"


def test_a_result_may_be_one_row() -> None:
    of = kind(
        "act",
        "An act",
        "An act",
        fields=(
            ReportColumn("act", "", "whole", "Its number"),
            ReportColumn("given", "", "mapping", "What was typed"),
        ),
        csv=ONE_ROW,
    )
    assert (
        as_csv(document(of, "", result={"act": 3, "given": {"to": "B3 2"}})) == "act,given\r\n3,to='B3 2'\r\n"
    )
