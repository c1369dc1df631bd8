"""Parse a key layout: which key gives which command of the walk."""

from __future__ import annotations

from rounds.husbandry.entry_state import COMMANDS
from rounds.husbandry.readings import Vocabulary
from rounds.problems import BadInput, Problem
from rounds.settings.document import Document
from rounds.settings.fields import Fields

NAMED = (
    "space", "enter", "backspace", "up", "down", "left", "right", "tab", "home", "end", "pageup", "pagedown",
)  # fmt: skip
"""Keys every terminal sends, beside single characters. No alt, no escape: see DEVELOPERS.md."""


def layout(doc: Document, vocabulary: Vocabulary) -> dict[str, str]:
    """Command by key. Raises BadInput: unknown command, key taken twice, key no terminal sends."""
    problems: list[Problem] = []
    top = Fields(doc, (), "key layout", problems)
    top.only(("layout", "commands"))
    commands = Fields(doc, ("commands",), "commands", problems) if "commands" in top.data else None
    keys: dict[str, str] = {}
    if commands is None:
        raise BadInput([doc.problem((), "the layout has no `commands`.")])
    commands.only(COMMANDS)
    asked = {k.ask_key: k.id for k in vocabulary.kinds.values() if k.ask_key and not k.retired}
    for command in COMMANDS:
        if command not in commands.data:
            commands.problem((), f"no key gives `{command}`.")
        for i, key in enumerate(commands.words(command)):
            where = (command, i)
            if key not in NAMED and (len(key) != 1 or not key.isprintable() or key == " "):
                commands.problem(
                    where,
                    f"`{key}` is no key that a terminal sends.",
                    "Named keys: " + ", ".join(NAMED) + ".",
                )
            elif key.isdigit():
                commands.problem(where, f"`{key}` is a digit, and digits are answers.")
            elif key in keys:
                commands.problem(where, f"the key `{key}` already gives `{keys[key]}`.")
            elif key in asked:
                commands.problem(where, f"the key `{key}` already asks for the reading `{asked[key]}`.")
            else:
                keys[key] = command
    if problems:
        raise BadInput(problems)
    return keys
