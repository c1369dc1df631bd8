"""Taps on the rows of lists: the keys that move the cursor to a row, or open the one it is at.

The row is found from the line of the cursor, which every list has and keeps in sight: the
rows between the two are counted, so that nothing here knows how a list was laid out.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.cells import cell_len

from rounds.keys.key_names import NAMED
from rounds.presenters.lines import Line, fit, shortened
from rounds.text.cleaning import clean
from rounds.views.page import Page
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.page_keys import ARROWS

if TYPE_CHECKING:
    from rounds.presenters.rack_lines import Grid


def row_at(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str] | None:
    """The keys for a tap on a row (none for one that nothing follows from); None off all rows."""
    if walk.state.pages:
        return _on_page(walk, lines, x, y)
    if walk.state.at >= walk.route.count():
        return _on_summary(walk, lines, y)
    return _on_walk(walk, lines, x, y)


def _on_walk(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str] | None:
    """A question's row moves the cursor there; the row under the last one goes on, as it says."""
    from rounds.presenters.walk_lines import side_width

    width = sum(cell_len(text) for text, _ in lines[y])
    if x >= width - side_width(width):
        return None
    on = steps.key_for(walk.desk, "next")
    if any(style == "faint" and text.startswith(f"{on}: ") for text, style in lines[y]):
        return [on]
    at = _cursor_line(lines)
    if at is None:
        return None
    shown = steps.rows(walk.state, walk.desk)
    row = walk.state.cursor + y - at
    if not 0 <= row < len(shown) or not _shows(lines[y], clean(shown[row].kind.title, 18)):
        return None
    return _moves(walk, row - walk.state.cursor)


def _shows(line: Line, title: str) -> bool:
    name = line[0][0]
    return name[:2] in ("  ", "> ") and title in name


def _on_summary(walk: Walk, lines: Sequence[Line], y: int) -> list[str] | None:
    """A row of the list moves the cursor there; the row at the cursor goes to its enclosure."""
    at = _cursor_line(lines)
    top = y
    while top > 0 and _goes_on(lines[top]):
        top -= 1
    if at is None or not _begins(lines[top]):
        return None
    rows = sum(1 for line in lines[min(at, top) : max(at, top)] if _begins(line))
    return _to(walk, rows if top > at else -rows)


def _begins(line: Line) -> bool:
    """Whether a line begins a row of the summary's list."""
    text, style = line[0]
    return (text[:2] == "> " and style == "cursor") or (text[:2] == "  " and style == "strong")


def _goes_on(line: Line) -> bool:
    """Whether a line goes on with the row above it: indented, and with words."""
    return line[0][1] == "" and not line[0][0].strip() and any(text.strip() for text, _ in line)


def _on_page(walk: Walk, lines: Sequence[Line], x: int, y: int) -> list[str] | None:
    """A row or a slot moves the cursor there; the one at the cursor is opened."""
    page = walk.pages.page(walk.state.pages[-1])
    if page.shelves:
        return _on_rack(walk, page, lines, x, y)
    at = _cursor_line(lines)
    if at is None or not _is_row(lines[y]):
        return None
    rows = sum(1 for line in lines[min(at, y) : max(at, y)] if _is_row(line))
    return _to(walk, rows if y > at else -rows)


def _is_row(line: Line) -> bool:
    return line[0] in (("  ", ""), ("> ", "cursor"))


def _on_rack(walk: Walk, page: Page, lines: Sequence[Line], x: int, y: int) -> list[str] | None:
    from rounds.presenters import rack_lines

    here = rack_lines.spot(page, walk.state.pages[-1].cursor)
    grid = rack_lines.layout(page, sum(cell_len(text) for text, _ in lines[y]))
    across = (x - grid.label) // grid.tile + rack_lines.start(page, here, grid)
    found = _shelf_at(page, grid, lines, y)
    if found is None or x >= sum(cell_len(text) for text, _ in lines[y]) - grid.side:
        return None
    shelf, place = found, 0 if page.shelves[found].listed else across
    if (
        place < 0
        or place >= len(page.shelves[shelf].tiles)
        or (x < grid.label and not page.shelves[shelf].listed)
    ):
        return None
    if _key(walk, "reading_down") not in ARROWS:  # box by box
        before = sum(len(s.tiles) for s in page.shelves[:shelf])
        return _to(walk, before + place - walk.state.pages[-1].cursor)
    # Up and down keep the place where the shelf has it, and leave out shelves without a slot.
    keys: list[str] = []
    stands, step = here.at, 1 if shelf > here.shelf else -1
    for passed in range(here.shelf + step, shelf + step, step) if shelf != here.shelf else ():
        if page.shelves[passed].tiles:
            keys += _moves(walk, step) or ()
            stands = min(stands, len(page.shelves[passed].tiles) - 1)
    keys += ["right" if place > stands else "left"] * abs(place - stands)
    return keys or _to(walk, 0)


def _shelf_at(page: Page, grid: Grid, lines: Sequence[Line], y: int) -> int | None:
    """The shelf a line belongs to: its name stands at its first line; a box without a place is told by its code."""
    for top in range(y, max(-1, y - grid.height), -1):
        name, style = lines[top][0]
        for i, shelf in enumerate(page.shelves):
            if shelf.listed:
                code = f"{shortened(clean(shelf.tiles[0].texts[0], 60), 12)} "
                if top == y and name in ("  ", "> ") and lines[top][1][0].startswith(code):
                    return i
            elif (name, style) == (fit(clean(shelf.name, 8), grid.label), "strong"):
                return i
    return None


def _cursor_line(lines: Sequence[Line]) -> int | None:
    """The line of the cursor; what is being typed has its style too, but not its sign."""
    return next((i for i, line in enumerate(lines) if line[0][1] == "cursor" and line[0][0][:1] == ">"), None)


def _moves(walk: Walk, rows: int) -> list[str] | None:
    """So many rows down (up when negative); None where no key leads there."""
    key = _key(walk, "reading_down" if rows > 0 else "reading_up") if rows else ""
    return [key] * abs(rows) if key or not rows else None


def _to(walk: Walk, rows: int) -> list[str] | None:
    """The keys to a row that many below the cursor; at the cursor, what opens it."""
    key = _key(walk, "next")
    return _moves(walk, rows) if rows else ([key] if key else None)


def _key(walk: Walk, command: str) -> str:
    """A key of a command; where letters are text only one with a name, "" when it has none."""
    mine = [k for k, c in walk.desk.commands.items() if c == command]
    if walk.state.pages and walk.pages.page(walk.state.pages[-1]).typed:
        mine = [k for k in mine if k in NAMED and k != "space"]
    return next(iter(mine), "")
