"""A drawing as PNG (ISO/IEC 15948), through Pillow, which is imported when one is made.

The letters are those of the font that Pillow brings along: plain ASCII and little more. What
it lacks is written with its nearest plain letter, or as ``?``, and :func:`plain` says which.
"""

from __future__ import annotations

import io
import unicodedata
from typing import Any

from rounds.analysis.plots.svg_drawing import Dot, Drawing, DrawnLine, Frame, Words

SCALE = 2
"""Pixels per unit of a drawing."""

FINER = 3
"""Times finer a drawing is made before it is brought to its size, so that edges are smooth."""

DASH = 3.0
"""Units of a dash, and of the gap after it; as in SVG."""

_PLAIN = {
    "°": "deg ",
    "×": "x",
    "–": "-",
    "—": "-",
    "−": "-",
    "…": "...",
    "ß": "ss",
    "ł": "l",
    "Ł": "L",
    "ø": "o",
    "Ø": "O",
    "æ": "ae",
    "Æ": "AE",
    "œ": "oe",
    "Œ": "OE",
    "ð": "d",
    "þ": "th",
    "đ": "d",
    "ı": "i",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "·": ".",
}


def plain(text: str) -> tuple[str, str]:
    """``text`` in signs that the font has, and the signs that had to become ``?``, each once."""
    out, lost = [], []
    for sign in text:
        if sign.isascii():
            out.append(sign)
            continue
        near = _PLAIN.get(sign, "")
        if not near:
            parts = unicodedata.normalize("NFKD", sign)
            near = "".join(c for c in parts if c.isascii() and c.isprintable())
        if not near:
            near = "?"
            lost.append(sign)
        out.append(near)
    return "".join(out), "".join(dict.fromkeys(lost))


def png(drawing: Drawing, scale: int = SCALE) -> tuple[bytes, str]:
    """The drawing as PNG, ``scale`` pixels a unit, and the signs of its texts that became ``?``.

    Raises ImportError without Pillow.
    """
    from PIL import Image, ImageDraw
    from PIL.PngImagePlugin import PngInfo

    fine = scale * FINER
    size = (round(drawing.width * scale), round(drawing.height * scale))
    image = Image.new("L", (size[0] * FINER, size[1] * FINER), 255)
    draw = ImageDraw.Draw(image)
    lost = ""
    for mark in drawing.marks:
        if isinstance(mark, DrawnLine):
            _line(draw, mark, fine)
        elif isinstance(mark, Dot):
            _dot(draw, mark, fine)
        elif isinstance(mark, Frame):
            _frame(draw, mark, fine)
        else:
            lost += _words(draw, mark, fine)
    about = PngInfo()
    about.add_itxt("Title", drawing.title)
    out = io.BytesIO()
    image.resize(size, Image.Resampling.BOX).save(out, "PNG", pnginfo=about, dpi=(96 * scale, 96 * scale))
    return out.getvalue(), "".join(dict.fromkeys(lost))


def _line(draw: Any, m: DrawnLine, fine: int) -> None:
    width = max(1, round(m.width * fine))
    if not m.dashed:
        draw.line([m.x1 * fine, m.y1 * fine, m.x2 * fine, m.y2 * fine], fill=0, width=width)
        return
    length = ((m.x2 - m.x1) ** 2 + (m.y2 - m.y1) ** 2) ** 0.5
    at = 0.0
    while at < length:
        ends = [t / length for t in (at, min(length, at + DASH))]
        points = [(m.x1 + (m.x2 - m.x1) * t, m.y1 + (m.y2 - m.y1) * t) for t in ends]
        draw.line([c * fine for point in points for c in point], fill=0, width=width)
        at += 2 * DASH


def _frame(draw: Any, m: Frame, fine: int) -> None:
    right, bottom = m.x + m.width, m.y + m.height
    for x1, y1, x2, y2 in (
        (m.x, m.y, right, m.y),
        (right, m.y, right, bottom),
        (right, bottom, m.x, bottom),
        (m.x, bottom, m.x, m.y),
    ):
        _line(draw, DrawnLine(x1, y1, x2, y2, m.line, m.dashed), fine)


def _dot(draw: Any, m: Dot, fine: int) -> None:
    if corners := m.corners():
        points = [(x * fine, y * fine) for x, y in corners]
        draw.polygon(points, fill=0 if m.filled else 255, outline=0, width=fine)
        return
    box = [(m.x - m.radius) * fine, (m.y - m.radius) * fine, (m.x + m.radius) * fine, (m.y + m.radius) * fine]
    draw.ellipse(box, fill=0 if m.filled else 255, outline=0, width=fine)


def _words(draw: Any, m: Words, fine: int) -> str:
    from PIL import ImageFont

    text, lost = plain(m.text)
    font = ImageFont.load_default(m.size * fine)
    anchor = {"start": "ls", "middle": "ms", "end": "rs"}[m.anchor]
    # The font has no bold weight: a bold text gets a thin outline of its own colour.
    draw.text(
        (m.x * fine, m.y * fine),
        text,
        fill=0,
        font=font,
        anchor=anchor,
        stroke_width=fine // 4 if m.bold else 0,
    )
    return lost
