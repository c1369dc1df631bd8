"""The commands of the walk, and how an entry of a numbered menu is typed."""

from __future__ import annotations

ABOUT = {
    "next": "confirm what was not typed as expected, and go on",
    "back": "one enclosure back",
    "reading_up": "one reading up",
    "reading_down": "one reading down (leaves it unread)",
    "other": "a reading that this stage is not asked",
    "deeper": "look closer: through the wall, lid open, dug",
    "skip": "skip this enclosure, with a reason",
    "go": "go to an enclosure by its number or code",
    "scan": "go to a scanned enclosure from anywhere, also out of a note; a label's code begins with it",
    "note": "a note in words",
    "record": "something that happened here: an act of the books",
    "pages": "the books: this enclosure's page, and from there the rack, animals, due work ...",
    "find": "find anything by a part of its name, or words in notes",
    "undo": "take the last thing recorded back, as often as you like",
    "correct": "correct one of the last three visits; the old value is kept",
    "done": "an open action, or else work that is due, has just been carried out",
    "put_off": "put an open action off, or else work that is due, with a reason",
    "summary": "the summary; again to come back",
    "menu": "the commands without a key of their own, by number",
    "help": "this page",
    "quit": "save and leave; the next start resumes here",
}
"""What each command of the walk does, in the words of the help page."""

COMMANDS = tuple(ABOUT)

PER_PAGE = 9
"""Entries of a numbered list that have a digit each; 0 turns to the next page."""


def chord(opener: str, at: int) -> str:
    """The menu's entry number ``at`` (from 0) as a key, ``opener`` being the menu's own."""
    apart = " " if len(opener) > 1 else ""
    return f"{opener}{apart}{'0' * (at // PER_PAGE)}{at % PER_PAGE + 1}"
