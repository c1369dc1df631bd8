"""Which keys a tap or a click on the screen presses.

Pure, and worked out when somebody taps, never for a paint. Whatever a line shows as a key
(look ``key``) is that key, together with the word behind it; a row of a list is the keys
that move the cursor there (:mod:`rounds.presenters.touch_rows`). A tap is nothing but these
keys: all it does can be typed.
"""

from __future__ import annotations

from collections.abc import Container, Sequence
from typing import NamedTuple

from rich.cells import cell_len

from rounds.keys.key_names import ARROWS, NAMED
from rounds.presenters.lines import Line
from rounds.presenters.prompt_lines import asked, offered
from rounds.presenters.touch_rows import row_at
from rounds.walk.core import Walk

SIGNED = {sign: name for name, sign in ARROWS.items()}


class Spot(NamedTuple):
    """Cells ``x`` up to but not including ``end`` of a line, and the key they are."""

    x: int
    end: int
    key: str
    word: str = ""


def keys_of(line: Line, commands: Container[str] = ()) -> list[Spot]:
    """What a line shows as keys, each with its word, from left to right.

    ``commands`` are those of the layout: its menu's entries are keys of two signs and more. A run of several keys (the help page's ``space enter``) is a spot for each; what is
    painted like a key and is none (``DUE``) is left out.
    """
    out: list[Spot] = []
    x = 0
    for i, (text, look) in enumerate(line):
        end = x + cell_len(text)
        if look == "key":
            tokens = _tokens(text)
            keys = [_key(token, commands) for _, token in tokens]
            if len(keys) == 1 and keys[0]:
                after = line[i + 1] if i + 1 < len(line) and line[i + 1][1] == "" else ("", "")
                out.append(Spot(x, end + cell_len(after[0]), keys[0], after[0].strip()))
            elif all(keys):
                out += [
                    Spot(x + at, x + at + cell_len(token), key)
                    for (at, token), key in zip(tokens, keys, strict=True)
                ]
        x = end
    return out


def keys_at(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str]:
    """The keys that a tap at a cell of the walk's composed lines presses; none for most cells."""
    if not 0 <= y < len(lines) or x < 0:
        return []
    if walk.state.mode.name == "walk":
        moves = row_at(walk, lines, x, y)
        if moves is not None:
            return moves
    spot = next((s for s in keys_of(lines[y], walk.desk.commands) if s.x <= x < s.end), None)
    return [spot.key] if spot is not None and _means(walk, spot.key) else []


def _means(walk: Walk, key: str) -> bool:
    """Whether it is a key at all: the signs that a page's legend explains look like keys too."""
    if len(key) > 1 or (key.isascii() and key.isalnum()) or key in walk.desk.commands:
        return True
    return any(key == answer for answer, _ in offered(asked(walk)))


def _tokens(text: str) -> list[tuple[int, str]]:
    """The words of a key run with the cell each begins at."""
    out: list[tuple[int, str]] = []
    at = 0
    for word in text.split(" "):
        if word:
            out.append((at, word))
        at += cell_len(word) + 1
    return out


def _key(token: str, commands: Container[str]) -> str:
    """The key a word stands for ("" when it is none)."""
    if token in NAMED or len(token) == 1 or token in commands:
        return SIGNED.get(token, token)
    return ""
