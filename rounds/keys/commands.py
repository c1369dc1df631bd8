"""The one table of the walk's commands: what each is called, does and needs, wherever it is shown.

Key layouts, the foot of the screen, the help page, the keys for a finger and the words of line
mode all read it. What a command brings about is in `rounds.walk.machine`.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.keys.command import NOWHERE, Command, listed

_ROW_UP_OR_DOWN = "one row up or down; page up and page down ten, home and end to the ends"
_DONE_ON_PAGE = "done or put off, at the enclosure of the row"
_NOTE_ON_PAGE = "write a note, or correct one of its last visits, at the enclosure of the row"
_SKIP_ON_PAGE = "skip it, or look closer, at the enclosure of the row"

COMMANDS: Mapping[str, Command] = {
    command.id: command
    for command in (
        Command(
            "next",
            "confirm what was not typed as expected, and go on",
            "go on",
            ("next", "on"),
            big_label="on",
            on_summary="go to the row's enclosure",
            summary_label="go there",
            big_summary_label="go",
            on_page="open the page behind the row",
            page_label="open",
            walk_rank=10,
            summary_rank=50,
            page_rank=30,
            while_on_page="moves",
            in_every_layout=True,
        ),
        Command(
            "back",
            "one enclosure back",
            "back",
            ("back",),
            on_summary="back to the last enclosure",
            summary_label="last enclosure",
            big_summary_label="last",
            on_page="back to the page before, at last to the walk",
            walk_rank=20,
            summary_rank=60,
            page_rank=40,
            while_on_page="moves",
            in_every_layout=True,
        ),
        Command(
            "reading_up",
            "one reading up",
            "up",
            ("up",),
            on_summary="one row up",
            on_page=_ROW_UP_OR_DOWN,
            walk_rank=NOWHERE,
            summary_rank=10,
            page_rank=10,
            while_on_page="moves",
        ),
        Command(
            "reading_down",
            "one reading down (leaves it unread)",
            "down",
            ("down",),
            on_summary="one row down",
            on_page=_ROW_UP_OR_DOWN,
            walk_rank=NOWHERE,
            summary_rank=20,
            page_rank=20,
            while_on_page="moves",
        ),
        Command(
            "other",
            "a reading that this stage is not asked",
            "other reading",
            ("other",),
            big_label="other",
            asks=True,
            walk_rank=100,
            large_rank=30,
        ),
        Command(
            "deeper",
            "look closer: through the wall, lid open, dug",
            "look closer",
            ("closer", "deeper"),
            big_label="closer",
            on_page=_SKIP_ON_PAGE,
            while_correcting=False,
            walk_rank=90,
            page_rank=110,
            at_page_foot=False,
            large_rank=20,
            while_on_page="at_row",
        ),
        Command(
            "skip",
            "skip this enclosure, with a reason",
            "skip",
            ("skip",),
            on_page=_SKIP_ON_PAGE,
            while_correcting=False,
            asks=True,
            walk_rank=30,
            page_rank=100,
            at_page_foot=False,
            while_on_page="at_row",
        ),
        Command(
            "go",
            "go to an enclosure by its number or code",
            "go to no.",
            ("go", "go to"),
            big_label="go to",
            on_page="leave the books and walk on at an enclosure, by its number or code",
            page_label="walk to no.",
            big_page_label="walk to",
            while_correcting=False,
            asks=True,
            walk_rank=40,
            summary_rank=80,
            page_rank=120,
            while_on_page="over_page",
        ),
        Command(
            "scan",
            "go to a scanned enclosure from anywhere, also out of a note; a label's code begins with it",
            "scan",
            ("scan",),
            needs_own_key=True,
            walk_rank=NOWHERE,
            summary_rank=90,
            in_every_layout=True,
            by_scanner=True,
        ),
        Command(
            "note",
            "a note in words",
            "note",
            ("note",),
            on_page=_NOTE_ON_PAGE,
            asks=True,
            walk_rank=50,
            page_rank=80,
            at_page_foot=False,
            while_on_page="at_row",
        ),
        Command(
            "record",
            "something that happened here: an act of the books",
            "record an act",
            ("record",),
            big_label="record",
            on_page="record what happened, at the enclosure of the row or of the page",
            asks=True,
            ends_line=True,
            walk_rank=60,
            page_rank=50,
            large_rank=10,
            while_on_page="at_row",
        ),
        Command(
            "pages",
            "the books: this enclosure's page, and from there the rack, animals, due work ...",
            "books",
            ("pages", "books"),
            on_page="this enclosure's page",
            page_label="open",
            asks=True,
            walk_rank=140,
            summary_rank=110,
            page_rank=140,
            at_page_foot=False,
            large_rank=80,
            while_on_page="over_page",
        ),
        Command(
            "find",
            "find anything by a part of its name, or words in notes",
            "find",
            ("find",),
            on_page="find anything by a part of its name, or words in notes",
            asks=True,
            walk_rank=150,
            summary_rank=120,
            page_rank=130,
            large_rank=90,
            while_on_page="over_page",
        ),
        Command(
            "undo",
            "take the last thing recorded back, as often as you like",
            "undo",
            ("undo",),
            on_page="close the books and take the last thing recorded back",
            walk_rank=70,
            summary_rank=100,
            page_rank=160,
            at_page_foot=False,
            while_on_page="closes_page",
            in_every_layout=True,
        ),
        Command(
            "correct",
            "correct one of the last three visits; the old value is kept",
            "correct a visit",
            ("correct",),
            big_label="correct",
            on_page=_NOTE_ON_PAGE,
            asks=True,
            walk_rank=130,
            page_rank=90,
            at_page_foot=False,
            large_rank=40,
            while_on_page="at_row",
        ),
        Command(
            "done",
            "an open action, or else work that is due, has just been carried out",
            "work done",
            ("done",),
            big_label="done",
            on_summary="the row's action has just been carried out",
            on_page=_DONE_ON_PAGE,
            while_correcting=False,
            asks=True,
            ends_line=True,
            walk_rank=110,
            summary_rank=30,
            page_rank=60,
            large_rank=50,
            while_on_page="at_row_and_back",
        ),
        Command(
            "put_off",
            "put an open action off, or else work that is due, with a reason",
            "put off",
            ("put off", "put_off"),
            on_summary="put the row's action off, with a reason",
            on_page=_DONE_ON_PAGE,
            while_correcting=False,
            asks=True,
            ends_line=True,
            walk_rank=120,
            summary_rank=40,
            page_rank=70,
            large_rank=60,
            while_on_page="at_row_and_back",
        ),
        Command(
            "summary",
            "the summary; again to come back",
            "summary",
            ("summary",),
            on_summary="back to where the walk stood",
            summary_label="back to walk",
            big_summary_label="the walk",
            on_page="close the books and show the summary",
            while_correcting=False,
            walk_rank=160,
            summary_rank=70,
            page_rank=150,
            large_rank=70,
            while_on_page="closes_page",
        ),
        Command(
            "menu",
            "the commands without a key of their own, by number",
            "menu",
            ("menu",),
            needs_own_key=True,
            walk_rank=80,
            summary_rank=130,
            large_rank=110,
            while_on_page="over_page",
        ),
        Command(
            "help",
            "this page",
            "help",
            ("help",),
            walk_rank=170,
            summary_rank=140,
            page_rank=170,
            while_on_page="over_page",
            in_every_layout=True,
        ),
        Command(
            "quit",
            "save and leave; the next start resumes here",
            "quit",
            ("quit", "leave"),
            on_page="save and leave; the next start resumes the walk",
            walk_rank=180,
            summary_rank=150,
            page_rank=180,
            large_rank=100,
            while_on_page="over_page",
            in_every_layout=True,
        ),
    )
}
"""Every command by its id, in the order of the help page."""


LISTED = listed(COMMANDS.values())

PER_PAGE = 9
"""Entries of a numbered list that have a digit each; 0 turns to the next page."""


def label_at(place: str, command: str) -> str:
    """What the foot calls a command on the ``walk``, the ``summary`` or a ``page``."""
    found = COMMANDS[command]
    there = {"summary": found.summary_label, "page": found.page_label}.get(place, "")
    return there or found.label


def big_label_at(place: str, command: str) -> str:
    """What a large key for a finger calls it there: short enough for the key."""
    found = COMMANDS[command]
    if place == "summary" and found.summary_label:
        return found.big_summary_label or found.summary_label
    if place == "page" and found.page_label:
        return found.big_page_label or found.page_label
    return found.big_label or found.label
