"""The stand-in's sheet: nothing on it that a stage or a lock forbids, and its file is checked."""

from __future__ import annotations

from pathlib import Path

import pytest

from rounds.husbandry import cautions, locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput
from rounds.records.observations import Action, EnclosureState, Slot, Visit
from rounds.reports import stand_in_sheet
from rounds.reports.as_html import as_html
from rounds.reports.report import ReportDocument
from rounds.settings import yamlfile
from rounds.values.spans import Span

SHIPPED = Path(stand_in_sheet.__file__).parents[2] / "config" / "standin" / "sheet.yaml"
TODAY = 739_000
CALL, DO, GIVE, NEVER, WRITE = 3, 4, 5, 6, 7
"""Where the columns of a row stand."""


def shipped() -> stand_in_sheet.Sheet:
    return stand_in_sheet.parse([yamlfile.read(SHIPPED)])


NOTHING = stand_in_sheet.SheetFacts("Ferrow", {}, {})
"""A house in which nothing is open and nobody wrote down what was given."""


def made(
    *boxes: EnclosureState,
    locks: dict[int, tuple[ActiveLock, ...]] | None = None,
    facts: stand_in_sheet.SheetFacts = NOTHING,
) -> ReportDocument:
    return stand_in_sheet.stand_in_sheet(shipped(), "H", TODAY, boxes, locks or {}, facts)


def box(stage: str, n: int = 1) -> EnclosureState:
    return EnclosureState(n, f"TL-{n:03}", n, stage, None, Slot(n, "A", 1, n), 0, "M")


def rows(stage: str, *held: ActiveLock) -> tuple[str, ...]:
    page = made(box(stage), locks={1: held})
    ((row,),) = (part.rows for part in page.reports("rows"))
    return tuple(map(str, row.cells))


@pytest.mark.parametrize("stage", [s for s in STAGES if s != "empty"])
def test_nothing_on_the_sheet_is_forbidden_by_the_stage_itself(stage: str) -> None:
    sheet = shipped()
    own = locks.BY_STAGE.get(stage)
    forbidden = set(own.forbids) if own else set()
    allowed = rows(stage)[DO].split(", ")
    assert "look" in allowed
    for act in allowed:
        assert not forbidden & set(sheet.acts[act].needs), (stage, act)
    assert rows(stage)[NEVER]


def test_a_cell_is_only_looked_at() -> None:
    assert rows("cell")[DO] == "look, call"
    assert "Never move or open the box, not even a little." in rows("cell")[NEVER]


def test_a_lock_takes_an_act_off_the_sheet_and_says_why() -> None:
    free = rows("holding")
    held = rows("holding", ActiveLock(("open",), Span(TODAY + 9, TODAY + 9), "just moved in"))
    assert "feed" in free[DO]
    assert "feed" not in held[DO]
    assert "Do not open through" in held[NEVER]
    assert "just moved in" in held[NEVER]
    # A lock that is over takes nothing off.
    assert rows("holding", ActiveLock(("open",), Span(TODAY - 1, TODAY - 1), "x"))[DO] == free[DO]


def test_every_act_is_explained_and_empty_boxes_are_left_out() -> None:
    page = made(box("holding"), box("empty", 2))
    for name in shipped().acts:
        assert any(said.startswith(f"{name}: ") for said in page.said)
    assert [len(part.rows) for part in page.reports("rows")] == [1]


def test_what_can_harm_the_stand_in_stands_before_all_else() -> None:
    page = made(box("holding"))
    names = ("dust", "foul", "electric", "claws", "freezer", "escape")
    assert page.said[: len(names)] == tuple(cautions.CAUTIONS[name].text for name in names)


def visit(day: int, **read: float | str) -> Visit:
    return Visit(b"%d" % day, 1, day, day * 86_400_000, dict(read), {})


def with_visits(stage: str, *visits: Visit, actions: tuple[Action, ...] = ()) -> tuple[str, ...]:
    facts = stand_in_sheet.SheetFacts("Ferrow", {1: actions}, {1: visits})
    ((row,),) = (part.rows for part in made(box(stage), facts=facts).reports("rows"))
    return tuple(map(str, row.cells))


def test_how_much_to_give_is_what_was_given_last_and_only_where_one_may_feed() -> None:
    given = (visit(TODAY - 5, jelly_in=8), visit(TODAY - 3, jelly_in=4), visit(TODAY - 1, jelly_in=0))
    assert with_visits("holding", *given)[GIVE].startswith("4 quarter cups of jelly")
    assert with_visits("holding")[GIVE] == "ask Ferrow how much"
    assert with_visits("larvae", *given)[GIVE] == ""


def test_standing_water_and_what_cannot_wait_are_to_be_called_for_and_stay_shut() -> None:
    wet = visit(TODAY - 2, moisture="water")
    urgent = Action(b"1", 1, "foul", "now", "Sour smell.", "open it", TODAY - 1)
    later = urgent._replace(level="today", reason="Mites.")
    for row, said in (
        (with_visits("laying", wet), "Standing water"),
        (with_visits("laying", actions=(urgent, later)), "Sour smell."),
    ):
        assert said in row[CALL]
        assert "feed" not in row[DO]
        assert "call" in row[DO]
        assert row[NEVER].startswith("Leave it shut until you have called Ferrow.")
    assert with_visits("laying", wet, visit(TODAY - 1, moisture="right"))[CALL] == ""
    assert with_visits("laying", actions=(later,))[CALL] == ""
    assert "open it" not in " ".join(with_visits("laying", actions=(urgent,))), "that is the keeper's work"


def test_every_bay_begins_a_page_with_whom_to_call_and_every_box_has_room_to_write() -> None:
    second = box("cell", 2)._replace(place=Slot(2, "B", 1, 1))
    page = made(box("holding"), second)
    parts = page.reports("rows")
    assert [part.title for part in parts] == ["Bay A", "Bay B"]
    for part in parts:
        assert any("Ferrow" in said for said in part.said)
        assert all(str(row.cells[WRITE]).strip("_") == "" and row.cells[WRITE] for row in part.rows)
    assert as_html(page).count('<h2 class="page">') == 2
    assert any("soap and water" in said for said in page.said)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("may: [look, call]", "may: [look, cal]", "unknown `cal` in `may`. Did you mean `call`?"),
        ("    cell:", "    cel:", "there is no stage `cel`. Did you mean `cell`?"),
        (
            "needs: [open], food",
            "needs: [opn], food",
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
