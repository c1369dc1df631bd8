"""What a label types, typed into a walk: it leads to its own enclosure, whatever the codes are."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.files.label_content import aim, payload
from rounds.records.observations import EnclosureState, House
from rounds.store import read
from rounds.store.book import create, open_book
from rounds.walk.core import Walk
from tests.files.folders import csv_text, write
from tests.screens import house

# Codes that could be taken for another's number, for another's code, or for something else than a code.
CODES = [
    "TL-001",
    "3",
    "2",
    "TL 4",
    "TL",
    "Käfer-6",
    "箱七",
    "x" * 41,
    "x" * 40,
    "g",
    "q",
    "?",
    "10.5",
    "-",
    "007",
    "a=b",
    "/",
]


@pytest.fixture
def walk_and_boxes(tmp_path: Path) -> tuple[Path, list[EnclosureState]]:
    from rounds.files.load import load_folder

    path = tmp_path / "book.sqlite"
    rows = [[code, str(n), "larvae", "2026-02-01", f"A1-{n}"] for n, code in enumerate(CODES, 1)]
    tables = {
        "house": csv_text(["name", "zone"], [["Tarn Lantern", "Europe/Berlin"]]),
        "places": csv_text(["bay", "shelf", "slot"], [["A", "1", str(n)] for n in range(1, len(CODES) + 1)]),
        "enclosures": csv_text(["code", "number", "stage", "stage_since", "place"], rows),
    }
    with create(path, House("", "UTC")) as book:
        load_folder(write(tmp_path / "tables", tables), book, house.shipped().vocabulary)
    with open_book(path, readonly=True) as book:
        return path, read.enclosures(book)


def scan(walk: Walk, typed: str) -> str:
    """The code of the enclosure the walk stands at, once a scanner has typed this in one go."""
    for sign in typed:
        walk.press({"\r": "enter", "\t": "tab", " ": "space"}.get(sign, sign))
    assert walk.drain(10)
    return walk.route.label(walk.state.at)


def test_every_label_leads_to_its_own_enclosure(walk_and_boxes: tuple[Path, list[EnclosureState]]) -> None:
    path, boxes = walk_and_boxes
    assert [e.code for e in boxes] == CODES
    with house.walking(path) as walk:
        for box in (*boxes, *reversed(boxes)):
            assert scan(walk, payload(aim(box, CODES), walk.desk.commands)) == box.code
        assert not any(walk.round.visit_at(i).looked for i in range(walk.route.count())), (
            "a scan records nothing"
        )


@pytest.mark.parametrize(("code", "elsewhere"), [("3", "2"), ("2", "3")])
def test_a_bare_code_could_lead_elsewhere(
    walk_and_boxes: tuple[Path, list[EnclosureState]], code: str, elsewhere: str
) -> None:
    path, _ = walk_and_boxes
    with house.walking(path) as walk:
        assert scan(walk, payload(code, walk.desk.commands)) == elsewhere
