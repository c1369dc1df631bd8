"""What is wrong with a key layout, and what would be right."""

from __future__ import annotations

NO_COMMANDS = "the layout has no `commands`."
NO_KEY_FOR_MENU, ADD_MENU_KEY = (
    "there is a menu, and no key gives `menu`.",
    "Add `menu: [...]` to `commands`.",
)
NO_MENU, LIST_COMMANDS = "a key gives `menu`, and the layout has no `menu`.", "List its commands in order."
WRITE_SPACE = "Write it as `space`."


def no_layout(option: str, name: str, near: str) -> str:
    return f"{option}: there is no key layout `{name}`. {near} `rounds keys` shows one."


def layouts_are(names: tuple[str, ...]) -> str:
    return f"There are: {', '.join(names)}."


def no_key_gives(command: str) -> str:
    return f"no key gives `{command}`."


def in_menu_twice(command: str) -> str:
    return f"`{command}` is in the menu twice."


def no_key(key: str) -> str:
    return f"`{key}` is no key that a terminal sends."


def digit(key: str) -> str:
    return f"`{key}` is a digit, and digits are answers."


def typed_on_a_card(key: str) -> str:
    return f"`{key}` is a letter or a digit, and on a card those are answers."


def gives_already(key: str, command: str) -> str:
    return f"the key `{key}` already gives `{command}`."


def asks_already(key: str, reading: str) -> str:
    return f"the key `{key}` already asks for the reading `{reading}`."


def cannot_begin_scan(key: str) -> str:
    return f"`{key}` cannot begin a scan."


def begins_scan(in_codes: tuple[str, ...]) -> str:
    return f"Use `tab`, or a sign other than {' '.join(in_codes)} (it can then not be typed in notes)."


def same_as(key: str) -> str:
    return f"Write it as `{key}`: on the number pad and elsewhere it is the same key here."


def named_keys(names: tuple[str, ...]) -> str:
    return f"Named keys: {', '.join(names)}."
