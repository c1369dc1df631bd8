"""The one registry of tables and columns: loading, writing and the documentation read it.

A table is a file ``NAME.csv``: UTF-8, one header line, one row each. Columns may stand in
any order; those that are not required may be left out. A new column needs a line here and
a field where :mod:`rounds.store.bulk` keeps it.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from rounds.husbandry.stages import DEPTHS, FORBIDS, INSTARS, STAGES

SEXES = ("m", "f", "unknown")
STATES = ("alive", "dead", "gone", "missing")
"""Of an animal: `gone` left the house (given away, sold), `missing` may be found again."""
ORDERS = ("straight", "serpentine")
HOW = ("read", "expected")


class Column(NamedTuple):
    """One column.

    ``type`` names a reader of :mod:`rounds.exchange.cells`; ``words`` are its fixed
    answers; ``of`` is the table whose key a cell must be found in.
    """

    name: str
    type: str
    meaning: str
    required: bool = False
    of: str = ""
    words: tuple[str, ...] = ()


class Table(NamedTuple):
    """One table; ``key`` are the columns that tell its rows apart (none: any row may repeat)."""

    name: str
    meaning: str
    columns: tuple[Column, ...]
    key: tuple[str, ...] = ()
    required: bool = False

    @property
    def file(self) -> str:
        return f"{self.name}.csv"

    def column(self, name: str) -> Column | None:
        return next((c for c in self.columns if c.name == name), None)


C = Column

TABLES: tuple[Table, ...] = (
    Table("house", "the house the book belongs to: exactly one row", (
        C("name", "text", "its name", True),
        C("zone", "zone", "its time zone, as in the IANA list (Europe/Berlin)", True),
        C("day_starts", "clock", "when its day starts, 04:00 unless given"),
        C("order", "word", "how shelves are walked: straight, or serpentine (there and back)", words=ORDERS),
    ), required=True),
    Table("keepers", "who walks", (
        C("keeper", "id", "a name, as it is shown", True),
    ), ("keeper",)),
    Table("places", "every slot of the rack, one row each", (
        C("bay", "bay", "a letter or a few", True),
        C("shelf", "whole", "counted from the top", True),
        C("slot", "whole", "counted from the left", True),
    ), ("bay", "shelf", "slot"), required=True),
    Table("lines", "animals of one recorded origin", (
        C("line", "line", "its name; a / may not be in it", True),
        C("species", "text", "the Latin name, as in the species files", True),
        C("origin", "text", "where it came from, as it was told"),
        C("generation", "text", "the label as the seller wrote it"),
        C("note", "text", "anything else"),
    ), ("line",)),
    Table("animals", "individuals, each with its line and the keeper's own number", (
        C("line", "line", "its line", True, of="lines"),
        C("animal", "id", "the number as the keeper writes it", True),
        C("sex", "word", "m, f or unknown", words=SEXES),
        C("sexed_how", "text", "how it was sexed"),
        C("sire", "animal", "its father as LINE/NUMBER", of="animals"),
        C("dam", "animal", "its mother as LINE/NUMBER", of="animals"),
        C("born", "span", "when it hatched"),
        C("emerged", "span", "when it left its cell"),
        C("first_feed", "span", "when it first ate as an adult"),
        C("mature", "span", "when it was ready to breed"),
        C("state", "word", "alive, dead, gone (left the house) or missing", words=STATES),
        C("note", "text", "anything else"),
    ), ("line", "animal")),
    Table("enclosures", "boxes and tubs; a code is not an address", (
        C("code", "id", "its own code", True),
        C("number", "whole", "the short number typed on the number pad, 1 or more", True),
        C("stage", "word", "what stage it is in", True, words=STAGES),
        C("stage_since", "span", "since when"),
        C("place", "address", "where it stands (B3-2), empty if nobody knows", of="places"),
        C("order", "whole", "among several in one slot; rows stand in file order unless given"),
        C("species", "text", "the Latin name"),
        C("litres", "decimal", "how much it holds"),
        C("note", "text", "anything else"),
    ), ("code",), required=True),
    Table("contents", "who is where now: an animal per row, or a counted group", (
        C("enclosure", "id", "its code", True, of="enclosures"),
        C("line", "line", "of which line", True, of="lines"),
        C("animal", "id", "the animal's number; empty for a group"),
        C("males", "count", "of a group"),
        C("females", "count", "of a group"),
        C("unsexed", "count", "of a group"),
        C("at_least", "yesno", "yes: the counts are `this many or more`"),
        C("instar", "word", "of larvae", words=INSTARS),
        C("since", "span", "since when they are here"),
    ), ("enclosure", "line", "animal", "instar")),
    Table("locks", "what must not be done, and until when", (
        C("enclosure", "id", "its code (or an animal)", of="enclosures"),
        C("animal", "animal", "LINE/NUMBER (or an enclosure)", of="animals"),
        C("forbids", "words", "some of: dig open move wet", True, words=FORBIDS),
        C("from", "day", "since which day", True),
        C("until", "span", "its latest day counts; empty: until it is lifted"),
        C("reason", "text", "why", True),
    ), ("enclosure", "animal", "forbids", "from", "reason")),
    Table("due", "work with a window", (
        C("enclosure", "id", "its code", True, of="enclosures"),
        C("what", "text", "what is to be done", True),
        C("earliest", "day", "first day on which it makes sense", True),
        C("likely", "day", "the best guess"),
        C("latest", "day", "last day", True),
        C("why", "text", "what it follows from"),
    ), ("enclosure", "what", "earliest")),
    Table("visits", "one look at one enclosure on one walk", (
        C("visit", "id", "any id of its own", True),
        C("at", "time", "local date and time in the house's zone (2026-02-01T07:31)", True),
        C("keeper", "id", "who", True, of="keepers"),
        C("enclosure", "id", "its code", True, of="enclosures"),
        C("seq", "whole", "its place in that day's walk; rows stand in file order unless given"),
        C("round", "text", "name of a second walk on one day (evening)"),
        C("place", "address", "where it stood then; where it stands now unless given", of="places"),
        C("skipped", "skip", "why nobody looked"),
        C("note", "text", "what was noted"),
    ), ("visit",)),
    Table("readings", "what was read at visits", (
        C("visit", "id", "the visit's id", True, of="visits"),
        C("reading", "reading", "its id, as in readings.yaml", True),
        C("depth", "word", "wall, lid or dug", True, words=tuple(DEPTHS)),
        C("value", "value", "a number, an answer's id, or yes or no; an expected count is 1..3", True),
        C("how", "word", "read, or expected: confirmed by one key as usual", True, words=HOW),
    ), ("visit", "reading", "depth")),
)  # fmt: skip

BY_NAME = {t.name: t for t in TABLES}


def documented() -> Iterator[str]:
    """The registry as lines of Markdown, one list per table."""
    for table in TABLES:
        yield f"### {table.file}"
        yield f"{table.meaning[0].upper()}{table.meaning[1:]}." + ("" if table.required else " Optional.")
        yield ""
        for c in table.columns:
            yield f"- `{c.name}`{' (required)' if c.required else ''}: {c.meaning}"
        yield ""
