"""Due work by day and shelf: text for people, CSV and JSON for programs."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from datetime import date

from rounds.books.due import by_day
from rounds.books.due_kinds import Work
from rounds.exchange.calendar import Event
from rounds.exchange.cells import guarded
from rounds.husbandry.spans import FIRST, LAST
from rounds.shown import clean, day_words, json_text, long_day, span_words

COLUMNS = (
    "day", "place", "enclosure", "animal", "what", "kind", "earliest", "likely", "latest", "overdue", "why",
    "withheld", "put_off_until", "put_off_why", "asked", "key",
)  # fmt: skip
"""Columns of the CSV and fields of the JSON; open ends and what does not apply are empty (null)."""


def as_text(events: Sequence[Event], today: int, until: int, order: Mapping[int, int]) -> str:
    """By day and shelf: overdue first, then each day, then windows that are open but best later."""
    names = {e.work.key: e for e in events}
    late = [e.work for e in events if e.work.overdue(today)]
    ahead = [e.work for e in events if not e.work.overdue(today)]
    soon = [w for w in ahead if w.planned(today) <= until]
    later = [w for w in ahead if w.planned(today) > until]
    out = [f"{long_day(today)} to {long_day(until)}: {len(events)} due, {len(late)} of them overdue"]
    sections = [("Overdue", _flat(late, today, order))]
    sections += [(long_day(g.day), list(g.works)) for g in by_day(soon, today, order)]
    sections.append(("May come already, most likely later", _flat(later, today, order)))
    for title, some in sections:
        if some:
            out += ["", title, *(line for w in some for line in _lines(names[w.key], today))]
    return "\n".join(out)


def _flat(works: Sequence[Work], today: int, order: Mapping[int, int]) -> list[Work]:
    return [w for g in by_day(works, today, order) for w in g.works]


def _lines(event: Event, today: int) -> list[str]:
    w = event.work
    who = " ".join(clean(p, 40) for p in (event.code, event.animal) if p)
    window = span_words(w.window.earliest, w.window.latest) if not w.window.unknown else "at any time"
    likely = f", likely {day_words(w.likely)}" if w.likely is not None and not w.window.exact else ""
    lines = [f"  {event.place:<5} {who}  {clean(w.what, 80)}: {window}{likely}"]
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
    return [_record(names[w.key], today) for w in _flat([e.work for e in events], today, order)]


def _record(event: Event, today: int) -> dict[str, object]:
    w = event.work
    values = (
        _iso(w.planned(today)), event.place or None, event.code or None, event.animal or None, w.what, w.kind,
        _iso(w.window.earliest), _iso(w.likely), _iso(w.window.latest), w.overdue(today), w.why,
        w.withheld or None, _iso(w.off_until), w.off_why or None, w.asked, w.key,
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
