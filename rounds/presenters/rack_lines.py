"""The drawn rack as lines: all of it where it fits, else the bay of the cursor, and its box in full.

Where slots are wide a box takes two lines, else three; all shelves keep the same columns, so
that a slot stands under the slot above it. Boxes without a place are a list below.
"""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.presenters import screen_sentences
from rounds.presenters.lines import BLANK, Line, Run, cut, fit, flow, shortened, size, wrap
from rounds.records.round_summary import HARM_LEVELS, MARKS
from rounds.text.cleaning import clean
from rounds.views.page import Page, Shelf, Tile
from rounds.views.rack_page import LATELY, LEGEND, LONG, NEVER, TODAY

NARROW, WIDE = 12, 24
"""The least and the most cells of one slot, the one for the cursor's sign among them."""
TWO_LINES = 18  # cells from which on two lines hold what else takes three
SIDE = 44
"""Cells beside the shelves for the box at the cursor, where the screen has :data:`SIDE_FROM` and all slots fit."""
SIDE_FROM = 120
SHADE_STYLES = {TODAY: "saved", LATELY: "", LONG: "look", NEVER: "today"}


class Spot(NamedTuple):
    """Where the cursor is: the shelf, the place on it, the tile."""

    shelf: int
    at: int
    tile: Tile


class Grid(NamedTuple):
    """How the shelves are laid out: cells of a shelf's name and of a slot, lines of a shelf, slots in sight.

    ``side``: cells beside the shelves, for the box at the cursor.
    """

    label: int
    tile: int
    height: int
    across: int
    side: int = 0

    def lines_of(self, shelf: Shelf) -> int:
        return len(shelf.tiles) if shelf.listed else self.height


