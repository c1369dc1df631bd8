"""Kinds of reports and documents: what is declared is what is printed, and mistakes are refused at once."""

from __future__ import annotations

import pytest

from rounds.reports.cell_values import json_value, plain_text, read_text
from rounds.reports.report import (
    Report,
    ReportRow,
    ReportTable,
    TextBlock,
    document,
    kind,
    listing,
    listing_kind,
)
from rounds.reports.report_columns import CellValue, DaySpan, ReportColumn
from tests.reports.documents import LISTING, SUMMARY, VERDICT

BOX = ReportColumn("box", "box", "text", "Its code")


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ((ReportColumn("", ""),), "neither a name nor a heading"),
        ((ReportColumn("Box", "box", "text", "Its code"),), "cannot be the name of a field"),
        ((ReportColumn("version", "box", "text", "Its code"),), "cannot be the name of a field"),
        ((ReportColumn("box", "box"),), "what it means is not said"),
        ((BOX, BOX), "used twice"),
        ((ReportColumn("box", "box", "object", "Its code"),), "an object has fields"),
        ((ReportColumn("box", "box", "text", "Its code", of=(BOX,)),), "an object has fields"),
        ((ReportColumn("box", "box", "whole", "Its code", words=("a",)),), "only a text"),
        ((ReportColumn("box", "", "object", "A box", of=(ReportColumn("", "box"),)),), "has no name"),
        ((ReportColumn("", "only people"),), "nothing for programs"),
    ],
)
def test_columns_that_cannot_be_printed_are_refused(columns: tuple[ReportColumn, ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        listing_kind("boxes", "Boxes", "A box a row", columns)


def test_a_kind_says_what_a_csv_of_it_is() -> None:
    rows = ReportTable("layout", (BOX,), "A place a row")
    with pytest.raises(ValueError, match="says which of them a CSV is made of"):
        kind("plan", "A plan", "A plan", rows, fields=(ReportColumn("eggs", "eggs", "whole", "Eggs each"),))
    with pytest.raises(ValueError, match="there is no table chances"):
        kind("plan", "A plan", "A plan", rows, csv="chances")
    with pytest.raises(ValueError, match="used twice"):
        kind(
            "plan",
            "A plan",
            "A plan",
            rows,
            fields=(ReportColumn("layout", "x", "whole", "x"),),
            csv="layout",
        )
    with pytest.raises(ValueError, match="fields or a table"):
        kind("plan", "A plan", "A plan")


def test_a_document_holds_what_its_kind_declares_and_nothing_else() -> None:
    with pytest.raises(ValueError, match="was not declared"):
        document(LISTING, "", Report("", (BOX,), []))
    with pytest.raises(ValueError, match="was not declared"):
        document(SUMMARY, "", Report("", SUMMARY.tables[0].columns, [], name="unseen"))
    with pytest.raises(ValueError, match="a result is given exactly where"):
        document(VERDICT, "")
    with pytest.raises(ValueError, match="a result is given exactly where"):
        document(LISTING, "", result={"code": "T-01"})
    with pytest.raises(ValueError, match="the fields b2 were not declared"):
        document(VERDICT, "", result={"finding": "lower", "b2": 3})
    people_only = Report("For people", (ReportColumn("", "box"),), [ReportRow(("T-01",))])
    assert document(LISTING, "", people_only, TextBlock("", ("line",))).reports("rows") == []
    with pytest.raises(KeyError):
        listing(SUMMARY, [])


def test_people_may_get_columns_that_programs_do_not() -> None:
    dynamic = (*LISTING.tables[0].columns, ReportColumn("", "UMBER/3"))
    assert document(LISTING, "", Report("", dynamic, [])).reports("rows")


MISFITS: list[tuple[ReportColumn, CellValue]] = [
    (ReportColumn("x", "x", "text"), 3),
    (ReportColumn("x", "x", "text", words=("alive", "dead")), "resting"),
    (ReportColumn("x", "x", "whole"), True),
    (ReportColumn("x", "x", "whole"), 2.0),
    (ReportColumn("x", "x", "number"), "2"),
    (ReportColumn("x", "x", "number"), False),
    (ReportColumn("x", "x", "day"), "2026-02-28"),
    (ReportColumn("x", "x", "day"), True),
    (ReportColumn("x", "x", "span"), 739_000),
    (ReportColumn("x", "x", "span"), (1, 2)),
    (ReportColumn("x", "x", "yesno"), 1),
    (ReportColumn("x", "x", "mapping"), "a=b"),
    (ReportColumn("x", "x", "mapping"), {"a": True}),
    (ReportColumn("x", "x", "object", of=(BOX,)), "T-01"),
    (ReportColumn("x", "x", "object", of=(BOX,)), {"code": "T-01"}),
    (ReportColumn("x", "x", "text", many=True), "T-01"),
    (ReportColumn("x", "x", "text", many=True), 3),
    (ReportColumn("x", "x", "text", always=True), None),
]


@pytest.mark.parametrize(("column", "value"), MISFITS)
def test_a_value_that_does_not_fit_its_column_is_refused(column: ReportColumn, value: CellValue) -> None:
    for made in (json_value, plain_text):
        with pytest.raises((TypeError, ValueError)):
            made(column, value)


@pytest.mark.parametrize(
    ("column", "value", "data", "plain", "read"),
    [
        (
            ReportColumn("x", "x", "number", places=2),
            0.1 + 0.2,
            0.30000000000000004,
            "0.30000000000000004",
            "0.30",
        ),
        (ReportColumn("x", "x", "number"), 12.5, 12.5, "12.5", "12.5"),
        (ReportColumn("x", "x", "number"), float("inf"), None, "", "inf"),
        (ReportColumn("x", "x", "whole"), 10**15, 10**15, "1000000000000000", "1000000000000000"),
        (ReportColumn("x", "x", "day"), 739_675, "2026-02-28", "2026-02-28", "28 Feb 2026"),
        (ReportColumn("x", "x", "day"), 1, None, "", ""),
        (
            ReportColumn("x", "x", "span"),
            DaySpan(739_675, 739_680),
            "2026-02-28/2026-03-05",
            "2026-02-28/2026-03-05",
            "28 Feb to 5 Mar",
        ),
        (
            ReportColumn("x", "x", "span"),
            DaySpan(None, 739_680),
            "../2026-03-05",
            "../2026-03-05",
            "by 5 Mar",
        ),
        (
            ReportColumn("x", "x", "span"),
            DaySpan(739_675, None),
            "2026-02-28/..",
            "2026-02-28/..",
            "from 28 Feb",
        ),
        (ReportColumn("x", "x", "yesno"), True, True, "yes", "yes"),
        (ReportColumn("x", "x", "text", many=True), ["a", "b"], ["a", "b"], "a; b", "a; b"),
        (ReportColumn("x", "x", "text", many=True), None, [], "", ""),
        (ReportColumn("x", "x", "text", many=True, joined=" "), ["/", "1"], ["/", "1"], "/ 1", "/ 1"),
        (
            ReportColumn("x", "x", "mapping"),
            {"to": "B3 2", "n": 2},
            {"to": "B3 2", "n": 2},
            "to='B3 2' n=2",
            "to='B3 2' n=2",
        ),
        (ReportColumn("x", "x", "text"), "two\nlines\x1b", "two\nlines\x1b", "two lines", "two lines"),
        (ReportColumn("x", "x", "text"), None, None, "", ""),
    ],
)
def test_a_value_in_json_in_csv_and_for_people(
    column: ReportColumn, value: CellValue, data: object, plain: str, read: str
) -> None:
    assert json_value(column, value) == data
    assert (plain_text(column, value), read_text(column, value)) == (plain, read)


def test_people_get_a_mark_where_a_text_was_cut_and_programs_get_all_of_it() -> None:
    long = "a" * 5000
    assert plain_text(BOX, long) == long
    assert read_text(BOX, long) == "a" * 3999 + "…"


def test_rows_of_a_heading_come_together_with_the_headings_that_are_new() -> None:
    report = Report(
        "",
        (BOX,),
        [
            ReportRow((c,), under=u)
            for c, u in (
                ("a", ()),
                ("b", ("This week", "Mon")),
                ("c", ("This week", "Mon")),
                ("d", ("This week", "Tue")),
                ("e", ("Later", "Tue")),
            )
        ],
    )
    runs = [(new, [row.cells[0] for row in rows]) for new, rows in report.runs()]
    assert runs == [
        ([], ["a"]),
        ([(0, "This week"), (1, "Mon")], ["b", "c"]),
        ([(1, "Tue")], ["d"]),
        ([(0, "Later"), (1, "Tue")], ["e"]),
    ]
