"""The sheet that labels are printed on: paper, and a grid of stickers given by its measures.

All measures are millimetres from the paper's upper left corner; paper sizes are those of
ISO 216 (A4) and ANSI/ASME Y14.1 (Letter, 8.5 by 11 inches).
"""

from __future__ import annotations

import re

from rounds.files import label_sentences
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, Refusal, nearest

PAPERS = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
SLACK = 0.05  # mm that rounded measures may overrun the paper
PAD = 1.5  # mm kept free at a label's edge: no sheet is fed in exactly
WHITE = 4.5  # mm at the edge of A4 and Letter that most printers leave white (common practice, no source)
MOST = 2000  # stickers on one sheet
LEAST_PAPER, MOST_PAPER = 15.0, 2000.0


class Grid(NamedTuple):
    """Stickers in columns and rows: their size, the margin before the first, the gaps between (mm)."""

    columns: int
    rows: int
    width: float
    height: float
    left: float = 0.0
    top: float = 0.0
    across: float = 0.0
    down: float = 0.0

    @property
    def stickers(self) -> int:
        return self.columns * self.rows

    def at(self, n: int) -> tuple[float, float]:
        """Upper left corner of the ``n``-th sticker of a sheet (from 0, row by row), mm."""
        row, column = divmod(n, self.columns)
        return self.left + column * (self.width + self.across), self.top + row * (self.height + self.down)


class Sheet(NamedTuple):
    """A paper and its grid. ``cut``: plain paper, so lines to cut along are drawn."""

    width: float
    height: float
    grid: Grid
    cut: bool

    @property
    def inset(self) -> tuple[float, float]:
        """How far inside each label print begins, sideways and up and down (mm): the same for all."""
        g = self.grid
        if g.stickers == 1:  # a label printer's; it prints to the edge
            return PAD, PAD
        right = self.width - g.left - g.columns * g.width - (g.columns - 1) * g.across
        foot = self.height - g.top - g.rows * g.height - (g.rows - 1) * g.down
        return max(PAD, WHITE - min(g.left, right)), max(PAD, WHITE - min(g.top, foot))

    def where(self, n: int) -> tuple[int, float, float]:
        """Sheet (from 0) and corner of the ``n``-th place, counted from the first sheet's first."""
        page, place = divmod(n, self.grid.stickers)
        return page, *self.grid.at(place)


PLAIN = {
    "a4": Grid(2, 10, 92, 27, 13, 13.5),
    "letter": Grid(2, 9, 92, 28, 15.95, 13.7),
}
"""On plain paper, to be cut apart: clear of the edge that printers leave white."""


def sheet(paper: str, grid: str | None, start: int = 1) -> Sheet:
    """The sheet meant by ``--paper`` and ``--grid``, begun at ``--start``. Raises BadInput with every problem.

    Without a grid A4 and Letter are cut apart, and paper of a size of its own (a label
    printer's) is one label.
    """
    problems: list[Problem] = []
    size = _paper(paper, problems)
    measures = _grid(grid, problems) if grid is not None else PLAIN.get(paper.casefold())
    if size is not None and measures is None and grid is None:
        measures = Grid(1, 1, *size)
    if size is not None and measures is not None:
        problems += _beyond(measures, size)
    if measures is not None and not 1 <= start <= measures.stickers:
        refusal = label_sentences.no_such_start(start, measures.stickers)
        problems.append(Problem("--start", 0, 0, *refusal))
    if problems or size is None or measures is None:
        raise BadInput(problems)
    return Sheet(*size, measures, cut=grid is None and paper.casefold() in PLAIN)


def _paper(text: str, problems: list[Problem]) -> tuple[float, float] | None:
    known = PAPERS.get(text.casefold())
    if known is not None:
        return known
    parts = re.fullmatch(rf"\s*({_NUMBER})\s*[x×]\s*({_NUMBER})\s*", text, re.IGNORECASE)
    if parts is None:
        refusal = label_sentences.no_paper(text, nearest(text.casefold(), PAPERS))
        problems.append(Problem("--paper", 0, 0, *refusal))
        return None
    size = float(parts[1]), float(parts[2])
    if not all(LEAST_PAPER <= side <= MOST_PAPER for side in size):
        refusal = label_sentences.paper_out_of_range(text, LEAST_PAPER, MOST_PAPER)
        problems.append(Problem("--paper", 0, 0, *refusal))
        return None
    return size


_NUMBER = r"[0-9]{1,4}(?:\.[0-9]{1,4})?"
_PARTS = (
    ("columns x rows", re.compile(r"([0-9]{1,4})[x×]([0-9]{1,4})", re.IGNORECASE)),
    ("width x height", re.compile(rf"({_NUMBER})[x×]({_NUMBER})", re.IGNORECASE)),
)
_PAIR = re.compile(rf"({_NUMBER}),({_NUMBER})")
_NAMED = {"margins": "left,top", "gaps": "across,down"}


def _grid(text: str, problems: list[Problem]) -> Grid | None:
    """Read the words of ``--grid``; problems carry the column they stand at."""
    words = [(m[0], m.start() + 1) for m in re.finditer(r"\S+", text)]
    before = len(problems)

    def wrong(column: int, refusal: Refusal) -> None:
        problems.append(Problem("--grid", 1, column, *refusal))

    def not_measured(column: int, what: str, word: str) -> None:
        wrong(
            column,
            label_sentences.measure_expected(what, word) if word else label_sentences.measure_missing(what),
        )

    values: list[tuple[float, float]] = []
    for i, (what, pattern) in enumerate(_PARTS):
        word, column = words[i] if i < len(words) else ("", len(text) + 1)
        found = pattern.fullmatch(word)
        if found is None:
            not_measured(column, what, word)
        values.append((float(found[1]), float(found[2])) if found else (1, 1))
        if found and not all(values[-1]):
            wrong(column, label_sentences.measure_not_above_nought(word, what))
    named = dict.fromkeys(_NAMED, (0.0, 0.0))
    rest = iter(words[len(_PARTS) :])
    for word, column in rest:
        name = word.casefold()
        if name not in _NAMED:
            wrong(column, label_sentences.not_understood(word, nearest(name, _NAMED)))
            if nearest(name, _NAMED):
                next(rest, None)  # its pair is not also complained about
            continue
        pair, at = next(rest, ("", len(text) + 1))
        found = _PAIR.fullmatch(pair)
        if found is None:
            not_measured(at, f"{name}: {_NAMED[name]}", pair)
        else:
            named[name] = (float(found[1]), float(found[2]))
    (columns, rows), size = values
    if columns * rows > MOST:
        wrong(words[0][1], label_sentences.too_many_stickers(columns, rows, MOST))
    if len(problems) > before:
        return None
    return Grid(int(columns), int(rows), *size, *named["margins"], *named["gaps"])


def _beyond(g: Grid, paper: tuple[float, float]) -> list[Problem]:
    """What does not fit on the paper: one problem for each direction."""
    out = []
    for n, many, size, margin, gap, room, side in (
        (g.columns, "columns", g.width, g.left, g.across, paper[0], "wide"),
        (g.rows, "rows", g.height, g.top, g.down, paper[1], "high"),
    ):
        needs = margin + n * size + (n - 1) * gap
        if needs > room + SLACK:
            refusal = label_sentences.beyond_the_paper(n, many, size, margin, gap, needs, room, side)
            out.append(Problem("--grid", 0, 0, *refusal))
    return out
