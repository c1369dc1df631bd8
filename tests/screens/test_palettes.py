"""Looks: each shows everything, the right bytes reach the terminal, a wrong name is told with the nearest."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from rounds.presenters.lines import STYLES
from rounds.problems import RoundsError
from rounds.screens import palettes
from rounds.settings import choices
from rounds.settings.yamlfile import parse
from tests.endtoend import rack
from tests.endtoend.conftest import begin as begin
from tests.endtoend.conftest import own as own
from tests.endtoend.terminal import Terminal

SGR = re.compile(rb"\x1b\[([0-9;:]*)m")
SHAPES = {0, 1, 7, 22, 27}  # reset; bold, reverse; and their ends


def colours(output: bytes) -> Iterator[tuple[int, ...]]:
    """Every colour that is set: (38 or 48, ...), or one number of the sixteen."""
    for found in SGR.finditer(output):
        parts = [int(p or 0) for p in re.split(rb"[;:]", found[1])]
        while parts:
            first = parts.pop(0)
            if first in (38, 48):
                size = 4 if parts[0] == 2 else 2
                yield (first, *parts[:size])
                del parts[:size]
            elif first not in SHAPES:
                yield (first,)


def walked(begin: Callable[..., Terminal], book: Path, *more: str, **env: str) -> Terminal:
    """A walk that has shown flags, help, the menu of acts, a page of the books and the summary."""
    terminal = begin(rack.walk_of(book, *more), env=env)
    terminal.wait_for("1 of 60")
    terminal.press("g", "1", "4", "enter", "m", "4")
    terminal.wait_for("water")
    for keys, shown in (
        (("?",), "page 1 of"),
        (("x", "y"), r"Record which\?"),
        (("b", "v"), "boxes need you"),
    ):
        terminal.press(*keys)
        terminal.wait_for(shown)
    return terminal


def left(terminal: Terminal) -> bytes:
    terminal.press("q")
    assert terminal.ended() == 0
    return terminal.output


def test_the_settings_know_the_palettes_there_are() -> None:
    assert set(choices.PALETTE_NAMES) == set(palettes.PALETTES)
    assert set(palettes.PAINTED) == set(STYLES)


@pytest.mark.parametrize("name", palettes.PALETTES)
@pytest.mark.parametrize("colour", [True, False], ids=["colour", "no colour"])
def test_every_look_of_a_line_has_a_style_and_none_hides_what_it_shows(name: str, colour: bool) -> None:
    found = palettes.styles(name, colour=colour)
    assert set(found) == set(STYLES)
    for style in found.values():
        assert not any((style.dim, style.conceal, style.blink))
        assert style.color is None or style.color != style.bgcolor
        if not colour:
            assert (style.color, style.bgcolor) == (None, None)


def test_levels_differ_without_any_colour_by_shape_and_by_their_marks() -> None:
    from rounds.records.round_summary import MARKS

    for name in ("red", "terminal"):
        found = palettes.styles(name, colour=False)
        shapes = {(s.bold, s.underline, s.reverse) for s in (found[level] for level in MARKS)}
        assert len(shapes) == len(MARKS)
    assert len(set(MARKS.values())) == len(MARKS), "and the mark says it even where shapes are not seen"


# What reaches the terminal


@pytest.mark.pty
@pytest.mark.parametrize("name", palettes.PALETTES)
def test_no_color_leaves_no_colour_in_any_look(name: str, book: Path, begin: Callable[..., Terminal]) -> None:
    output = left(walked(begin, book, "--look", name, NO_COLOR="1", COLORTERM="truecolor"))
    assert list(colours(output)) == []
    assert b"\x1b[1m" in output, "shapes are left"


@pytest.mark.pty
def test_an_empty_no_color_asks_for_nothing(book: Path, begin: Callable[..., Terminal]) -> None:
    """The control: with colours there are some, and the parser sees them."""
    assert len(set(colours(left(walked(begin, book, NO_COLOR=""))))) > 4


@pytest.mark.pty
@pytest.mark.parametrize("depth", ["", "truecolor"])
def test_under_a_red_lamp_nothing_but_red_on_black_is_sent(
    depth: str, book: Path, begin: Callable[..., Terminal]
) -> None:
    output = left(walked(begin, book, ROUNDS_LOOK="red", COLORTERM=depth))
    red, black = ((38, 2, 255, 0, 0), (48, 2, 0, 0, 0)) if depth else ((38, 5, 196), (48, 5, 16))
    assert set(colours(output)) == {red, black}


@pytest.mark.pty
def test_the_terminals_own_look_sends_no_colour_at_all(book: Path, begin: Callable[..., Terminal]) -> None:
    output = left(walked(begin, book, "--look", "terminal", COLORTERM="truecolor"))
    assert list(colours(output)) == []
    assert {b"\x1b[1m", b"\x1b[7m"} <= set(re.findall(rb"\x1b\[[17]m", output)), "shapes are left"


@pytest.mark.pty
@pytest.mark.parametrize("name", [n for n, p in palettes.PALETTES.items() if p.ground])
def test_a_palette_with_a_ground_paints_every_cell(
    name: str, book: Path, begin: Callable[..., Terminal]
) -> None:
    terminal = walked(begin, book, "--look", name)
    terminal.quiet()
    style = palettes.styles(name)
    allowed = {s.bgcolor.get_truecolor().hex.removeprefix("#") for s in style.values() if s.bgcolor}
    screen = terminal._screen
    bare = [(x, y) for y in range(24) for x in range(80) if screen.buffer[y][x].bg not in allowed]
    left(terminal)
    assert bare == []


# Choosing one


def test_the_command_line_goes_before_the_environment_and_that_before_the_settings(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.delenv("ROUNDS_LOOK", raising=False)
    assert palettes.chosen("", "light") == "light"
    monkeypatch.setenv("ROUNDS_LOOK", "red")
    assert palettes.chosen("", "light") == "red"
    assert palettes.chosen("dark", "light") == "dark"
    monkeypatch.setenv("ROUNDS_LOOK", "lihgt")
    with pytest.raises(RoundsError, match=r"ROUNDS_LOOK: there is no look `lihgt`. Did you mean `light`\?"):
        palettes.chosen("", "dark")


def test_a_look_nobody_has_is_told_in_the_settings_with_its_place() -> None:
    found = choices.choices(
        [parse("look: red\n", "a.yaml"), parse("keys: numbers\n", "b.yaml")], ["letters", "numbers"]
    )
    assert found == choices.Choices("numbers", "red")
    with pytest.raises(Exception, match="nmbers") as caught:
        choices.choices(
            [parse("keys: nmbers\nlook: rde\nlok: red\n", "settings.yaml")], ["letters", "numbers"]
        )
    told = str(caught.value).splitlines()
    assert [t.partition("  ")[0] for t in told] == [
        "settings.yaml:1:1",
        "settings.yaml:2:1",
        "settings.yaml:3:1",
    ]
    assert "Did you mean `numbers`?" in told[0]
    assert "Did you mean `red`?" in told[1]
    assert "Did you mean `look`?" in told[2]


@pytest.mark.pty
def test_a_wrong_name_on_the_command_line_starts_nothing(book: Path, begin: Callable[..., Terminal]) -> None:
    for option, said in (("--look", "no look `drak`"), ("--keys", "no key layout `drak`")):
        terminal = begin(rack.walk_of(book, option, "drak"))
        assert terminal.ended() == 2
        assert said in terminal.words
        assert b"\x1b[?1049h" not in terminal.output
