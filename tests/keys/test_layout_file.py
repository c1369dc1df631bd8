"""A key layout: a key nobody can press, or one that means two things, is refused with its place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

import pytest

from rounds.config import read
from rounds.husbandry.readings import ReadingKind, Vocabulary
from rounds.keys.command import Command
from rounds.keys.commands import COMMANDS
from rounds.keys.key_names import NAMED
from rounds.keys.layout_file import Layout, chosen, layout, layouts
from rounds.keys.menu_keys import chord
from rounds.keys.scan_code import sign
from rounds.problems import BadInput, RoundsError
from rounds.settings import yamlfile
from rounds.settings.layers import layers
from rounds.settings.where import shipped

WORDS = Vocabulary(
    {
        "smell": ReadingKind("smell", "smell", "tick", ask_key="e"),
        "old": ReadingKind("old", "old", "tick", ask_key="n", retired=True),
    },
    {},
)
LETTERS = iter("bfhilmnopqrstuv?wyzacdgjkx")
KEYS = {
    c: {"next": ["space", "enter"], "scan": ["tab"]}.get(c) or [next(LETTERS)]
    for c in COMMANDS
    if c != "menu"
}
"""A layout that gives every command a key, and has no menu."""
MENU = [c for c in COMMANDS if c not in ("next", "scan", "menu", "undo")]
SMALL = {"next": ["enter"], "scan": ["tab"], "menu": ["/"], "undo": ["*"]}
"""A layout of four keys; the rest is in its menu."""


def text(keys: Mapping[str, list[str]], menu: list[str] | None = None) -> str:
    rows = "".join(f"  {c}: [{', '.join(f'{k!r}' for k in mine)}]\n" for c, mine in keys.items())
    listed = "" if menu is None else "menu:\n" + "".join(f"  - {c}\n" for c in menu)
    return f"layout: mine\ncommands:\n{rows}{listed}"


def parsed(typed: str) -> Layout:
    return layout(yamlfile.parse(typed, "keys.yaml"), WORDS)


def problems(typed: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        parsed(typed)
    return [str(p) for p in caught.value.problems]


def test_a_good_layout_gives_a_command_by_key() -> None:
    found = parsed(text(KEYS))
    assert found.name == "mine"
    assert found.commands["space"] == found.commands["enter"] == "next"
    assert set(found.commands.values()) == set(COMMANDS) - {"menu"}


def test_what_is_in_the_menu_has_the_menus_key_and_a_digit() -> None:
    found = parsed(text(SMALL, MENU)).commands
    assert set(found.values()) == set(COMMANDS)
    assert [found[f"/{i}"] for i in range(1, 10)] == MENU[:9]
    assert [found[f"/0{i}"] for i in range(1, len(MENU) - 8)] == MENU[9:]


@pytest.mark.parametrize(
    ("command", "keys", "said"),
    [
        ("back", ["escape"], "`escape` is no key that a terminal sends."),
        ("back", ["alt+x"], "`alt+x` is no key that a terminal sends. Named keys: space"),
        ("back", ["ab"], "is no key"),
        ("back", [" "], "Write it as `space`."),
        ("back", ["subtract"], "Write it as `-`: on the number pad"),
        ("back", ["decimal"], "Write it as `.`"),
        ("back", ["7"], "digits are answers"),
        ("back", ["space"], "the key `space` already gives `next`"),
        ("back", ["e"], "already asks for the reading `smell`"),
        ("scan", ["%"], ""),
        ("scan", ["G"], "`G` cannot begin a scan. Use `tab`"),
        ("scan", ["-"], "`-` cannot begin a scan"),
        ("scan", ["home"], "`home` cannot begin a scan"),
    ],
)
def test_a_key_that_cannot_be_is_refused_with_its_place(command: str, keys: list[str], said: str) -> None:
    typed = text({**KEYS, command: keys})
    if not said:
        assert parsed(typed).commands[keys[0]] == command, (
            "the control: a sign that no code has may begin a scan"
        )
        return
    line = 3 + list(KEYS).index(command)
    found = problems(typed)
    assert any(said in p and p.startswith(f"keys.yaml:{line}:") for p in found), found


@pytest.mark.parametrize(
    ("keys", "menu", "line", "said"),
    [
        (SMALL, [*MENU, "skip"], 8 + len(MENU), "`skip` is in the menu twice"),
        (SMALL, ["skp", *MENU[1:]], 8, "unknown `skp` in `menu`. Did you mean `skip`?"),
        (SMALL, [*MENU, "scan"], 8 + len(MENU), "unknown `scan` in `menu`"),
        (KEYS, ["skip"], 3 + len(KEYS), "there is a menu, and no key gives `menu`"),
        ({**KEYS, "menu": ["/"]}, None, 3 + len(KEYS), "and the layout has no `menu`"),
        ({**KEYS, "quit": []}, None, 2, "no key gives `quit`."),
        ({c: k for c, k in SMALL.items() if c != "scan"}, MENU, 2, "no key gives `scan`."),
    ],
)
def test_a_menu_that_leads_nowhere_or_lacks_a_command_is_refused(
    keys: dict[str, list[str]], menu: list[str] | None, line: int, said: str
) -> None:
    found = problems(text(keys, menu))
    assert any(said in p for p in found), found
    assert any(p.startswith(f"keys.yaml:{line}:") for p in found if said in p), found


INVENTED = Command("invented", "what no layout knew of", "invented", ("invented",))


@pytest.fixture
def newer(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program has a command more than the layouts below knew of."""
    monkeypatch.setitem(cast(dict[str, Command], COMMANDS), "invented", INVENTED)


