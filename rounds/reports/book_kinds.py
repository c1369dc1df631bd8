"""Reports about the book and the program: acts, their fields and history, keys, places, tables, rules."""

from __future__ import annotations

from rounds.reports.report import ONE_ROW, ReportTable, kind, listing_kind
from rounds.reports.report_columns import ReportColumn

ACTS = listing_kind(
    "acts",
    "What can be recorded",
    "An act that can be recorded",
    (
        ReportColumn("act", "", "text", "What it is called when it is typed", always=True),
        ReportColumn("on", "", "text", "What it is done to; empty for nothing in particular"),
        ReportColumn("title", "", "text", "What it is called for people", always=True),
        ReportColumn("about", "", "text", "What it does"),
        ReportColumn("topic", "", "text", "The heading it stands under", always=True),
        ReportColumn("fields", "", "text", "Names of its fields", many=True),
    ),
)

ACT_FIELDS = listing_kind(
    "act-fields",
    "What an act is told",
    "A field of an act",
    (
        ReportColumn("field", "", "text", "Its name", always=True),
        ReportColumn("required", "", "yesno", "Must it be given?", always=True),
        ReportColumn("type", "", "text", "What is typed there", always=True),
        ReportColumn("of", "", "text", "The table it refers to"),
        ReportColumn("many", "", "yesno", "May several be given, with commas?", always=True),
        ReportColumn("words", "", "text", "The words it takes", many=True),
        ReportColumn("default", "", "text", "What it is unless given"),
        ReportColumn("about", "", "text", "What it says"),
    ),
)

_RECORDED = (
    ReportColumn("act", "", "whole", "Its number, which undo takes", always=True),
    ReportColumn("uid", "", "text", "Names it for good: 32 hexadecimal digits", always=True),
    ReportColumn("day", "", "day", "The round day it was recorded on", always=True),
    ReportColumn("at_ms", "", "whole", "When it was recorded", unit="ms since 1970, UTC", always=True),
    ReportColumn("keeper", "", "text", "Who recorded it"),
    ReportColumn("name", "", "text", "The act", always=True),
    ReportColumn("on", "", "text", "The table it was done to"),
    ReportColumn("which", "", "text", "What it was done to"),
    ReportColumn("given", "", "mapping", "What was typed, by field"),
    ReportColumn("sure", "", "yesno", "Was a doubt about it answered with yes?"),
    ReportColumn("taken_back", "", "yesno", "Was it taken back?"),
    ReportColumn("takes_back", "", "whole", "Number of the act it takes back"),
    ReportColumn("changes", "", "text", "What it changed in the book", many=True),
)
HISTORY = listing_kind("history", "What was recorded", "A recorded act", _RECORDED)
RECORDED = kind(
    "recorded", "Recorded", "An act that was recorded or taken back just now", fields=_RECORDED, csv=ONE_ROW
)

KEYS = listing_kind(
    "keys",
    "Keys of the walk",
    "A command or reading, and its keys",
    (
        ReportColumn("keys", "keys", "text", "Its keys", many=True, joined=" "),
        ReportColumn("for", "for", "text", "Id of the command or the reading", always=True),
        ReportColumn("about", "what it does", "text", "What it does", always=True),
        ReportColumn("kind", "", "text", "What it is", words=("command", "card", "reading"), always=True),
        ReportColumn("layout", "", "text", "The layout in force", always=True),
    ),
)

WHERE = kind(
    "where",
    "Where things are",
    "Where the book, your config and the shipped files are",
    fields=(
        ReportColumn("book", "book", "text", "The book", always=True),
        ReportColumn("book_exists", "", "yesno", "Is it there?", always=True),
        ReportColumn("config", "your config", "text", "Your own config folder"),
        ReportColumn("last_good_config", "last good config", "text", "The last config that had no mistake"),
        ReportColumn("shipped_config", "shipped config", "text", "The config that came with the program"),
        ReportColumn("demo_data", "demo data", "text", "The tables of the invented house"),
    ),
)

TABLE_COLUMNS = listing_kind(
    "table-columns",
    "Tables that can be loaded",
    "A column of a table that can be loaded",
    (
        ReportColumn("table", "", "text", "File name of the table", always=True),
        ReportColumn("table_meaning", "", "text", "What the table holds", always=True),
        ReportColumn("table_required", "", "yesno", "Must the table be there?", always=True),
        ReportColumn("column", "", "text", "Name of the column", always=True),
        ReportColumn("meaning", "", "text", "What stands in it", always=True),
        ReportColumn("words", "", "text", "The words it takes", many=True),
        ReportColumn("required", "", "yesno", "Must it be filled?", always=True),
    ),
)

