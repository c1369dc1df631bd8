"""A few lines, dots and words as SVG (version 1.1), for figures that are kept or printed.

Black on white, so that nothing is said by colour alone; texts are escaped and cleaned.
"""

from __future__ import annotations

from html import escape

from rounds.shown import clean

FONT = 'font-family="sans-serif"'


class Svg:
    """A drawing of ``width`` × ``height`` units with a ``title`` for readers that cannot see it."""

    def __init__(self, width: float, height: float, title: str) -> None:
        self.head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width:g}" height="{height:g}" '
            f'viewBox="0 0 {width:g} {height:g}" role="img">'
        )
        self.parts = [
            f"<title>{_text(title)}</title>",
            f'<rect width="{width:g}" height="{height:g}" fill="white"/>',
        ]

    def line(
        self, x1: float, y1: float, x2: float, y2: float, width: float = 1, dashed: bool = False
    ) -> None:
        dash = ' stroke-dasharray="3 3"' if dashed else ""
        self.parts.append(
            f'<line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}" stroke="black" stroke-width="{width:g}"{dash}/>'
        )

    def dot(self, x: float, y: float, radius: float, filled: bool = True) -> None:
        fill = "black" if filled else "white"
        self.parts.append(f'<circle cx="{x:g}" cy="{y:g}" r="{radius:g}" fill="{fill}" stroke="black"/>')

    def text(
        self, x: float, y: float, words: str, size: float = 12, anchor: str = "start", bold: bool = False
    ) -> None:
        weight = ' font-weight="bold"' if bold else ""
        self.parts.append(
            f'<text x="{x:g}" y="{y:g}" font-size="{size:g}" text-anchor="{anchor}" {FONT}{weight}>{_text(words)}</text>'
        )

    def __str__(self) -> str:
        return "\n".join([self.head, *self.parts, "</svg>", ""])


def _text(words: str) -> str:
    return escape(clean(words, 200))
