"""The day's summary: what needs action, what to carry, what is due, what was not seen."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping

from rounds.husbandry import lock_sentences
from rounds.records import round_summary_sentences
from rounds.records.observations import DueNotice, EnclosureState
from rounds.records.round_summary import (
    BRING,
    MARKS,
    Carry,
    Summary,
    SummaryRow,
    amount_words,
    carry_words,
)
from rounds.records.summary_opening import opening
from rounds.reports import day_sentences
from rounds.reports.day_kinds import ACTION, CARRY, DUE_OF_DAY, SUMMARY, UNSEEN
from rounds.reports.report import Report, ReportDocument, ReportRow, ReportTable, document
from rounds.text.cleaning import clean, day_words, long_day
from rounds.values.spans import span_words


def summary_report(s: Summary, titles: Mapping[str, str]) -> ReportDocument:
    """The summary as a document: actions by harm, then what to carry, what is due, what was not seen.

    ``titles``: what the reasons to skip are called, by id.
    """
    counts = Counter(row.action.level for row in s.rows)
    return document(
        SUMMARY,
        long_day(s.day),
        _part(
            day_sentences.NEEDS_ACTION,
            ACTION,
            [_action(s.day, row, counts[row.action.level]) for row in s.rows],
        ),
        _part(day_sentences.TO_CARRY, CARRY, [_carry(s.day, c) for c in s.carry]),
        _part(day_sentences.NOT_DONE, DUE_OF_DAY, [_due(s.day, e, d) for e, d in s.due]),
        _part(day_sentences.NOT_SEEN, UNSEEN, [_unseen(s.day, e, reason, titles) for e, reason in s.unseen]),
        said=(opening(len({row.enclosure.id for row in s.rows}), len(s.due), len(s.unseen), s.carry),),
    )


def _part(title: str, table: ReportTable, rows: list[ReportRow]) -> Report:
    return Report(title, table.columns, rows, name=table.name)


def _where(e: EnclosureState) -> str:
    return e.place.address if e.place else ""


def _action(day: int, row: SummaryRow, of_its_level: int) -> ReportRow:
    e, a = row.enclosure, row.action
    do = lock_sentences.instruction(a.todo, a.withheld)
    since = day_words(a.opened) if row.old else ""
    return ReportRow(
        (
            day,
            MARKS[a.level],
            _where(e) or None,
            e.code,
            e.number,
            e.stage,
            a.level,
            a.rule,
            a.reason,
            do,
            a.todo,
            a.withheld or None,
            a.opened,
            a.cause_gone,
            day_sentences.NO_LONGER_SEEN if a.cause_gone else "",
        ),
        day_sentences.action(MARKS[a.level], _where(e), clean(e.code, 16), clean(a.reason, 300), since),
        (day_sentences.to_do(clean(do, 400), cause_gone=a.cause_gone),),
        (round_summary_sentences.group(MARKS[a.level], a.level, of_its_level),),
    )


def _carry(day: int, c: Carry) -> ReportRow:
    thing = day_sentences.thing(BRING.get(c.what, c.what), c.mix)
    most = None if c.unknown else c.amount if c.most is None else c.most
    return ReportRow(
        (
            day,
            c.what,
            thing,
            amount_words(c),
            c.amount if c.codes and c.most is None else None,
            c.amount,
            most,
            c.codes,
            ", ".join(c.codes),
            c.unknown,
            ", ".join(c.unknown),
            c.mix or None,
            c.why,
        ),
        clean(carry_words(c), 2000),
    )


def _due(day: int, e: EnclosureState, d: DueNotice) -> ReportRow:
    when = span_words(d.window.earliest, d.window.latest)
    said = day_sentences.not_done(
        clean(e.code, 16),
        clean(d.what, 60),
        clean(d.animal, 60),
        when,
        clean(d.withheld, 200),
        clean(d.why, 200),
    )
    return ReportRow(
        (
            day,
            _where(e),
            e.code,
            d.animal or None,
            d.what,
            when,
            d.why,
            d.withheld or None,
            d.window.earliest,
            d.likely,
            d.window.latest,
            d.why,
        ),
        said,
    )


def _unseen(day: int, e: EnclosureState, reason: str, titles: Mapping[str, str]) -> ReportRow:
    title = titles.get(reason, reason)
    skipped = clean(title, 60) if reason else ""
    return ReportRow(
        (day, _where(e), e.code, e.stage, reason or None, title),
        day_sentences.unseen(_where(e), clean(e.code, 16), e.stage, skipped),
    )
