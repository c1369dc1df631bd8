"""Lines have exactly the width they are given, whatever is in them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.presenters.bigtext import HEIGHT, big
from rounds.presenters.lines import cut, fit, flow, size, wrap
from rounds.text.cleaning import clean

TEXT = st.text(st.one_of(st.characters(codec="utf-8"), st.sampled_from("ab 黒👩é\u0301…")), max_size=40).map(
    clean
)
LINE = st.lists(st.tuples(TEXT, st.sampled_from(["", "strong", "bar"])), max_size=5).map(tuple)


@given(TEXT, st.integers(0, 50))
def test_fit_gives_exactly_the_width(text: str, width: int) -> None:
    out = fit(text, width)
    assert cell_len(out) == width
    if cell_len(text) <= width:
        assert out.startswith(text)


@given(LINE, st.integers(0, 60))
def test_cut_gives_exactly_the_width(line, width: int) -> None:
    assert size(cut(line, width)) == width


@given(LINE, st.integers(1, 60))
def test_cut_keeps_what_fits(line, width: int) -> None:
    whole = "".join(text for text, _ in line)
    out = "".join(text for text, _ in cut(line, width))
    if cell_len(whole) <= width:
        assert out.rstrip(" ") == whole.rstrip(" ")


@given(TEXT, st.integers(1, 40), st.integers(1, 6))
def test_wrap_gives_so_many_lines_none_too_wide(text: str, width: int, most: int) -> None:
    out = wrap(text, width, most)
    assert len(out) <= most
    assert all(cell_len(x) <= width for x in out)


@given(TEXT, st.integers(2, 40))
def test_wrap_loses_no_letter_when_there_is_room(text: str, width: int) -> None:
    out = wrap(text, width, 1000)
    assert "".join("".join(out).split()) == "".join(text.split())


@pytest.mark.parametrize("text", ["one two three four five six", "黒いカブトムシ" * 9, "x" * 99])
def test_wrap_says_when_it_cut_something(text: str) -> None:
    out = wrap(text, 12, 2)
    assert len(out) == 2
    assert out[-1].endswith("…")
    assert not wrap(text, 12, 100)[-1].endswith("…")


def test_wrap_breaks_between_words() -> None:
    assert wrap("a beetle on its back", 9, 5) == ["a beetle", "on its", "back"]


@given(st.lists(LINE.filter(lambda x: size(x) <= 20), max_size=8), st.integers(20, 60))
def test_flow_breaks_no_piece(pieces, width: int) -> None:
    out = flow(pieces, width)
    assert all(size(line) == width for line in out)
    joined = "".join(text for line in out for text, _ in line)
    for piece in pieces:
        assert "".join(text for text, _ in piece) in joined


@pytest.mark.parametrize("code", ["TL-007", "ABCDEFGHIJ", "KLMNOPQRSTU", "VWXYZ0123456789", "a_b/c.d"])
def test_big_letters_are_three_lines_of_one_width(code: str) -> None:
    out = big(code, 80)
    assert out is not None
    assert len(out) == HEIGHT
    assert {len(line) for line in out} == {4 * len(code) - 1}


def test_big_letters_differ_from_one_another() -> None:
    signs = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-./_"
    assert len({tuple(big(s, 10)) for s in signs}) == len(signs)


@pytest.mark.parametrize("code", ["TL-007é", "黒", "x" * 30, "[b]"])
def test_a_code_that_has_no_big_letters_or_no_room_is_shown_small(code: str) -> None:
    assert big(code, 40) is None
