"""A round typed in lines leaves the book that the same keys leave: random lines, every row compared."""

from __future__ import annotations

import shutil
import tempfile
from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.config import Config
from rounds.keys.commands import COMMANDS
from rounds.walk.core import Walk
from rounds.walk.machine.action_modes import ChoosingDays, GivingReason
from rounds.walk.machine.note_mode import Noting
from rounds.walk.machine.prompts import Prompt, prompt
from rounds.walk.machine.state import State
from tests.endtoend import rack
from tests.line_ui.lines import Typing, opened
from tests.sampled import sampled

# A line, and the keys it stands for as a keeper at the screen would press them, in parts: a
# keeper who sees that a part was not taken does not press the next. END ends a number of
# several digits where one is half typed; ASKED marks parts that answer what a list asks.
END, ASKED = "end", "asked"
Gesture = tuple[str, list[list[str]]]
DIGITS = st.sampled_from("0123459")
FIXED: dict[str, list[list[str]]] = {
    "": [["space"]],
    "next": [["space"]],
    "b": [["b"]],
    "back": [["b"]],
    "u": [["u"]],
    "undo": [["u"]],
    "closer": [["l"]],
    "up": [["up"]],
    "down": [["down"]],
    "v": [["v"]],
    "summary": [["v"]],
    "m": [["m"]],
    "j 2": [["j"], ["2"]],
    "x 1": [["x"], ["1"]],
    "smell 2": [["e"], ["2"]],
    "note wet": [["n"], [ASKED, *"wet", "enter"]],
    "n a b": [["n"], [ASKED, "a", "space", "b", "enter"]],
    "help": [["?", "?"]],
    "zzz": [["%"]],
    "2 zzz": [["%"]],
    "here": [],
    "brief": [],
    "skip 3": [["s"], [ASKED, "3"]],
    "s 9": [["s"], [ASKED, "9"]],
    "skip": [["s"]],
    "other": [["."]],
    "correct 1": [["c"], [ASKED, "1"]],
    "done": [["d"]],
    "put off": [["p"]],
    "record": [["y"]],
    "note": [["n"]],
    "go": [["g"]],
    "correct": [["c"]],
    "record dead": [["y"], [ASKED, "act:dead"]],
    "other 2 1": [["."], [ASKED, "2"], ["1", END]],
}
GESTURES: st.SearchStrategy[Gesture] = st.one_of(
    DIGITS.map(lambda d: (d, [[d, END]])),
    st.sampled_from(["", "", "2", "1 0"]).map(
        lambda line: (line, [[d, END] for d in line.split()] or [["space"]])
    ),
    st.tuples(DIGITS, DIGITS).map(lambda two: (" ".join(two), [[d, END] for d in two])),
    st.sampled_from(sorted(FIXED)).map(lambda line: (line, FIXED[line])),
    st.sampled_from(["done", "put off", "record", "note", "correct", "skip", "other"]).map(
        lambda line: (line, FIXED[line])
    ),
    st.sampled_from(["1", "2", "0", "late"]).map(lambda line: (line, [[ASKED]])),
    st.integers(1, 64).map(
        lambda n: (f"go {n}", [["g"], [ASKED, *str(n), "enter"] if n <= 60 else [ASKED, "backspace"]])
    ),
)


def press(walk: Walk, parts: list[list[str]]) -> None:
    """The parts of a gesture, as long as they are taken."""
    for i, part in enumerate(parts):
        if i and (walk.state.mode.name == "walk") is (ASKED in part):
            return
        before = walk.state
        if (
            isinstance(before.mode, Noting)
            and len(part) > 1
            and before.mode.buffer.rstrip(" ") == before.mode.buffer != ""
        ):
            walk.press("space")  # what is typed in lines is another word of the note
        for key in part:
            for k in keys_of(walk, key):
                walk.press(k)
        after = walk.state
        moved = (after.at, after.mode, after.steps, after.earlier) != (
            before.at,
            before.mode,
            before.steps,
            before.earlier,
        )
        if after.message and not moved:
            return


def keys_of(walk: Walk, key: str) -> list[str]:
    if key == ASKED:
        return []
    if key.startswith("act:"):
        names = [o.act for o in walk.desk.offers(walk.state.at)]
        if key[4:] not in names:
            return ["backspace"]
        page, digit = divmod(names.index(key[4:]), 9)
        return ["0"] * page + [str(digit + 1)]
    if key != END:
        return [key]
    half = walk.state.half_typed
    return ["space", *["backspace"] * (8 if half and float(half) > 40 else 0)] if half else []


