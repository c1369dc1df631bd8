"""The screens as a keeper sees them: through Textual's pilot, at three sizes, and without any colour."""

from __future__ import annotations

import asyncio
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from demo_data.pictures import settled
from rounds.acts.registry import all_acts
from rounds.husbandry import locks
from rounds.records.round_summary import carry_words
from rounds.screens.app import WalkApp
from rounds.screens.board import Board, compose
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.help_mode import ReadingHelp
from rounds.walk.machine.mode import Walking
from tests.screens import house, seen
from tests.views.conftest import ready

# Pictures: a name, the enclosure's number, and the keys typed there.
PICTURES = {
    "first": (7, ()),
    "flagged": (7, ("m", "4")),
    "locked": (33, ("l",)),
    "troubled": (14, ()),
    "due": (47, ()),
    "odd last time": (23, ()),
    "larva": (32, ()),
    "correcting": (47, ("c", "1")),
    "note": (47, ("n", *"seen from the wall")),
    "other": (47, (".",)),
    "acts": (7, ("y",)),
    "card": (14, ("y", "1", "1", "3")),
    "card with proposals": (7, ("y", "5")),
    "pick": (14, ("d",)),
    "put off": (14, ("p", "1", "2", "enter")),
    "done": (7, ("m", "4", "d")),
    "skipping": (47, ("s",)),
    "summary": (7, ("m", "4", "v")),
    "summary further down": (7, ("v", *["down"] * 30)),
    "help": (14, ("?",)),
    "help of the summary": (14, ("v", "?")),
}


@pytest.fixture(scope="session")
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update"))


def piloted(walk: Walk, size: tuple[int, int], keys: tuple[str, ...], look: Callable[[WalkApp], str]) -> str:
    """What ``look`` sees once the keys were typed and everything is saved."""

    async def typing() -> str:
        app = WalkApp(walk)
        async with app.run_test(size=size) as pilot:
            await settled(walk, pilot)
            for key in keys:
                await pilot.press("space" if key == " " else key)
            await settled(walk, pilot)
            found = look(app)
            walk.state = walk.state._replace(mode=Walking())
            await pilot.press("q")
        return found

    return asyncio.run(typing())


def shown(app: WalkApp) -> str:
    """The text the screen really shows, taken from what Textual painted."""
    board = app.screen.query_one(Board)
    lines = [board.render_line(y).text for y in range(board.size.height)]
    return "\n".join(line.rstrip() for line in lines) + "\n"


BETWEEN = (100, 30)


def test_every_screen_and_card_looks_as_it_did_at_a_size_between(
    demo: Path, tmp_path: Path, update: bool
) -> None:
    """Composed, not painted: the sizes below go through the terminal's library."""
    for name, (number, keys) in PICTURES.items():
        with house.walking(house.copied(demo, tmp_path)) as walk:
            ready(walk)
            house.go(walk, number)
            house.press(walk, *keys)
            text = "\n".join(line.rstrip() for line in house.screen(walk, *BETWEEN)) + "\n"
        seen.compare(f"{name.replace(' ', '-')}-{BETWEEN[0]}x{BETWEEN[1]}.txt", text, update)


@pytest.mark.parametrize("size", house.SIZES, ids=lambda s: f"{s[0]}x{s[1]}")
@pytest.mark.parametrize("name", PICTURES)
def test_a_screen_looks_as_it_did(book: Path, update: bool, name: str, size: tuple[int, int]) -> None:
    number, keys = PICTURES[name]
    with house.walking(book) as walk:
        text = piloted(walk, size, ("g", *str(number), "enter", *keys), shown)
    seen.compare(f"{name.replace(' ', '-')}-{size[0]}x{size[1]}.txt", text, update)


@pytest.mark.parametrize("size", house.SIZES[:2], ids=lambda s: f"{s[0]}x{s[1]}")
@pytest.mark.parametrize("name", ["flagged", "summary"])
def test_a_picture_looks_as_it_did(book: Path, update: bool, name: str, size: tuple[int, int]) -> None:
    number, keys = PICTURES[name]
    with house.walking(book) as walk:
        picture = piloted(
            walk, size, ("g", *str(number), "enter", *keys), lambda app: app.export_screenshot()
        )
    seen.compare(f"{name}-{size[0]}x{size[1]}.svg", seen.svg(picture), update)


