"""The stand-in's sheet: nothing on it that a stage or a lock forbids, and its file is checked."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.husbandry import cautions, locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput
from rounds.records.observations import EnclosureState, Slot
from rounds.reports import stand_in_sheet
from rounds.settings import yamlfile
from rounds.values.spans import Span

SHIPPED = Path(stand_in_sheet.__file__).parents[2] / "config" / "standin" / "sheet.yaml"
TODAY = 739_000


def shipped() -> stand_in_sheet.Sheet:
    return stand_in_sheet.parse([yamlfile.read(SHIPPED)])


def box(stage: str, n: int = 1) -> EnclosureState:
    return EnclosureState(n, f"TL-{n:03}", n, stage, None, Slot(n, "A", 1, n), 0, "M")


def rows(stage: str, *held: ActiveLock) -> tuple[str, ...]:
    page = stand_in_sheet.stand_in_sheet(shipped(), "H", TODAY, [box(stage)], {1: held})
    ((row,),) = (part.rows for part in page.reports("rows"))
    return tuple(map(str, row.cells))


@pytest.mark.parametrize("stage", [s for s in STAGES if s != "empty"])
def test_nothing_on_the_sheet_is_forbidden_by_the_stage_itself(stage: str) -> None:
    sheet = shipped()
    own = locks.BY_STAGE.get(stage)
    forbidden = set(own.forbids) if own else set()
    allowed = rows(stage)[3].split(", ")
    assert "look" in allowed
    for act in allowed:
        assert not forbidden & set(sheet.acts[act].needs), (stage, act)
    assert rows(stage)[4]


def test_a_cell_is_only_looked_at() -> None:
    assert rows("cell")[3] == "look, call"
    assert "Never move or open the box, not even a little." in rows("cell")[4]


def test_a_lock_takes_an_act_off_the_sheet_and_says_why() -> None:
    free = rows("holding")
    held = rows("holding", ActiveLock(("open",), Span(TODAY + 9, TODAY + 9), "just moved in"))
    assert "feed" in free[3]
    assert "feed" not in held[3]
    assert "Do not open until" in held[4]
    assert "just moved in" in held[4]
    # A lock that is over takes nothing off.
    assert rows("holding", ActiveLock(("open",), Span(TODAY - 1, TODAY - 1), "x"))[3] == free[3]


def test_every_act_is_explained_and_empty_boxes_are_left_out() -> None:
    page = stand_in_sheet.stand_in_sheet(shipped(), "H", TODAY, [box("holding"), box("empty", 2)], {})
    for name in shipped().acts:
        assert any(said.startswith(f"{name}: ") for said in page.said)
    assert [len(part.rows) for part in page.reports("rows")] == [1]


def test_what_can_harm_the_stand_in_stands_before_all_else() -> None:
    page = stand_in_sheet.stand_in_sheet(shipped(), "H", TODAY, [box("holding")], {})
    names = ("dust", "foul", "electric", "claws", "freezer", "escape")
    assert page.said[: len(names)] == tuple(cautions.CAUTIONS[name].text for name in names)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("may: [look, call]", "may: [look, cal]", "unknown `cal` in `may`. Did you mean `call`?"),
        ("    cell:", "    cel:", "there is no stage `cel`. Did you mean `cell`?"),
        (
            "needs: [open]}\n    right",
            "needs: [opn]}\n    right",
            "unknown `opn` in `needs`. Did you mean `open`?",
        ),
        ("[dust, foul,", "[dust, fowl,", "unknown `fowl` in `cautions`. Did you mean `foul`?"),
        ("  call: Call", "  ring: Call", "the field `call` is missing"),
        ("sheet:\n", "sheets:\n", "the field `sheet` is missing"),
        ("do: look through the wall", "do: 7", "`do` must be a text"),
    ],
)
def test_slips_in_the_file_are_told_with_their_place(old: str, new: str, said: str) -> None:
    text = SHIPPED.read_text()
    assert old in text
    with pytest.raises(BadInput) as e:
        stand_in_sheet.parse([yamlfile.parse(text.replace(old, new, 1).encode(), "sheet.yaml")])
    told = [str(p) for p in e.value.problems]
    assert any(said in line for line in told), told
    assert all(line.startswith("sheet.yaml:") for line in told)


def test_without_a_file_there_is_no_sheet() -> None:
    with pytest.raises(BadInput, match=r"holds no sheet"):
        stand_in_sheet.parse([])
