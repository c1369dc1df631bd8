"""Nothing is told by colour alone: what a style says, its letters and signs say as well.

A run that is painted as a state (wrong, due, saved, forbidden, at the cursor) must differ in letters or signs
from every run that is not, on any screen; then a terminal without colours, or an eye, misses nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from pathlib import Path

import pytest

from rounds.presenters.lines import Line
from rounds.records.round_summary import MARKS
from rounds.screens import palettes
from rounds.screens.board import compose
from rounds.text.stand_ins import plain
from tests.screens import house
from tests.screens.page_places import KIN
from tests.screens.test_screens import PICTURES

STATES = ("now", "today", "look", "saved", "lock")
SAY_IT = {*MARKS.values(), "✓", "due"}
"""Signs that say the state themselves, however they are painted: in the rack and on the way ahead."""
SCREENS = {
    **{name: (f"at:{number}", *keys) for name, (number, keys) in PICTURES.items()},
    **{name: keys for name, (_, keys) in KIN.items()},
    "rack": ("right", "1"),
}


def states_told_by_style(screens: Iterable[list[Line]], *, ascii_only: bool = False) -> set[str]:
    """Texts that are painted as a state on one line and otherwise on another. A word behind its key is no state."""
    painted: dict[str, set[str]] = defaultdict(set)
    for lines in screens:
        for line in lines:
            before = sign = ""
            for text, style in line:
                behind_its_sign = sign in SAY_IT and style in STATES
                if (
                    before != "key" and not behind_its_sign and style != "cursor"
                ):  # the cursor has a sign of its own, below
                    said = plain(text) if ascii_only else text
                    painted[said.strip()].add(style if style in STATES else "")
                before, sign = style, text.strip()
    return {text for text, styles in painted.items() if text and len(styles) > 1}


@pytest.fixture(scope="module")
def screens(demo: Path, tmp_path_factory: pytest.TempPathFactory) -> list[list[Line]]:
    """Every screen of the pictures, at both sizes, with due work and what is worked out behind."""
    out = []
    for keys in SCREENS.values():
        with house.walking(house.copied(demo, tmp_path_factory.mktemp("house"))) as walk:
            walk.look_up_dues()
            assert walk.dues.finder is not None
            assert walk.dues.finder.wait(60)
            walk.take_dues()
            house.press(walk, *keys)
            out += [compose(walk, *size) for size in house.SIZES[:2]]
    return out


def test_a_state_is_told_by_letters_and_signs(screens: list[list[Line]]) -> None:
    told = {style for lines in screens for line in lines for _, style in line}
    assert set(STATES) <= told, "each state is in sight somewhere"
    assert states_told_by_style(screens) <= SAY_IT


def test_so_it_is_in_plain_letters(screens: list[list[Line]]) -> None:
    assert states_told_by_style(screens, ascii_only=True) <= {plain(sign) for sign in SAY_IT}
    assert len({plain(sign) for sign in SAY_IT}) == len(SAY_IT)


def test_control_a_state_that_only_a_style_tells_is_found() -> None:
    lines: list[Line] = [(("moist ", "today"), ("✓", "saved")), (("moist ", ""), ("  ", ""))]
    assert states_told_by_style([lines]) == {"moist"}


def test_the_cursor_has_a_sign(screens: list[list[Line]]) -> None:
    for lines in screens:
        marked = [text for line in lines for text, style in line if style == "cursor"]
        assert not marked or any(sign in text for text in marked for sign in ">_")


def test_no_look_and_no_setting_changes_a_letter(screens: list[list[Line]]) -> None:
    """NO_COLOR takes colours away and nothing else: text is composed before anybody asks for a look."""
    for colour in (True, False):
        for name in palettes.PALETTES:
            found = palettes.styles(name, colour=colour)
            assert all(style in found for lines in screens for line in lines for _, style in line)
