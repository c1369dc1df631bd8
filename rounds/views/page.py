"""A page of the books as plain values: what it is about, its rows, and where each row leads.

Pages are looked at from the walk. Builders in :mod:`rounds.views` make them, the machine
(:mod:`rounds.walk.machine.page_keys`) moves on them, the screen paints them. Texts are as the
book has them; whoever paints cleans them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import overload

from rounds.named_tuple import NamedTuple

Id = int | str


class Link(NamedTuple):
    """A page: its kind (a key of rounds.views.page_registry.PAGE_KINDS) and whom it is about, if anybody."""

    kind: str
    id: Id = 0


class OpenPage(NamedTuple):
    """An open page: which row the cursor is at, and what was typed there."""

    link: Link
    cursor: int = 0
    query: str = ""


class RowAct(NamedTuple):
    """An act that the record key records for a row, at an enclosure, with what it must be told."""

    enclosure: int
    act: str
    whom: str
    typed: tuple[tuple[str, str], ...] = ()


class ListRow(NamedTuple):
    """One row: a text per column of its part. ``enclosure`` is the box it concerns (its id)."""

    cells: tuple[str, ...]
    link: Link | None = None
    style: str = ""  # one of rounds.presenters.lines.STYLES; its meaning is in the text as well
    enclosure: int | None = None
    act: RowAct | None = None
    acts: tuple[tuple[str, RowAct | str], ...] = ()  # for done and put_off: what they record, or why nothing
    action: bytes = b""  # the open action that done and put off are about


class Made(Sequence[ListRow]):
    """Rows of many ids, each made when it is asked for."""

    def __init__(self, ids: Sequence[int], make: Callable[[int], ListRow]) -> None:
        self.ids, self._make = ids, make

    def __len__(self) -> int:
        return len(self.ids)

    @overload
    def __getitem__(self, at: int) -> ListRow: ...
    @overload
    def __getitem__(self, at: slice) -> Made: ...
    def __getitem__(self, at: int | slice) -> ListRow | Made:
        if isinstance(at, slice):
            return Made(self.ids[at], self._make)
        return self._make(self.ids[at])


class ListColumn(NamedTuple):
    """A heading, and the cells a column keeps where there is no room for all of every text.

    Columns that ``grow`` hold sentences and give way first. ``right``: numbers, which end
    under each other. ``named``: names of animals, of which no number is ever cut.
    """

    head: str
    width: int
    grow: int = 0
    right: bool = False
    named: bool = False


class PageSection(NamedTuple):
    """A list on a page. ``rows`` may make its rows only when they are asked for.

    ``counted``: how many there are stands beside the title; not where the rows are of several sorts.
    """

    title: str
    columns: tuple[ListColumn, ...] = ()
    rows: Sequence[ListRow] = ()
    empty: str = ""  # what to say when there is none
    counted: bool = True


class Tile(NamedTuple):
    """One enclosure on the drawn rack, or a free slot: its code and its stage, and its mark."""

    texts: tuple[str, ...]
    link: Link | None
    mark: str = ""  # what needs doing, as a sign: see rounds.records.round_summary.MARKS
    style: str = ""
    shade: str = ""  # how long nobody looked, as a sign: its style follows from it
    enclosure: int | None = None
    signs: tuple[str, ...] = ()  # words of what else is to be minded there: due, lock
    said: tuple[str, ...] = ()  # all of it in full, for whoever stands at it


class Shelf(NamedTuple):
    """One shelf of the drawn rack, left to right; ``listed``: no shelf, but one box that has no place."""

    name: str
    tiles: tuple[Tile, ...]
    bay: str = ""
    listed: bool = False


class Page(NamedTuple):
    """Everything one page shows.

    ``facts`` are (label, text); ``drawn`` are lines of a plot or a tree; either ``parts`` or
    ``shelves`` is moved on. ``enclosure`` is the box at which acts of this page are recorded.
    ``typed`` pages take letters as text to look for. ``wait`` says what is still being worked
    out. ``about`` is what the page shows, for its help.
    """

    title: str
    facts: tuple[tuple[str, str], ...] = ()
    drawn: tuple[str, ...] = ()
    parts: tuple[PageSection, ...] = ()
    shelves: tuple[Shelf, ...] = ()
    enclosure: int | None = None
    typed: bool = False
    wait: str = ""
    about: str = ""
    hint: str = ""  # what to do first where a book is empty

    def size(self) -> int:
        """How many rows or tiles the cursor can be at."""
        if self.shelves:
            return sum(len(s.tiles) for s in self.shelves)
        return sum(len(p.rows) for p in self.parts)

    def at(self, cursor: int) -> ListRow | Tile | None:
        """The row or tile at the cursor, None where there is none."""
        for rows in self._lists():
            if cursor < len(rows):
                return rows[cursor] if cursor >= 0 else None
            cursor -= len(rows)
        return None

    def _lists(self) -> list[Sequence[ListRow] | Sequence[Tile]]:
        if self.shelves:
            return [s.tiles for s in self.shelves]
        return [p.rows for p in self.parts]


class Topic(NamedTuple):
    """A page of the whole house, and the digit that opens it from any other; the find page lists one without ("")."""

    key: str
    link: Link
    title: str


TOPICS: tuple[Topic, ...] = (
    Topic("0", Link("find"), "find"),
    Topic("1", Link("rack"), "rack"),
    Topic("2", Link("due"), "due"),
    Topic("3", Link("actions"), "to do"),
    Topic("4", Link("animals"), "animals"),
    Topic("5", Link("lines"), "lines"),
    Topic("6", Link("pairings"), "pairings"),
    Topic("7", Link("match"), "whom to pair"),
    Topic("8", Link("lots"), "arrivals"),
    Topic("9", Link("corrections"), "corrections"),
)
"""The pages of the whole house; a digit opens its own on every page that is not typed on."""
