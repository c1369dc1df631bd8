"""The README's pictures are what the program shows now."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from demo_data import all_screens, pictures
from tests.screens import house

README = Path(__file__).parents[2] / "README.md"


def test_the_pictures_in_the_readme_are_those_the_program_makes(
    demo: Path, request: pytest.FixtureRequest
) -> None:
    """``pytest --update`` writes them, and so does ``python -m demo_data.pictures``."""
    assert house.DAY == pictures.DAY
    made = pictures.made(demo)
    if request.config.getoption("--update"):
        for name, picture in made.items():
            (pictures.FOLDER / f"{name}.svg").write_text(picture, encoding="utf-8")
    for name, picture in made.items():
        assert (pictures.FOLDER / f"{name}.svg").read_text(encoding="utf-8") == picture, (
            f"{name}.svg is an older one"
        )
    named = set(
        re.findall(r"\[[^]]+\]\(demo_data/pictures/([\w-]+)\.svg\)", README.read_text(encoding="utf-8"))
    )
    assert named == made.keys()


def test_a_picture_asks_nobody_else_for_anything() -> None:
    """No font, script or image of another place: it is shown where there is no network."""
    for path in pictures.FOLDER.glob("*.svg"):
        text = path.read_text(encoding="utf-8")
        text = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert "http" not in text
        assert "<script" not in text


def test_the_screens_to_be_looked_at_are_fifteen_different_ones(demo: Path, tmp_path: Path) -> None:
    """The keys of each lead somewhere of its own: a key that moved would paint one place twice."""
    named = {"question_mark": "?"}
    shown = set()
    for keys in all_screens.SCREENS.values():
        with house.walking(house.copied(demo, tmp_path)) as walk:
            house.press(walk, *(named.get(key, key) for key in keys))
            shown.add((walk.state.at, walk.state.mode.name, walk.state.pages))
    assert len(shown) == len(all_screens.SCREENS) == 15
