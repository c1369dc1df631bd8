"""Which keys a tap or a click on the screen presses.

Pure, and worked out when somebody taps, never for a paint. Whatever a line shows as a key
(look ``key``) is that key, together with the word behind it; a row of a list is the keys
that move the cursor there. A tap is nothing but these keys: all it does can be typed.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

from rich.cells import cell_len

from rounds.husbandry import entry_steps
from rounds.screens.lines import Line
from rounds.shown import clean
from rounds.walk import Walk

ARROWS = {"↑": "up", "↓": "down", "←": "left", "→": "right"}
NAMED = frozenset(
    ("space", "enter", "backspace", "up", "down", "left", "right", "tab", "home", "end", "pageup", "pagedown")
)


class Spot(NamedTuple):
    """Cells ``x`` up to but not including ``end`` of a line, and the key they are."""

    x: int
    end: int
    key: str
    word: str = ""


def keys_of(line: Line) -> list[Spot]:
    """The keys that a line shows, each with its word, from left to right.

    A run of several keys (the help page's ``space enter``) is a spot for each; what is
    painted like a key and is none (``DUE``) is left out.
    """
    out: list[Spot] = []
    x = 0
    for i, (text, look) in enumerate(line):
        end = x + cell_len(text)
        if look == "key":
            found = [(at, key) for at, token in _tokens(text) if (key := _key(token))]
            if len(found) == 1 == len(text.split()):
                after = line[i + 1] if i + 1 < len(line) and line[i + 1][1] == "" else ("", "")
                out.append(Spot(x, end + cell_len(after[0]), found[0][1], after[0].strip()))
            else:
                out += [Spot(x + at, x + at + cell_len(_shown(key)), key) for at, key in found]
        x = end
    return out


def keys_at(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str]:
    """The keys that a tap at a cell of the walk's composed lines presses; none for most cells."""
    if not 0 <= y < len(lines) or x < 0:
        return []
    for spot in keys_of(lines[y]):
        if spot.x <= x < spot.end:
            return [spot.key]
    if walk.state.mode != "walk":
        return []
    if walk.state.at >= walk.count():
        return _on_summary(walk, lines, y)
    return _on_walk(walk, lines, x, y)


def _on_walk(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str]:
    """A question's row moves the cursor there; the row under the last one goes on, as it says."""
    from rounds.screens.walk_lines import SIDE, SMALL  # on a click only

    width = sum(cell_len(text) for text, _ in lines[y])
    if width >= SMALL[0] + SIDE and x >= width - SIDE:
        return []
    on = entry_steps.key_for(walk, "next")
    if any(look == "faint" and text.startswith(f"{on}: ") for text, look in lines[y]):
        return [on]
    at = _cursor_line(lines)
    shown = entry_steps.rows(walk.state, walk)
    if at is None:
        return []
    wanted = walk.state.cursor + y - at
    if not 0 <= wanted < len(shown) or not _shows(lines[y], clean(shown[wanted].kind.title, 18)):
        return []
    return _moves(walk, wanted - walk.state.cursor)


def _shows(line: Line, title: str) -> bool:
    name = line[0][0]
    return name[:2] in ("  ", "> ") and title in name


def _on_summary(walk: Walk, lines: Sequence[Line], y: int) -> list[str]:
    """A row of the list moves the cursor there; the row at the cursor goes to its enclosure."""
    at = _cursor_line(lines)
    if at is None:
        return []
    top = y
    while top > 0 and not _begins(lines[top]):
        if lines[top][0][1] or lines[top][0][0].strip():
            return []  # no line of a row: a heading, a count of what is above, the foot
        if not any(text.strip() for text, _ in lines[top]):
            return []
        top -= 1
    if not _begins(lines[top]):
        return []
    between = lines[min(at, top) : max(at, top)]
    rows = sum(1 for line in between if _begins(line))
    if rows == 0:
        return [entry_steps.key_for(walk, "next")]
    return _moves(walk, rows if top > at else -rows)


def _begins(line: Line) -> bool:
    """Whether a line begins a row of the summary's list."""
    text, look = line[0]
    return (text[:2] == "> " and look == "cursor") or (text[:2] == "  " and look == "strong")


def _cursor_line(lines: Sequence[Line]) -> int | None:
    return next((i for i, line in enumerate(lines) if line[0][1] == "cursor" and line[0][0][:1] == ">"), None)


def _moves(walk: Walk, rows: int) -> list[str]:
    return [entry_steps.key_for(walk, "reading_down" if rows > 0 else "reading_up")] * abs(rows)


def _tokens(text: str) -> list[tuple[int, str]]:
    """The words of a key run with the cell each begins at."""
    out: list[tuple[int, str]] = []
    at = 0
    for word in text.split(" "):
        if word:
            out.append((at, word))
        at += cell_len(word) + 1
    return out


def _key(token: str) -> str:
    """The key a word stands for ("" when it is none)."""
    if token in NAMED or len(token) == 1:
        return ARROWS.get(token, token)
    return ""


def _shown(key: str) -> str:
    return next((sign for sign, name in ARROWS.items() if name == key), key)
