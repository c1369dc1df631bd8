"""Fifteen screens of the invented house, at two sizes and in every look, to be looked at before a release.

    python -m demo_data.all_screens FOLDER

writes them as SVG into a folder, one for each screen, size and look, and a page ``LOOK-WIDTHxHEIGHT.html`` that
shows all of a look. They are not kept: the README's own pictures are (demo_data/pictures.py).
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from demo_data.pictures import DAY, pictures
from rounds.settings.choices import PALETTE_NAMES

SIZES = ((80, 24), (120, 40))
AT_LAYING = ("g", "1", "4", "enter")
SCREENS: dict[str, tuple[str, ...]] = {
    "quiet": ("g", "2", "1", "enter", "1"),
    "trouble": (*AT_LAYING, "1", "4", "enter", "2", "down", "4"),
    "locked": ("g", "3", "3", "enter"),
    "odd last time": ("g", "2", "3", "enter"),
    "acts": (*AT_LAYING, "y"),
    "card": (*AT_LAYING, "y", "1"),
    "done": ("g", "7", "enter", "m", "4", "d"),
    "help": (*AT_LAYING, "question_mark"),
    "summary": ("g", "7", "enter", "m", "4", "v"),
    "rack": (*AT_LAYING, "right", "1"),
    "due": (*AT_LAYING, "right", "2"),
    "animals": (*AT_LAYING, "right", "4"),
    "animal": (*AT_LAYING, "right", "4", "right"),
    "whom to pair": (*AT_LAYING, "right", "7"),
    "brood": ("right", "6", *["down"] * 13, "right", *["down"] * 12, "right"),
}
"""What is typed for each screen, from the start of the round, as Textual calls keys."""
PLAIN = "ascii"
"""Beside the looks: the terminal's own in plain letters."""


def main() -> int:
    """Write all pictures and pages, and say where they are."""
    from rounds.commands.book_commands import load_demo

    folder = Path(sys.argv[1])
    folder.mkdir(parents=True, exist_ok=True)
    written: dict[str, list[str]] = {}
    with tempfile.TemporaryDirectory(prefix="rounds-screens-") as scratch:
        book = Path(scratch) / "demo.sqlite"
        load_demo(book, scratch, DAY)
        for name, keys in SCREENS.items():
            for size in SIZES:
                found = dict(zip(PALETTE_NAMES, pictures(book, keys, size, PALETTE_NAMES), strict=True))
                found[PLAIN] = pictures(book, keys, size, ("terminal",), ascii_only=True)[0]
                for look, picture in found.items():
                    page = f"{look}-{size[0]}x{size[1]}"
                    file = folder / f"{name.replace(' ', '-')}-{page}.svg"
                    file.write_text(picture, encoding="utf-8")
                    written.setdefault(page, []).append(file.name)
    for page, files in written.items():
        shown = "".join(
            f'<figure><img src="{f}" alt="{f}"/><figcaption>{f}</figcaption></figure>' for f in files
        )
        (folder / f"{page}.html").write_text(f"<!DOCTYPE html><title>{page}</title>{shown}", encoding="utf-8")
        print(folder / f"{page}.html")
    return 0


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    sys.exit(main())
