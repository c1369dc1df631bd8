"""Due work by how near it is, by day and shelf: text for people, CSV and JSON for programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date

from rounds.due.nearness import LATER, WEEK, Listed, group_of, listed, title
from rounds.due.work import by_day
from rounds.files.calendar_file import Event
from rounds.files.cells_out import guarded
from rounds.husbandry.spans import FIRST, LAST, span_words
from rounds.text.cleaning import clean, day_words, json_text, long_day

COLUMNS = (
    "day", "place", "enclosure", "animal", "what", "kind", "earliest", "likely", "latest", "overdue", "why",
    "withheld", "put_off_until", "put_off_why", "asked", "key", "group",
)  # fmt: skip
"""Columns of the CSV and fields of the JSON; open ends and what does not apply are empty (null).

``day`` is the day it is planned for, ``group`` one of :data:`rounds.due.nearness.NEAR`.
"""


def as_text(events: Sequence[Event], today: int, until: int, order: Mapping[int, int]) -> str:
    """Open work in groups: overdue, today, this week, later, put off; by day and shelf within them.

    ``events`` are of all open work: what begins after ``until`` is not listed, but counted.
    """
    names = {e.work.key: e for e in events}
    found = listed((e.work for e in events), today, until, order)
    counts = ", ".join(f"{len(g.works)} {g.name}" for g in found.groups)
    total = sum(len(g.works) for g in found.groups)
    out = [f"{long_day(today)} to {long_day(until)}: {total} due{f': {counts}' if counts else ''}"]
    for group in found.groups:
        said = title(group.name, today, until)
        out += ["", f"{said[:1].upper()}{said[1:]}: {len(group.works)}"]
        by_days = group.name in (WEEK, LATER)
        day = 0
        for work in group.works:
            if by_days and work.planned(today) != day:
                day = work.planned(today)
                out.append(f"  {long_day(day)}")
            out += [f"{'  ' if by_days else ''}{line}" for line in _lines(names[work.key], today)]
    if found.more:
        out += ["", more_words(found, today)]
    return "\n".join(out)


def more_words(found: Listed, today: int) -> str:
    """``and 14 more later, the last from Fri 1 Jan 2027 on: rounds due --until +37 lists them``."""
    return (
        f"and {found.more} more later, the last from {long_day(found.ends)} on:"
        f" rounds due --until +{found.ends - today} lists them"
    )


def _lines(event: Event, today: int) -> list[str]:
    w = event.work
    who = " ".join(clean(p, 40) for p in (event.code, event.animal) if p)
    window = span_words(w.window.earliest, w.window.latest)
    days = today - w.window.latest
    over = f", overdue by {days} day{'s' if days > 1 else ''}" if w.overdue(today) else ""
    likely = f", likely {day_words(w.likely)}" if w.likely is not None and not w.window.exact else ""
    lines = [f"  {event.place:<5} {who}  {clean(w.what, 80)}: {window}{likely}{over}"]
    if w.why:
        lines.append(f"          because {clean(w.why, 300)}")
    if w.withheld:
        lines.append(f"          withheld: {clean(w.withheld, 200)}")
    if w.off_until is not None and w.put_off(today):
        lines.append(f"          put off until {day_words(w.off_until)}: {clean(w.off_why, 200)}")
    return lines


def records(events: Sequence[Event], today: int, order: Mapping[int, int]) -> list[dict[str, object]]:
    """One object for each piece of work, with the fields :data:`COLUMNS`, by day and shelf."""
    names = {e.work.key: e for e in events}
    days = by_day((e.work for e in events), today, order)
    return [_record(names[w.key], today) for group in days for w in group.works]


def _record(event: Event, today: int) -> dict[str, object]:
    w = event.work
    values = (
        _iso(w.planned(today)), event.place or None, event.code or None, event.animal or None, w.what, w.kind,
        _iso(w.window.earliest), _iso(w.likely), _iso(w.window.latest), w.overdue(today), w.why,
        w.withheld or None, _iso(w.off_until), w.off_why or None, w.asked, w.key, group_of(w, today),
    )  # fmt: skip
    return dict(zip(COLUMNS, values, strict=True))


def _iso(day: int | None) -> str | None:
    return None if day is None or day <= FIRST or day >= LAST else date.fromordinal(day).isoformat()


def as_json(events: Sequence[Event], today: int, order: Mapping[int, int]) -> str:
    """The records as a JSON list."""
    return json_text(records(events, today, order))


def as_csv(events: Sequence[Event], today: int, order: Mapping[int, int]) -> str:
    """The records as CSV (RFC 4180), texts guarded so that no spreadsheet runs them."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for record in records(events, today, order):
        writer.writerow([_cell(record[name]) for name in COLUMNS])
    return out.getvalue()


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return "" if value is None else guarded(clean(str(value), 4000))
