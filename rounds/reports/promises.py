"""What the program promises: what holds each promise, and the last figure measured (``topics/promises.yaml``)."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Any

from rounds.reports import promise_sentences as say
from rounds.reports.report import ReportDocument, ReportRow, listing, listing_kind
from rounds.reports.report_columns import ReportColumn
from rounds.text.cleaning import long_day

FILE = Path(__file__).parents[1] / "topics" / "promises.yaml"

SCRIPTS = "tests/bench/"
"""Where the scripts are that print figures and assert nothing."""

PROMISES = listing_kind(
    "promises",
    "What is promised",
    "A promise, what holds it, and the last figure measured",
    (
        ReportColumn("about", "", "text", "The list it stands in", always=True),
        ReportColumn("promise", "promise", "text", "What is promised", always=True),
        ReportColumn("figure", "figure", "text", "What was counted, in words"),
        ReportColumn("measured", "", "number", "The last figure measured"),
        ReportColumn("at_most", "", "number", "The budget it is held against"),
        ReportColumn("unit", "", "text", "What both are counted in; null for a multiple"),
        ReportColumn("met", "", "yesno", "Is the figure within its budget? null where there is none"),
        ReportColumn("day", "", "day", "When it was measured"),
        ReportColumn("machine", "", "text", "The kind of machine it was measured on"),
        ReportColumn("held_by", "", "text", "Tests and scripts that hold it", many=True, always=True),
    ),
)


def promises() -> ReportDocument:
    """The page, ready to print."""
    from rounds.settings import yamlfile

    # The file is ours: a mistake in it is one of the program, and a test reads all of it.
    data: Any = yamlfile.read(FILE).data
    rows = [
        _row(part["about"], given, data["machines"]) for part in data["lists"] for given in part["promises"]
    ]
    return listing(PROMISES, rows, notes=(say.ABOUT_TESTS,))


def _row(about: str, given: Mapping[str, Any], machines: Mapping[str, str]) -> ReportRow:
    measured, most, unit = (given.get(name) for name in ("measured", "at_most", "unit"))
    met = None if measured is None or most is None else measured <= most
    day = date.fromisoformat(given["on"]).toordinal() if "on" in given else None
    machine = machines[given["machine"]] if "machine" in given else None
    figure = given.get("figure")
    below = []
    if day is not None and machine is not None:
        number = "" if measured is None else say.measured(measured, most, unit or "", met=met is not False)
        below.append(say.last(number, figure or "", long_day(day), machine))
    scripts = tuple(file for file in given["held_by"] if file.startswith(SCRIPTS))
    tests = tuple(file for file in given["held_by"] if file not in scripts)
    below += [say.held_by(tests)] * bool(tests) + [say.measured_by(scripts)] * bool(scripts)
    cells = (about, given["promise"], figure, measured, most, unit, met, day, machine, given["held_by"])
    return ReportRow(cells, given["promise"], tuple(below), (about,))
