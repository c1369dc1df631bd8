"""PNG drawings: readable by another decoder's rules, and their marks where the numbers say."""

from __future__ import annotations

import io
import struct
import zlib
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from rounds.analysis.pedigree import ancestor_tree
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import PedigreeRow
from rounds.analysis.plots.png_drawing import SCALE, plain, png
from rounds.analysis.plots.svg_drawing import Drawing
from rounds.analysis.trial import survival_plot
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.verdict import Verdict, verdict
from tests.sampled import sampled

Grey = list[list[int]]


def pixels(data: bytes) -> Grey:
    """Rows of grey values, 0 black, by Pillow's decoder."""
    image = Image.open(io.BytesIO(data))
    image.load()
    assert (image.format, image.mode) == ("PNG", "L")
    flat = image.tobytes()
    return [list(flat[i : i + image.width]) for i in range(0, len(flat), image.width)]


def judged(one: list[int], other: list[int], eggs: int = 40) -> Verdict:
    rows = [BroodCount("outcross", f"o{i}", eggs, y) for i, y in enumerate(one)]
    rows += [BroodCount("sib", f"s{i}", eggs, y) for i, y in enumerate(other)]
    v = verdict(rows, "outcross")
    assert v is not None
    return v


def test_the_file_is_as_the_standard_says() -> None:
    """Signature, chunks with their check sums, header, pixel data of the right length (ISO/IEC 15948)."""
    d = Drawing(30, 20, "Größe")
    d.line(0, 0, 30, 20)
    data, _ = png(d)
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    at, chunks = 8, []
    while at < len(data):
        length, kind = struct.unpack(">I4s", data[at : at + 8])
        body = data[at + 8 : at + 8 + length]
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(kind + body)
        chunks.append((kind, body))
        at += 12 + length
    assert chunks[0][0] == b"IHDR"
    assert chunks[-1] == (b"IEND", b"")
    width, height, depth, colour = struct.unpack(">IIBB", chunks[0][1][:10])
    assert (width, height, depth, colour) == (30 * SCALE, 20 * SCALE, 8, 0)
    raw = zlib.decompress(b"".join(body for kind, body in chunks if kind == b"IDAT"))
    assert len(raw) == height * (width + 1)
    assert any(kind == b"iTXt" and "Größe".encode() in body for kind, body in chunks), "its title is told"


def axis(rows: Grey) -> tuple[float, float]:
    """The columns of 0% and 100%: the first and last of the dashed lines, found in the picture.

    A dashed line is dark in about half the rows of its column; nothing else reaches that far down.
    """
    height = len(rows)
    dark = [x for x in range(len(rows[0])) if sum(r[x] < 250 for r in rows) > 0.3 * height]
    groups: list[list[int]] = []
    for x in dark:
        if groups and x - groups[-1][-1] <= 1:
            groups[-1].append(x)
        else:
            groups.append([x])
    assert len(groups) == 6, "0, 20, 40, 60, 80 and 100 percent"
    # A column of pixels x reaches from x to x + 1.
    lines = [sum(g) / len(g) + 0.5 for g in groups]
    return lines[0], lines[-1]


def dots(rows: Grey, low: float, high: float) -> list[tuple[float, float]]:
    """Middles (x, y) of solid dark discs as wide as a brood's, between two columns of the picture."""
    size = 4 * SCALE
    found: list[list[tuple[int, int]]] = []
    # Words stand above and below the axis: its dashes end where the next is further than a gap away.
    reach = [y for y, row in enumerate(rows) if row[int(high)] < 250]
    end = next((a for a, b in pairwise(reach) if b - a > 5 * SCALE), reach[-1])
    for y in range(reach[0], end):
        for x in range(max(0, int(low) - size), min(len(rows[0]), int(high) + size)):
            inside = all(
                0 <= y + dy < len(rows) and 0 <= x + dx < len(rows[0]) and rows[y + dy][x + dx] < 60
                for dx, dy in ((0, 0), (size - 3, 0), (3 - size, 0), (0, size - 3), (0, 3 - size))
            )
            if inside:
                for group in found:
                    if abs(group[0][0] - x) < size and abs(group[0][1] - y) < size:
                        group.append((x, y))
                        break
                else:
                    found.append([(x, y)])
    return [
        (sum(x for x, _ in g) / len(g) + 0.5, sum(y for _, y in g) / len(g) + 0.5)
        for g in found
        if len(g) > 1
    ]


def shares_seen(data: bytes) -> list[float]:
    """The share of each dot from the top, measured against the picture's own axis."""
    rows = pixels(data)
    low, high = axis(rows)
    return [(x - low) / (high - low) for x, _ in sorted(dots(rows, low, high), key=lambda d: d[1])]


