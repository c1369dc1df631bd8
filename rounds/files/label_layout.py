"""Where things stand on one label, and how large: pure, given how wide a text is.

The text stands on the left, the QR code with its quiet zone on the right. Lengths are
millimetres, type sizes points. ISO/IEC 18004 asks for a quiet zone of four modules.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from rounds.files import label_sentences
from rounds.files.label_content import Label, Wordings
from rounds.files.label_sheet import PAD
from rounds.named_tuple import NamedTuple

POINT = 25.4 / 72  # mm
QUIET = 4  # modules around a QR code (ISO/IEC 18004, 6.3.8)
LEAST_MODULE = (
    0.4  # mm; smaller ones are lost to damp, dirt and a printer's dots (common practice, no source)
)
GOOD_MODULE = 0.5  # taken where the label has the height for it
MOST_QR = 24.0  # mm, quiet zone included
SHARE = 0.32  # of the label's width for the QR code
LEAST_TEXT = 18.0  # mm of width
LARGEST, SMALLEST_TITLE = 30.0, 9.0  # points
LINE_LARGEST, LINE_SMALLEST = 11.0, 5.5
LINE_STEPS = ((9.0, 8.0, 7.0, 6.2, LINE_SMALLEST), (6.2, LINE_SMALLEST))
"""At each of these sizes (points) the fullest wording that fits is taken; the second row: of those that leave something out."""
ASIDE = 0.55  # of the title's size
LEAST_ASIDE = 8.0  # points, where the code need not be cut for it: the number is what is typed at the rack
BELOW_TITLE = 0.85  # of the title's size, at most: the code is the largest
TITLE, EACH_LINE = 0.42, 0.26  # of the label's height, at most
LEADING, LOOSEST = 1.25, 1.7  # line to line, of the type size; looser where there is height to spare
CAP = 0.72  # height of a capital, of the type size


class Measure(Protocol):
    """The width of a text in mm at one point."""

    def __call__(self, text: str, *, bold: bool) -> float: ...


Inset = tuple[float, float]
"""How far from the label's sides, and from its upper and lower edge, print begins (mm)."""


class Text(NamedTuple):
    """A run of text: left end and baseline (mm from the label's corner), size (points)."""

    x: float
    baseline: float
    size: float
    text: str
    bold: bool


class Placed(NamedTuple):
    """One label laid out. ``qr`` is the corner of its quiet zone, ``module`` the side of a module (mm)."""

    texts: tuple[Text, ...]
    qr: tuple[float, float]
    module: float


def module_side(width: float, height: float, modules: int, inset: Inset = (PAD, PAD)) -> float:
    """Side of one module of a symbol of ``modules`` (quiet zone included) on a label, mm."""
    room = max(0.0, min(height - PAD, width - 2 * inset[0] - LEAST_TEXT))
    high = max(0.0, height - 2 * inset[1]) / (
        modules - 2 * QUIET
    )  # the quiet zone may lie where nothing prints
    return min(max(SHARE * width, GOOD_MODULE * modules) / modules, MOST_QR / modules, room / modules, high)


def too_small(width: float, height: float, modules: int, inset: Inset = (PAD, PAD)) -> str:
    """Why a label cannot hold its QR code and text; "" when it can."""
    if module_side(width, height, modules, inset) >= LEAST_MODULE - 1e-9:
        return ""
    wide = LEAST_MODULE * modules + 2 * inset[0] + LEAST_TEXT
    high = max(LEAST_MODULE * modules + PAD, LEAST_MODULE * (modules - 2 * QUIET) + 2 * inset[1])
    return label_sentences.label_too_small(width, height, wide, high)


def place(
    label: Label, width: float, height: float, modules: int, measure: Measure, inset: Inset = (PAD, PAD)
) -> Placed:
    """Lay a label out. The label must be large enough (:func:`too_small`)."""
    module = module_side(width, height, modules, inset)
    side = module * modules
    left, (x, y) = inset[0], inset
    right = max(PAD / 2, x - QUIET * module)
    room = width - left - side - right
    tall = height - 2 * y
    title, title_size, aside_size = _head(label, room, tall, measure)
    largest = min(LINE_LARGEST, BELOW_TITLE * title_size, EACH_LINE * tall / POINT / LEADING)
    lines = [_fitted(wordings, room, largest, measure) for wordings in label.lines]
    baseline, rises = _baselines(title_size, [size for _, size in lines], height, tall)
    texts = [Text(left, baseline, title_size, title, bold=True)]
    at = left + measure(title, bold=True) * title_size + _gap(title_size)
    texts.append(Text(at, baseline, aside_size, label.aside, bold=False))
    for (text, size), rise in zip(lines, rises, strict=True):
        baseline += rise
        texts.append(Text(left, baseline, size, text, bold=False))
    return Placed(tuple(texts), (width - side - right, (height - side) / 2), module)


def _baselines(title: float, lines: Sequence[float], height: float, tall: float) -> tuple[float, list[float]]:
    """Baseline of the title, and from each line to the next, for a block in the middle of the label, mm."""
    first, last = CAP * title * POINT, (1 - CAP) * (lines[-1] if lines else 0) * POINT
    spare = tall - first - last
    needed = sum(lines) * POINT
    leading = min(LOOSEST, spare / needed) if needed else 0
    rises = [leading * size * POINT for size in lines]
    return (height - first - sum(rises) - last) / 2 + first, rises


def _gap(size: float) -> float:
    return 0.5 * size * POINT


def _head(label: Label, room: float, tall: float, measure: Measure) -> tuple[str, float, float]:
    """The code, its size and the short number's; the code is cut where it must be, the number never."""
    high = max(SMALLEST_TITLE, min(LARGEST, TITLE * tall / POINT))
    code, number, gap = measure(label.title, bold=True), measure(label.aside, bold=False), 0.5 * POINT
    size = min(high, room / (code + number * ASIDE + gap))
    if size < SMALLEST_TITLE:
        aside = max(ASIDE * SMALLEST_TITLE, min(LEAST_ASIDE, room / 2 / number))  # half of it is the code's
        left = room - number * aside - gap * SMALLEST_TITLE
        return cut(label.title, left, SMALLEST_TITLE, measure, bold=True), SMALLEST_TITLE, aside
    if size * ASIDE >= LEAST_ASIDE:
        return label.title, size, size * ASIDE
    size = max(SMALLEST_TITLE, min(high, (room - number * LEAST_ASIDE) / (code + gap)))
    return label.title, size, min(LEAST_ASIDE, (room - (code + gap) * size) / number)


def _fitted(wordings: Wordings, room: float, high: float, measure: Measure) -> tuple[str, float]:
    """A wording that says all, down to the smallest size; else one that leaves something out; else that cut."""
    for some, steps in zip((wordings.whole, wordings.less), LINE_STEPS, strict=True):
        for least in steps:
            for text in some:
                size = min(high, room / max(measure(text, bold=False), 1e-9))
                if size >= min(least, high):
                    return text, size
    size = min(high, LINE_SMALLEST)
    return cut((*wordings.whole, *wordings.less)[-1], room, size, measure, bold=False), size


def cut(text: str, room: float, size: float, measure: Measure, *, bold: bool) -> str:
    """``text``, shortened with ``…`` so that it is at most ``room`` mm wide at ``size`` points."""
    if measure(text, bold=bold) * size <= room:
        return text
    for n in range(len(text) - 1, 0, -1):
        shorter = text[:n].rstrip() + "…"
        if measure(shorter, bold=bold) * size <= room:
            return shorter
    return "…"
