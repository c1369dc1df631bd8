"""How wide a text is on a terminal, and where a line may be broken."""

from __future__ import annotations

import unicodedata

_NO_WIDTH = ("\u3164", "\uffa0")  # fillers of Hangul
_WIDE_SINCE_UNICODE_16 = (
    (0x2630, 0x2637),
    (0x268A, 0x268F),
    (0x4DC0, 0x4DFF),
    (0x1D300, 0x1D356),
    (0x1D360, 0x1D376),
)
"""Signs that older character tables, such as that of Python 3.11, still call narrow."""


def sign_width(sign: str) -> int:
    """Columns of one character: 2 for wide ones (UAX 11: W and F), 0 for marks, else 1."""
    if sign.isascii():
        return 1
    if unicodedata.category(sign)[0] == "M" or sign in _NO_WIDTH:
        return 0
    if unicodedata.east_asian_width(sign) in ("W", "F"):
        return 2
    return 2 if any(low <= ord(sign) <= high for low, high in _WIDE_SINCE_UNICODE_16) else 1


def text_width(text: str) -> int:
    """Columns of a clean text: those of its characters together."""
    return len(text) if text.isascii() else sum(map(sign_width, text))


def padded(text: str, width: int, *, right: bool = False) -> str:
    """``text`` filled up with spaces to ``width`` columns, at its left where it stands at the right."""
    fill = " " * (width - text_width(text))
    return fill + text if right else text + fill


def pieces(text: str) -> list[tuple[str, bool]]:
    """Pieces that a line break keeps whole, each with whether a space stands before it.

    Words are whole. Between two wide characters a line may be broken, as scripts
    without spaces are (UAX 14 lets a line break between two ideographs).
    """
    out: list[tuple[str, bool]] = []
    for number, word in enumerate(text.split(" ")):
        before = number > 0
        if word.isascii():
            out.append((word, before))
            continue
        start = 0
        for at in range(1, len(word)):
            if _breaks(word, at):
                out.append((word[start:at], before and start == 0))
                start = at
        out.append((word[start:], before and start == 0))
    return out


def _breaks(word: str, at: int) -> bool:
    """May a line be broken before this character? Not where one of the two is a mark or punctuation."""
    before, after = word[at - 1], word[at]
    wide = sign_width(before) == 2 and sign_width(after) == 2
    return wide and unicodedata.category(after)[0] in "LN" and unicodedata.category(before)[0] in "LN"


def widest_piece(text: str) -> int:
    """Columns that the text needs at the least when no piece is broken."""
    return max((text_width(piece) for piece, _ in pieces(text)), default=0)


def broken(text: str, width: int, indent: str = "", further: str = "") -> list[str]:
    """``text`` as lines of at most ``width`` columns, the first after ``indent``, the others after ``further``.

    A piece wider than a line stays whole on its own: a code cut in two could not be found again.
    """
    if text_width(text) + len(indent) <= width:
        return [f"{indent}{text}".rstrip(" ")]
    lines: list[str] = []
    line, used, fresh = indent, len(indent), True
    for piece, spaced in pieces(text):
        gap = " " if spaced and not fresh else ""
        wide = text_width(piece)
        if not fresh and piece and used + len(gap) + wide > width:
            lines.append(line.rstrip(" "))
            line, used, gap = further, len(further), ""
        line, used, fresh = f"{line}{gap}{piece}", used + len(gap) + wide, fresh and not piece
    return [*lines, line.rstrip(" ")]
