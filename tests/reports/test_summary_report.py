"""The day's summary in every form: each says the same, and an empty one says so."""

from __future__ import annotations

import csv
import io
import json

import jsonschema

from rounds.records.observations import Action, DueNotice, EnclosureState, Slot
from rounds.records.round_summary import Carry, Summary, SummaryRow
from rounds.reports.day_kinds import SUMMARY as KIND
from rounds.reports.json_schema import json_schema
from rounds.reports.rendering import rendered
from rounds.reports.summary_report import summary_report
from rounds.values.spans import Span

E = EnclosureState(1, "=T|1", 1, "laying", None, Slot(1, "B", 3, 1), 1, "M")
SUMMARY = Summary(
    739_000,
    (SummaryRow(E, Action(b"u" * 16, 1, "wet", "now", "<b>wet</b>", "drain it", 738_999), True),),
    (Carry("cups", 2.5, ("=T|1",)),),
    ((E, "no time"),),
    ((E, DueNotice(1, 1, "first search", Span(738_990, 739_010), 739_000, "=4 weeks", "UMBER/1", "locked")),),
    0,
)
NAMES = (
    "part",
    "day",
    "place",
    "enclosure",
    "number",
    "stage",
    "level",
    "rule",
    "reason",
    "todo",
    "withheld",
    "since",
    "cause_gone",
    "what",
    "amount",
    "least",
    "most",
    "for",
    "unknown_for",
    "mix",
    "rests_on",
    "animal",
    "earliest",
    "likely",
    "latest",
    "why",
    "skipped",
)
"""What the columns of the CSV have always been called, in their order."""


def test_every_form_says_the_same() -> None:
    found = json.loads(rendered(summary_report(SUMMARY, {}), "json"))
    jsonschema.Draft202012Validator(json_schema(KIND)).validate(found)
    rows = list(csv.DictReader(io.StringIO(rendered(summary_report(SUMMARY, {}), "csv"), newline="")))
    assert tuple(rows[0]) == NAMES
    parts = ["action", "carry", "due", "unseen"]
    assert [r["part"] for r in rows] == [p for p in parts for _ in found[p]] == parts
    for row, part in zip(rows, parts, strict=True):
        record = found[part][0]
        assert {k for k, v in row.items() if v} - {"part"} <= {k for k, v in record.items() if v is not None}
    assert rows[0]["enclosure"] == "'=T|1"
    assert rows[2]["why"] == "'=4 weeks"
    for form in ("text", "markdown", "html"):
        out = rendered(summary_report(SUMMARY, {}), form)
        for said in ("drain it", "first search", "no time", "2.5"):
            assert said in out, (form, said)
    assert "<b>" not in rendered(summary_report(SUMMARY, {}), "html")


def test_the_text_is_a_page_to_read() -> None:
    assert rendered(summary_report(SUMMARY, {"no time": "no time today"}), "text") == (
        "Wed 24 Apr 2024: 1 needing action, 0 seen, 1 not seen\n"
        "\n"
        "Needs action\n"
        "  !!! B3-1  =T|1  <b>wet</b> (since 23 Apr)\n"
        "      → drain it\n"
        "\n"
        "To carry next time\n"
        "  2.5 jelly cups for =T|1\n"
        "\n"
        "Due and not done\n"
        "  =T|1  first search (UMBER/1) 14 Apr to 4 May, has to wait: locked: =4 weeks\n"
        "\n"
        "Not seen\n"
        "  B3-1  =T|1  laying (skipped: no time today)\n"
    )


def test_an_empty_summary_says_so() -> None:
    empty = summary_report(Summary(739_000, (), (), (), (), 3), {})
    assert rendered(empty, "markdown").count("nothing") == 4
    assert rendered(empty, "html").count("<p>nothing</p>") == 4
    assert rendered(empty, "text") == (
        "Wed 24 Apr 2024: 0 needing action, 3 seen, 0 not seen\n\nNeeds action\n  nothing\n\nTo carry next time\n  nothing\n"
    )


def test_a_skip_is_said_by_the_title_of_its_reason() -> None:
    found = summary_report(SUMMARY._replace(unseen=((E, "reach"),)), {"reach": "out of reach"})
    for form in ("text", "markdown", "html"):
        assert "out of reach" in rendered(found, form)
    assert json.loads(rendered(found, "json"))["unseen"][0]["skipped"] == "reach"
