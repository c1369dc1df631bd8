"""A few lines, dots and words as a drawing, for figures that are kept or printed: SVG here, PNG next door.

Black on white, so that nothing is said by colour alone; texts are cleaned and, in SVG, escaped.
"""

from __future__ import annotations

from html import escape

from rounds.named_tuple import NamedTuple
from rounds.text.cleaning import clean

FONT = 'font-family="sans-serif"'
SIGN = 0.62
"""Width of a sign over its size, at the most for most words in a sans-serif font (estimate)."""


def fitting(words: str, room: float, size: float) -> str:
    """``words``, shortened with ``…`` to what fits into ``room`` units at a size."""
    return clean(words, max(2, int(room / (SIGN * size))))


class DrawnLine(NamedTuple):
    x1: float
    y1: float
    x2: float
    y2: float
    width: float
    dashed: bool


class Dot(NamedTuple):
    """``shape`` is one of SHAPES: what differs is told by shape, and by being filled or open, never by colour."""

    x: float
    y: float
    radius: float
    filled: bool
    shape: str = "circle"

    def corners(self) -> list[tuple[float, float]]:
        """The corners of a shape that has some; none of a circle."""
        r = self.radius
        steps = {
            "square": ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
            "triangle": ((0, -1.2), (1.1, 0.8), (-1.1, 0.8)),
            "diamond": ((0, -1.25), (1.25, 0), (0, 1.25), (-1.25, 0)),
        }
        return [(self.x + r * dx, self.y + r * dy) for dx, dy in steps.get(self.shape, ())]


SHAPES = ("circle", "triangle", "square", "diamond")


class Frame(NamedTuple):
    """A rectangle's outline, from its top left."""

    x: float
    y: float
    width: float
    height: float
    line: float
    dashed: bool


class Words(NamedTuple):
    """``x``, ``y`` is where the baseline starts, has its middle or ends, as ``anchor`` says."""

    x: float
    y: float
    text: str
    size: float
    anchor: str
    bold: bool


Mark = DrawnLine | Dot | Frame | Words


class Drawing:
    """``width`` × ``height`` units from the top left, with a ``title`` for readers that cannot see it."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.width, self.height, self.title = width, height, clean(title, 200)
        self.marks: list[Mark] = []

    def line(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 1, *, dashed: bool = False
    ) -> None:
        self.marks.append(DrawnLine(x1, y1, x2, y2, width, dashed))

    def dot(self, x: float, y: float, radius: float, *, filled: bool = True, shape: str = "circle") -> None:
        self.marks.append(Dot(x, y, radius, filled, shape))

    def frame(
        self, x: float, y: float, width: float, height: float, line: float = 1, *, dashed: bool = False
    ) -> None:
        self.marks.append(Frame(x, y, width, height, line, dashed))

    def text(
        self, x: float, y: float, words: str, size: float = 12, anchor: str = "start", *, bold: bool = False
    ) -> None:
        self.marks.append(Words(x, y, clean(words, 200), size, anchor, bold))

    def svg(self) -> str:
        """The drawing as SVG, version 1.1."""
        size = f'width="{self.width:g}" height="{self.height:g}"'
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" {size} '
            f'viewBox="0 0 {self.width:g} {self.height:g}" role="img">'
        )
        parts = [f"<title>{escape(self.title)}</title>", f'<rect {size} fill="white"/>']
        return "\n".join([head, *parts, *map(_svg, self.marks), "</svg>", ""])


def _svg(mark: Mark) -> str:
    if isinstance(mark, Frame):
        dash = ' stroke-dasharray="3 3"' if mark.dashed else ""
        return (
            f'<rect x="{mark.x:g}" y="{mark.y:g}" width="{mark.width:g}" height="{mark.height:g}" fill="none" '
            f'stroke="black" stroke-width="{mark.line:g}"{dash}/>'
        )
    if isinstance(mark, DrawnLine):
        dash = ' stroke-dasharray="3 3"' if mark.dashed else ""
        return (
            f'<line x1="{mark.x1:g}" y1="{mark.y1:g}" x2="{mark.x2:g}" y2="{mark.y2:g}" stroke="black" '
            f'stroke-width="{mark.width:g}"{dash}/>'
        )
    if isinstance(mark, Dot):
        fill = "black" if mark.filled else "white"
        if corners := mark.corners():
            points = " ".join(f"{x:g},{y:g}" for x, y in corners)
            return f'<polygon points="{points}" fill="{fill}" stroke="black"/>'
        return f'<circle cx="{mark.x:g}" cy="{mark.y:g}" r="{mark.radius:g}" fill="{fill}" stroke="black"/>'
    weight = ' font-weight="bold"' if mark.bold else ""
    return (
        f'<text x="{mark.x:g}" y="{mark.y:g}" font-size="{mark.size:g}" text-anchor="{mark.anchor}" '
        f"{FONT}{weight}>{escape(mark.text)}</text>"
    )
