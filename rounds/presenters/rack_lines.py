"""The drawn rack as lines: as many shelves and slots as fit around the cursor, and its box in full.

Where slots are wide a box takes two lines, else three; all shelves keep the same columns, so
that a slot stands under the slot above it.
"""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.presenters import screen_sentences
from rounds.presenters.lines import BLANK, Line, Run, cut, fit, flow, size, wrap
from rounds.text.cleaning import clean
from rounds.views.page import Page, Shelf, Tile
from rounds.views.rack_page import LATELY, LEGEND, LONG, NEVER, TODAY

NARROW, WIDE = 12, 24
"""The least and the most cells of one slot, the one for the cursor's sign among them."""
TWO_LINES = 18  # cells from which on two lines hold what else takes three
SHADE_STYLES = {TODAY: "saved", LATELY: "", LONG: "look", NEVER: "today"}


class Spot(NamedTuple):
    """Where the cursor is: the shelf, the place on it, the tile."""

    shelf: int
    at: int
    tile: Tile


class Grid(NamedTuple):
    """How the shelves are laid out: cells of a shelf's name and of a slot, lines of a shelf, slots in sight."""

    label: int
    tile: int
    height: int
    across: int


def lines(page: Page, cursor: int, width: int, room: int) -> list[Line]:
    """Exactly ``room`` lines of the shelves, what the signs mean, and the box at the cursor."""
    here = spot(page, cursor)
    grid = layout(page, width)
    legend = _legend(width) if room >= 14 else []
    said = _said(here.tile, width, max(1, room // 4) if room >= 8 else 1)
    left = max(0, room - len(legend) - len(said))
    if left < grid.height:  # no shelf would fit: the box at the cursor is what matters
        return [*said, *([BLANK] * room)][:room]
    shown = max(1, left // grid.height)
    first = max(0, min(here.shelf - shown // 2, len(page.shelves) - shown))
    start = _start(page, here, grid)
    out: list[Line] = []
    for i, shelf in enumerate(page.shelves[first : first + shown], first):
        out += _shelf(shelf, here.at if i == here.shelf else -1, start, grid)
    hidden = (first, max(0, len(page.shelves) - first - shown))
    if any(hidden) and left > len(out):
        out.append(((screen_sentences.more_shelves(*hidden), "faint"),))
    return [*out, *([BLANK] * (left - len(out))), *legend, *said]


def spot(page: Page, cursor: int) -> Spot:
    """The shelf and place of a cursor; past the end, the last one's."""
    cursor = max(0, min(cursor, page.size() - 1))
    for i, shelf in enumerate(page.shelves):
        if cursor < len(shelf.tiles):
            return Spot(i, cursor, shelf.tiles[cursor])
        cursor -= len(shelf.tiles)
    raise ValueError("a rack without a slot has no lines")


def layout(page: Page, width: int) -> Grid:
    """All slots of the longest shelf side by side where they fit, else as many as do."""
    label = min(8, max(len(clean(s.name, 8)) for s in page.shelves)) + 1
    longest = max(len(s.tiles) for s in page.shelves)
    tile = max(NARROW, min(WIDE, (width - label) // longest))
    across = max(1, (width - label) // tile)
    return Grid(label, tile, 2 if tile >= TWO_LINES else 3, across)


def _start(page: Page, here: Spot, grid: Grid) -> int:
    """The slot at the left edge: it moves only when the cursor's would be out of sight."""
    longest = max(len(s.tiles) for s in page.shelves)
    if longest <= grid.across:
        return 0
    return max(0, min(here.at - grid.across // 2, longest - grid.across))


def _shelf(shelf: Shelf, at: int, start: int, grid: Grid) -> list[Line]:
    tiles = shelf.tiles[start : start + grid.across]
    out: list[Line] = []
    drawn = [_tile(t, grid, at=start + i == at) for i, t in enumerate(tiles)]
    for row in range(grid.height):
        name = clean(shelf.name, 8) if not row else ""
        if row == 1 and start:
            name = "<"
        more = "…" if row == 0 and start + grid.across < len(shelf.tiles) else ""
        runs: list[Run] = [(fit(name, grid.label), "strong" if not row else "faint")]
        for tile in drawn:
            runs += tile[row]
        out.append((*runs, (more, "faint")))
    return out


def _tile(tile: Tile, grid: Grid, *, at: bool) -> list[list[Run]]:
    """Its lines: ``> TL-014 !!!  ▒3d`` and ``laying  due lock``, or those on three lines."""
    inner = grid.tile - 1
    sign = ">" if at else " "
    code, stage = (clean(x, 60) for x in (*tile.texts, "", "")[:2])
    signs = " ".join(tile.signs)
    last: list[Run] = [(tile.mark, tile.style), (" " if tile.mark and signs else "", ""), (signs, "strong")]
    if grid.height == 2:
        held = f" {tile.mark}" if tile.mark else ""
        room = inner - len(held) - len(tile.shade) - 1
        shown = fit(code, min(room, size(((code, ""),))))
        gap = inner - size(((shown, ""),)) - len(held) - len(tile.shade)
        mark: list[Run] = [(" ", ""), (tile.mark, tile.style)] if held else []
        first: list[Run] = [(shown, "strong"), *mark, (" " * gap, ""), *_shade(tile)]
        second: list[Run] = [
            (fit(stage, min(len(stage), inner - len(signs) - 2)), ""),
            (f" {signs}", "strong"),
        ]
        rows = [first, second]
    else:
        room = inner - len(tile.shade) - 1
        rows = [[(fit(code, room), "strong"), (" ", ""), *_shade(tile)], [(stage, "")], last]
    out = []
    for i, row in enumerate(rows):
        runs = list(cut([(sign if not i else " ", "cursor" if at else ""), *row], grid.tile))
        out.append([(text, "cursor" if at else style) for text, style in runs])
    return out


def _shade(tile: Tile) -> list[Run]:
    return [(tile.shade, SHADE_STYLES.get(tile.shade[:1], "")), (" ", "")]


def _legend(width: int) -> list[Line]:
    pieces: list[Line] = [((f" {sign}", "strong"), (f" {what} ", "faint")) for sign, what in LEGEND]
    return flow(pieces, width)[:2]


def _said(tile: Tile, width: int, most: int) -> list[Line]:
    """All there is to know of the box at the cursor, in at most ``most`` lines."""
    out: list[Line] = []
    for i, text in enumerate(tile.said):
        left = most - len(out)
        if left <= 0:
            break
        pieces = wrap(clean(text, 600), width - 2, min(left, 2))
        out += [((f" {x}", "strong" if not i else ""),) for x in pieces]
    if len(tile.said) > most and out:
        out[-1] = cut(((fit("".join(t for t, _ in out[-1]), width - 12), ""), (" … enter", "faint")), width)
    return out + [BLANK] * (most - len(out))