def stands(state: State) -> tuple[object, ...]:
    """Where a walk stands, but for ids, which each walk draws for itself."""
    steps = [(u.seq, u.stop, u.kind, u.before) for u in state.steps]
    mode = state.mode
    if isinstance(mode, ChoosingDays | GivingReason):
        mode = replace(mode, action=b"")
    return state.at, mode, state.cursor, state.earlier, state.looks, state.seq, steps


LISTED = ("0", "1", "2", "late")
"""Lines that answer what a mode asks; any other is an empty one there."""


def in_mode(mode: str, line: str) -> list[str]:
    """The keys of a line that answers what a mode asks."""
    if mode in ("go", "note", "why"):
        if mode == "why" and not line:
            return ["backspace"]
        if mode == "go" and not (line.isdigit() and line != "0"):
            return ["backspace"]
        return [*line, "enter"]
    if mode == "days":
        return [] if line in ("0", "late") else [*line, "enter"]
    return [line] if line.isdigit() else ["backspace"]


def on_card(found: Prompt, line: str) -> list[str]:
    """The keys of a line that answers what a card asks."""
    assert found.card is not None
    if not line:
        return ["space"]
    if line.isdigit() and not found.limit:
        return [line]
    if found.card.kind == "text":
        return [*line, "="]
    return [line, "space"] if line.isdigit() and found.card.kind != "choice" else []


@settings(max_examples=sampled(4, 10))
@given(gestures=st.lists(GESTURES, min_size=8, max_size=25))
def test_lines_and_keys_leave_the_same_rows(
    demo_book: Path, shipped: Config, gestures: list[Gesture]
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        lines, keys = (
            Path(shutil.copy(demo_book, Path(folder) / n)) for n in ("lines.sqlite", "keys.sqlite")
        )
        typing, plain = Typing(opened(lines, shipped)), rack.opened(keys, shipped)
        for line, parts in gestures:
            if plain.over and any(k.isdigit() for k in line):
                continue  # rows of the summary have numbers in lines alone
            if plain.state.mode.name != "walk":
                line = line if line in LISTED else ""
                found = prompt(plain.state, plain.desk)
                parts = [
                    on_card(found, line) if found.card is not None else in_mode(plain.state.mode.name, line)
                ]
            elif parts == [[ASKED]]:
                continue
            typing.type(line)
            press(plain, parts)
            mine, theirs = (stands(w.state) for w in (typing.walk, plain))
            assert mine == theirs, (line, typing.last)
        assert typing.walk.close(30.0) is None
        assert plain.close(30.0) is None
        assert rack.differences(rack.content(lines), rack.content(keys)) == []


def test_the_comparison_finds_a_key_too_many(demo_book: Path, shipped: Config, tmp_path: Path) -> None:
    lines, keys = (Path(shutil.copy(demo_book, tmp_path / n)) for n in ("lines.sqlite", "keys.sqlite"))
    typing, plain = Typing(opened(lines, shipped)), rack.opened(keys, shipped)
    typing.type("2")
    press(plain, [["2"], ["1", END]])
    assert typing.walk.close(30.0) is None
    assert plain.close(30.0) is None
    assert rack.content(lines) != rack.content(keys)


LINES = (
    "2 1",
    "no",
    "",
    "",
    "note dry",
    "back",
    "undo",
    "skip",
    "",
    "go 22",
    "water",
    "done",
    "",
    "other 1",
    "",
    "closer",
    "put off 3 late",
    "",
    "up",
    "summary",
    "2",
    "back",
    "correct 1",
    "1",
    "",
    "record dead",
    "",
    "smell sour",
    "undo",
)


def test_words_mean_the_same_in_any_layout(demo_book: Path, shipped: Config, tmp_path: Path) -> None:
    """The same lines under a layout with other keys: the same rows, each by its own keys."""
    others = iter("+-*/=!;:<>()[]{}|^_#&$~@")
    keys = {next(others): command for command in COMMANDS}
    said, pressed, books = [], [], []
    for name, commands in (("own", shipped.commands), ("other", keys)):
        books.append(Path(shutil.copy(demo_book, tmp_path / f"{name}.sqlite")))
        typing = Typing(opened(books[-1], shipped._replace(commands=commands)))
        typing.type(*LINES)
        said.append([line for line in typing.said if line.startswith("saved: ")])
        pressed.append(list(typing.session.pressed))
        assert typing.walk.close(30.0) is None
    assert said[0] == said[1]
    assert len(said[0]) > 10
    assert pressed[0] != pressed[1]
    assert rack.differences(rack.content(books[0]), rack.content(books[1])) == []
