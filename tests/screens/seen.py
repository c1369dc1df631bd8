"""Screens compared with files beside this one. ``pytest --update`` writes them anew: read the difference."""

from __future__ import annotations

from pathlib import Path

from demo_data.pictures import svg

__all__ = ["compare", "svg"]
FOLDER = Path(__file__).parent / "seen"


def compare(name: str, found: str, update: bool) -> None:
    """Fail when ``found`` is not what the file ``name`` holds (or there is none)."""
    path = FOLDER / name
    if update:
        FOLDER.mkdir(exist_ok=True)
        path.write_text(found, encoding="utf-8")
        return
    assert path.is_file(), (
        f"{name} was never written: run this test once with --update and read what it wrote"
    )
    expected = path.read_text(encoding="utf-8")
    if found != expected:
        lines = zip(expected.splitlines(), found.splitlines(), strict=False)
        first = next(
            ((i, a, b) for i, (a, b) in enumerate(lines, 1) if a != b), (0, "", "the lengths differ")
        )
        raise AssertionError(f"{name}:{first[0]} was\n{first[1]}\nand is\n{first[2]}")
