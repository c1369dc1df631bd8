"""Which keys a tap or a click on the screen presses.

Pure, and worked out when somebody taps, never for a paint. What can be pressed is said by the
prompt and the layout; a line only says where it is shown (style ``key``), together with the
word behind it. A row of a list is the keys that move the cursor there
(:mod:`rounds.presenters.touch_rows`). A tap is nothing but these keys: all it does can be typed.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rich.cells import cell_len

from rounds.keys.key_names import NAMED, sign_of
from rounds.named_tuple import NamedTuple
from rounds.presenters.lines import Line
from rounds.presenters.prompt_lines import asked, offered
from rounds.presenters.touch_rows import row_at
from rounds.walk.core import Walk


class Spot(NamedTuple):
    """Cells ``x`` up to but not including ``end`` of a line, and the key they are."""

    x: int
    end: int
    key: str
    word: str = ""


def pressable(walk: Walk) -> dict[str, str]:
    """Every key that means something at the moment, by the sign it is shown as.

    Those that answer what is asked, and those of the layout (its menu's entries are keys of two
    signs and more), which ask for a reading, or have a name; digits are answers anywhere.
    """
    answers = (key for key, _ in offered(asked(walk)))
    readings = (k.ask_key for k in walk.desk.kinds.values() if k.ask_key)
    keys = (*answers, *walk.desk.commands, *readings, *NAMED, *"0123456789")
    return {shown: key for key in keys for shown in (key, sign_of(key))}


def keys_of(line: Line, known: Mapping[str, str]) -> list[Spot]:
    """What a line shows of the keys ``known`` by their signs, each with its word, from left to right.

    A run of several keys (the help page's ``space enter``) is a spot for each; what is painted
    like a key and is none (``DUE``) is left out.
    """
    out: list[Spot] = []
    x = 0
    for i, (text, style) in enumerate(line):
        end = x + cell_len(text)
        if style == "key":
            tokens = _tokens(text)
            keys = [known.get(token, "") for _, token in tokens]
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
    return next(([s.key] for s in keys_of(lines[y], pressable(walk)) if s.x <= x < s.end), [])


def _tokens(text: str) -> list[tuple[int, str]]:
    """The words of a key run with the cell each begins at."""
    out: list[tuple[int, str]] = []
    at = 0
    for word in text.split(" "):
        if word:
            out.append((at, word))
        at += cell_len(word) + 1
    return out
