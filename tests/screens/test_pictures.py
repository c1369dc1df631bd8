"""The README's pictures are what the program shows now."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from demo_data import pictures
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
        re.findall(r"!\[[^]]+\]\(demo_data/pictures/([\w-]+)\.svg\)", README.read_text(encoding="utf-8"))
    )
    assert named == made.keys()


def test_a_picture_asks_nobody_else_for_anything() -> None:
    """No font, script or image of another place: it is shown where there is no network."""
    for path in pictures.FOLDER.glob("*.svg"):
        text = path.read_text(encoding="utf-8")
        text = text.replace('xmlns="http://www.w3.org/2000/svg"', "")
        assert "http" not in text
        assert "<script" not in text
