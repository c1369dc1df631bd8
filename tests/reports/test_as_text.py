"""Documents as text: aligned, wrapped between words, and never steering a terminal."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.reports.as_text import as_text
from rounds.reports.report import Report, ReportRow, TextBlock, document, listing, listing_kind
from rounds.reports.report_columns import ReportColumn
from rounds.reports.text_width import broken, pieces, text_width
from rounds.text.cleaning import clean
from tests.reports.documents import HOSTILE, VERDICT, any_documents, simple
from tests.sampled import sampled

NAME = ReportColumn("name", "name", "text", "What it is called")
GRAMS = ReportColumn("grams", "g", "number", "Its weight", unit="g", places=1)
NOTE = ReportColumn("note", "note", "text", "What was noted")
KIND = listing_kind("larvae", "Larvae", "A larva a row", (NAME, GRAMS, NOTE))
ROWS = [
    ReportRow(("UMBER/3", 9.25, "turned over, quiet")),
    ReportRow(("カブト", 102.0, "wandering along the wall of the tub")),
]


def test_columns_are_aligned_numbers_at_the_right_and_wide_signs_count_two() -> None:
    assert as_text(listing(KIND, ROWS, title="Weighed")) == (
        "Weighed\n"
        "\n"
        "name         g  note\n"
        "UMBER/3    9.2  turned over, quiet\n"
        "カブト   102.0  wandering along the wall of the tub\n"
    )


def test_a_table_is_wrapped_inside_its_columns() -> None:
    assert as_text(listing(KIND, ROWS), 36) == (
        "name         g  note\n"
        "UMBER/3    9.2  turned over, quiet\n"
        "カブト   102.0  wandering along the\n"
        "                wall of the tub\n"
    )


def test_where_the_longest_words_do_not_fit_each_row_is_a_few_lines() -> None:
    assert as_text(listing(KIND, ROWS), 18) == (
        "name: UMBER/3\n"
        "g: 9.2\n"
        "note: turned over,\n"
        "  quiet\n"
        "\n"
        "name: カブト\n"
        "g: 102.0\n"
        "note: wandering\n"
        "  along the wall\n"
        "  of the tub\n"
    )


def test_rows_that_read_as_sentences_stand_under_their_headings() -> None:
    rows = [
        ReportRow(
            ("a", 1.0, None), "B3-1  TL-014  draw the water off", ("because it smells",), ("Overdue: 1",)
        ),
        ReportRow(("b", 1.0, None), "B3-2  TL-015  weigh in", (), ("This week: 2", "Mon 2 Mar 2026")),
        ReportRow(("c", 1.0, None), "C1-1  TL-020  weigh in", (), ("This week: 2", "Tue 3 Mar 2026")),
    ]
    made = document(
        KIND, "Sat 28 Feb 2026: 3 due", Report("", (NAME, GRAMS, NOTE), rows, notes=("and 14 more later",))
    )
    assert as_text(made) == (
        "Sat 28 Feb 2026: 3 due\n"
        "\n"
        "Overdue: 1\n"
        "  B3-1  TL-014  draw the water off\n"
        "      because it smells\n"
        "\n"
        "This week: 2\n"
        "  Mon 2 Mar 2026\n"
        "    B3-2  TL-015  weigh in\n"
        "  Tue 3 Mar 2026\n"
        "    C1-1  TL-020  weigh in\n"
        "and 14 more later\n"
    )


def test_a_table_may_have_headings_too() -> None:
    rows = [ReportRow(("a", 1.0, "x"), under=("Shelf A1",)), ReportRow(("b", 22.0, "y"), under=("Shelf A2",))]
    assert as_text(listing(KIND, rows)) == (
        "  name     g  note\nShelf A1\n  a      1.0  x\n\nShelf A2\n  b     22.0  y\n"
    )


def test_empty_reports_are_left_out_unless_they_say_something() -> None:
    columns = (NAME, GRAMS, NOTE)
    said = document(
        KIND, "Day", Report("Left out", columns, []), Report("Needs action", columns, [], empty="nothing")
    )
    assert as_text(said) == "Day\n\nNeeds action\n  nothing\n"
    assert as_text(listing(KIND, [])) == ""


def test_a_result_without_sentences_is_a_line_a_field() -> None:
    result = {"finding": "lower", "broods": 12, "b": {"value": 1.5}, "notes": ["one", "two"]}
    assert as_text(document(VERDICT, "", result=result)) == "finding  lower\nbroods   12\nnote     one; two\n"
    assert as_text(document(VERDICT, "", said=("It was lower.",), result=result)) == "It was lower.\n"


def test_a_block_keeps_its_layout() -> None:
    made = document(KIND, "", TextBlock("Tree", ("a", "├── b  c", "└── d ")))
    assert as_text(made, 4) == "Tree\na\n├── b  c\n└── d\n"


@settings(max_examples=sampled(50, 500))
@given(any_documents(), st.none() | st.integers(10, 120))
def test_no_text_of_the_book_steers_a_terminal(made, width) -> None:
    out = as_text(made, width)
    assert out == "" or out.endswith("\n")
    for line in out.split("\n"):
        assert clean(line, 100_000) == line
        assert not [c for c in line if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Zl", "Zp")]


def test_the_check_for_controls_would_find_one() -> None:
    """The control: text that is not cleaned holds them."""
    assert clean("\x1b[2J", 100) != "\x1b[2J"


@settings(max_examples=sampled(50, 500))
@given(HOSTILE)
def test_a_text_is_as_wide_as_the_screen_makes_it(text: str) -> None:
    shown = clean(text, 400)
    assert text_width(shown) == cell_len(shown)  # rich, which paints the screens, measures the same


@settings(max_examples=sampled(80, 1000))
@given(HOSTILE | st.text("ab é漢字、。-", max_size=60), st.integers(6, 40), st.integers(0, 3))
def test_lines_are_broken_between_pieces_and_lose_none(text: str, width: int, indent: int) -> None:
    shown = clean(text, 400)
    lines = broken(shown, width, " " * indent, " " * indent + "  ")
    assert "".join(lines).replace(" ", "") == shown.replace(" ", "")
    for number, line in enumerate(lines):
        if text_width(line) > width:  # only a piece that no line could hold
            start = indent + 2 * (number > 0)
            assert len([p for p, _ in pieces(line[start:]) if p]) == 1


@settings(max_examples=sampled(50, 400))
@given(
    st.lists(
        st.lists(st.text("ab-", min_size=1, max_size=8), min_size=1, max_size=12).map(" ".join),
        min_size=1,
        max_size=5,
    ),
    st.integers(12, 60),
)
def test_no_word_is_broken_when_the_column_fits(notes: list[str], width: int) -> None:
    columns = (ReportColumn("note", "note", "text", "A note"), ReportColumn("n", "n", "whole", "A number"))
    out = as_text(simple(columns, *((note, 7) for note in notes)), width)
    assert all(text_width(line) <= width for line in out.splitlines())
    words = [w for w in out.split() if w not in ("note", "n", "7", "note:", "n:")]
    assert sorted(words) == sorted(w for note in notes for w in note.split() if w not in ("note", "n", "7"))


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("a b", ["a", "b"]),
        ("漢字x", ["漢", "字x"]),
        ("漢字、漢", ["漢", "字、漢"]),
        ("UMBER/3 幼虫", ["UMBER/3", "幼", "虫"]),
    ],
)
def test_a_line_may_break_between_two_ideographs_but_not_before_punctuation(
    text: str, parts: list[str]
) -> None:
    assert [piece for piece, _ in pieces(text)] == parts
