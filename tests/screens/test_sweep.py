"""Hostile texts in every cell that takes one: on every screen, in every mode, in every command's output."""

from __future__ import annotations

import asyncio
import json
import unicodedata
from pathlib import Path

import pytest
from rich.cells import cell_len

from rounds.cli import run
from rounds.config import Config
from rounds.keys import commands
from rounds.presenters import touch
from rounds.problems import EXIT_INPUT, BadInput
from rounds.screens.app import WalkApp
from rounds.screens.board import compose
from rounds.store import read
from rounds.store.book import open_book
from rounds.walk.machine.mode import Walking
from tests.files.folders import HOUSE, write
from tests.sampled import sampled
from tests.screens import hostile, house
from tests.walk.machine.every_mode import every_mode
from tests.walk.machine.ways_into_modes import WAYS

DAY = "2026-03-01"


def steering(text: str) -> list[str]:
    """Signs that steer a terminal or reorder a line, with where they stand."""
    return [
        f"U+{ord(c):04X} at {i}: {text[max(0, i - 20) : i + 20]!r}"
        for i, c in enumerate(text)
        if unicodedata.category(c) in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")
    ]


@pytest.fixture(scope="module")
def config(tmp_path_factory: pytest.TempPathFactory) -> Config:
    return hostile.config(tmp_path_factory.mktemp("hostile") / "config")


@pytest.fixture(scope="module")
def poisoned(tmp_path_factory: pytest.TempPathFactory, config: Config) -> Path:
    return hostile.book(tmp_path_factory.mktemp("hostile"), config)


@pytest.mark.parametrize("name", ["csi", "osc", "c1", "bidi", "zwj", "invisible", "del", "tab"])
def test_the_check_itself_finds_what_steers(name: str) -> None:
    assert steering(hostile.TEXTS[name])


def test_every_text_is_in_the_book_letter_by_letter(poisoned: Path) -> None:
    with open_book(poisoned, readonly=True) as book:
        boxes = {e.number: e for e in read.enclosures(book)}
        for name, number in hostile.NUMBER.items():
            assert boxes[number].note == hostile.TEXTS[name]
            assert boxes[number].species == hostile.TEXTS[name]
            assert [v.note for v in read.last_visits(book, boxes[number].id, 3)] == [hostile.TEXTS[name]] * 3


def test_every_mode_has_a_way_there() -> None:
    """A new mode needs a line in WAYS; there is no menu among letters (test_numbers.py has one)."""
    assert set(WAYS) == set(every_mode())


def test_every_command_is_in_a_legend() -> None:
    typed = set(commands.COMMANDS) - {"scan"}  # a scanner types that key
    assert {*commands.LISTED.at_foot["walk"], *commands.LISTED.at_foot["summary"]} == typed


NOT_HERE = {"series", "work"}
"""Modes without a way in this house: nobody is in a group, and all that is due stands beside open actions."""
MODES = {mode: keys for mode, keys in house.MODES.items() if mode not in NOT_HERE} | {
    "sure": ("y", "act:search", "1", "enter")
}
KEYS = {place: MODES.get(place, keys) for place, keys in house.KEYS.items() if place not in NOT_HERE}


@pytest.mark.parametrize("mode", MODES)
def test_the_way_there_leads_there(poisoned: Path, config: Config, tmp_path: Path, mode: str) -> None:
    with house.walking(house.copied(poisoned, tmp_path), config) as walk:
        house.go(walk, 1)
        house.press(walk, *MODES[mode])
        assert walk.state.mode.name == mode


@pytest.mark.parametrize("place", KEYS)
def test_no_text_leaves_its_place_on_any_screen(
    poisoned: Path, config: Config, tmp_path: Path, place: str
) -> None:
    with house.walking(house.copied(poisoned, tmp_path), config, name=hostile.TEXTS["osc"]) as walk:
        sizes = (*house.SIZES, (79, 23), (20, 6), (3, 2), (1, 1), (200, 60))
        some = sampled(3, 1)  # by default every third size, others with each text and at each place
        for turn, number in enumerate(hostile.NUMBER.values(), list(KEYS).index(place)):
            house.go(walk, number)
            house.press(walk, *KEYS[place])
            for width, height in sizes[turn % some :: some]:
                lines = house.screen(walk, width, height)
                assert len(lines) == height
                for line in lines:
                    assert cell_len(line) == width, (number, line)
                    assert sum(map(cell_len, line)) == width, "no sign changes its neighbour's width"
                    assert not steering(line)
            walk.state = walk.state._replace(mode=Walking(), earlier=None)


