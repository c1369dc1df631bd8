"""A way into every mode of the walk's machine, on any house, with any layout.

A new mode needs its line here, and is then tried by every test that goes through all of them:
on every screen (``tests/screens/house.py``), with the keys of a number pad
(``tests/presenters/test_numbers.py``) and scanned out of (``test_scan_mode.py``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.keys.menu_keys import keys_of_entry

WAYS: Mapping[str, tuple[str, ...]] = {
    "walk": ("on:walk",),
    "menu": ("to:menu",),
    "go": ("to:go", "1"),
    "skip": ("to:skip",),
    "scan": ("to:scan", *"TL-0"),
    "note": ("to:note", *"dry"),
    "earlier": ("to:correct",),
    "other": ("to:other",),
    "pick": ("to:done",),
    "days": ("to:put_off", "on:action", "3"),
    "why": ("to:put_off", "on:action", "3", "enter"),
    "acts": ("to:record",),
    "card": ("to:record", "on:card"),
    "series": ("on:weighing", "to:record", "on:series"),
    "sure": ("to:record", "on:sure"),
    "older": ("to:record", "on:acting", "to:correct", "on:older"),
    "work": ("on:due", "to:done"),
    "help": ("to:help",),
    "left": ("to:quit",),
}
"""By mode: ``to:`` gives a command, ``on:`` is told as the house's own ``told`` says; the rest are keys."""


def keys_into(mode: str, commands: Mapping[str, str], told: Mapping[str, Sequence[str]]) -> tuple[str, ...]:
    """The keys that lead into a mode from the walk itself; ``commands`` are a layout's, by key.

    KeyError where the layout or the house has no way.
    """
    by_command = {command: key for key, command in reversed(commands.items())}
    keys: list[str] = []
    for step in WAYS[mode]:
        if step.startswith("to:"):
            keys += keys_of_entry(by_command[step.removeprefix("to:")], commands)
        elif step.startswith("on:"):
            keys += told[step.removeprefix("on:")]
        else:
            keys.append(step)
    return tuple(keys)
