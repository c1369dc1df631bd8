"""Documents to print in tests: an invented house, and texts that try to break out of every form."""

from __future__ import annotations

from datetime import date
from typing import Any

from hypothesis import strategies as st

from rounds.reports.report import (
    Report,
    ReportDocument,
    ReportKind,
    ReportRow,
    ReportTable,
    document,
    kind,
    listing_kind,
)
from rounds.reports.report_columns import DaySpan, ReportColumn

EVERY_TYPE = (
    ReportColumn("code", "box", "text", "Code of the box", always=True),
    ReportColumn("grams", "weight", "number", "Weight of the larva", unit="g", places=1),
    ReportColumn("count", "count", "whole", "How many"),
    ReportColumn("seen", "seen", "day", "Day it was seen"),
    ReportColumn("window", "when", "span", "Days on which it can be done"),
    ReportColumn("certain", "certain", "yesno", "Is it certain?"),
    ReportColumn("state", "state", "text", "What became of it", words=("alive", "dead")),
    ReportColumn("why", "why", "text", "Its reasons", many=True),
    ReportColumn("told", "", "mapping", "What was typed"),
    ReportColumn(
        "clause",
        "",
        "object",
        "One clause",
        of=(
            ReportColumn("text", "", "text", "Its words"),
            ReportColumn("depth", "", "whole", "How deep it is nested"),
        ),
    ),
)
LISTING = listing_kind("boxes", "Boxes of the house", "A box a row", EVERY_TYPE)

SUMMARY = kind(
    "day",
    "A day",
    "What a day left to do",
    ReportTable(
        "action",
        (
            ReportColumn("enclosure", "enclosure", "text", "Its code"),
            ReportColumn("level", "", "text", "How bad it is"),
            ReportColumn("reason", "why", "text", "What is wrong"),
        ),
        "What needs action",
    ),
    ReportTable(
        "carry",
        (
            ReportColumn("what", "what", "text", "What to carry"),
            ReportColumn("amount", "amount", "number", "How much"),
            ReportColumn("reason", "why", "text", "What for"),
        ),
        "What to carry",
    ),
    csv="action",
)

RANGE = (
    ReportColumn("value", "", "number", "The estimate"),
    ReportColumn("low", "", "number", "Low end of its range"),
    ReportColumn("high", "", "number", "High end of its range"),
    ReportColumn("how", "", "text", "How it was found"),
)
VERDICT = kind(
    "verdict",
    "A verdict",
    "What a trial found",
    fields=(
        ReportColumn("finding", "finding", "text", "What was found", always=True),
        ReportColumn("broods", "broods", "whole", "Broods judged"),
        ReportColumn("b", "B per gamete", "object", "Lethal equivalents", of=RANGE),
        ReportColumn("notes", "note", "text", "What to mind", many=True),
        ReportColumn(
            "dropped",
            "dropped out",
            "object",
            "Broods left out",
            many=True,
            of=(
                ReportColumn("female", "", "text", "Her name"),
                ReportColumn("why", "", "text", "The reason"),
            ),
        ),
    ),
)

HOSTILE = st.one_of(
    st.text(st.characters(codec=None), max_size=30),
    st.sampled_from(
        [
            "<script>alert(1)</script>",
            "|",
            "a|b",
            "[x](http://y)",
            "[x]: y",
            "# head",
            "=1+1",
            "@cmd",
            "-1",
            "'=x",
            "\x1b[2J",
            "\u202eabc",
            "</td>",
            "`x`",
            "&amp;",
            "<img src=x>",
            "*b*",
            "_b_",
            "a_b_c",
            "__x__",
            "~~s~~",
            "two\nlines",
            "a\rb",
            "tab\there",
            "1. one",
            "- item",
            "> said",
            "---",
            "===",
            "\\",
            "\\|",
            "<a@b.c>",
            "![x](y)",
            "[ ] todo",
            "```",
            "カブトムシの幼虫",
            "漢字 and words",
            "e\u0301",
            "\ud800",
            "+",
            "title #",
            "x\\",
        ]
    ),
    st.text(st.sampled_from("ab *_[]()<>#`~|\\!&;:.-+=1漢\n"), max_size=24),
)
DAYS = st.integers(date(1980, 1, 1).toordinal(), date(2120, 1, 1).toordinal())
NUMBERS = st.one_of(st.integers(-(10**12), 10**12), st.floats())

_VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": HOSTILE,
    "whole": st.integers(-(10**15), 10**15),
    "number": NUMBERS,
    "day": DAYS,
    "span": st.builds(DaySpan, st.none() | DAYS, st.none() | DAYS),
    "yesno": st.booleans(),
    "mapping": st.dictionaries(HOSTILE, HOSTILE | NUMBERS, max_size=3),
}


def values(column: ReportColumn) -> st.SearchStrategy[Any]:
    """Every value that a column may hold."""
    if column.type == "object":
        one: st.SearchStrategy[Any] = st.fixed_dictionaries({c.name: values(c) for c in column.of})
    else:
        one = st.sampled_from(column.words) if column.words else _VALUES[column.type]
    if column.many:
        return st.lists(one, max_size=3)
    return one if column.always else st.none() | one


def rows(columns: tuple[ReportColumn, ...], most: int = 4) -> st.SearchStrategy[list[ReportRow]]:
    """Rows with any values, sentences and headings."""
    cells = st.tuples(*map(values, columns))
    return st.lists(st.builds(ReportRow, cells), max_size=most)


def listings() -> st.SearchStrategy[ReportDocument]:
    """Documents with a column of every type."""

    def made(title: str, found: list[ReportRow], said: list[str]) -> ReportDocument:
        return document(LISTING, title, Report("", EVERY_TYPE, found), said=said)

    return st.builds(made, HOSTILE, rows(EVERY_TYPE), st.lists(HOSTILE, max_size=2))


def verdicts() -> st.SearchStrategy[ReportDocument]:
    """Single results."""
    result = st.fixed_dictionaries({c.name: values(c) for c in VERDICT.fields})
    return st.builds(lambda found: document(VERDICT, "", result=found), result)


def days() -> st.SearchStrategy[ReportDocument]:
    """Documents of two tables."""
    parts = st.tuples(
        *(
            st.builds(lambda r, t=t: Report(t.name, t.columns, r, name=t.name), rows(t.columns))
            for t in SUMMARY.tables
        )
    )
    return st.builds(lambda p: document(SUMMARY, "A day", *p), parts)


def any_documents() -> st.SearchStrategy[ReportDocument]:
    return st.one_of(listings(), verdicts(), days())


def simple(
    columns: tuple[ReportColumn, ...], *cells: tuple[Any, ...], of: ReportKind | None = None, title: str = ""
) -> ReportDocument:
    """A listing of these rows."""
    return document(
        of or listing_kind("simple", "Simple", "A row", columns),
        title,
        Report("", columns, [ReportRow(c) for c in cells]),
    )
