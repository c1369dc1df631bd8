"""What is painted over a line: just what makes it the next one, wide signs and marks included."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.presenters.changed_cells import CLOSE, Stretch, _cells, _changed, _runs, stretches
from rounds.presenters.lines import Line, cut

WIDTH = 30
SIGNS = "ab c✓·é甲乙\u0301"  # plain, wide, and a mark that has no cell of its own
LINES = st.lists(
    st.tuples(
        st.text(SIGNS, max_size=12) | st.text("ab c✓·é", max_size=12),
        st.sampled_from(("", "strong", "cursor")),
    ),
    max_size=6,
).map(lambda runs: cut([(t.lstrip("\u0301") if i == 0 else t, s) for i, (t, s) in enumerate(runs)], WIDTH))


def cells(line: Line) -> list[tuple[str, str]]:
    """Written anew, sign by sign, and not by the module that is tested."""
    out: list[tuple[str, str]] = []
    for text, style in line:
        for sign in text:
            if cell_len(sign) == 0:
                at = max(i for i, (s, _) in enumerate(out) if s)
                out[at] = (out[at][0] + sign, out[at][1])
            else:
                out += [(sign, style)] + [("", style)] * (cell_len(sign) - 1)
    return out


@given(LINES, LINES)
def test_painted_over_the_old_line_it_is_the_new_one(old: Line, new: Line) -> None:
    assume(not any("".join(text for text, _ in line).startswith("\u0301") for line in (old, new)))
    screen = cells(old)
    for x, runs in stretches(old, new):
        painted = cells(runs)
        assert painted
        assert painted[0][0], "it begins in the middle of a wide sign"
        if screen[x][0] == "":  # a terminal blanks the half of a wide sign that is left standing
            screen[x - 1] = (" ", screen[x - 1][1])
        screen[x : x + len(painted)] = painted
        if x + len(painted) < len(screen) and screen[x + len(painted)][0] == "":
            screen[x + len(painted)] = (" ", screen[x + len(painted)][1])
    assert screen == cells(new)


PLAIN = st.lists(st.tuples(st.text("ab ✓·é", max_size=12), st.sampled_from(("", "strong"))), max_size=6).map(
    lambda runs: cut(runs, WIDTH)
)


@given(PLAIN, PLAIN)
def test_lines_of_one_cell_for_each_sign_are_compared_to_the_same_end(old: Line, new: Line) -> None:
    by_cells = [Stretch(x, _runs(_cells(new)[x:end])) for x, end in _changed(_cells(old), _cells(new))]
    assert [(s.x, cells(s.runs)) for s in stretches(old, new)] == [(s.x, cells(s.runs)) for s in by_cells]


@given(LINES)
def test_nothing_is_painted_over_the_same_cells(line: Line) -> None:
    assume(not "".join(text for text, _ in line).startswith("\u0301"))
    apart = tuple((sign, style) for text, style in line for sign in text if cell_len(sign))
    if cells(apart) == cells(line):
        assert stretches(line, apart) == []
    assert stretches(line, line) == []


@pytest.mark.parametrize(("between", "painted"), [(CLOSE, 1), (CLOSE + 1, 2)])
def test_what_is_far_apart_is_painted_apart(between: int, painted: int) -> None:
    old = cut([("x" + "-" * between + "y", "")], WIDTH)
    new = cut([("a" + "-" * between + "b", "")], WIDTH)
    found = stretches(old, new)
    assert len(found) == painted
    assert sum(len(text) for s in found for text, _ in s.runs) == (2 if painted == 2 else between + 2)
