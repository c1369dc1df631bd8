"""What came from one batch of substrate, or from one arrival."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.acts.groups import name as group_name
from rounds.records.ledger import Ledger
from rounds.records.origins import Descendant, Use
from rounds.records.tables import Animal, Batch, Content, Enclosure, Line, Lot
from rounds.reports import origin_report_sentences
from rounds.reports.day_kinds import BATCH, LOT
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.reports.report_columns import CellValue
from rounds.values.spans import Span, text


def batch_report(ledger: Ledger, batch: Batch, uses: Sequence[Use]) -> ReportDocument:
    """Where substrate of a batch went, with what is there now."""
    rows = []
    for u in uses:
        box = ledger.row(Enclosure, u.enclosure)
        inside = list(ledger.rows(Content, Content.enclosure.is_(u.enclosure), Content.until.is_(None)))
        held = ", ".join(_held(ledger, r) for r in inside)
        rows.append(ReportRow((box.code, box.stage, _said(box.stage_since), _said(u.given), u.litres, held)))
    made = origin_report_sentences.mixed(str(batch.made or ""))
    said = (made, str(batch.recipe or origin_report_sentences.NO_RECIPE))
    report = Report(origin_report_sentences.PUT_INTO, BATCH.table(ROWS).columns, rows)
    return document(BATCH, origin_report_sentences.batch_title(batch.name), report, said=said)


def lot_report(ledger: Ledger, lot: Lot, found: Sequence[Descendant]) -> ReportDocument:
    """Animals and groups that come from an arrival."""
    where = {
        r.animal: r.enclosure for r in ledger.rows(Content, Content.until.is_(None)) if r.animal is not None
    }
    said = (
        origin_report_sentences.came(str(lot.arrived or ""), lot.from_whom, lot.papers),
        origin_report_sentences.origin(lot.origin, lot.mated_before),
        origin_report_sentences.CERTAIN_IS,
    )
    rows = [ReportRow(_descendant(ledger, d, where)) for d in found]
    report = Report(origin_report_sentences.FROM_IT, LOT.table(ROWS).columns, rows)
    return document(LOT, origin_report_sentences.lot_title(lot.name), report, said=said)


def _descendant(ledger: Ledger, d: Descendant, where: dict[int, int]) -> tuple[CellValue, ...]:
    if d.animal is not None:
        a = ledger.row(Animal, d.animal)
        line = ledger.row(Line, a.line)
        box = where.get(d.animal)
        return (
            f"{line.name}/{a.number}",
            line.species,
            d.generation,
            d.certain,
            d.through,
            a.sex,
            a.state,
            None if box is None else ledger.row(Enclosure, box).code,
            a.doubt,
        )
    c = ledger.row(Content, d.content or 0)
    species = ledger.row(Line, c.line).species if c.line is not None else ""
    return (
        _held(ledger, c),
        species,
        d.generation,
        d.certain,
        d.through,
        "",
        "alive",
        ledger.row(Enclosure, c.enclosure).code,
        c.doubt,
    )


def _said(span: Span | None) -> str:
    return "" if span is None else text(span)


def _held(ledger: Ledger, row: Content) -> str:
    """``UMBER/3``, or a group such as ``LOCH-01 L2 (at least 0.0.12)``."""
    if row.animal is not None:
        animal = ledger.row(Animal, row.animal)
        return f"{ledger.row(Line, animal.line).name}/{animal.number}"
    return group_name(ledger, row)