def test_a_changed_screen_is_noticed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The control of the comparison: one sign that differs fails it, and nothing there fails it."""
    monkeypatch.setattr(seen, "FOLDER", tmp_path)
    with pytest.raises(AssertionError, match="never written"):
        seen.compare("x.txt", "one\ntwo\n", False)
    seen.compare("x.txt", "one\ntwo\n", True)
    seen.compare("x.txt", "one\ntwo\n", False)
    with pytest.raises(AssertionError, match=r"x.txt:2"):
        seen.compare("x.txt", "one\ntwq\n", False)


# Readable without colour: what is left when every style is gone.


def at(walk: Walk, number: int, *keys: str, size: tuple[int, int] = (80, 24)) -> str:
    house.go(walk, number)
    house.press(walk, *keys)
    return "\n".join(house.screen(walk, *size))


def test_what_must_not_be_done_stands_before_any_question(book: Path) -> None:
    with house.walking(book) as walk:
        for stop, s in enumerate(walk.route.stops):
            if not s.locks:
                continue
            house.go(walk, s.enclosure.number)
            for size in house.SIZES:
                lines = house.screen(walk, *size)
                lock = next(i for i, line in enumerate(lines) if line.startswith("LOCK "))
                question = next(i for i, line in enumerate(lines) if line.startswith("> "))
                assert lock < question
                aside = walk.watch.overrides(s.enclosure.id)
                deeds = locks.as_told(s.locks)[0].forbids
                assert f"{'you may' if aside else 'do not'} {deeds[0]}" in lines[lock]
            assert walk.state.at == stop


def test_every_meaning_has_a_sign_of_its_own(book: Path) -> None:
    with house.walking(book) as walk:
        text = at(walk, 12)
        assert "\n> jelly eaten" in text  # the cursor
        assert "(right)" in text  # confirmed, not read
        assert "0 to 1" in text  # expected
        text = at(walk, 7, "m", "4")
        assert re.search(r"standing water +✓", text)  # read, and saved
        assert "\n!!! Water stands" in text  # the flag, worst kind
        assert re.search(r"Away from sockets: draw\s+the water off", text)  # and what to do
        assert "done or put off: Water stands" in at(walk, 7, "d")
        text = at(walk, 33)
        assert "\nLOCK do not" in text
        assert "DUE  " in at(walk, 47)
        text = at(walk, 23)
        assert "OPEN !!  Too dry" in text
        assert "! right" in text  # has to be read this time
        assert re.search(r"note: seen_", at(walk, 47, "n", *"seen"))
        house.press(walk, "enter")
        assert "skipped: must not be disturbed ✓" in at(walk, 46, "s", "1", "b")
        text = "\n".join(house.screen(walk, 80, 24))
        assert "46 of 60" not in text
        assert re.search(r"\d+ saved", at(walk, 15))
        summary = at(walk, 15, "v")
        assert re.search(r"^> B3-1", summary, re.MULTILINE)
        assert " !!! " in summary
        assert "not seen" in summary


def test_a_value_that_waits_is_marked_otherwise_than_a_saved_one(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 7)
        walk.saving.saved_up_to = -1
        walk.press("4")
        row = next(line for line in house.screen(walk, 80, 24) if "jelly eaten" in line)
        waiting = row
        assert walk.drain(10)
        row = next(line for line in house.screen(walk, 80, 24) if "jelly eaten" in line)
    assert "✓" in row
    assert (
        row.replace("✓", "…") == waiting or waiting == row
    )  # the writer may have been quicker than the look


def test_a_failing_writer_outranks_everything_said(book: Path) -> None:
    with house.walking(book) as walk:
        walk.saving.said = "the disk is full. Free some space; it goes on by itself."
        for keys in ((), ("?",), ("?", "v")):
            house.press(walk, *keys)
            for size in house.SIZES:
                assert any("NOT SAVED" in line for line in house.screen(walk, *size))
        walk.saving.said = ""


@pytest.mark.parametrize("size", house.SIZES, ids=str)
def test_the_answers_to_what_is_asked_are_always_in_sight(book: Path, size: tuple[int, int]) -> None:
    """For every question of every enclosure: its keys stand whole in the foot, the question above it."""
    with house.walking(book) as walk:
        for s in walk.route.stops:
            house.go(walk, s.enclosure.number)
            walk.press("l")
            for cursor, ask in enumerate(steps.rows(walk.state, walk.desk)):
                walk.state = walk.state._replace(cursor=cursor, message="")
                lines = house.screen(walk, *size)
                foot = " ".join(" ".join(lines).split())
                if ask.kind.type == "choice":
                    for c in ask.kind.choices:
                        assert f"{c.key} {c.title}" in foot
                elif ask.kind.type == "tick":
                    assert "1 yes 0 no" in foot
                else:
                    assert f"{ask.kind.low:g} to {ask.kind.high:g}" in foot
                assert any(line.startswith(">") for line in lines)


def test_every_reading_can_be_chosen_where_other_readings_are_listed(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 33)
        house.press(walk, ".")
        listed = steps.others(walk.state, walk.desk)
        found = ""
        for _ in range(-(-len(listed) // 9)):
            found += " ".join(" ".join(house.screen(walk, 80, 24)).split())
            house.press(walk, "0")
        for kind in listed:
            assert re.search(rf"[1-9] {re.escape(kind.title)}\b", found)


def test_the_keys_in_sight_are_those_of_the_config(book: Path) -> None:
    config = house.shipped()
    moved = {**config.commands, "#": "note"}
    del moved["n"]
    with house.walking(book, config._replace(commands=moved)) as walk:
        foot = "\n".join(house.screen(walk, 80, 24)[-4:])
        assert "# note" in foot
        assert "n note" not in foot.replace("# note", "")
        house.press(walk, "?")
        help_ = "\n".join(house.screen(walk, 80, 40))
        assert re.search(r"^  # +a note in words", help_, re.MULTILINE)


@pytest.mark.parametrize("number", [14, 33, 47, 23])
@pytest.mark.parametrize("size", house.SIZES, ids=str)
def test_whatever_was_cut_is_whole_on_the_help_page(book: Path, number: int, size: tuple[int, int]) -> None:
    with house.walking(book) as walk:
        house.go(walk, number)
        stop = walk.route.stops[walk.state.at]
        wanted = [lock.reason for lock in stop.locks] + [a.todo for a in walk.desk.actions(walk.state.at)]
        wanted += [a.reason for a in walk.desk.actions(walk.state.at)] + [d.why for d in stop.dues]
        wanted += [f.todo for f in walk.round.flags(walk.state.at)] + [
            v.note for v in walk.past.of(walk.state.at)[-3:]
        ]
        assert wanted
        house.press(walk, "?")
        pages = _pages(walk, size)
        for text in wanted:
            assert " ".join(text.split()) in pages


def test_the_summary_shows_the_row_at_the_cursor_whole(book: Path) -> None:
    with house.walking(book) as walk:
        house.press(walk, "v")
        for i, (_, action) in enumerate(walk.round.listed()):
            if action is None:
                break
            text = " ".join(" ".join(line[23:] for line in house.screen(walk, 80, 24)).split())
            assert action.todo in text
            assert i == walk.state.cursor
            house.press(walk, "down")
        assert i > 5


def test_all_that_is_to_be_carried_can_be_read(book: Path) -> None:
    with house.walking(book) as walk:
        house.press(walk, "v", "?")
        for size in house.SIZES:
            pages = _pages(walk, size)
            for carry in walk.round.carry():
                assert carry_words(carry) in pages


def _pages(walk: Walk, size: tuple[int, int]) -> str:
    """The text of all pages of help, without the foot, on one line."""
    first = house.screen(walk, *size)
    count = next(int(m[1]) for line in first if (m := re.match(r" page 1 of (\d+)", line)))
    out = []
    for page in range(count):
        walk.state = walk.state._replace(mode=ReadingHelp(page))
        lines = house.screen(walk, *size)
        end = next(i for i, line in enumerate(lines) if line.startswith(f" page {page + 1} of"))
        out += lines[1:end]
    walk.state = walk.state._replace(mode=ReadingHelp())
    return " ".join(" ".join(out).split())


def test_the_code_is_large_and_the_day_in_its_stage_beside_it(book: Path) -> None:
    with house.walking(book) as walk:
        lines = at(walk, 33).splitlines()
    assert all(re.match(r" [▀▄█ ]{20,}", line) for line in lines[1:4])
    assert "CELL  day 48   no. 33 at A3-4" in lines[1]
    assert "Mecynorhina torquata" in lines[2]
    assert "UMBER 21 m" in lines[3]


# Due work: shown where it is due, recorded there with one or two keys


def due_stop(walk: Walk) -> int:
    """A stop with nothing open and one work that is due, which no row of the book holds."""
    for i, s in enumerate(walk.route.stops):
        works = walk.acts.works(s.enclosure.id)
        if (
            len(works) == 1
            and works[0].row is None
            and works[0].begins() <= walk.day
            and not walk.desk.actions(i)
        ):
            return i
    raise AssertionError("the invented house has no such enclosure")


@pytest.mark.parametrize("size", house.SIZES[:2], ids=lambda s: f"{s[0]}x{s[1]}")
def test_computed_work_is_shown_at_its_enclosure_and_gone_once_it_is_put_off(
    book: Path, size: tuple[int, int]
) -> None:
    with house.walking(book) as probe:
        stop = due_stop(probe)
        number, what = (
            probe.route.stops[stop].enclosure.number,
            probe.acts.works(probe.route.stops[stop].enclosure.id)[0].what,
        )
    with house.walking(book) as walk:
        assert all(d.id for d in walk.route.stops[stop].dues), "not yet: a start does not wait for it"
        before = piloted(walk, size, ("g", *str(number), "enter"), shown)
        assert f"DUE  {what}" in before
    with house.walking(book) as walk:
        after = piloted(walk, size, ("g", *str(number), "enter", "p", "9", *"rain", "enter"), shown)
        assert "recorded: due work put off" in after
        assert f"DUE  {what}" not in after


@pytest.mark.parametrize("layout", ["letters", "numbers"])
@pytest.mark.parametrize("act", ["search", "dead"])
def test_on_a_small_screen_a_card_says_where_its_caution_can_be_read(
    book: Path, layout: str, act: str
) -> None:
    """What does not fit stands behind the key that is named, whole."""
    with house.walking(book, house.shipped().with_keys(layout)) as walk:
        house.press(walk, "at:14", steps.key_for(walk.desk, "record"), f"act:{act}")
        keys = "?" if layout == "letters" else "/"
        said = " ".join(house.text(compose(walk, 40, 10)))
        assert f"{keys} shows all" in said or f"caution: {keys}" in said
        walk.press(keys)
        assert walk.state.mode.name == "help"
        shown = " ".join(house.text(compose(walk, 40, 400)))
        assert all_acts()[act].caution in " ".join(shown.split()).replace("! ", "")
