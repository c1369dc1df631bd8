"""A key layout: a key nobody can press, or one that means two things, is refused with its place."""

from __future__ import annotations

import pytest

from rounds.config import layers
from rounds.husbandry.entry_state import COMMANDS
from rounds.husbandry.keys_file import NAMED, layout
from rounds.husbandry.readings import Kind, Vocabulary
from rounds.problems import BadInput
from rounds.settings import yamlfile

WORDS = Vocabulary(
    {
        "smell": Kind("smell", "smell", "tick", ask_key="e"),
        "old": Kind("old", "old", "tick", ask_key="n", retired=True),
    },
    {},
)
KEYS = dict(zip(COMMANDS, [["space", "enter"], *([k] for k in "bfhilmnopqrstuv?wyzacdgjkx")], strict=False))


def text(keys: dict[str, list[str]]) -> str:
    rows = "".join(f"  {c}: [{', '.join(f'{k!r}' for k in mine)}]\n" for c, mine in keys.items())
    return f"layout: mine\ncommands:\n{rows}"


def problems(typed: str) -> list[str]:
    with pytest.raises(BadInput) as caught:
        layout(yamlfile.parse(typed, "keys.yaml"), WORDS)
    return [str(p) for p in caught.value.problems]


def test_a_good_layout_gives_a_command_by_key() -> None:
    found = layout(yamlfile.parse(text(KEYS), "keys.yaml"), WORDS)
    assert found["space"] == found["enter"] == "next"
    assert set(found.values()) == set(COMMANDS)


@pytest.mark.parametrize(
    ("command", "keys", "said"),
    [
        ("back", ["escape"], "`escape` is no key that a terminal sends. Named keys: space"),
        ("back", ["ab"], "is no key"),
        ("back", ["7"], "digits are answers"),
        ("back", ["space"], "the key `space` already gives `next`"),
        ("back", ["e"], "already asks for the reading `smell`"),
    ],
)
def test_a_key_that_cannot_be_is_refused_with_its_place(command: str, keys: list[str], said: str) -> None:
    line = 3 + list(KEYS).index(command)
    found = problems(text({**KEYS, command: keys}))
    assert any(said in p and p.startswith(f"keys.yaml:{line}:") for p in found), found


def test_a_retired_reading_frees_its_key() -> None:
    assert layout(yamlfile.parse(text(KEYS), "keys.yaml"), WORDS)["n"], "the retired reading `old` had it"


def test_a_command_without_a_key_an_unknown_command_and_no_commands_are_told() -> None:
    lacking = {c: k for c, k in KEYS.items() if c != "undo"}
    assert any("no key gives `undo`" in p for p in problems(text(lacking)))
    assert any(
        "unknown field `undoo`. Did you mean `undo`?" in p
        for p in problems(text({**lacking, "undoo": ["u"]}))
    )
    assert any("no `commands`" in p for p in problems("layout: mine\n"))


def test_the_shipped_layout_needs_no_key_that_some_terminals_do_not_send() -> None:
    root = layers(None)[0].root
    for path in sorted((root / "keys").glob("*.yaml")):
        found = layout(yamlfile.read(path), Vocabulary({}, {}))
        assert all(k in NAMED or (len(k) == 1 and k.isprintable() and not k.isdigit()) for k in found)
        assert set(found.values()) == set(COMMANDS)
