"""The keys of a layout's numbered menu: its own key, then the digits of an entry."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.keys.commands import PER_PAGE


def keys_of_entry(key: str, commands: Mapping[str, str]) -> tuple[str, ...]:
    """The keys to press for a key of a layout: itself, or the menu's key and digits for an entry of the menu."""
    opener = next((k for k, c in commands.items() if c == "menu"), "")
    if not opener or key == opener or not key.startswith(opener) or key not in commands:
        return (key,)
    return (opener, *key.removeprefix(opener).strip())


def chord(opener: str, at: int) -> str:
    """The menu's entry number ``at`` (from 0) as a key, ``opener`` being the menu's own."""
    apart = " " if len(opener) > 1 else ""
    return f"{opener}{apart}{'0' * (at // PER_PAGE)}{at % PER_PAGE + 1}"