ROW_COUNTS = listing_kind(
    "row-counts",
    "Rows by table",
    "A table, and how many of its rows were loaded or written",
    (
        ReportColumn("table", "table", "text", "Its name, without the ending", always=True),
        ReportColumn("rows", "rows", "whole", "Rows of it", always=True),
    ),
)

PROBLEMS = listing_kind(
    "problems",
    "What is wrong",
    "One thing wrong in one place",
    (
        ReportColumn("file", "file", "text", "The file it is in", always=True),
        ReportColumn("line", "line", "whole", "The line; null for the whole file"),
        ReportColumn("column", "column", "whole", "The column; null for the whole line"),
        ReportColumn("message", "what is wrong", "text", "What is wrong", always=True),
        ReportColumn("hint", "what to do", "text", "What to do about it"),
    ),
)

EXPLAINED = kind(
    "rules-explained",
    "Rules at a box",
    "Every rule at a box as it stood on its last visit",
    ReportTable(
        "rules",
        (
            ReportColumn("rule", "rule", "text", "Its id", always=True),
            ReportColumn("level", "level", "text", "How soon harm is done", always=True),
            ReportColumn(
                "verdict", "holds", "text", "Does it hold?", words=("yes", "no", "unknown"), always=True
            ),
            ReportColumn("because", "because", "text", "What is wrong"),
            ReportColumn("do", "do", "text", "What to do"),
            ReportColumn("withheld", "withheld", "text", "What a lock forbids now"),
            ReportColumn("bring", "", "mapping", "What to bring, and how much of it"),
            ReportColumn("history", "", "text", "What earlier looks had to do with it"),
            ReportColumn(
                "clauses",
                "",
                "object",
                "Its clauses",
                many=True,
                of=(
                    ReportColumn("depth", "", "whole", "How deep it is nested", always=True),
                    ReportColumn("text", "", "text", "The clause in words", always=True),
                    ReportColumn("value", "", "text", "The value it was asked of"),
                    ReportColumn(
                        "verdict", "", "text", "Does it hold?", words=("yes", "no", "unknown"), always=True
                    ),
                ),
            ),
            ReportColumn("file", "", "text", "The file the rule is in", always=True),
            ReportColumn("line", "", "whole", "The line it begins in", always=True),
        ),
        "A rule that is watched at the box",
    ),
    fields=(
        ReportColumn("enclosure", "", "text", "Its code", always=True),
        ReportColumn("stage", "", "text", "What it is for", always=True),
        ReportColumn("look", "", "day", "The day of the last look; null when nobody has looked yet"),
    ),
    csv="rules",
)

REPLAYED = kind(
    "rules-replayed",
    "Rules over a history",
    "How often each rule would have fired over the looks of a time",
    ReportTable(
        "rules",
        (
            ReportColumn("rule", "rule", "text", "Its id", always=True),
            ReportColumn("level", "level", "text", "How soon harm is done", always=True),
            ReportColumn("visits", "visits", "whole", "Looks it applied to", always=True),
            ReportColumn("raised", "raised", "whole", "Times it was raised", always=True),
            ReportColumn("per_100", "/100", "number", "Times raised per 100 looks", places=1, always=True),
            ReportColumn("stood", "stood", "whole", "Looks at which it stood", always=True),
            ReportColumn("unknown", "unknown", "whole", "Looks at which it could not be told", always=True),
            ReportColumn("enclosures", "boxes", "whole", "Boxes it was raised in", always=True),
        ),
        "A rule over the looks it applied to",
    ),
    fields=(
        ReportColumn("visits", "", "whole", "Looks that were judged", always=True),
        ReportColumn(
            "flags_per_100", "", "number", "Flags raised per 100 looks, all rules together", always=True
        ),
    ),
    csv="rules",
)

REPORT_FIELDS = listing_kind(
    "report-fields",
    "What commands print as JSON",
    "A field of a report",
    (
        ReportColumn("command", "", "text", "The command that prints the report", always=True),
        ReportColumn("of", "", "text", "The kind of the report: its field `report`", always=True),
        ReportColumn("of_version", "", "whole", "Its version", always=True),
        ReportColumn("table", "", "text", "The list the field is in; null for the report itself"),
        ReportColumn("field", "", "text", "Its name; after a dot, a field of it", always=True),
        ReportColumn("type", "", "text", "What its value is", always=True),
        ReportColumn("unit", "", "text", "The unit it is in"),
        ReportColumn("words", "", "text", "The words it takes", many=True),
        ReportColumn("meaning", "", "text", "What it says", always=True),
    ),
)
