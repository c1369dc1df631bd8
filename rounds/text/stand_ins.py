"""The signs beyond plain letters that the program itself writes, and what stands for each where a terminal lacks them.

Names and notes from the book may hold any sign; what is not in ``SIGNS`` becomes its nearest plain
letter, or ``?``. Every stand-in takes as many cells as what it stands for, so that columns keep.
"""

from __future__ import annotations

import codecs
import re
import unicodedata
from collections.abc import Mapping

SIGNS: Mapping[str, str] = {
    # words and numbers
    "·": ".",
    "–": "-",
    "−": "-",
    "×": "x",
    "…": "~",
    "°": " ",
    "¼": "q",
    "½": "h",
    "²": "2",
    "³": "3",
    "µ": "u",
    "≥": ">",
    "≤": "<",
    "≈": "~",
    "Σ": "S",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    # keys
    "↑": "^",
    "↓": "v",
    "←": "<",
    "→": ">",
    "↵": "/",
    "⌫": "<",
    "␣": "_",
    # what is seen, saved, worst
    "✓": "v",
    "●": "*",
    "♀": "f",
    "♂": "m",
    # how much, how long ago
    "▁": "_",
    "▂": ",",
    "▃": ":",
    "▄": "=",
    "▅": "+",
    "▆": "*",
    "▇": "%",
    "█": "#",
    "▀": '"',
    "░": ".",
    "▒": ":",
    "▓": "%",
    # lines
    "─": "-",
    "│": "|",
    "┌": "+",
    "┐": "+",
    "└": "`",
    "┘": "+",
    "├": "|",
    "┤": "|",
    "┼": "+",
}
"""The committed list: a sign that is painted and not a letter of somebody's name stands here."""

LONGER: Mapping[str, str] = {"¼": "1/4", "½": "1/2", "≥": ">=", "≤": "<=", "↑": "up", "↓": "down"}
"""Better stand-ins, of more cells, where the padding behind them can give those away."""

LETTERS: Mapping[str, str] = {
    "ß": "s",
    "ł": "l",
    "Ł": "L",
    "ø": "o",
    "Ø": "O",
    "æ": "a",
    "Æ": "A",
    "œ": "o",
    "Œ": "O",
    "ð": "d",
    "þ": "t",
    "đ": "d",
    "ı": "i",
}
"""Letters that Unicode does not take apart."""

IN_COLUMNS, IN_LINES = "rounds.in_columns", "rounds.in_lines"
"""Error handlers of codecs, once :func:`register` was called: that keeps columns, that takes the better stand-ins."""

_LONG = re.compile(f"[{''.join(LONGER)}]")
_PADDING = re.compile(" {2,}")


def plain(text: str) -> str:
    """``text`` in ASCII, taking as many cells of a terminal as before."""
    return text if text.isascii() else "".join(map(_plain, text))


def plain_runs(texts: list[str]) -> list[str]:
    """The runs of one line in ASCII, as many cells in all as before, with the better stand-ins where padding allows.

    A run of spaces gives away all but one of its cells.
    """
    if all(text.isascii() for text in texts):
        return texts
    return _lengthened(texts) or [plain(text) for text in texts]


def _lengthened(texts: list[str]) -> list[str]:
    """The line with its better stand-ins; nothing where there are none, or no padding behind the last of them."""
    out: list[str] = []
    owed = 0

    def taken(found: re.Match[str]) -> str:
        nonlocal owed
        given = min(owed, len(found[0]) - 1)
        owed -= given
        return found[0][given:]

    for text in texts:
        parts: list[str] = []
        for part in re.split(f"({_LONG.pattern}| {{2,}})", text):
            if part in LONGER:
                owed += len(LONGER[part]) - 1
                parts.append(LONGER[part])
            else:
                parts.append(_PADDING.sub(taken, part) if owed else part)
        parts = [plain(part) for part in parts]
        out.append("".join(parts))
    return [] if owed else out


def _plain(sign: str) -> str:
    if sign.isascii():
        return sign
    near = SIGNS.get(sign) or LETTERS.get(sign)
    if near is not None:
        return near
    from rich.cells import cell_len

    cells = cell_len(sign)
    parts = unicodedata.normalize("NFKD", sign)
    letters = "".join(c for c in parts if c.isascii() and c.isprintable())
    return letters if len(letters) == cells and cells else "?" * cells


def register() -> None:
    """Make both error handlers known to ``codecs``, for streams whose encoding is ASCII."""
    codecs.register_error(IN_COLUMNS, lambda error: _stand_in(error, {}))
    codecs.register_error(IN_LINES, lambda error: _stand_in(error, LONGER))


def _stand_in(error: UnicodeError, better: Mapping[str, str]) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    signs = error.object[error.start : error.end]
    return "".join(better.get(sign) or plain(sign) for sign in signs), error.end
