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
from rounds.reports.report import only
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
NAMES = {
    "action": (
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
    ),
    "carry": ("day", "what", "amount", "least", "most", "for", "unknown_for", "mix", "rests_on"),
    "due": ("day", "enclosure", "animal", "what", "withheld", "earliest", "likely", "latest", "why"),
    "unseen": ("day", "enclosure", "skipped"),
}
"""What the columns of each CSV are called, in their order."""


def test_every_form_says_the_same() -> None:
    found = json.loads(rendered(summary_report(SUMMARY, {}), "json"))
    jsonschema.Draft202012Validator(json_schema(KIND)).validate(found)
    for part, names in NAMES.items():
        made = rendered(only(summary_report(SUMMARY, {}), part), "csv")
        (row,) = csv.DictReader(io.StringIO(made, newline=""))
        assert tuple(row) == names
        (record,) = found[part]
        assert {k for k, v in row.items() if v} == {
            k for k in names if record[k] not in (None, []) and k in record
        }
        if part == "action":
            assert row["enclosure"] == "'=T|1"
            assert rendered(summary_report(SUMMARY, {}), "csv") == made, "what a CSV holds unless asked"
        if part == "due":
            assert row["why"] == "'=4 weeks"
    for form in ("text", "markdown", "html"):
        out = rendered(summary_report(SUMMARY, {}), form)
        for said in ("drain it", "first search", "no time", "2.5"):
            assert said in out, (form, said)
    assert "<b>" not in rendered(summary_report(SUMMARY, {}), "html")


def test_the_text_is_a_page_to_read() -> None:
    assert rendered(summary_report(SUMMARY, {"no time": "no time today"}), "text") == (
        "Wed 24 Apr 2024\n"
        "1 box needs you, 1 job is due, 1 not seen; carry 2.5 jelly cups.\n"
        "\n"
        "Needs action\n"
        "  !!! now: 1\n"
        "    !!! B3-1  =T|1  <b>wet</b> (first noted 23 Apr)\n"
        "        → drain it\n"
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


def test_a_day_with_nothing_left_ends_calm() -> None:
    empty = summary_report(Summary(739_000, (), (), (), (), 3), {})
    said = "Nothing needs you: every box was seen, and no work is left for today."
    assert rendered(empty, "markdown").count("nothing") == 4
    assert rendered(empty, "html").count("<p>nothing</p>") == 4
    assert rendered(empty, "text") == f"Wed 24 Apr 2024\n{said}\n"


def test_a_skip_is_said_by_the_title_of_its_reason() -> None:
    found = summary_report(SUMMARY._replace(unseen=((E, "reach"),)), {"reach": "out of reach"})
    for form in ("text", "markdown", "html"):
        assert "out of reach" in rendered(found, form)
    assert json.loads(rendered(found, "json"))["unseen"][0]["skipped"] == "reach"
