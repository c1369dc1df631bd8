"""Reports about the book and the program: acts, their fields and history, keys, places, tables, rules."""

from __future__ import annotations

from rounds.reports.columns import Column
from rounds.reports.report import ONE_ROW, Table, kind, listing_kind

ACTS = listing_kind(
    "acts",
    "What can be recorded",
    "An act that can be recorded",
    (
        Column("act", "", "text", "What it is called when it is typed", always=True),
        Column("on", "", "text", "What it is done to; empty for nothing in particular"),
        Column("title", "", "text", "What it is called for people", always=True),
        Column("about", "", "text", "What it does"),
        Column("topic", "", "text", "The heading it stands under", always=True),
        Column("fields", "", "text", "Names of its fields", many=True),
    ),
)

ACT_FIELDS = listing_kind(
    "act-fields",
    "What an act is told",
    "A field of an act",
    (
        Column("field", "", "text", "Its name", always=True),
        Column("required", "", "yesno", "Must it be given?", always=True),
        Column("type", "", "text", "What is typed there", always=True),
        Column("of", "", "text", "The table it refers to"),
        Column("many", "", "yesno", "May several be given, with commas?", always=True),
        Column("words", "", "text", "The words it takes", many=True),
        Column("default", "", "text", "What it is unless given"),
        Column("about", "", "text", "What it says"),
    ),
)

_RECORDED = (
    Column("act", "", "whole", "Its number, which undo takes", always=True),
    Column("uid", "", "text", "Names it for good: 32 hexadecimal digits", always=True),
    Column("day", "", "day", "The round day it was recorded on", always=True),
    Column("at_ms", "", "whole", "When it was recorded", unit="ms since 1970, UTC", always=True),
    Column("keeper", "", "text", "Who recorded it"),
    Column("name", "", "text", "The act", always=True),
    Column("on", "", "text", "The table it was done to"),
    Column("which", "", "text", "What it was done to"),
    Column("given", "", "mapping", "What was typed, by field"),
    Column("sure", "", "yesno", "Was a doubt about it answered with yes?"),
    Column("taken_back", "", "yesno", "Was it taken back?"),
    Column("takes_back", "", "whole", "Number of the act it takes back"),
    Column("changes", "", "text", "What it changed in the book", many=True),
)
HISTORY = listing_kind("history", "What was recorded", "A recorded act", _RECORDED)
RECORDED = kind("recorded", "Recorded", "An act that was recorded or taken back just now", fields=_RECORDED, csv=ONE_ROW)  # fmt: skip

KEYS = listing_kind(
    "keys",
    "Keys of the walk",
    "A command or reading, and its keys",
    (
        Column("keys", "keys", "text", "Its keys", many=True, joined=" "),
        Column("for", "for", "text", "Id of the command or the reading", always=True),
        Column("about", "what it does", "text", "What it does", always=True),
        Column("kind", "", "text", "What it is", words=("command", "reading"), always=True),
        Column("layout", "", "text", "The layout in force", always=True),
    ),
)

WHERE = kind(
    "where",
    "Where things are",
    "Where the book, your config and the shipped files are",
    fields=(
        Column("book", "book", "text", "The book", always=True),
        Column("book_exists", "", "yesno", "Is it there?", always=True),
        Column("config", "your config", "text", "Your own config folder"),
        Column("last_good_config", "last good config", "text", "The last config that had no mistake"),
        Column("shipped_config", "shipped config", "text", "The config that came with the program"),
        Column("demo_data", "demo data", "text", "The tables of the invented house"),
    ),
)

TABLE_COLUMNS = listing_kind(
    "table-columns",
    "Tables that can be loaded",
    "A column of a table that can be loaded",
    (
        Column("table", "", "text", "File name of the table", always=True),
        Column("table_meaning", "", "text", "What the table holds", always=True),
        Column("table_required", "", "yesno", "Must the table be there?", always=True),
        Column("column", "", "text", "Name of the column", always=True),
        Column("meaning", "", "text", "What stands in it", always=True),
        Column("words", "", "text", "The words it takes", many=True),
        Column("required", "", "yesno", "Must it be filled?", always=True),
    ),
)

EXPLAINED = kind(
    "rules-explained",
    "Rules at an enclosure",
    "Every rule at an enclosure as it stood at its last look",
    Table(
        "rules",
        (
            Column("rule", "rule", "text", "Its id", always=True),
            Column("level", "level", "text", "How soon harm is done", always=True),
            Column("verdict", "holds", "text", "Does it hold?", words=("yes", "no", "unknown"), always=True),
            Column("because", "because", "text", "What is wrong"),
            Column("do", "do", "text", "What to do"),
            Column("withheld", "withheld", "text", "What a lock forbids now"),
            Column("bring", "", "mapping", "What to bring, and how much of it"),
            Column("history", "", "text", "What earlier looks had to do with it"),
            Column("clauses", "", "object", "Its clauses", many=True, of=(
                Column("depth", "", "whole", "How deep it is nested", always=True),
                Column("text", "", "text", "The clause in words", always=True),
                Column("value", "", "text", "The value it was asked of"),
                Column("verdict", "", "text", "Does it hold?", words=("yes", "no", "unknown"), always=True),
            )),
            Column("file", "", "text", "The file the rule is in", always=True),
            Column("line", "", "whole", "The line it begins in", always=True),
        ),
        "A rule that is watched at the enclosure",
    ),
    fields=(
        Column("enclosure", "", "text", "Its code", always=True),
        Column("stage", "", "text", "What it is for", always=True),
        Column("look", "", "day", "The day of the last look; null when nobody has looked yet"),
    ),
    csv="rules",
)  # fmt: skip

REPLAYED = kind(
    "rules-replayed",
    "Rules over a history",
    "How often each rule would have fired over the looks of a time",
    Table(
        "rules",
        (
            Column("rule", "rule", "text", "Its id", always=True),
            Column("level", "level", "text", "How soon harm is done", always=True),
            Column("visits", "visits", "whole", "Looks it applied to", always=True),
            Column("raised", "raised", "whole", "Times it was raised", always=True),
            Column("per_100", "/100", "number", "Times raised per 100 looks", places=1, always=True),
            Column("stood", "stood", "whole", "Looks at which it stood", always=True),
            Column("unknown", "unknown", "whole", "Looks at which it could not be told", always=True),
            Column("enclosures", "boxes", "whole", "Enclosures it was raised in", always=True),
        ),
        "A rule over the looks it applied to",
    ),
    fields=(
        Column("visits", "", "whole", "Looks that were judged", always=True),
        Column("flags_per_100", "", "number", "Flags raised per 100 looks, all rules together", always=True),
    ),
    csv="rules",
)
