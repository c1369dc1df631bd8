"""Due work by how near it is for people, by day and shelf for programs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.due import work_sentences
from rounds.due.nearness import LATER, WEEK, group_of, listed, title
from rounds.due.work import by_day
from rounds.due.work_groups import by_job, window
from rounds.files.calendar_file import Event
from rounds.reports import day_sentences
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
    counts = tuple(f"{len(g.works)} {g.name}" for g in found.groups)
    near = [
        _rows_of(tuple(names[work.key] for work in bunch), today)._replace(
            under=(
                day_sentences.due_group(title(group.name, today, until), len(group.works)),
                *_day(group.name, bunch[0].planned(today)),
            )
        )
        for group in found.groups
        for bunch in by_job(group.works, today)
    ]
    days = by_day((e.work for e in events if e.work.begins() <= until), today, order)
    in_order = [_row(names[w.key], today) for day in days for w in day.works]
    return document(
        DUE,
        day_sentences.due_title(long_day(today), long_day(until), len(found.works), counts),
        *read_and_sorted(DUE.table(ROWS), near, in_order),
        notes=(
            [day_sentences.more_later(found.more, long_day(found.ends), found.ends - today)]
            if found.more
            else []
        ),
    )


def _day(group: str, day: int) -> tuple[str, ...]:
    return (long_day(day),) if group in (WEEK, LATER) else ()


def _rows_of(events: tuple[Event, ...], today: int) -> ReportRow:
    """One line for the same job at several boxes: what they are about, and which boxes."""
    first = _row(events[0], today)
    if len(events) == 1:
        return first
    w = events[0].work
    span = window(event.work for event in events)
    overdue = today - span.latest if w.overdue(today) else 0
    said = day_sentences.due_work(
        "",
        "",
        work_sentences.at_several(len(events), clean(w.what, 80)),
        span_words(span.earliest, span.latest),
        "",
        overdue,
    )
    boxes = " ".join(clean(event.code, 40) for event in events)
    return ReportRow(first.cells, said, (day_sentences.boxes(boxes), *first.below))


def _row(event: Event, today: int) -> ReportRow:
    w = event.work
    who = " ".join(clean(p, 40) for p in (event.code, event.animal) if p)
    window = span_words(w.window.earliest, w.window.latest)
    overdue = today - w.window.latest if w.overdue(today) else 0
    likely = day_words(w.likely) if w.likely is not None and not w.window.exact else ""
    below = []
    if w.why:
        below.append(day_sentences.because(clean(w.why, 300)))
    if w.withheld:
        below.append(day_sentences.withheld(clean(w.withheld, 200)))
    if w.off_until is not None and w.put_off(today):
        below.append(day_sentences.put_off(day_words(w.off_until), clean(w.off_why, 200)))
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
        day_sentences.due_work(event.place, who, clean(w.what, 80), window, likely, overdue),
        tuple(below),
    )
