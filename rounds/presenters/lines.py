"""Lines as the screens compose them: runs of text with a named style, cut to a width.

A line is a tuple of ``(text, style)`` runs. Styles are names, never colours, so that a line
can be compared, tested and printed without a terminal; each has a sign or a wording of its
own, because meaning never rests on colour.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from functools import lru_cache

from rich.cells import cell_len, set_cell_size

Run = tuple[str, str]
Line = tuple[Run, ...]

STYLES = ("", "strong", "faint", "bar", "cursor", "now", "today", "look", "saved", "lock", "code", "key")
BLANK: Line = (("", ""),)
_WORDS = re.compile(r"\S*\d (?:cm|mm|kg|g|l|°C)\b\S*|\S+")
"""What no line is broken within: words, and a number with its unit."""


def cells_of(text: str) -> int:
    """The terminal cells that a text takes. Most are plain: those need no look at each sign, and are not kept."""
    return len(text) if text.isascii() else cell_len(text)


def fit(text: str, width: int) -> str:
    """``text`` cut or padded to exactly ``width`` terminal cells; a cut ends in ``…``."""
    if width <= 0:
        return ""
    if text.isascii():
        size = len(text)
        return text.ljust(width) if size <= width else text[: width - 1] + "…"
    size = cell_len(text)
    if size <= width:
        return text + " " * (width - size)
    return set_cell_size(text, width - 1).rstrip("\0") + "…"


def shortened(text: str, width: int) -> str:
    """``text`` in exactly ``width`` cells like :func:`fit`, cut between two words unless that loses half of it."""
    if size(((text, ""),)) <= width or width < 3:
        return fit(text, width)
    kept = fit(text, width - 1)[:-1].rstrip()  # room for a space before the sign
    if text[len(kept) : len(kept) + 1] != " ":
        kept = kept[: max(0, kept.rfind(" "))]
    ended = kept.rstrip(" ,;:→(")
    return fit(f"{ended} …" if size(((ended, ""),)) >= width // 2 else text, width)


def shortened_name(text: str, width: int) -> str:
    """Names of animals (``UMBER 13 m``) in exactly ``width`` cells: of a line's name letters may go, of a number never.

    Of several names, separated by ``, ``, as many stand as fit, and how many more there are.
    """
    if size(((text, ""),)) <= width:
        return fit(text, width)
    names = text.split(", ")
    for kept in range(len(names) - 1, 0, -1):
        some = f"{', '.join(names[:kept])} +{len(names) - kept}"
        if size(((some, ""),)) <= width:
            return fit(some, width)
    line, _, number = names[0].replace("/", " ", 1).partition(" ")
    number += f" +{len(names) - 1}" if len(names) > 1 else ""
    room = width - size(((number, ""),)) - 1
    if not number or room < 2:
        return fit("…", width) if number else shortened(text, width)
    return fit(f"{fit(line, room)} {number}", width)


def cut(line: Iterable[Run], width: int) -> Line:
    """A line of exactly ``width`` cells."""
    return _cut(tuple(line), width)


@lru_cache(256)  # most lines of a screen stay as they are from key to key
def _cut(line: Line, width: int) -> Line:
    out: list[Run] = []
    left = width
    for run in line:
        text, style = run
        size = cells_of(text)
        if size > left:
            out.append((fit(text, left), style))
            left = 0
            break
        out.append(run)
        left -= size
    if left:
        out.append((" " * left, out[-1][1] if out and out[-1][1] == "bar" else ""))
    return tuple(out)


def wrap(text: str, width: int, most: int) -> list[str]:
    """``text`` in at most ``most`` lines of at most ``width`` cells, broken between words where it has any.

    What does not fit is cut, and the last line then ends in ``…``.
    """
    return list(_wrapped(text, max(1, width), most))


@lru_cache(256)
def _wrapped(text: str, width: int, most: int) -> tuple[str, ...]:
    lines: list[str] = []
    current = ""
    for word in _WORDS.findall(text):
        for part in _parts(word, width):
            tried = f"{current} {part}" if current else part
            if cells_of(tried) <= width:
                current = tried
                continue
            if len(lines) + 1 >= most:
                return (*lines, _ended(current, width))
            if current:
                lines.append(current)
            current = part
    return (*lines, current) if current else tuple(lines)


def _ended(text: str, width: int) -> str:
    """A line after which something was cut: its last words fall for the sign, unless only one is left."""
    while cells_of(text) + 2 > width and " " in text:
        text = text[: text.rfind(" ")]
    return f"{text} …" if cells_of(text) + 2 <= width else fit(f"{text}……", width).rstrip()


def _parts(word: str, width: int) -> list[str]:
    """A word in pieces of at most ``width`` cells (a sign wider than that stands alone)."""
    if cells_of(word) <= width:
        return [word]
    out: list[str] = []
    start = used = 0
    for i, ch in enumerate(word):
        wide = cell_len(ch)
        if used + wide > width and i > start:
            out.append(word[start:i])
            start, used = i, 0
        used += wide
    return [fit(x, width).rstrip() if cells_of(x) > width else x for x in (*out, word[start:])]


def size(line: Iterable[Run]) -> int:
    """The cells a line takes."""
    return sum(cells_of(text) for text, _ in line)


def flow(pieces: Iterable[Line], width: int) -> list[Line]:
    """Pieces side by side, none broken, on as many lines of ``width`` cells as it takes."""
    out: list[list[Run]] = []
    used = width + 1
    for piece in pieces:
        if used + size(piece) > width:
            out.append([])
            used = 0
        out[-1] += piece
        used += size(piece)
    return [cut(line, width) for line in out]


def named_row(name: str, text: str, width: int, look: str = "key") -> list[Line]:
    """A name and its text beside it; under it where the terminal is narrow. With another look it is no key here."""
    if width < 60:
        return [((name.rstrip(), look),), *(((f"    {x}", ""),) for x in wrap(text, width - 4, 20))]
    texts = wrap(text, width - len(name), 20) or [""]
    return [((name if not i else " " * len(name), look), (x, "")) for i, x in enumerate(texts)]