def lines(page: Page, cursor: int, width: int, room: int) -> list[Line]:
    """Exactly ``room`` lines of the shelves, what the signs mean, and the box at the cursor."""
    here = spot(page, cursor)
    grid = layout(page, width)
    main = width - grid.side
    legend = _legend(main) if room >= 14 and not grid.side else []
    least = 0 if grid.side else max(1, room // 4) if room >= 8 else 1
    left = max(0, room - len(legend) - least)
    if left < grid.lines_of(
        page.shelves[here.shelf]
    ):  # no shelf would fit: the box at the cursor is what matters
        return [*_said(here.tile, width, least), *([BLANK] * room)][:room]
    drawn = _drawn(page, here, grid, main, left)
    said = [] if grid.side else _said(here.tile, width, room - len(legend) - len(drawn))
    out = [*drawn, *([BLANK] * (room - len(drawn) - len(legend) - len(said))), *legend, *said]
    if not grid.side:
        return out
    side = _side(here.tile, grid.side - 2, room)
    return [(*cut(a, main), ("│ ", "faint"), *b) for a, b in zip(out, side, strict=True)]


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
    placed = [s for s in page.shelves if not s.listed]
    label = min(8, max((len(clean(s.name, 8)) for s in placed), default=0)) + 1
    longest = max((1, *(len(s.tiles) for s in placed)))
    side = SIDE if width >= SIDE_FROM and (width - SIDE - label) // longest >= TWO_LINES else 0
    tile = max(NARROW, min(WIDE, (width - side - label) // longest))
    across = max(1, (width - side - label) // tile)
    return Grid(label, tile, 2 if tile >= TWO_LINES else 3, across, side)


def start(page: Page, here: Spot, grid: Grid) -> int:
    """The slot at the left edge: it moves only when the cursor's would be out of sight."""
    longest = max((1, *(len(s.tiles) for s in page.shelves if not s.listed)))
    if longest <= grid.across:
        return 0
    return max(0, min(here.at - grid.across // 2, longest - grid.across))


def _drawn(page: Page, here: Spot, grid: Grid, width: int, room: int) -> list[Line]:
    """The whole rack in at most ``room`` lines; where it does not fit the bay of the cursor, as much of it as does."""
    heights = [grid.lines_of(shelf) for shelf in page.shelves]
    every = range(len(page.shelves))
    if sum(heights) + any(s.listed for s in page.shelves) <= room:
        return _shelves(page, here, grid, width, every)
    bay = page.shelves[here.shelf].bay
    first = next(i for i in every if all(s.bay == bay for s in page.shelves[i : here.shelf + 1]))
    after = next((i for i in every[here.shelf :] if page.shelves[i].bay != bay), len(page.shelves))
    head = [_bays(page, bay, width)] if room > grid.height + 2 else []
    left = room - len(head)
    if sum(heights[first:after]) + page.shelves[here.shelf].listed <= left:
        return [*head, *_shelves(page, here, grid, width, range(first, after))]
    # As many shelves around the cursor's as fit above a line that says how many do not.
    top, under, used = here.shelf, here.shelf + 1, heights[here.shelf] + 2
    while True:
        if under < after and used + heights[under] <= left:
            used += heights[under]
            under += 1
        elif top > first and used + heights[top - 1] <= left:
            top -= 1
            used += heights[top]
        else:
            break
    out = [*head, *_shelves(page, here, grid, width, range(top, under), titled=used <= left)]
    if len(out) < room:
        out.append(((screen_sentences.more_shelves(top - first, after - under), "faint"),))
    return out


def _shelves(
    page: Page, here: Spot, grid: Grid, width: int, shown: range, *, titled: bool = True
) -> list[Line]:
    """These shelves; above boxes without a place stands what they are, where that is ``titled``."""
    out: list[Line] = []
    left = start(page, here, grid)
    for i in shown:
        shelf, at = page.shelves[i], here.at if i == here.shelf else -1
        if not shelf.listed:
            out += _shelf(shelf, at, left, grid)
            continue
        if titled and (i == shown.start or not page.shelves[i - 1].listed):
            out.append(((f" {clean(shelf.name, 60)}", "strong"),))
        out += [cut(_listed(tile, at=k == at), width) for k, tile in enumerate(shelf.tiles)]
    return out


def _listed(tile: Tile, *, at: bool) -> Line:
    """A box without a place: all that a slot shows, in one line."""
    code, stage = (clean(x, 60) for x in (*tile.texts, "", "")[:2])
    said = f"{shortened(code, 12)} {shortened(stage, 12)}"
    marks: list[Run] = [(f"{tile.mark:<4}", tile.style), (fit(tile.shade, 6), ""), (" ".join(tile.signs), "")]
    runs: list[Run] = [("> " if at else "  ", "cursor" if at else ""), (said, "strong"), *marks]
    return tuple((text, "cursor") for text, _ in runs) if at else tuple(runs)


def _bays(page: Page, bay: str, width: int) -> Line:
    """All bays with the worst open action of each, so that what is out of sight is not out of mind."""
    runs: list[Run] = [(screen_sentences.BAYS, "faint")]
    for name in dict.fromkeys(s.bay for s in page.shelves):
        levels = [t.style for s in page.shelves if s.bay == name for t in s.tiles if t.mark]
        worst = next((level for level in HARM_LEVELS if level in levels), "")
        shown = clean(name, 8) or screen_sentences.NO_PLACE
        runs.append((f"[{shown}]" if name == bay else shown, "strong" if name == bay else ""))
        runs.append((f" {MARKS[worst]} " if worst else " ", worst))
    runs.append((f" {screen_sentences.OTHER_BAY}", "faint"))
    return cut(runs, width)


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


def _side(tile: Tile, width: int, room: int) -> list[Line]:
    """The box at the cursor, and below what the signs mean."""
    legend: list[Line] = [((fit(sign, 8), "strong"), (what, "faint")) for sign, what in LEGEND]
    said = _said(tile, width, max(1, room - len(legend) - 1), apart=True)
    out = [*said, *([BLANK] * (room - len(said) - len(legend))), *legend]
    return [cut(line, width) for line in out[:room]]


def _said(tile: Tile, width: int, most: int, *, apart: bool = False) -> list[Line]:
    """All there is to know of the box at the cursor, in at most ``most`` lines; ``apart``: a blank line between two things."""
    if most <= 0:
        return []
    texts = [clean(text, 600) for text in tile.said]
    for each in (40, 3, 2, 1):
        told = [wrap(text, width - 2, each) for text in texts]
        if sum(map(len, told)) + apart * len(told) <= most:
            break
    if most == 1:
        told = [wrap(texts[0], width - 2, 1)] if texts else []
    elif len(told) > most:
        told = [*told[: most - 1], [screen_sentences.more_behind_enter(len(told) - most + 1)]]
    gap = [BLANK] if apart and sum(map(len, told)) + len(told) <= most else []
    out: list[Line] = []
    for i, pieces in enumerate(told):
        out += [((f" {x}", "strong" if not i else ""),) for x in pieces] + gap
    return out
