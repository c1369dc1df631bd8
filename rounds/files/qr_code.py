"""QR codes (ISO/IEC 18004, model 2), each with the mask that the standard wants, found quickly.

Of eight masks the standard takes the one that leaves a symbol with the fewest points (7.8.3), and
that search, module by module, is nearly all of what a code costs. Here a symbol is one number, a
bit for each module, and a feature is looked for in all modules at once. The symbols are those of
the library ``segno``, which is imported when the first is made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import cache

from rounds.named_tuple import NamedTuple

CORRECTION = "m"
"""Error correction of the QR codes, at least: M restores 15% (ISO/IEC 18004); more is taken where it costs no space."""
MASKS = 8
LARGEST = 6
"""The last version without version information, which is no more than a label's code ever needs."""

Matrix = tuple[tuple[bool, ...], ...]
"""Dark modules, row by row, with the quiet zone around them."""

_RUN, _BLOCK, _FINDER, _SHARE = 3, 3, 40, 10
"""Points of the features (ISO/IEC 18004, table 11): a run of five, a block of two by two, a pattern like a
finder's, and each twentieth by which the share of dark modules is away from a half."""
_DIGITS = bytes.maketrans(b"\0\1", b"01")


def matrix(text: str, border: int) -> Matrix:
    """The QR code that reads as ``text``, with a quiet zone of ``border`` modules."""
    import segno

    symbol = segno.make(text, error=CORRECTION, micro=False, mask=0)
    if not isinstance(symbol.version, int) or symbol.version > LARGEST:
        return _framed(segno.make(text, error=CORRECTION, micro=False).matrix, border)
    rows = symbol.matrix
    size = len(rows)
    masks = _masks(symbol.version)
    across, down = _number(rows), _number(zip(*rows, strict=True))
    points = [_points(across ^ of_rows, down ^ of_columns, size) for of_rows, of_columns in masks]
    best = points.index(min(points))
    digits = f"{across ^ masks[best][0]:0{size * (size + 1)}b}"[::-1]
    found = [[d == "1" for d in digits[i : i + size]] for i in range(0, size * (size + 1), size + 1)]
    return _framed(found, border)


def _framed(rows: Iterable[Iterable[int]], border: int) -> Matrix:
    side = (False,) * border
    inside = [(*side, *map(bool, row), *side) for row in rows]
    edge = ((False,) * len(inside[0]),) * border
    return (*edge, *inside, *edge)


def _number(rows: Iterable[Iterable[int]]) -> int:
    """A bit for each module, the first of the first row the lowest; after each row a bit that is nought."""
    return int(b"\0".join(map(bytes, rows))[::-1].translate(_DIGITS), 2)


@cache
def _masks(version: int) -> Sequence[tuple[int, int]]:
    """In what a symbol of each mask differs from the same of mask 0, across and down.

    They are the same modules whatever the text and the correction: both the masks and the words that
    tell of them are added bit by bit (ISO/IEC 18004, 7.8.2, and a linear code: 7.9 and annex C).
    """
    import segno

    symbols = [segno.make("1", error=CORRECTION, micro=False, version=version, mask=m) for m in range(MASKS)]
    first = symbols[0].matrix
    return [
        (
            _number(s.matrix) ^ _number(first),
            _number(zip(*s.matrix, strict=True)) ^ _number(zip(*first, strict=True)),
        )
        for s in symbols
    ]


class _Places(NamedTuple):
    """Of a symbol's size: modules of which one stands beside it, of which one stands below, all, and those counted."""

    beside: int
    below: int
    every: int
    counted: int


@cache
def _places(size: int) -> _Places:
    """The words that tell of the mask, and the dark module among them, are not counted (ISO/IEC 18004, 7.8.1)."""
    told = {(i, 8) for i in (*range(9), *range(size - 8, size)) if i != 6}
    told |= {(column, row) for row, column in told}
    of = [[(row, column) for column in range(size)] for row in range(size)]
    return _Places(
        _number([column < size - 1 for _, column in row] for row in of),
        _number([row < size - 1 for row, _ in line] for line in of),
        _number([1] * size for _ in of),
        _number([module not in told for module in row] for row in of),
    )


def _points(across: int, down: int, size: int) -> int:
    """The points of a symbol, given row by row and column by column (ISO/IEC 18004, 7.8.3.1)."""
    places = _places(size)
    across, down = across & places.counted, down & places.counted
    beside = ~(across ^ across >> 1) & places.beside
    below = ~(across ^ across >> size + 1) & places.below
    blocks = beside & beside >> size + 1 & below
    share = abs(across.bit_count() / size**2 * 100 - 50)
    return (
        _runs(beside)
        + _runs(~(down ^ down >> 1) & places.beside)
        + _BLOCK * blocks.bit_count()
        + _FINDER * (_finders(across, size, places.every) + _finders(down, size, places.every))
        + _SHARE * int(share / 5)
    )


def _runs(alike: int) -> int:
    """Points of runs of five modules and more; ``alike`` are modules whose next one is of their colour."""
    five = alike & alike >> 1 & alike >> 2 & alike >> 3
    return five.bit_count() + (_RUN - 1) * (five & ~(five << 1)).bit_count()


def _finders(dark: int, size: int, every: int) -> int:
    """How often dark, light, three dark, light, dark stand in a row with four light ones, or the edge, on a side."""
    light = dark ^ every
    at = dark & light >> 1 & dark >> 2 & dark >> 3 & dark >> 4 & light >> 5 & dark >> 6
    found, free = 0, 0
    while at:
        lowest = at & -at
        at ^= lowest
        place = lowest.bit_length() - 1
        if place < free:  # within one that is counted already
            continue
        first, column = place - place % (size + 1), place % (size + 1)
        row = dark >> first & (1 << size) - 1
        before = row & (1 << column) - 1
        if column in (0, size - 7) or not before >> max(column - 4, 0) or not row >> column + 7 & 15:
            found += 1
            free = place + 7
        else:
            free = place + 4
    return found
