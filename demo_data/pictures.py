"""The README's pictures: the program itself, walking the invented house, without a terminal.

    python -m demo_data.pictures

writes them anew beside this file. A test makes them again and compares, so that the README
never shows what the program no longer does. One is there in every look.
"""

from __future__ import annotations

import asyncio
import re
import sys
import tempfile
from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.pilot import Pilot

    from rounds.walk.core import Walk

DAY = date(2026, 3, 1).toordinal()
MORNING = (DAY - date(1970, 1, 1).toordinal()) * 86_400_000 + 7 * 3_600_000
SIZE = (100, 30)
KEYS = {
    "walk": ("g", "1", "4", "enter", "1", "4", "enter", "2", "down", "4"),
    "quiet": ("g", "2", "1", "enter", "1"),
    "rack": ("g", "1", "4", "enter", "right", "1"),
    "summary": ("g", "7", "enter", "m", "4", "v"),
}
"""What is typed for each picture, from the start of the round."""
SHOWS = {
    "walk": "A laying box in trouble",
    "quiet": "A box with nothing wrong",
    "rack": "The rack",
    "summary": "The summary of a round",
}
"""What each picture shows, for readers that cannot see it."""
IN_EVERY_LOOK = "walk"
"""The picture of which there is one in each look."""
FOLDER = Path(__file__).parent / "pictures"


def made(book: Path) -> dict[str, str]:
    """Each picture as SVG, by name, from a demo book loaded for ``DAY``; the book stays as it was."""
    from rounds.settings.choices import PALETTE_NAMES

    usual, *others = PALETTE_NAMES
    out = {}
    for name, keys in KEYS.items():
        looks = others if name == IN_EVERY_LOOK else []
        out[name], *more = pictures(book, keys, SIZE, (usual, *looks))
        out |= {f"{name}-{look}": picture for look, picture in zip(looks, more, strict=True)}
    return {name: _titled(picture, SHOWS[name.partition("-")[0]]) for name, picture in out.items()}


def _titled(picture: str, shows: str) -> str:
    """The picture with a title of its own, which stands first in an SVG."""
    start = picture.index(">", picture.index("<svg")) + 1
    return f"{picture[:start]}<title>{shows}</title>{picture[start:]}"


def pictures(
    book: Path,
    keys: tuple[str, ...],
    size: tuple[int, int],
    looks: Sequence[str],
    *,
    ascii_only: bool = False,
) -> list[str]:
    """The screen that some keys lead to, as SVG in each of the looks; ``ascii_only`` in plain letters."""
    import shutil

    from rounds.config import read
    from rounds.screens import palettes
    from rounds.screens.app import WalkApp
    from rounds.screens.board import Board
    from rounds.settings.layers import layers
    from rounds.walk.core import Walk

    with tempfile.TemporaryDirectory(prefix="rounds-picture-") as folder:
        copy = Path(shutil.copyfile(book, Path(folder) / "demo.sqlite"))
        walk = Walk(copy, read(layers(None)[:1]), day=DAY, clock=_Clock())

        async def typing() -> list[str]:
            app = WalkApp(walk, palette=looks[0], ascii_only=ascii_only)
            found = []
            async with app.run_test(size=size) as pilot:
                await settled(walk, pilot)
                for key in keys:
                    await pilot.press(key)
                await settled(walk, pilot)
                board = app.screen.query(Board).first()
                for look in looks:
                    board.painted = palettes.styles(look)
                    board.repaint(whole=True)
                    await pilot.pause()
                    found.append(svg(app.export_screenshot(title="rounds"), palettes.PALETTES[look].ground))
                app.exit(None)
            return found

        try:
            return asyncio.run(typing())
        finally:
            walk.close(10)


async def settled(walk: Walk, pilot: Pilot[Any]) -> None:
    """Until everything is saved, what is worked out beside the keys is there, and all of it is painted."""
    from rounds.screens.board import Board

    async with asyncio.timeout(120):
        while True:
            await pilot.pause()
            board = pilot.app.screen.query(Board).first()
            if await asyncio.to_thread(_at_rest, walk) and not walk.saving.waiting:
                walk.take_dues()
                walk.take_found()
                if board.shown == board.compose_lines() and await asyncio.to_thread(_at_rest, walk):
                    return
            await asyncio.sleep(0.01)


def _at_rest(walk: Walk) -> bool:
    """Wait for the threads beside the keys; false before due work was asked for, which is after the first paint."""
    return (
        walk.dues.finder is not None
        and walk.dues.finder.wait(60)
        and walk.drain(60)
        and (walk.pages.made is None or walk.pages.made.behind.wait(60))
    )


class _Clock:
    """Seven o'clock, a second later at every look."""

    def __init__(self) -> None:
        self.at_ms = MORNING

    def __call__(self) -> int:
        self.at_ms += 1_000
        return self.at_ms


def svg(exported: str, ground: str = "") -> str:
    """The screen alone: no window drawn around it, no addresses of fonts, no name made from a checksum.

    ``ground``: the colour behind the cells, where it is not the library's own.
    """
    exported = without_window(exported, ground)
    exported = re.sub(r"<!--.*?-->", "", exported, flags=re.DOTALL)
    exported = re.sub(r"@font-face\s*\{.*?\}", "", exported, flags=re.DOTALL)
    return (
        "\n".join(line.rstrip() for line in re.sub(r"terminal-\d+", "terminal", exported).splitlines()) + "\n"
    )


def without_window(exported: str, ground: str = "") -> str:
    """The export without the title bar, its three dots and the margin: what a keeper's screen shows, to its edge.

    Raises ValueError where the export is built otherwise than this expects.
    """
    screen = re.search(
        r'<clipPath id="[\w-]+">\s*<rect x="0" y="0" width="([\d.]+)" height="([\d.]+)"', exported
    )
    window = re.search(r'<rect fill="([^"]+)" stroke=.*?<circle.*?</g>', exported, re.DOTALL)
    placed = re.search(r'<g transform="translate\(9, 41\)"', exported)
    if screen is None or window is None or placed is None:
        raise ValueError("the exported picture has no window to be taken away")
    width, height = screen.groups()
    exported = exported.replace(placed[0], "<g", 1)
    exported = exported.replace(
        window[0], f'<rect fill="{ground or window[1]}" x="0" y="0" width="{width}" height="{height}"/>', 1
    )
    return re.sub(r'viewBox="[^"]*"', f'viewBox="0 0 {width} {height}"', exported, count=1)


def main() -> int:
    """Write the pictures and say where they are."""
    from rounds.commands.book_commands import load_demo

    FOLDER.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="rounds-picture-") as folder:
        book = Path(folder) / "demo.sqlite"
        load_demo(book, folder, DAY)
        for name, picture in made(book).items():
            path = FOLDER / f"{name}.svg"
            path.write_text(picture, encoding="utf-8")
            print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main())