@pytest.mark.parametrize("name", hostile.TEXTS)
def test_a_click_on_a_text_does_nothing(poisoned: Path, config: Config, tmp_path: Path, name: str) -> None:
    async def clicking() -> None:
        app = WalkApp(walk)
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.press("g", *str(hostile.NUMBER[name]), "enter")
            before = walk.state
            assert before.at == hostile.NUMBER[name] - 1
            shown = compose(walk, 80, 24)
            texts = [y for y in range(24) if not touch.keys_at(walk, shown, 12, y)]
            assert len(texts) >= 8, "most of what is shown is no key"
            some = sampled(3, 1)  # by default every third line, another with each text
            for y in texts[hostile.NUMBER[name] % some :: some]:
                await pilot.click(offset=(12, y))
            assert app.is_running
            assert walk.state == before
            await pilot.press("q")

    with house.walking(house.copied(poisoned, tmp_path), config) as walk:
        asyncio.run(clicking())


def test_text_that_is_typed_is_kept_and_cleaned_alike(poisoned: Path, tmp_path: Path) -> None:
    with house.walking(house.copied(poisoned, tmp_path), None) as walk:
        house.press(walk, "n", *"[@click=app.quit]x[/]é黒", "enter")
        assert "[@click=app.quit]x[/]é黒" in "\n".join(house.screen(walk, 80, 24))
        assert walk.round.visit_at(walk.state.at).note == "[@click=app.quit]x[/]é黒"


COMMANDS = [
    ["summary"],
    ["summary", "--as", "json"],
    ["due"],
    ["due", "--as", "json"],
    ["due", "--as", "csv"],
    *(["rules", "explain", str(n)] for n in hostile.NUMBER.values()),
    ["rules", "explain", "1", "--as", "json"],
    ["rules", "replay"],
    ["rules", "replay", "--as", "json"],
    ["rules", "test"],
    ["rules", "check"],
    ["keys"],
    ["where"],
    ["help"],
    ["help", hostile.TEXTS["bold"]],
    ["summary", "--as", "markdown"],
    ["summary", "--as", "html"],
    ["summary", "--as", "csv"],
    ["summary", "--safe"],
    ["summary", "--season", "2026"],
    ["record"],
    ["kinship"],
    ["kinship", "--as", "json"],
    ["kinship", "--colony"],
    ["pairings"],
    ["pairings", "--all"],
    ["pairings", "--plans"],
    ["trial", "tally"],
    ["trial", "list"],
    ["batch", hostile.TEXTS["bold"]],
    ["lot", hostile.TEXTS["bold"]],
    ["backup"],
    ["restore"],
    ["checkup"],
    ["checkup", "--as", "json"],
    ["draw", "rack"],
    ["draw", "shelves"],
]


def test_every_command_is_swept() -> None:
    """A new command needs a line in COMMANDS; the walk itself is swept above, load and new below, labels and completion beside their own tests."""
    from rounds.cli import GROUPS

    known = {name for group in GROUPS.values() for name in group}
    assert known == {c[0] for c in COMMANDS} | {
        "walk",
        "serve",
        "demo",
        "load",
        "new",
        "write",
        "labels",
        "completion",
    }


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_no_command_prints_what_steers(
    poisoned: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, command: list[str]
) -> None:
    hostile.config(tmp_path / "own")
    code = run(["--book", str(poisoned), "--config", str(tmp_path / "own"), "--today", DAY, *command])
    out, err = capsys.readouterr()
    assert code in (0, 1, EXIT_INPUT), err  # a book of this kind may hold nothing to tally
    assert out + err
    for line in (out + err).splitlines():
        assert not steering(line)
    if "json" in command:
        assert json.loads(out)