@pytest.mark.parametrize(
    ("one", "other"), [([30, 28, 33, 31], [12, 15, 9, 14, 3]), ([40, 40, 39, 1], [0, 0, 20, 7])]
)
def test_each_dot_stands_at_its_share(one: list[int], other: list[int]) -> None:
    v = judged(one, other)
    wanted = sorted((y / 40 for y in one), reverse=True) + sorted((y / 40 for y in other), reverse=True)
    assert shares_seen(png(survival_plot.drawn(v))[0]) == pytest.approx(wanted, abs=0.004)


def test_control_a_dot_in_the_wrong_place_is_noticed() -> None:
    drawn = survival_plot.drawn(judged([30, 28, 33, 31], [12, 15, 9, 14]))
    moved = next(i for i, m in reversed(list(enumerate(drawn.marks))) if hasattr(m, "radius"))
    drawn.marks[moved] = drawn.marks[moved]._replace(x=drawn.marks[moved].x + 8)  # type: ignore[union-attr, call-arg]
    wanted = [33 / 40, 31 / 40, 30 / 40, 28 / 40, 15 / 40, 14 / 40, 12 / 40, 9 / 40]
    assert shares_seen(png(drawn)[0]) != pytest.approx(wanted, abs=0.004)


def test_an_interval_reaches_from_its_low_to_its_high_end() -> None:
    v = judged([30, 28, 33, 31], [12, 15, 9, 14])
    drawn = survival_plot.drawn(v)
    rows = pixels(png(drawn)[0])
    low, high = axis(rows)
    # The longest dark run of each picture row; the two thickest bars are the arms' intervals.
    runs: dict[tuple[int, int], int] = {}
    for row in rows:
        best, start = (0, 0), None
        for x, value in enumerate([*row, 255]):
            if value < 60 and start is None:
                start = x
            elif value >= 60 and start is not None:
                best = max(best, (x - start, start))
                start = None
        if best[0] > 60:
            key = (best[1], best[1] + best[0])
            runs[key] = runs.get(key, 0) + 1
    bars = sorted(runs, key=lambda k: runs[k])[-2:]
    seen = sorted(((a - low) / (high - low), (b - low) / (high - low)) for a, b in bars)
    wanted = sorted((arm.interval.low, arm.interval.high) for arm in (v.reference, v.other))
    # The open dot of the mean breaks the bar: what is left of the longer half is held to one of its ends.
    for (a, b), (w_low, w_high) in zip(seen, wanted, strict=True):
        assert min(abs(a - w_low), abs(b - w_high)) < 0.006


def test_a_tree_is_drawn_with_every_line_on_the_sheet() -> None:
    p, problems = build(
        [
            PedigreeRow("m", sex="m"),
            PedigreeRow("f", sex="f"),
            PedigreeRow("c", ("m",), "f", "m"),
            PedigreeRow("d", ("m",), "f", "f"),
        ]
    )
    assert p is not None, problems
    drawn = ancestor_tree.drawn(ancestor_tree.ancestors(p, ["c", "d"]), "Ancestors of c and d")
    rows = pixels(png(drawn)[0])
    for m in drawn.marks:
        if hasattr(m, "x1"):
            middle = round((m.x1 + m.x2) / 2 * SCALE), round((m.y1 + m.y2) / 2 * SCALE)
            around = [
                rows[y][x]
                for x in range(middle[0] - 2, middle[0] + 2)
                for y in range(middle[1] - 2, middle[1] + 2)
            ]
            assert min(around) < 128, "a line is where it is said to be"
    border = [*rows[0], *rows[-1], *(r[0] for r in rows), *(r[-1] for r in rows)]
    assert set(border) == {255}, "nothing runs off the sheet"


@settings(max_examples=sampled(10, 25), deadline=None)
@given(st.text(max_size=30))
def test_any_words_can_be_drawn_and_what_is_lost_is_said(words: str) -> None:
    d = Drawing(60, 20, words)
    d.text(1, 15, words)
    data, lost = png(d)
    pixels(data)
    assert all(not sign.isascii() for sign in lost)
    shown, missing = plain(words)
    assert shown.isascii()
    assert set(missing) <= set(words)
    assert "?" in shown or not missing


def test_letters_the_font_lacks_are_the_nearest_plain_ones() -> None:
    assert plain("Käfer × 3 … Łódź") == ("Kafer x 3 ... Lodz", "")
    assert plain("甲虫 甲") == ("?? ?", "甲虫")
