"""The day's summary on paper or for another program: text, Markdown and HTML for people, JSON and CSV for machines."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.spans import span_words
from rounds.records.observations import EnclosureState
from rounds.records.round_summary import BRING, MARKS, Carry, Summary, amount_words, carry_words
from rounds.reports import table_forms
from rounds.reports.table_forms import Cell, Page, Part
from rounds.text.cleaning import clean, day_words, json_text, long_day


def as_text(s: Summary, titles: Mapping[str, str]) -> str:
    """One page: what needs action by harm, what to carry, due, not seen.

    ``titles``: what the reasons to skip are called, by id.
    """
    out = [f"{long_day(s.day)}: {len(s.rows)} needing action, {s.seen} seen, {len(s.unseen)} not seen"]
    out += ["", "Needs action"]
    for row in s.rows:
        e, a = row.enclosure, row.action
        where = e.place.address if e.place else ""
        old = f" (since {day_words(a.opened)})" if row.old else ""
        gone = " No longer seen at the last look." if a.cause_gone else ""
        out.append(f"  {MARKS[a.level]:<3} {where:<5} {clean(e.code, 16)}  {clean(a.reason, 300)}{old}")
        todo = f"{a.todo} {a.withheld}".strip()
        out.append(f"            → {clean(todo, 400)}{gone}")
    if not s.rows:
        out.append("  nothing")
    out += ["", "To carry next time", *(f"  {clean(carry_words(c), 2000)}" for c in s.carry)]
    if not s.carry:
        out.append("  nothing")
    if s.due:
        out += ["", "Due and not done"]
        for e, d in s.due:
            when = span_words(d.window.earliest, d.window.latest)
            who = f" ({clean(d.animal, 60)})" if d.animal else ""
            held = f", withheld: {clean(d.withheld, 200)}" if d.withheld else ""
            out.append(f"  {clean(e.code, 16)}  {clean(d.what, 60)}{who} {when}{held}: {clean(d.why, 200)}")
    if s.unseen:
        out += ["", "Not seen"]
        for e, reason in s.unseen:
            where = e.place.address if e.place else ""
            out.append(
                f"  {where:<5} {clean(e.code, 16)}  {e.stage}{f' (skipped: {clean(titles.get(reason, reason), 60)})' if reason else ''}"
            )
    return "\n".join(out)


def records(s: Summary) -> list[dict[str, object]]:
    """One object for each line of the summary, each with its ``part``: action, carry, due, unseen."""
    from datetime import date

    day = date.fromordinal(s.day).isoformat()
    out: list[dict[str, object]] = []
    for row in s.rows:
        e, a = row.enclosure, row.action
        out.append(
            {
                "part": "action", "day": day, "enclosure": e.code, "number": e.number, "stage": e.stage,
                "place": e.place.address if e.place else None, "rule": a.rule, "level": a.level,
                "reason": a.reason, "todo": a.todo, "withheld": a.withheld or None,
                "since": date.fromordinal(a.opened).isoformat(), "cause_gone": a.cause_gone,
            }
        )  # fmt: skip
    out += [
        {
            "part": "carry",
            "day": day,
            "what": c.what,
            "amount": c.amount if c.codes and c.most is None else None,
            "least": c.amount,
            "most": None if c.unknown else c.amount if c.most is None else c.most,
            "for": list(c.codes),
            "unknown_for": list(c.unknown),
            "mix": c.mix or None,
            "rests_on": list(c.why),
        }
        for c in s.carry
    ]
    for e, d in s.due:
        out.append(
            {
                "part": "due", "day": day, "enclosure": e.code, "animal": d.animal or None, "what": d.what, "why": d.why,
                "withheld": d.withheld or None,
                "earliest": date.fromordinal(d.window.earliest).isoformat(),
                "likely": date.fromordinal(d.likely).isoformat() if d.likely else None,
                "latest": date.fromordinal(d.window.latest).isoformat(),
            }
        )  # fmt: skip
    out += [{"part": "unseen", "day": day, "enclosure": e.code, "skipped": r or None} for e, r in s.unseen]
    return out


def as_json(s: Summary) -> str:
    """The records as a list of objects."""
    return json_text(records(s))


COLUMNS = (
    "part", "day", "place", "enclosure", "number", "stage", "level", "rule", "reason", "todo", "withheld", "since",
    "cause_gone", "what", "amount", "least", "most", "for", "unknown_for", "mix", "rests_on", "animal", "earliest", "likely", "latest", "why", "skipped",
)  # fmt: skip
"""Columns of the CSV: every field that a record of any part has."""


def as_csv(s: Summary) -> str:
    """The records as one table; what a part does not have is empty."""

    def cell(value: object) -> Cell:
        if isinstance(value, list):
            return "; ".join(map(str, value))
        return value if value is None or isinstance(value, (str, int, float)) else str(value)

    return table_forms.as_csv(COLUMNS, [[cell(r.get(c)) for c in COLUMNS] for r in records(s)])


def page(s: Summary, titles: Mapping[str, str]) -> Page:
    """The summary as tables for paper; ``titles`` as in :func:`as_text`."""
    actions = [
        (
            MARKS[r.action.level], _where(r.enclosure), r.enclosure.code, r.action.reason,
            f"{r.action.todo} {r.action.withheld}".strip(), day_words(r.action.opened),
            "no longer seen" if r.action.cause_gone else "",
        )
        for r in s.rows
    ]  # fmt: skip
    due = [
        (
            _where(e),
            e.code,
            d.animal,
            d.what,
            span_words(d.window.earliest, d.window.latest),
            d.why,
            d.withheld,
        )
        for e, d in s.due
    ]
    return Page(
        f"Summary of {long_day(s.day)}",
        (f"{len(s.rows)} needing action, {s.seen} seen, {len(s.unseen)} not seen.",),
        (
            Part("Needs action", ("harm", "place", "enclosure", "why", "do", "since", "cause"), actions),
            Part("To carry next time", ("what", "amount", "for", "not known for", "rests on"),
                 [_carried(c) for c in s.carry]),
            Part("Due and not done", ("place", "enclosure", "animal", "what", "when", "why", "withheld"), due),
            Part("Not seen", ("place", "enclosure", "stage", "skipped"),
                 [(_where(e), e.code, e.stage, titles.get(r, r)) for e, r in s.unseen]),
        ),
    )  # fmt: skip


def _carried(c: Carry) -> tuple[str, ...]:
    thing = f"{BRING.get(c.what, c.what)}{f' ({c.mix})' if c.mix else ''}"
    return thing, amount_words(c), ", ".join(c.codes), ", ".join(c.unknown), "; ".join(c.why)


def _where(e: EnclosureState) -> str:
    return e.place.address if e.place else ""
