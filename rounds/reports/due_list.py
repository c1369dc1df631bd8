"""Due work by how near it is for people, by day and shelf for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.due.nearness import LATER, WEEK, Listed, group_of, listed, title
from rounds.due.work import by_day
from rounds.files.calendar_file import Event
from rounds.reports.day_kinds import DUE
from rounds.reports.report import ROWS, ReportDocument, ReportRow, document, read_and_sorted
from rounds.text.cleaning import clean, day_words, long_day
from rounds.values.spans import span_words


def due_list(events: Sequence[Event], today: int, until: int, order: Mapping[int, int]) -> ReportDocument:
    """Open work that can begin by ``until``; what begins later is counted.

    ``events`` are of all open work. People get it in groups (overdue, today, this week,
    later, put off), by day and shelf within them; programs get one list by day and shelf.
    """
    names = {e.work.key: e for e in events}
    found = listed((e.work for e in events), today, until, order)
    counts = ", ".join(f"{len(g.works)} {g.name}" for g in found.groups)
    near = [
        _row(names[work.key], today)._replace(
            under=(
                _heading(group.name, len(group.works), today, until),
                *_day(group.name, work.planned(today)),
            )
        )
        for group in found.groups
        for work in group.works
    ]
    days = by_day((e.work for e in events if e.work.begins() <= until), today, order)
    in_order = [_row(names[w.key], today) for day in days for w in day.works]
    return document(
        DUE,
        f"{long_day(today)} to {long_day(until)}: {len(near)} due{f': {counts}' if counts else ''}",
        *read_and_sorted(DUE.table(ROWS), near, in_order),
        notes=[more_words(found, today)] if found.more else [],
    )


def _heading(name: str, works: int, today: int, until: int) -> str:
    said = title(name, today, until)
    return f"{said[:1].upper()}{said[1:]}: {works}"


def _day(group: str, day: int) -> tuple[str, ...]:
    return (long_day(day),) if group in (WEEK, LATER) else ()


def more_words(found: Listed, today: int) -> str:
    """``and 14 more later, the last from Fri 1 Jan 2027 on: rounds due --until +37 lists them``."""
    return (
        f"and {found.more} more later, the last from {long_day(found.ends)} on:"
        f" rounds due --until +{found.ends - today} lists them"
    )


def _row(event: Event, today: int) -> ReportRow:
    w = event.work
    who = " ".join(clean(p, 40) for p in (event.code, event.animal) if p)
    window = span_words(w.window.earliest, w.window.latest)
    days = today - w.window.latest
    over = f", overdue by {days} day{'s' if days > 1 else ''}" if w.overdue(today) else ""
    likely = f", likely {day_words(w.likely)}" if w.likely is not None and not w.window.exact else ""
    below = []
    if w.why:
        below.append(f"because {clean(w.why, 300)}")
    if w.withheld:
        below.append(f"withheld: {clean(w.withheld, 200)}")
    if w.off_until is not None and w.put_off(today):
        below.append(f"put off until {day_words(w.off_until)}: {clean(w.off_why, 200)}")
    return ReportRow(
        (
            w.planned(today),
            event.place or None,
            event.code or None,
            event.animal or None,
            w.what,
            window,
            w.kind,
            w.window.earliest,
            w.likely,
            w.window.latest,
            w.overdue(today),
            w.why,
            w.withheld or None,
            w.off_until,
            w.off_why or None,
            w.asked,
            w.key,
            group_of(w, today),
        ),
        f"{event.place:<5} {who}  {clean(w.what, 80)}: {window}{likely}{over}",
        tuple(below),
    )
