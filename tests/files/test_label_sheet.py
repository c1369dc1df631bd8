"""Sheets and grids: what is typed, what fits, and that no label leaves its place."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.files import label_layout
from rounds.files.label_content import Label, Wordings
from rounds.files.label_sheet import PAPERS, PLAIN, Grid, Sheet, sheet
from rounds.problems import BadInput

V1 = 29
"""Modules along a version 1 symbol with its quiet zone: 21 + 2 × 4 (ISO/IEC 18004)."""


def measure(text: str, *, bold: bool) -> float:
    """A letter of half its size, a bold one a little wider; at one point, in mm."""
    return len(text) * (0.6 if bold else 0.5) * label_layout.POINT


def told(paper: str, grid: str | None) -> list[str]:
    with pytest.raises(BadInput) as caught:
        sheet(paper, grid)
    return [f"{p.file}:{p.column} {p.message}" for p in caught.value.problems]


def test_measures_are_read_as_they_are_typed() -> None:
    assert sheet("a4", "3x8 70x36") == Sheet(210, 297, Grid(3, 8, 70, 36), False)
    assert sheet("Letter", "3X10 66.7×25.4 margins 4.8,12.7 gaps 3.1,0").grid == Grid(
        3, 10, 66.7, 25.4, 4.8, 12.7, 3.1, 0
    )
    assert sheet("a4", "3x8 63x34 gaps 2,1 margins 8,9").grid == Grid(3, 8, 63, 34, 8, 9, 2, 1)


@pytest.mark.parametrize("paper", PLAIN)
def test_plain_paper_fits_and_is_cut(paper: str) -> None:
    found = sheet(paper, None)
    assert (found.width, found.height) == PAPERS[paper]
    assert found.cut
    assert found.inset == (1.5, 1.5), "clear of the edge that printers leave white"
    _inside(found)
    assert label_layout.too_small(found.grid.width, found.grid.height, V1) == ""


def test_paper_of_a_size_of_its_own_is_one_label() -> None:
    assert sheet("62x29", None) == Sheet(62, 29, Grid(1, 1, 62, 29), False)
    assert sheet("62x29", None).inset == (1.5, 1.5)


@pytest.mark.parametrize(
    ("paper", "grid", "problems"),
    [
        ("a3", None, ["--paper:0 `a3` is no paper."]),
        ("5x29", None, ["--paper:0 `5x29` mm: each side is 15 to 2000 mm."]),
        ("a4", "", ["--grid:1 columns x rows is missing.", "--grid:1 width x height is missing."]),
        ("a4", "3x8", ["--grid:4 width x height is missing."]),
        (
            "a4",
            "0x8 70x0",
            [
                "--grid:1 `0x8`: columns x rows must each be more than 0.",
                "--grid:5 `70x0`: width x height must each be more than 0.",
            ],
        ),
        ("a4", "3x8 70x36mm", ["--grid:5 width x height expected, not `70x36mm`."]),
        ("a4", "3x8 -70x36", ["--grid:5 width x height expected, not `-70x36`."]),
        ("a4", "3x8 nanx36", ["--grid:5 width x height expected, not `nanx36`."]),
        ("a4", "3x8 70x36 margin 0,4.5", ["--grid:11 `margin` is not understood here."]),
        ("a4", "3x8 70x36 gaps", ["--grid:15 gaps: across,down is missing."]),
        ("a4", "3x8 70x36 gaps 1 margins 0,4", ["--grid:16 gaps: across,down expected, not `1`."]),
        (
            "a9",
            "3xx 70x36 edge 2",
            [
                "--grid:1 columns x rows expected, not `3xx`.",
                "--grid:11 `edge` is not understood here.",
                "--grid:16 `2` is not understood here.",
                "--paper:0 `a9` is no paper.",
            ],
        ),
        ("a4", "99x99 1x1", ["--grid:1 99 x 99 stickers are more than the 2000 a sheet may have."]),
    ],
)
def test_everything_that_is_wrong_is_told_at_once(paper: str, grid: str | None, problems: list[str]) -> None:
    assert told(paper, grid) == problems


@pytest.mark.parametrize("start", [0, -3, 25])
def test_a_sheet_begins_at_one_of_its_stickers(start: int) -> None:
    assert sheet("a4", "3x8 70x36", 24).grid.stickers == 24
    with pytest.raises(BadInput) as caught:
        sheet("a5", "3x8 70x36", start)
    assert [str(p) for p in caught.value.problems] == [
        "--paper  `a5` is no paper. Write a4, letter, or a width and height in mm such as 62x29.",
        f"--start  {start}: the sheet has 24 stickers. Give 1 to 24.",
    ]


def test_both_directions_that_do_not_fit_are_told() -> None:
    assert told("letter", "4x9 70x36 margins 1,0 gaps 2,0") == [
        "--grid:0 4 columns of 70 mm with a margin of 1 and gaps of 2 mm need 287 mm, and the paper is 215.9 mm wide.",
        "--grid:0 9 rows of 36 mm with a margin of 0 and gaps of 0 mm need 324 mm, and the paper is 279.4 mm high.",
    ]
    assert sheet("a4", "3x8 70x36 margins 0,9").grid.rows == 8, "to the paper's very edge"
    assert len(told("a4", "3x8 70x36 margins 0,9.1")) == 1


sizes = st.decimals(min_value=1, max_value=120, places=1).map(str)
small = st.decimals(min_value=0, max_value=30, places=1).map(str)


@st.composite
def grids(draw: st.DrawFn) -> Sheet:
    """Any grid that is taken, on any paper."""
    paper = draw(
        st.sampled_from(["a4", "letter"])
        | st.tuples(st.integers(15, 400), st.integers(15, 400)).map(lambda s: f"{s[0]}x{s[1]}")
    )
    text = f"{draw(st.integers(1, 12))}x{draw(st.integers(1, 30))} {draw(sizes)}x{draw(sizes)} margins {draw(small)},{draw(small)} gaps {draw(small)},{draw(small)}"
    try:
        return sheet(paper, text)
    except BadInput:
        return sheet(paper, None)


@given(
    st.text(alphabet="0123456789xX×., margisp-e", max_size=60),
    st.sampled_from(["a4", "62x29", "5", "x", ""]),
    st.integers(),
)
def test_whatever_is_typed_is_a_sheet_or_told(grid: str, paper: str, start: int) -> None:
    try:
        found = sheet(paper, grid, start)
    except BadInput as e:
        told = e.problems
    else:
        _inside(found)
        return
    assert {p.file for p in told} <= {"--grid", "--paper", "--start"}
    assert all(p.message for p in told)


def _inside(s: Sheet) -> None:
    """No sticker leaves the paper by more than the slack, none overlaps another."""
    g = s.grid
    corners = [g.at(n) for n in range(g.stickers)]
    for x, y in corners:
        assert x >= 0
        assert y >= 0
        assert x + g.width <= s.width + 0.0501
        assert y + g.height <= s.height + 0.0501
    columns = sorted({x for x, _ in corners})
    rows = sorted({y for _, y in corners})
    assert (len(columns), len(rows), len(set(corners))) == (g.columns, g.rows, g.stickers)
    for places, size in ((columns, g.width), (rows, g.height)):
        assert all(b - a >= size - 1e-9 for a, b in pairwise(places))


@given(grids())
def test_no_label_leaves_the_page_or_overlaps_another(s: Sheet) -> None:
    _inside(s)


def test_a_grid_that_is_not_checked_would_be_seen() -> None:
    with pytest.raises(AssertionError):
        _inside(Sheet(210, 297, Grid(4, 8, 70, 36), False))
    with pytest.raises(AssertionError):
        _inside(Sheet(210, 297, Grid(2, 8, 70, 36, across=-1), False))


@given(grids(), st.integers(0, 5000))
def test_places_go_on_from_sheet_to_sheet(s: Sheet, n: int) -> None:
    page, x, y = s.where(n)
    assert page == n // s.grid.stickers
    assert (x, y) == s.grid.at(n - page * s.grid.stickers)


words = st.text(min_size=1, max_size=80)
labels_ = st.builds(
    Label,
    words,
    st.integers(1, 10**6).map("no. {}".format),
    st.lists(
        st.builds(
            Wordings,
            st.lists(words, min_size=1, max_size=3).map(tuple),
            st.lists(words, max_size=3).map(tuple),
        ),
        min_size=1,
        max_size=2,
    ).map(tuple),
    words,
)


@given(labels_, grids(), st.sampled_from([29, 33, 37, 41]))
def test_what_stands_on_a_label_stays_on_it_and_clear_of_its_code(
    label: Label, s: Sheet, modules: int
) -> None:
    g, inset = s.grid, s.inset
    if label_layout.too_small(g.width, g.height, modules, inset):
        assert label_layout.module_side(g.width, g.height, modules, inset) < 0.4
        return
    placed = label_layout.place(label, g.width, g.height, modules, measure, inset)
    qx, qy = placed.qr
    quiet = 4 * placed.module
    dark = (modules - 8) * placed.module
    assert placed.module >= 0.4 - 1e-9
    # All of the quiet zone is clear of the text, and of the label's neighbours sideways.
    assert qx + modules * placed.module <= g.width + 1e-9
    assert qx + quiet + dark <= g.width - inset[0] + 1e-9
    assert qy + quiet >= inset[1] - 1e-9
    assert qy + quiet + dark <= g.height - inset[1] + 1e-9
    rows = {t.baseline for t in placed.texts}
    assert len(rows) == 1 + len(label.lines) <= 3
    for t in placed.texts:
        assert t.x >= inset[0] - 1e-9
        assert t.baseline - label_layout.CAP * t.size * label_layout.POINT >= inset[1] - 1e-6
        assert t.baseline + 0.28 * t.size * label_layout.POINT <= g.height - inset[1] + 1e-6
        assert t.size >= min(4.9, label_layout.LINE_SMALLEST)
        if t.text != label.aside:
            assert (
                t.x + measure(t.text, bold=t.bold) * t.size
                <= max(qx, t.x + measure("…", bold=t.bold) * t.size) + 1e-6
            )
    baselines = sorted(rows)
    assert all(b > a for a, b in pairwise(baselines))
    assert [t.text for t in placed.texts if t.text == label.aside], "the short number is always there"
    largest = max(placed.texts, key=lambda t: t.size)
    assert largest.bold, "the code is the largest"


def test_the_fullest_wording_that_fits_is_taken_and_what_is_cut_shows_it() -> None:
    long, short = "Mecynorhina torquata, pairing since 18 Feb 2026", "M. torquata, pairing 18 Feb 2026"
    label = Label("TL-014", "no. 14", (Wordings((long, short), ("M. tor…, pairing…",)),), "TL-014")

    def shown(width: float) -> str:
        return label_layout.place(label, width, 30, V1, measure).texts[-1].text

    assert shown(120) == long
    assert shown(80) == short
    assert shown(42) == "M. tor…, pairing…"
    assert label_layout.cut("abcdef", 1.0, 1, lambda text, *, bold: len(text) / 4, bold=False) == "abc…"
    assert label_layout.cut("abcd", 1.0, 1, lambda text, *, bold: len(text) / 4, bold=False) == "abcd"


def test_a_long_code_is_cut_and_its_number_is_not() -> None:
    label = Label("a-very-long-code-for-a-tub-in-the-corner", "no. 1234", (Wordings(("x",)),), "1234")
    code, number, _ = label_layout.place(label, 60, 30, V1, measure).texts
    assert code.text.endswith("…")
    assert number.text == "no. 1234"
    assert number.x >= code.x + measure(code.text, bold=True) * code.size
    assert number.size == label_layout.LEAST_ASIDE, (
        "it is what is typed at the rack, and has to be read there"
    )


@given(labels_, grids())
def test_the_number_is_large_enough_to_read_wherever_there_is_room_for_it(label: Label, s: Sheet) -> None:
    g, inset = s.grid, s.inset
    if label_layout.too_small(g.width, g.height, V1, inset):
        return
    placed = label_layout.place(label, g.width, g.height, V1, measure, inset)
    code, number = placed.texts[:2]
    assert number.size < code.size
    free = placed.qr[0] - number.x - measure(number.text, bold=False) * number.size
    enough = number.size >= label_layout.LEAST_ASIDE - 1e-6
    if code.text == label.title:
        assert free >= -1e-6
        assert enough or code.size <= label_layout.SMALLEST_TITLE + 1e-6, "the code is made smaller first"
    else:
        halved = (
            measure(number.text, bold=False) * label_layout.LEAST_ASIDE > (placed.qr[0] - inset[0]) / 2 - 1
        )
        assert enough or halved


def test_print_stays_clear_of_the_edge_that_printers_leave_white() -> None:
    found = sheet("a4", "3x8 70x36 margins 0,4.5")
    assert found.inset == (4.5, 1.5)
    assert sheet("a4", "2x10 92x27 margins 13,3").inset == (1.5, 1.5)
    assert sheet("a4", "2x10 92x27 margins 13,1").inset == (1.5, 3.5)


def test_how_small_a_label_may_be() -> None:
    need = float(Fraction(29) * Fraction(2, 5))
    assert label_layout.too_small(2 * 1.5 + 18 + need, need + 1.5, V1) == ""
    said = label_layout.too_small(20, 10, V1)
    assert (
        said
        == "a label of 20 × 10 mm is too small for a QR code that can be read: here it needs 32.6 × 13.1 mm at least."
    )
    assert label_layout.too_small(200, 13, V1)
    assert label_layout.too_small(32.5, 40, V1)
