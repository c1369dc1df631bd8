"""The forms of a page: what a text of the book holds is shown, never obeyed."""

from __future__ import annotations

import csv
import io
import json
from html.parser import HTMLParser

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.husbandry.spans import Span
from rounds.records.observations import Action, DueNotice, EnclosureState, Slot
from rounds.records.round_summary import Carry, Summary, SummaryRow
from rounds.reports import summary_report, table_forms
from rounds.reports.table_forms import Page, Part
from rounds.text.cleaning import clean
from tests.sampled import sampled

texts = st.one_of(
    st.text(max_size=20),
    st.sampled_from(["<script>alert(1)</script>", "|", "a|b", "[x](http://y)", "# head", "=1+1", "\x1b[2J", "\u202e", "</td>", "`",
                     "&amp;", "<img src=x>", "*b*", "two\nlines"]),
)  # fmt: skip


class Seen(HTMLParser):
    """Elements and texts as a browser would find them."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.cells: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag == "td":
            self.cells.append("")

    def handle_data(self, data: str) -> None:
        if self.cells:
            self.cells[-1] += data


def page(*cells: str) -> Page:
    return Page("A title", ("A sentence.",), (Part("Part", ("a", "b"), [cells]),))


@given(one=texts, other=texts)
def test_html_holds_the_text_and_no_element_of_it(one: str, other: str) -> None:
    seen, plain = Seen(), Seen()
    seen.feed(table_forms.as_html(page(one, other)))
    plain.feed(table_forms.as_html(page("x", "y")))
    assert seen.tags == plain.tags
    assert [c.rstrip("\n") for c in seen.cells] == [table_forms.shown(one), table_forms.shown(other)]


def test_the_html_check_would_see_an_element() -> None:
    """The control: unescaped, the same texts are elements."""
    seen = Seen()
    seen.feed("<td>" + "<img src=x>")
    assert seen.tags == ["td", "img"]


@given(one=texts, other=texts)
def test_markdown_has_one_row_of_two_cells_and_escapes_its_own_signs(one: str, other: str) -> None:
    row = table_forms.as_markdown(page(one, other)).split("\n")[-1]
    bare = row.replace("\\\\", "").replace("\\|", "")
    assert bare.count("|") == 3
    for sign in "`*_[]<>#":
        assert sign not in row.replace("\\" + sign, "").replace("\\\\", "")


@given(one=texts, other=texts)
def test_text_is_one_line_a_row(one: str, other: str) -> None:
    out = table_forms.as_text(page(one, other))
    assert len(out.split("\n")) == 6
    assert all(clean(line, 10_000) == line for line in out.split("\n"))


@given(cells=st.lists(st.tuples(texts, st.integers(-5, 5), st.floats(-9, 9, allow_nan=False)), max_size=4))
def test_csv_is_guarded_and_numbers_are_in_full(cells: list[tuple[str, int, float]]) -> None:
    rows = list(csv.reader(io.StringIO(table_forms.as_csv(("a", "b", "c"), cells), newline="")))
    assert rows[0] == ["a", "b", "c"]
    for (text, whole, number), row in zip(cells, rows[1:], strict=True):
        assert not row[0] or row[0][0] not in "=+-@\t\r"
        assert (int(row[1]), float(row[2])) == (whole, number)
        assert row[0].lstrip("'") == table_forms.shown(text).lstrip("'")


E = EnclosureState(1, "=T|1", 1, "laying", None, Slot(1, "B", 3, 1), 1, "M")
SUMMARY = Summary(
    739_000,
    (SummaryRow(E, Action(b"u" * 16, 1, "wet", "now", "<b>wet</b>", "drain it", 738_999), True),),
    (Carry("cups", 2.5, ("=T|1",)),),
    ((E, "no time"),),
    ((E, DueNotice(1, 1, "first search", Span(738_990, 739_010), 739_000, "=4 weeks", "UMBER/1", "locked")),),
    0,
)  # fmt: skip


def test_every_form_says_the_same() -> None:
    records = json.loads(summary_report.as_json(SUMMARY))
    rows = list(csv.DictReader(io.StringIO(summary_report.as_csv(SUMMARY), newline="")))
    assert [r["part"] for r in rows] == [r["part"] for r in records] == ["action", "carry", "due", "unseen"]
    assert set(summary_report.COLUMNS) == {k for r in records for k in r}
    for row, record in zip(rows, records, strict=True):
        assert {k for k, v in row.items() if v} <= {k for k, v in record.items() if v is not None}
    assert rows[0]["enclosure"] == "'=T|1"
    assert rows[2]["why"] == "'=4 weeks"
    page_ = summary_report.page(SUMMARY, {})
    for form in ("text", "markdown", "html"):
        out = table_forms.pages(page_, form)
        for said in ("drain it", "first search", "no time", "2.5" if form != "markdown" else "2\\.5"):
            assert said in out, (form, said)
    assert "<b>" not in table_forms.pages(page_, "html")


def test_an_empty_summary_says_so() -> None:
    empty = summary_report.page(Summary(739_000, (), (), (), (), 3), {})
    assert table_forms.as_markdown(empty).count("nothing") == 4
    assert table_forms.as_html(empty).count("<p>nothing</p>") == 4
    with pytest.raises(KeyError):
        table_forms.pages(empty, "pdf")


@settings(max_examples=sampled(50, 200))
@given(
    st.lists(st.text("ab-é →", max_size=90), max_size=4),
    st.integers(min_value=20, max_value=60),
)
def test_wrapped_lines_break_between_words_and_lose_none(lines: list[str], width: int) -> None:
    text = "\n".join(lines)
    out = table_forms.wrapped(text, width)
    assert out.split() == text.split()
    assert all(len(line) <= width or len(line.split()) == 1 for line in out.split("\n"))
    assert table_forms.wrapped(text, 400) == text


def test_what_goes_on_is_indented_further() -> None:
    assert (
        table_forms.wrapped("Head\n  !!  A1-2 needs water now", 16) == "Head\n  !!  A1-2 needs\n    water now"
    )


def test_a_skip_is_said_by_the_title_of_its_reason() -> None:
    unseen = tuple((e, "reach") for e, _ in SUMMARY.unseen[:1])
    assert unseen, "the summary of these tests has something unseen"
    found = SUMMARY._replace(unseen=unseen)
    for text in (
        summary_report.as_text(found, {"reach": "out of reach"}),
        table_forms.as_text(summary_report.page(found, {"reach": "out of reach"})),
    ):
        assert "out of reach" in text
    assert "(skipped: reach)" in summary_report.as_text(found, {})
