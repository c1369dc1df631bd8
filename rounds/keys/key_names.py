"""How keys are called: the names that layouts and the walk use, other names of them, the signs shown."""

from __future__ import annotations

from collections.abc import Mapping

NAMED = (
    "space",
    "enter",
    "backspace",
    "up",
    "down",
    "left",
    "right",
    "tab",
    "home",
    "end",
    "pageup",
    "pagedown",
)
"""Keys every terminal sends, beside single characters.

No alt and no escape: both begin with the sign that arrows begin with, so that a terminal cannot tell them for sure.
"""

SAME: Mapping[str, str] = {
    "plus": "+",
    "add": "+",
    "minus": "-",
    "subtract": "-",
    "asterisk": "*",
    "multiply": "*",
    "star": "*",
    "slash": "/",
    "divide": "/",
    "period": ".",
    "full_stop": ".",
    "point": ".",
    "decimal": ".",
    "comma": ",",
    "separator": ",",
    "return": "enter",
    "kp_enter": "enter",
}
"""Other names of keys, which some terminals or people use: the walk knows each by its sign."""

ARROWS: Mapping[str, str] = {"up": "↑", "down": "↓", "left": "←", "right": "→"}


def sign_of(key: str) -> str:
    """The key as it is shown: an arrow for a key that is one, else its name."""
    return ARROWS.get(key, key)
