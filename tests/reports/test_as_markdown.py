"""Documents as Markdown: a CommonMark reader finds the texts as they are, and no markup in them.

The reader is markdown-it-py, a general library that follows the CommonMark specification,
with the tables and struck-out texts of GitHub's extension switched on.
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from rounds.reports.as_markdown import as_markdown, escaped, escaped_line
from rounds.reports.cell_values import read_text
from rounds.reports.report import Report, ReportRow, TextBlock, document, listing, listing_kind
from rounds.reports.report_columns import ReportColumn
from rounds.text.cleaning import clean
from tests.reports.documents import HOSTILE, simple
from tests.sampled import sampled

READER = MarkdownIt("commonmark").enable(["table", "strikethrough"])
TEXT = ReportColumn("a", "a", "text", "A text")
OTHER = ReportColumn("b", "b", "text", "Another")
NUMBER = ReportColumn("n", "n", "whole", "A number")
KIND = listing_kind("texts", "Texts", "A text a row", (TEXT, OTHER))


def found(markdown: str) -> list[tuple[str, str, str]]:
    """(element it stands in, its text, inline markup in it) of every piece of text."""
    tokens = READER.parse(markdown)
    out = []
    for before, token in pairwise(tokens):
        if token.type == "inline":
            kinds = {t.type for t in token.children or ()} - {"text", "text_special", "softbreak"}
            out.append((before.type, "".join(t.content for t in token.children or ()), " ".join(kinds)))
    return out


@settings(max_examples=sampled(150, 3000))
@given(HOSTILE, HOSTILE)
@example("a*b*c", "x_y_ _z_")
@example("\\|", "[a][b]")
def test_a_cell_holds_the_text_and_no_markup_of_it(one: str, other: str) -> None:
    cells = [
        c for c in found(as_markdown(simple((TEXT, OTHER), (one, other), ("x", "x")))) if c[0] == "td_open"
    ]
    assert [(text.strip(), markup) for _, text, markup in cells[:2]] == [
        (read_text(TEXT, t).strip(), "") for t in (one, other)
    ]


@settings(max_examples=sampled(150, 3000))
@given(HOSTILE)
@example("1. one")
@example("- - -")
@example("# #")
@example("[x]: y")
def test_a_sentence_and_a_title_hold_the_text_and_no_markup_of_it(text: str) -> None:
    made = document(KIND, "Title", Report(text, (TEXT, OTHER), [], said=(text,)), said=(text,))
    shown = clean(text, 4000).strip()
    seen = [(kind, words.strip(), markup) for kind, words, markup in found(as_markdown(made))]
    expected = [
        ("heading_open", "Title", ""),
        ("paragraph_open", shown, ""),
        ("heading_open", shown, ""),
        ("paragraph_open", shown, ""),
        ("paragraph_open", "nothing", ""),
    ]
    assert [s for s in seen if s[1].strip()] == [e for e in expected if e[1].strip()]


@settings(max_examples=sampled(120, 2000))
@given(HOSTILE.filter(lambda t: clean(t, 4000).strip()), HOSTILE.filter(lambda t: clean(t, 4000).strip()))
def test_a_list_holds_the_texts_and_no_markup_of_them(line: str, below: str) -> None:
    columns = (ReportColumn("a", "", "text", "A text"),)
    of = listing_kind("list", "List", "A text a row", columns)
    made = document(of, "T", Report("", columns, [ReportRow(("x",), line, (below,))]))
    shown = [clean(t, 4000).strip() for t in (line, below)]
    assert [(w.strip(), m) for k, w, m in found(as_markdown(made)) if k == "paragraph_open"] == [
        (s, "") for s in shown
    ]


def test_the_reader_would_find_markup() -> None:
    """The control: the same texts unescaped are markup."""
    assert found("<b>x</b> *y* [z](u)")[0][2] != ""


@pytest.mark.parametrize(
    "text",
    [
        "Draw the water off at a corner; wedge the box aslant.",
        "TL-014 (B3-1), 2.5 g!",
        "day_shift + 3 - 1 = x",
        "a < b > c & d",
        "F 0.125 {low}",
        "#12 at 5 * 3",
        "about ~5 days",
        "[lab] box",
        "it's 50% + more",
        "¼ cup – sour",
        "telephone ____________",
        "____ by hand",
    ],
)
def test_harmless_signs_are_left_as_they_are(text: str) -> None:
    assert escaped(text) == text
    assert escaped_line(text) == text


@pytest.mark.parametrize(
    ("text", "out"),
    [
        ("*b*", "\\*b\\*"),
        ("a_b", "a_b"),
        ("_b_", "\\_b\\_"),
        ("__b__", "\\_\\_b\\_\\_"),
        ("a**b", "a\\*\\*b"),
        ("`x`", "\\`x\\`"),
        ("`rounds backup` makes one *now*.", "`rounds backup` makes one \\*now\\*."),
        ("*`rounds keys`*", "\\*`rounds keys`\\*"),
        ("a `rounds` and a ` alone", "a `rounds` and a \\` alone"),
        ("[x](y)", "[x\\](y)"),
        ("<b>", "\\<b>"),
        ("&amp;", "\\&amp;"),
        ("a\\b", "a\\\\b"),
        ("~~s~~", "\\~\\~s\\~\\~"),
    ],
)
def test_signs_that_would_be_markup_are_escaped(text: str, out: str) -> None:
    assert escaped(text) == out


@given(st.sampled_from(["# a", "> a", "- a", "+ a", "* a", "1. a", "2) a", "---", "***", "[ ] a"]))
def test_a_line_does_not_begin_a_block(text: str) -> None:
    assert escaped_line(text) != text


def test_numbers_stand_at_the_right_and_headings_part_tables() -> None:
    rows = [ReportRow((3, "a|b"), under=("Shelf A1",)), ReportRow((4, "c"), under=("Shelf A2",))]
    of = listing_kind("n", "Numbers", "A number a row", (NUMBER, OTHER))
    assert as_markdown(listing(of, rows, notes=("That is all.",))) == (
        "# Numbers\n\n## Shelf A1\n\n| n | b |\n| ---: | --- |\n| 3 | a\\|b |\n\n"
        "## Shelf A2\n\n| n | b |\n| ---: | --- |\n| 4 | c |\n\nThat is all.\n"
    )


def test_a_block_is_fenced_more_than_what_it_holds() -> None:
    out = as_markdown(document(KIND, "T", TextBlock("", ("a ``` b", "  c"))))
    assert out == "# T\n\n````\na ``` b\n  c\n````\n"
    assert [t.content for t in READER.parse(out) if t.type == "fence"] == ["a ``` b\n  c\n"]


def test_columns_without_anything_are_left_out_and_several_notes_are_a_list() -> None:
    made = listing(KIND, [ReportRow(("a", None)), ReportRow(("b", ""))], notes=("one", "two"))
    assert as_markdown(made) == "# Texts\n\n| a |\n| --- |\n| a |\n| b |\n\n- one\n- two\n"
    empty = listing(KIND, [ReportRow((None, None))])
    assert as_markdown(empty) == "# Texts\n\n| a | b |\n| --- | --- |\n|  |  |\n"