@pytest.mark.usefixtures("newer")
def test_a_command_that_a_menu_does_not_list_comes_after_what_it_lists() -> None:
    before = [c for c in MENU if c not in ("summary", "quit")]
    found = parsed(text(SMALL, before)).commands
    entries = [c for k, c in found.items() if k.startswith("/") and k != "/"]
    assert entries == [*before, "summary", "quit", "invented"]
    assert found[chord("/", len(before) + 2)] == "invented"
    listed = parsed(text(SMALL, ["invented", *MENU])).commands
    assert listed["/1"] == "invented"
    assert list(listed.values()).count("invented") == 1


@pytest.mark.usefixtures("newer")
def test_a_layout_without_a_menu_is_in_force_without_a_command_that_is_newer() -> None:
    found = parsed(text(KEYS)).commands
    assert set(found.values()) == set(COMMANDS) - {"menu", "invented"}


@pytest.mark.parametrize("command", [c.id for c in COMMANDS.values() if c.in_every_layout])
def test_a_layout_without_what_no_walk_can_do_without_is_refused(command: str) -> None:
    assert any(f"no key gives `{command}`" in p for p in problems(text({**KEYS, command: []})))


def test_every_problem_is_told_at_once() -> None:
    typed = text({**KEYS, "back": ["7"], "skip": ["escape"], "quit": ["space"]})
    assert len(problems(typed)) == 3


def test_a_retired_reading_frees_its_key() -> None:
    taken = {**KEYS, "back": ["n"], "note": ["b"]} if KEYS["note"] == ["n"] else {**KEYS, "back": ["n"]}
    taken = {c: (["G"] if c != "back" and k == ["n"] else k) for c, k in taken.items()}
    assert parsed(text(taken)).commands["n"] == "back", "the retired reading `old` had it"


def test_a_command_without_a_key_an_unknown_command_and_no_commands_are_told() -> None:
    lacking = {c: k for c, k in KEYS.items() if c != "undo"}
    assert any("no key gives `undo`" in p for p in problems(text(lacking)))
    assert any(
        "unknown field `undoo`. Did you mean `undo`?" in p
        for p in problems(text({**lacking, "undoo": ["u"]}))
    )
    assert any("no `commands`" in p for p in problems("layout: mine\n"))
    assert any("`layout` is missing" in p for p in problems(text(KEYS).removeprefix("layout: mine\n")))


def test_a_later_layout_of_the_same_name_replaces_the_earlier() -> None:
    first, second = (yamlfile.parse(text({**KEYS, "back": [k]}), f"{k}.yaml") for k in ("<", ">"))
    assert layouts([first, second], WORDS)["mine"].commands.get(">") == "back"
    with pytest.raises(RoundsError, match=r"no key layout `mien`. Did you mean `mine`\?"):
        chosen(layouts([first], WORDS), "mien", "--keys")


def test_the_shipped_layouts_themselves_give_every_command_a_key_or_an_entry_of_the_menu() -> None:
    """Nothing is added to their menu, and nothing is left to line mode."""
    for path in (shipped("config") / "keys").glob("*.yaml"):
        doc = yamlfile.read(path, path.name).data
        given = [*doc["commands"], *doc.get("menu", [])]
        assert len(given) == len(set(given)), path.name
        assert set(given) | {"menu"} == set(COMMANDS), path.name


def test_the_shipped_layouts_need_no_key_that_some_terminals_do_not_send() -> None:
    config = read(layers(None)[:1])
    assert set(config.layouts) == {"letters", "numbers"}
    for found in config.layouts.values():
        direct = [k for k, c in found.commands.items() if c == "menu" or k in NAMED or len(k) == 1]
        assert all(k in NAMED or (len(k) == 1 and k.isprintable() and not k.isdigit()) for k in direct)
        assert set(COMMANDS) - {"menu"} <= set(found.commands.values())


def test_the_number_pads_layout_has_no_key_that_a_pad_has_not() -> None:
    """A pad's own signs, Enter, and the comma that some pads send for the point; a scanner's Tab apart."""
    found = read(layers(None)[:1]).layouts["numbers"].commands
    assert {k for k in found if len(k) == 1 or k in NAMED} == {".", ",", "+", "-", "*", "/", "enter", "tab"}
    assert found["tab"] == "scan"


def test_a_labels_code_begins_with_the_key_of_the_scan() -> None:
    for found in read(layers(None)[:1]).layouts.values():
        assert sign(found.commands) == "\t"
    assert sign({"g": "go", "%": "scan"}) == "%"
    assert sign({"g": "go"}) == ""
