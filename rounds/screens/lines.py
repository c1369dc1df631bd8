"""Lines as the screens compose them: runs of text with a named look, cut to a width.

A line is a tuple of ``(text, look)`` runs. Looks are names, never colours, so that a line
can be compared, tested and printed without a terminal; each has a sign or a wording of its
own, because meaning never rests on colour.
"""

from __future__ import annotations

from collections.abc import Iterable

from rich.cells import cell_len, set_cell_size

Run = tuple[str, str]
Line = tuple[Run, ...]

LOOKS = ("", "strong", "faint", "bar", "cursor", "now", "today", "look", "saved", "lock", "code", "key")
BLANK: Line = (("", ""),)


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


def cut(line: Iterable[Run], width: int) -> Line:
    """A line of exactly ``width`` cells."""
    out: list[Run] = []
    left = width
    for text, look in line:
        size = len(text) if text.isascii() else cell_len(text)
        if size > left:
            out.append((fit(text, left), look))
            left = 0
            break
        out.append((text, look))
        left -= size
    if left:
        out.append((" " * left, out[-1][1] if out and out[-1][1] == "bar" else ""))
    return tuple(out)


def wrap(text: str, width: int, most: int) -> list[str]:
    """``text`` in at most ``most`` lines of ``width`` cells, broken between words."""
    lines: list[str] = []
    current = ""
    for word in text.split():
        tried = f"{current} {word}" if current else word
        if cell_len(tried) <= width:
            current = tried
            continue
        if current:
            lines.append(current)
        current = word
        if len(lines) == most:
            break
    if current and len(lines) < most:
        lines.append(current)
    elif len(lines) == most and current:
        lines[-1] = fit(lines[-1] + " …", width).rstrip() if cell_len(lines[-1]) + 2 <= width else fit(lines[-1], width - 1).rstrip() + "…"
    return [fit(x, width).rstrip() if cell_len(x) > width else x for x in lines]


def beside(left: Line, right: Line, at: int, width: int) -> Line:
    """Two columns on one line: ``right`` starts at column ``at``."""
    return cut((*cut(left, at - 1), (" ", ""), *right), width)
