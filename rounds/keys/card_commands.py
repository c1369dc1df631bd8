"""The one table of the commands of a card: what an act is told on, whichever layout is in force.

Key layouts, the foot of a card, the keys for a finger, the words of line mode, ``rounds keys`` and
the help page read it. On a card every digit and every letter is an answer, so that its commands
have keys that are neither: a sign, or a key with a name. No arrow and no backspace is needed,
because a number pad has neither.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.named_tuple import NamedTuple


class CardCommand(NamedTuple):
    """One command of a card.

    ``keys`` are those it has in a layout that says nothing of cards, one older than they are.
    ``words`` give it in line mode.
    """

    id: str
    does: str
    label: str
    words: tuple[str, ...]
    keys: tuple[str, ...]


CARD_COMMANDS: Mapping[str, CardCommand] = {
    command.id: command
    for command in (
        CardCommand(
            "next_field",
            "to the next field of a card; what is typed is taken",
            "next",
            ("next", "next field"),
            ("+", "down"),
        ),
        CardCommand(
            "previous_field",
            "to the field before; from the first one to the last",
            "before",
            ("before", "field before", "previous"),
            ("-", "up"),
        ),
        CardCommand(
            "at_least",
            "the number is at least so many; pressed there again: exactly so many. On a pad, where nothing is counted: all that is said of the act",
            "at least",
            ("at least",),
            ("/",),
        ),
        CardCommand(
            "choose",
            "choose from a list what could be typed, or type what is listed",
            "list or type",
            ("list", "type"),
            (".", ","),
        ),
        CardCommand("record", "record what the card says", "record", ("record",), ("enter",)),
        CardCommand(
            "leave",
            "take back what is typed; with nothing typed, leave the card and record nothing",
            "leave",
            ("leave", "cancel"),
            ("*", "backspace"),
        ),
        CardCommand(
            "all",
            "all that is said of the act: its cautions in full, and what its fields mean",
            "all",
            ("all", "all of it"),
            ("?",),
        ),
    )
}
"""Every command of a card by its id, in the order of the help page."""

STANDARD: Mapping[str, str] = {key: c.id for c in CARD_COMMANDS.values() for key in c.keys}
"""The command by key, for a layout that says nothing of cards."""
