"""Charts, rows of shares, strips and the rack map: every value is where it says, in a drawing and in letters."""

from __future__ import annotations

import itertools
import re
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from rounds.analysis.plots import chart, rack_map, share_rows, shelf_strips
from rounds.analysis.plots.png_drawing import png
from rounds.analysis.plots.svg_drawing import Dot, Drawing, DrawnLine, Words
from tests.analysis.plots.test_svg_drawing import outside
from tests.sampled import sampled

NUMBERS = st.floats(-1000, 1000).map(lambda x: round(x, 3))


def made(*heights: float, names: tuple[str, ...] = ("males",)) -> chart.Chart:
    """A series for each name, a day apart."""
    series = [
        chart.Series(name, chart.KINDS[i], (tuple(chart.Point(d, d, h) for d, h in enumerate(heights)),))
        for i, name in enumerate(names)
    ]
    return chart.Chart("Growth", "days", "weight (g)", tuple(series))


def read_off(drawing: Drawing) -> list[tuple[float, float]]:
    """The values of the dots below the legend, read against the numbers that stand at the axes."""
    words = [m for m in drawing.marks if isinstance(m, Words) and re.fullmatch(r"-?[\d.]+", m.text)]
    across = sorted((m.x, float(m.text)) for m in words if m.anchor == "middle")
    up = sorted((m.y - 4, float(m.text)) for m in words if m.anchor == "end")

    def value(at: float, ends: list[tuple[float, float]]) -> float:
        (a, low), (b, high) = ends[0], ends[-1]
        return low + (at - a) / (b - a) * (high - low)

    dots = [m for m in drawing.marks if isinstance(m, Dot) and m.y > chart.TOP - 1]
    return [(value(m.x, across), value(m.y, up)) for m in dots]


@given(NUMBERS, NUMBERS, st.integers(3, 12))
def test_an_axis_holds_its_values_between_round_numbers_that_are_not_too_many(
    a: float, b: float, most: int
) -> None:
    low, high = sorted((a, b))
    axis = chart.scale(low, high, most)
    assert axis.low <= low + 1e-6
    assert axis.high >= high - 1e-6
    assert 2 <= len(axis.ticks) <= max(3, most)
    step = axis.ticks[1] - axis.ticks[0]
    assert f"{step:.0e}"[0] in "125", "1, 2 or 5 times a power of ten"


def test_each_dot_stands_at_its_value() -> None:
    assert read_off(chart.drawn(made(3.5, 12, 27.25))) == [
        pytest.approx(pair) for pair in ((0, 3.5), (1, 12), (2, 27.25))
    ]


def test_control_a_dot_that_moved_is_noticed() -> None:
    drawing = chart.drawn(made(3.5, 12, 27.25))
    at = next(i for i, m in reversed(list(enumerate(drawing.marks))) if isinstance(m, Dot))
    mark = drawing.marks[at]
    assert isinstance(mark, Dot)
    drawing.marks[at] = mark._replace(y=mark.y - 5)
    assert read_off(drawing)[-1] != pytest.approx((2, 27.25))


def test_series_differ_by_shape_and_sign_and_no_colour_is_used() -> None:
    kinds = chart.KINDS
    assert len({(k.shape, k.filled) for k in kinds}) == len({k.sign for k in kinds}) == len(kinds)
    text = chart.drawn(made(1, 2, names=("males", "females", "not sexed"))).svg()
    assert set(re.findall(r'(?:fill|stroke)="(\w+)"', text)) == {"black", "white"}
    assert "<title>Growth</title>" in text
    assert "<polygon" in text


def test_what_lies_in_a_range_is_drawn_from_end_to_end() -> None:
    unsure = chart.Chart(
        "t",
        "days",
        "g",
        (chart.Series("males", chart.KINDS[0], ((chart.Point(2, 6, 5), chart.Point(8, 8, 9)),)),),
    )
    lines = [m for m in chart.drawn(unsure).marks if isinstance(m, DrawnLine) and m.width == 2]
    assert len(lines) == 1
    assert any("ooo" in line for line in chart.as_text(unsure))


def test_dots_of_several_series_in_one_cell_are_not_hidden() -> None:
    lines = chart.as_text(made(5, 9, names=("males", "females")))
    assert any(chart.SEVERAL in line for line in lines[2:-1])
    assert "# several kinds" in lines[-1]
    assert "o males" in lines[-1]


