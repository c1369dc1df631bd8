"""Documents as HTML: what the standard library's parser finds is the form's own elements and the texts."""

from __future__ import annotations

from html.parser import HTMLParser

import pytest
from hypothesis import given, settings

from rounds.reports.as_html import as_html
from rounds.reports.cell_values import read_text
from rounds.reports.rendering import FORMS, rendered
from rounds.reports.report import (
    Report,
    ReportDocument,
    ReportRow,
    TextBlock,
    document,
    listing,
    listing_kind,
)
from rounds.reports.report_columns import ReportColumn
from tests.reports.documents import HOSTILE, any_documents, simple
from tests.sampled import sampled

TEXT = ReportColumn("a", "a", "text", "A text")
NUMBER = ReportColumn("n", "n", "whole", "A number")
OURS = {
    "html",
    "head",
    "meta",
    "title",
    "style",
    "body",
    "h1",
    "h2",
    "h3",
    "h4",
    "p",
    "pre",
    "table",
    "thead",
    "tbody",
    "tr",
    "th",
    "td",
    "ul",
    "li",
}


class Seen(HTMLParser):
    """Elements and texts as a browser would find them."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.names: set[str] = set()
        self.cells: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.names |= {name for name, _ in attrs}
        self.cells.append("")

    def handle_data(self, data: str) -> None:
        if self.cells:
            self.cells[-1] += data


@settings(max_examples=sampled(60, 800))
@given(HOSTILE, HOSTILE)
def test_the_texts_are_there_and_no_element_of_them(one: str, other: str) -> None:
    def made(title: str, cell: str) -> ReportDocument:
        columns = (TEXT,)
        of = listing_kind("texts", "Texts", "A text a row", columns)
        rows = [ReportRow((cell,), under=(title or "x",))]
        return document(
            of, title or "x", Report(title or "x", columns, rows), TextBlock("", (cell,)), said=(cell or "x",)
        )

    seen, plain = Seen(as_html(made(one, other))), Seen(as_html(made("x", "y")))
    assert seen.tags == plain.tags
    assert seen.names == plain.names
    at = seen.tags.index("td")
    assert seen.cells[at].rstrip("\n") == read_text(TEXT, other)


@settings(max_examples=sampled(60, 800))
@given(any_documents())
def test_only_our_elements_are_in_it(made: ReportDocument) -> None:
    seen = Seen(as_html(made))
    assert set(seen.tags) <= OURS
    assert seen.names <= {"lang", "charset", "http-equiv", "content", "class"}


def test_the_parser_would_see_an_element() -> None:
    """The control: unescaped, the same texts are elements."""
    assert Seen("<td><img src=x></td>").tags == ["td", "img"]


def test_numbers_stand_at_the_right_and_lists_hold_what_is_below() -> None:
    out = as_html(simple((TEXT, NUMBER), ("a", 3)))
    assert '<th>a</th><th class="number">n</th>' in out
    assert '<td>a</td><td class="number">3</td>' in out
    columns = (ReportColumn("a", "", "text", "A text"),)
    of = listing_kind("list", "List", "A text a row", columns)
    listed = as_html(listing(of, [ReportRow(("x",), "line", ("below",), ("Head",))]))
    assert "<h2>Head</h2>\n<ul>\n<li>line<ul><li>below</li></ul></li>\n</ul>" in listed
    assert "<p>nothing</p>" in as_html(listing(of, [], title="T", empty="")) or "nothing" not in as_html(
        listing(of, [])
    )


@settings(max_examples=sampled(20, 200))
@given(any_documents())
def test_every_form_is_a_whole_text(made: ReportDocument) -> None:
    for form in FORMS:
        out = rendered(made, form)
        assert out == "" or out.endswith("\n")
        out.encode("utf-8")


def test_another_form_is_refused() -> None:
    with pytest.raises(KeyError):
        rendered(simple((TEXT,), ("a",)), "pdf")
