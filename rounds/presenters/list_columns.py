"""The columns of a list: how wide each is, and its cells in that width.

A column is as wide as what stands in it, so that short lists stay together on a wide screen.
Where all of it does not fit, sentences give way first, and what is cut ends in ``…``.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from rounds.named_tuple import NamedTuple
from rounds.presenters.lines import fit, shortened, shortened_name, size
from rounds.text.cleaning import clean
from rounds.views.page import ListColumn, ListRow, Page, PageSection

GAPS = (2, 1)
"""Cells between two columns: where there is room, and where there is not."""
SAMPLE = 40
"""Rows at the top of a list that its columns are measured by: a list may have thousands, made when they are shown."""
MOST = 400
"""Characters of one cell that are looked at."""
LEAST = 2


class Laid(NamedTuple):
    """A list's columns in some room: how wide each is, and the cells between two."""

    columns: tuple[ListColumn, ...]
    widths: tuple[int, ...]
    gap: int

    def heads(self) -> str:
        """The headings, each over its column."""
        return self._line(c.head for c in self.columns)

    def cells(self, row: ListRow) -> str:
        """The cells of a row, each in its column."""
        return self._line(clean(text, MOST) for text in row.cells)

    def _line(self, texts: Iterable[str]) -> str:
        shown = zip(texts, self.columns, self.widths, strict=True)
        return (" " * self.gap).join(_aligned(text, c, w) for text, c, w in shown)

    def cut_cells(self, row: ListRow) -> list[str]:
        """The cells of a row that do not fit their columns, in full, each after its heading."""
        out = []
        for text, c, w in zip(row.cells, self.columns, self.widths, strict=True):
            said = clean(text, MOST)
            if size(((said, ""),)) > w:
                out.append(f"{c.head}: {said}" if c.head else said)
        return out


class _Lists:
    """The lists of a page, the same only as themselves: to compare rows they would all have to be made."""

    __slots__ = ("parts",)

    def __init__(self, parts: tuple[PageSection, ...]) -> None:
        self.parts = parts

    def __hash__(self) -> int:
        return id(self.parts)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Lists) and other.parts is self.parts


def laid(page: Page, part: PageSection, room: int) -> Laid:
    """The columns of a list of the page in ``room`` cells; lists with the same columns share their widths."""
    return _laid(_Lists(page.parts), part.columns, room)


@lru_cache(16)  # the same while the cursor moves along a page; few, for each keeps its books alive
def _laid(lists: _Lists, columns: tuple[ListColumn, ...], room: int) -> Laid:
    out = _needed(lists, columns)
    whole = sum(min(wide, c.width) if c.grow else wide for c, wide in zip(columns, out, strict=True))
    gap = next((g for g in GAPS if whole + g * (len(out) - 1) <= room), GAPS[-1])
    over = sum(out) + gap * (len(out) - 1) - room
    # First the sentences give way, down to the widths they were given, then every column.
    for least in (
        [min(wide, c.width) if c.grow else wide for c, wide in zip(columns, out, strict=True)],
        [min(wide, LEAST) for wide in out],
    ):
        while over > 0:
            spare, at = max((wide - low, i) for i, (wide, low) in enumerate(zip(out, least, strict=True)))
            if spare <= 0:
                break
            out[at] -= 1
            over -= 1
    return Laid(columns, tuple(out), gap)


def _needed(lists: _Lists, columns: tuple[ListColumn, ...]) -> list[int]:
    """The cells of the widest text of each column, its heading among them."""
    out = [size(((c.head, ""),)) for c in columns]
    for part in lists.parts:
        if part.columns == columns:
            for i in range(min(SAMPLE, len(part.rows))):
                texts = part.rows[i].cells
                out = [max(w, size(((clean(t, MOST), ""),))) for w, t in zip(out, texts, strict=True)]
    return out


def _aligned(text: str, column: ListColumn, width: int) -> str:
    if column.named:
        return shortened_name(text, width)
    wide = size(((text, ""),))
    if column.right and wide <= width:
        return " " * (width - wide) + text
    return shortened(text, width) if wide > width else fit(text, width)