@settings(max_examples=sampled(10, 100), deadline=None)
@given(st.lists(NUMBERS, min_size=1, max_size=30), st.integers(30, 120))
def test_any_chart_fits_its_sheet_and_its_lines(heights: list[float], width: int) -> None:
    shown = made(*heights)
    assert outside(chart.drawn(shown).svg()) == []
    assert all(cell_len(line) <= width for line in chart.as_text(shown, width))


ROWS = share_rows.ShareRows(
    "Survival",
    "alive",
    "at most",
    "share",
    [
        share_rows.ShareRow("K-01", 0.25, 0.75, "1 to 3 of 4"),
        share_rows.ShareRow("K-02", 1, 1, "4 of 4"),
        share_rows.ShareRow("黒い", 0, 0, "0 of 4"),
    ],
)


def test_a_share_reaches_from_its_low_to_its_high_end() -> None:
    drawing = share_rows.drawn(ROWS)
    assert outside(drawing.svg()) == []
    ends = {m.text: m.x for m in drawing.marks if isinstance(m, Words) and m.text in ("0%", "100%")}
    wide = ends["100%"] - ends["0%"]
    dots = [m for m in drawing.marks if isinstance(m, Dot) and m.y > share_rows.TOP - 1]
    shares = sorted(((m.x - ends["0%"]) / wide, m.filled) for m in dots)
    assert shares == [(0, True), (0.25, True), (pytest.approx(0.75), False), (1, True)]
    lines = share_rows.as_text(ROWS, 78)
    assert all(cell_len(line) <= 78 for line in lines)
    low, high = lines[3].index("●"), lines[3].index("o ")
    start, end = lines[2].index("0%"), lines[2].index("100%") + 3
    assert (low - start) / (end - start) == pytest.approx(0.25, abs=0.02)
    assert (high - start) / (end - start) == pytest.approx(0.75, abs=0.02)


def test_a_day_nobody_read_is_a_gap_in_a_strip() -> None:
    strip = shelf_strips.Strip("A1", {100: 20.0, 101: 25.0, 103: 30.0})
    shown = shelf_strips.Strips("t", "°C", "gap: nobody read it", 100, 103, [strip])
    assert shelf_strips.as_text(shown)[1].startswith("A1     ▁▅ █ 20 to 30 °C")
    drawing = shelf_strips.drawn(shown)
    assert outside(drawing.svg()) == []
    joined = [m for m in drawing.marks if isinstance(m, DrawnLine) and not m.dashed]
    assert len(joined) == 1, "days that follow each other are joined, others are not"


RACK = rack_map.RackMap(
    "The rack",
    ("signs",),
    [
        rack_map.RackShelf("A1", (rack_map.RackBox("TL-001", "laying", "!!!"), None)),
        rack_map.RackShelf("A2", (rack_map.RackBox("黒い箱の長い名前", "larvae"),) * 9),
    ],
    "no place",
    (rack_map.RackBox("TL-009", "holding"),),
)


@pytest.mark.parametrize("width", [40, 78, 160])
def test_the_rack_shows_every_slot_and_box_in_columns(width: int) -> None:
    lines = rack_map.as_text(RACK, width)
    assert all(cell_len(line) <= width for line in lines)
    text = "\n".join(lines)
    assert "TL-001 !!!" in text
    assert "·" in text
    assert text.count("larvae") == 9
    assert "no place" in text
    drawing = rack_map.drawn(RACK)
    assert outside(drawing.svg()) == []
    frames = [e for e in ElementTree.fromstring(drawing.svg()).iter() if e.attrib.get("fill") == "none"]
    assert len(frames) == 1 + 1 + 9 + 1
    assert sum("stroke-dasharray" in e.attrib for e in frames) == 1
    assert sum(e.attrib["stroke-width"] == "2.5" for e in frames) == 1


@pytest.mark.parametrize("drawing", [chart.drawn(made(1, 2)), rack_map.drawn(RACK)], ids=["chart", "rack"])
def test_a_png_shows_what_the_svg_shows(drawing: Drawing) -> None:
    """As black where a frame's or a line's middle is as on any other mark of it."""
    from io import BytesIO

    from PIL import Image

    image = Image.open(BytesIO(png(drawing)[0])).convert("L")
    scale = image.width / drawing.width
    dark = [
        min(
            image.getpixel((round(m.x * scale) + dx, round((m.y + m.height / 2) * scale) + dy))
            for dx, dy in itertools.product(range(-2, 3), range(-7, 8))
        )
        for m in drawing.marks
        if hasattr(m, "height")
    ]
    assert all(value < 128 for value in dark)
    triangles = [m for m in drawing.marks if isinstance(m, Dot) and m.filled]
    assert all(image.getpixel((round(m.x * scale), round(m.y * scale))) < 60 for m in triangles)