@pytest.mark.parametrize("name", [n for n in hostile.TEXTS if n != "nul"])
def test_no_act_prints_what_steers(
    poisoned: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str
) -> None:
    book = str(house.copied(poisoned, tmp_path))
    text = hostile.TEXTS[name][:300]
    number = str(next(iter(hostile.NUMBER.values())))
    told = run(
        ["--book", book, "--today", DAY, "record", "look-again", number, f"about={text}", f"because={text}"]
    )
    listed = [
        run(["--book", book, "--today", DAY, *more]) for more in (["record", "history", "--changes"], ["due"])
    ]
    out, err = capsys.readouterr()
    assert {told, *listed} <= {0, EXIT_INPUT}
    assert out + err
    for line in (out + err).splitlines():
        assert not steering(line)


def test_json_says_every_letter(poisoned: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["--book", str(poisoned), "--today", DAY, "summary", "--as", "json"]) == 0
    due = {r["what"] for r in json.loads(capsys.readouterr().out)["due"]}
    assert due == {*hostile.TEXTS.values(), "planned pairing"}


@pytest.mark.parametrize("name", [n for n in hostile.TEXTS if n != "tab"])
@pytest.mark.parametrize("where", ["argument", "option", "command"])
def test_no_error_message_prints_what_steers(
    poisoned: Path, capsys: pytest.CaptureFixture[str], name: str, where: str
) -> None:
    text = hostile.TEXTS[name][:300]
    argv = {
        "argument": ["--book", str(poisoned), "--today", DAY, "rules", "explain", text],
        "option": ["--book", str(poisoned), "summary", "--on", text],
        "command": [text],
    }[where]
    code = run(argv)
    out, err = capsys.readouterr()
    assert code in (0, EXIT_INPUT)
    for line in (out + err).splitlines():
        assert not steering(line)


@pytest.mark.parametrize(
    "table",
    [
        "house",
        "keepers",
        "places",
        "lines",
        "animals",
        "enclosures",
        "contents",
        "locks",
        "due",
        "visits",
        "readings",
    ],
)
def test_no_load_problem_prints_what_steers(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], table: str
) -> None:
    """Each table with its last row's cells all hostile: whatever is refused, is refused in plain signs."""
    header, *_ = HOUSE[table].splitlines()
    for name in ("csi", "osc", "c1", "bidi", "click", "invisible"):
        bad = ",".join('"' + hostile.TEXTS[name].replace('"', '""') + '"' for _ in header.split(","))
        folder = write(tmp_path / name, {**HOUSE, table: f"{HOUSE[table]}{bad}\n"})
        book = tmp_path / f"{name}.sqlite"
        assert run(["new", str(book), "--zone", "Europe/Berlin"]) == 0
        run(["--book", str(book), "load", str(folder)])
        out, err = capsys.readouterr()
        for line in (out + err).splitlines():
            assert not steering(line)


@pytest.mark.parametrize("name", ["csi", "osc", "c1", "bidi", "invisible"])
def test_no_file_name_steers_either(tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str) -> None:
    strange = hostile.TEXTS[name].replace("/", "")[:60]
    folder = write(tmp_path / f"tables{strange}", HOUSE)
    (folder / f"{strange}.py").write_text("")
    book = tmp_path / f"{strange}.sqlite"
    assert run(["new", str(book), "--zone", "Europe/Berlin"]) == 0
    run(["--book", str(book), "load", str(folder)])
    run(["--book", str(book), "load", str(folder / "nowhere")])
    run(["--book", str(tmp_path / f"no{strange}"), "summary"])
    out, err = capsys.readouterr()
    assert len(err.splitlines()) >= 4
    for line in (out + err).splitlines():
        assert not steering(line)


@pytest.mark.parametrize(("table", "line"), [("enclosures", 2), ("keepers", 2), ("visits", 3), ("due", 2)])
def test_nul_is_refused_by_file_and_line(tmp_path: Path, table: str, line: int) -> None:
    from rounds.files.load import load_folder
    from rounds.records.observations import House
    from rounds.store.book import create
    from tests.files.folders import VOCABULARY

    rows = HOUSE[table].splitlines()
    rows[line - 1] += "\0"
    folder = write(tmp_path / "tables", {**HOUSE, table: "\n".join(rows) + "\n"})
    with create(tmp_path / "book.sqlite", House("", "UTC")) as book:
        with pytest.raises(BadInput) as caught:
            load_folder(folder, book, VOCABULARY)
        assert any(
            p.file == f"{table}.csv" and p.line == line and "NUL" in p.message for p in caught.value.problems
        )
        assert read.enclosures(book) == []
