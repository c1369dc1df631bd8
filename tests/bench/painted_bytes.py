"""Bytes sent to the terminal over a scripted round, against the least that shows the same.

    python -m tests.bench.painted_bytes BOOK.sqlite [--keys 120]

The least: each run of changed cells with one move of the cursor, its text, and a style wherever
it is another than the one before; runs of a line that are closer than such a move are one. To
that comes the move that the library sends at the end of every update.
"""

from __future__ import annotations

import argparse
import shutil
import tempfile
from pathlib import Path
from typing import Any

from tests.endtoend.terminal import PROGRAM, Terminal

ROUND = ("2", "space", "m", "2", "space", "space", "1", "space", "?", "?", "space", "v", "b", "space")
MOVE = len("\x1b[12;40H")


class Watched(Terminal):
    """A terminal whose cells can be looked at, style and all."""

    def cells(self) -> list[list[Any]]:
        screen = self._screen
        return [[screen.buffer[y][x] for x in range(screen.columns)] for y in range(screen.lines)]


def style_bytes(cell: Any) -> int:
    """Bytes of one SGR sequence for a cell of the 256 colours (``ESC [ 1;38;5;80;48;5;234 m``)."""
    shapes = sum(2 for shape in ("bold", "underscore", "reverse") if getattr(cell, shape))
    colours = sum(9 for colour in (cell.fg, cell.bg) if colour != "default")
    return len("\x1b[m") + shapes + colours


def least(before: list[list[Any]], after: list[list[Any]]) -> int:
    total, look = 0, None
    for was, now in zip(before, after, strict=True):
        changed = [x for x in range(len(now)) if was[x] != now[x]]
        end = -MOVE - 1
        for x in changed:
            if x - end > MOVE:
                total += MOVE
                end = x
            for cell in now[end : x + 1]:
                if cell._replace(data="") != look:
                    look = cell._replace(data="")
                    total += style_bytes(look)
                total += len(cell.data.encode())
            end = x + 1
    return total + MOVE if total else 0


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("book", type=Path)
    parser.add_argument("--keys", type=int, default=120)
    given = parser.parse_args()
    folder = Path(tempfile.mkdtemp(prefix="rounds-bench-", dir=given.book.parent))
    try:
        book = Path(shutil.copy(given.book, folder / "book.sqlite"))
        argv = [*PROGRAM, "--book", str(book), "walk"]
        with Watched(argv, env={"ROUNDS_CONFIG": str(folder / "none")}) as terminal:
            terminal.wait_for("1 of ")
            terminal.quiet(0.4)
            sent = wanted = 0
            for i in range(given.keys):
                before, at = terminal.cells(), len(terminal.output)
                terminal.press(ROUND[i % len(ROUND)])
                terminal.quiet(0.15)
                sent += len(terminal.output) - at
                wanted += least(before, terminal.cells())
    finally:
        shutil.rmtree(folder)
    print(f"{given.keys} keys: {sent} bytes sent, {wanted} at the least: {sent / wanted:.2f} (budget 1.5)")


if __name__ == "__main__":
    main()
