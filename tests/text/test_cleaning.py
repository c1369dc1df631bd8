"""Text made fit to be shown: nothing that steers is left, and its width is known."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.text.cleaning import clean, clean_lines, json_text, number
from rounds.values.spans import FIRST, LAST, span_words

ANY = st.text(st.characters(codec=None), max_size=60)
NASTY = st.text(
    st.sampled_from(
        "a[]/@=b \x00\x07\x1b\x7f\x84\x85\x9b\x9d\u0301\u200b\u200d\u200e\u202e\u2028\u2066\ufe0f\u0e33\u1161\u11a8\ud800👩👍🏽🇩黒é"
    ),
    max_size=40,
)


@given(st.one_of(ANY, NASTY), st.integers(2, 50))
@example("e\u200d\u0301", 10)
@example("\u1100\u200b\u1161", 10)
@example("a" + "\u0301" * 50, 3)
@example("[@click=app.quit]x[/]", 200)
def test_no_sign_of_a_clean_text_steers_and_cleaning_twice_changes_nothing(text: str, limit: int) -> None:
    out = clean(text, limit)
    assert len(out) <= limit
    assert not [c for c in out if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")]
    assert cell_len(out) == sum(map(cell_len, out)), "no sign changes its neighbour's width"
    assert clean(out, limit) == out


@given(st.text(st.characters(codec="ascii", categories=("L", "N", "P", "S", "Zs")), max_size=80))
def test_plain_text_and_markup_are_left_as_they_are(text: str) -> None:
    assert clean(text) == text


@pytest.mark.parametrize(
    ("text", "out"),
    [
        ("[bold]x[/]", "[bold]x[/]"),
        ("a\x1b[31mb", "a[31mb"),
        ("a\x9b31mb", "a31mb"),
        ("a\tb\nc\u2028d\x85e", "a b c d e"),
        ("\u202eabc\u202c", "abc"),
        ("👩\u200d👧", "👩👧"),
        ("👍🏽", "👍"),
        ("🇩🇪", "DE"),
        ("❤\ufe0f", "❤"),
        ("\u0301e\u0301", "é"),
        ("cafe\u0301", "café"),
        ("カブトムシ", "カブトムシ"),
        ("", ""),
    ],
)
def test_what_becomes_of_a_text(text: str, out: str) -> None:
    assert clean(text) == out


def test_a_long_text_ends_in_dots() -> None:
    assert clean("x" * 300, 10) == "x" * 9 + "…"
    assert clean("é" * 10, 10) == "é" * 10


@given(st.lists(st.one_of(ANY, NASTY), max_size=4))
def test_json_says_every_letter_and_steers_nothing(texts: list[str]) -> None:
    out = json_text(texts)
    assert json.loads(out) == texts
    bad = ("Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp")
    assert not [c for c in out if c != "\n" and unicodedata.category(c) in bad]


def test_lines_stay_lines() -> None:
    assert clean_lines("a\x1bb\nc\x07d") == "ab\ncd"


@pytest.mark.parametrize(
    ("earliest", "latest", "words"),
    [
        (738000, 738000, "29 Jul"),
        (738000, 738003, "29 Jul to 1 Aug"),
        (FIRST, 738000, "by 29 Jul"),
        (738000, LAST, "from 29 Jul"),
        (FIRST, LAST, "at any time"),
    ],
)
def test_a_span_in_words(earliest: int, latest: int, words: str) -> None:
    assert span_words(earliest, latest) == words


@pytest.mark.parametrize(("value", "words"), [(2.0, "2"), (2.5, "2.5"), (0, "0")])
def test_a_number_in_words(value: float, words: str) -> None:
    assert number(value) == words
