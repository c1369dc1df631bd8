"""What a command of the walk is, and where each place lists it. The table itself is `commands`."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Literal

from rounds.named_tuple import NamedTuple

NOWHERE, LAST = 0, 1000
"""Ranks of a command that a place does not list, and of one that it lists after all the others."""

WhileOnPage = Literal["nothing", "moves", "over_page", "closes_page", "at_row", "at_row_and_back"]
"""What giving a command does while a page of the books is in sight.

``moves``: the page's own keys, along its rows, into one and back. ``over_page``: it is carried
out where it is, ``closes_page``: once the pages are closed. ``at_row``: at the enclosure of the
row or of the page, ``at_row_and_back``: and then the page is in sight again, whatever had to be
told first.
"""


class Command(NamedTuple):
    """One command of the walk.

    ``does`` is its sentence on the help page, and ``label`` its word or two at the foot of the
    screen. On the summary and on a page of the books some mean something else: there the fields
    with these names count, and an empty one says the same as on the walk.
    """

    id: str
    does: str
    label: str
    words: tuple[str, ...]
    """Words that give it in line mode, the one that is read out first."""
    big_label: str = ""
    """The label on a large key for a finger, where the other is too long for it."""
    on_summary: str = ""
    summary_label: str = ""
    big_summary_label: str = ""
    on_page: str = ""
    page_label: str = ""
    big_page_label: str = ""
    needs_own_key: bool = False
    """Must have a key of its own and cannot be in a layout's menu."""
    while_correcting: bool = True
    """Can be given while an earlier visit is being corrected."""
    asks: bool = False
    """Asks for more: in line mode the rest of a line answers it."""
    ends_line: bool = False
    """Nothing more of a line is taken after its last answer: `done 1 2` must not read 2 as an answer."""
    walk_rank: int = LAST
    """Where it stands among the keys of the walk: the lowest first, in steps of ten, so that another fits between."""
    summary_rank: int = NOWHERE
    """The same at the foot and on the help page of the summary."""
    page_rank: int = NOWHERE
    """The same at the foot of a page of the books and, if it has ``on_page``, on the help of a page."""
    in_key_line: tuple[str, ...] = ()
    """Places where it is one of the few in the line of keys; a keeper finds the others behind the help key."""
    at_page_foot: bool = True
    """Stands at the foot of a page too, if it has a rank there."""
    large_rank: int = LAST
    """The same among the large keys for a finger; those of the first row have a place of their own."""
    while_on_page: WhileOnPage = "nothing"
    in_every_layout: bool = False
    """No walk goes well without it: a layout that does not lead to it is refused."""
    stand_in: bool = False
    """A stand-in may give it: looks, what was given, notes, and finding the way."""
    by_scanner: bool = False
    """Given by a scanner that types its key: neither the foot nor a large key shows it."""


def _ranked(rank: Callable[[Command], int], among: Iterable[Command]) -> tuple[str, ...]:
    """Those that have a rank, by it; where two have the same, the order of the table."""
    return tuple(c.id for c in sorted((c for c in among if rank(c)), key=rank))


class Listed(NamedTuple):
    """The commands in the order in which each place lists them."""

    key_line: Mapping[str, tuple[str, ...]]
    """Those in the line of keys at the foot of a place."""

    at_foot: Mapping[str, tuple[str, ...]]
    """At the foot of the screen, on the ``walk``, its ``summary`` and a ``page`` of the books."""
    summary_help: tuple[str, ...]
    page_help: tuple[str, ...]
    """Neighbours that do the same share a line of it."""
    large_keys: tuple[str, ...]
    """All that a finger gives with a large key."""


def listed(commands: Iterable[Command]) -> Listed:
    """Where each command is listed, as its fields say."""
    every = tuple(commands)
    pressed = tuple(c for c in every if not c.by_scanner)
    at_foot = {
        "walk": _ranked(lambda c: c.walk_rank, pressed),
        "summary": _ranked(lambda c: c.summary_rank, pressed),
        "page": _ranked(lambda c: c.page_rank, (c for c in pressed if c.at_page_foot)),
    }
    placed = {c.id: c.in_key_line for c in pressed}
    return Listed(
        key_line={place: tuple(c for c in among if place in placed[c]) for place, among in at_foot.items()},
        at_foot=at_foot,
        summary_help=_ranked(lambda c: c.summary_rank, every),
        page_help=_ranked(lambda c: c.page_rank, (c for c in every if c.on_page)),
        large_keys=_ranked(lambda c: c.large_rank, pressed),
    )
