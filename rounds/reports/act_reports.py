"""Acts as reports: the list of them, their fields, what one changed, a history."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterable
from typing import Any

from rounds.acts.act import Act, Recorded
from rounds.acts.fields import Field
from rounds.acts.registry import all_acts
from rounds.acts.running_trials import masked
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Add, Change, Ledger
from rounds.records.naming import table_word
from rounds.records.tables import TABLES, Place
from rounds.reports import act_report_sentences
from rounds.reports.book_kinds import ACT_FIELDS, ACTS, HISTORY, RECORDED
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document, listing
from rounds.reports.report_columns import CellValue
from rounds.store.read_acts import subject
from rounds.text.cleaning import clean
from rounds.values.spans import Span, iso, text

WIDE = 400  # characters of one line at the most
BELOW = "   "  # so that what an act changed stands under its day


# Which acts there are, and what each must be told


def topic(act: Act) -> str:
    """What the module of an act says it is about: the heading it stands under."""
    said = (sys.modules[act.plan.__module__].__doc__ or "").strip().partition("\n")[0]
    return said.partition(":")[0].rstrip(".")


def acts_report() -> ReportDocument:
    """Every act under the heading of its topic."""
    rows = [
        ReportRow(
            (a.id, a.on, a.title, a.about, title, [f.name for f in a.fields]),
            act_report_sentences.act(a.id, table_word(a.on), a.about or a.title),
            under=(act_report_sentences.topic(title),),
        )
        for title, found in _topics().items()
        for a in found
    ]
    return listing(ACTS, rows)


def _topics() -> dict[str, list[Act]]:
    out: dict[str, list[Act]] = {}
    for act in all_acts().values():
        out.setdefault(topic(act), []).append(act)
    return {title: out[title] for title in sorted(out)}


def usage(act: Act) -> str:
    """How an act is typed: ``rounds record dead ANIMAL [on=…]``."""
    fields = [f"{f.name}=…" if f.required else f"[{f.name}=…]" for f in act.fields]
    return " ".join(["rounds record", act.id, *([table_word(act.on).upper()] if act.on else []), *fields])


def fields_report(act: Act) -> ReportDocument:
    """What an act must and may be told."""
    rows = [
        ReportRow(
            (f.name, f.required, f.type, f.of, f.many, _words(f), f.default, f.about),
            act_report_sentences.field(f.name, _about(f)),
        )
        for f in act.fields
    ]
    report = Report("", ACT_FIELDS.table(ROWS).columns, rows)
    said = (usage(act), act.about or act.title)
    return document(ACT_FIELDS, "", report, said=said, notes=(act.caution,) if act.caution else ())


def _words(field: Field) -> tuple[str, ...]:
    return {"stage": STAGES, "yesno": ("yes", "no")}.get(field.type, field.words)


def _about(field: Field) -> str:
    more = [act_report_sentences.REQUIRED] if field.required else []
    if _words(field):
        more.append(act_report_sentences.one_of(tuple(_words(field))))
    if field.many:
        more.append(act_report_sentences.SEVERAL)
    if field.default and "unless given" not in field.about:
        more.append(act_report_sentences.unless_given(field.default))
    return act_report_sentences.field_about(field.about, tuple(more))


# What was recorded


def history_report(acts: Iterable[Recorded], ledger: Ledger, *, changes: bool) -> ReportDocument:
    """Recorded acts, a line each; with ``changes`` what each changed below it.

    Here and in what follows the arms of a running trial are left out.
    """
    rows = []
    for act in acts:
        known = masked(act, ledger)
        below = [f"{BELOW}{line}" for line in changed(known.changes, ledger)] if changes else []
        rows.append(ReportRow(_values(known, ledger), _line(known, ledger), tuple(below)))
    return listing(HISTORY, rows)


def recorded_report(act: Recorded, ledger: Ledger) -> ReportDocument:
    """An act that was recorded just now, with what it changed."""
    known = masked(act, ledger)
    names = [c.name for c in RECORDED.fields]
    said = [_line(known, ledger), *(f"    {BELOW}{line}" for line in changed(known.changes, ledger))]
    return document(RECORDED, "", said=said, result=dict(zip(names, _values(known, ledger), strict=True)))


def _line(act: Recorded, ledger: Ledger) -> str:
    """One line: its number, day and keeper, and how it was typed; ``taken back`` when it was."""
    words = [act.name, *([str(act.undoes)] if act.undoes else [])]
    words += [shlex.quote(subject(ledger, act.table, act.subject))] if act.table else []
    words += [] if act.undoes else [f"{k}={shlex.quote(v)}" for k, v in act.given.items()]
    line = f"{act.id:>5}  {iso(act.day)}  {act.keeper:<10}  {' '.join(words)}"
    return clean(line + (act_report_sentences.TAKEN_BACK if act.undone else ""), WIDE)


def _values(act: Recorded, ledger: Ledger) -> tuple[CellValue, ...]:
    """The fields of :data:`rounds.reports.book_kinds.HISTORY`."""
    return (
        act.id,
        act.uid.hex(),
        act.day,
        act.at_ms,
        act.keeper,
        act.name,
        act.table,
        subject(ledger, act.table, act.subject),
        dict(act.given),
        act.sure,
        act.undone,
        act.undoes or None,
        changed(act.changes, ledger),
    )


def changed(changes: Iterable[Change], ledger: Ledger) -> list[str]:
    """A line for each change: ``animal UMBER/3: state alive -> dead``; a new row with what it holds."""
    out = []
    for change in changes:
        who = f"{change.table} {named(ledger, change.table, change.id)}".rstrip()
        if isinstance(change, Add):
            known = [
                f"{c.name} {_value(ledger, change.table, c.name, change.values[c.name])}"
                for c in TABLES[change.table].columns
                if change.values[c.name] != c.default and c.name not in TABLES[change.table].key
            ]
            out.append(act_report_sentences.new_row(who, tuple(known)))
        elif change.column == "void":
            out.append(act_report_sentences.counts(who, taken_back=bool(change.after)))
        else:
            before, after = (
                _value(ledger, change.table, change.column, v) for v in (change.before, change.after)
            )
            out.append(act_report_sentences.changed(who, change.column, before, after))
    return [clean(line, WIDE) for line in out]


def named(ledger: Ledger, table: str, id_: int) -> str:
    """A row as people would say it; one without a name by what it refers to first."""
    if TABLES[table].key and table != Place.table:
        return subject(ledger, table, id_)
    if table == Place.table:
        return ledger.row(Place, id_).address
    found = ledger.row(TABLES[table], id_)
    pointed = [(c.of, found.value(c)) for c in found.columns if c.type == "ref"]
    refs = [(of, to) for of, to in pointed if to is not None]
    if any(of == "animal" for of, _ in refs):
        refs = [r for r in refs if r[0] != "line"]  # its name says the line
    return " ".join(named(ledger, of, i) for of, i in refs[:2])


def _value(ledger: Ledger, table: str, column: str, value: Any) -> str:
    kind = TABLES[table].column(column)
    if value is None or value == "":
        return act_report_sentences.NOTHING
    if isinstance(value, Span):
        return text(value)
    if kind.type == "ref":
        return named(ledger, kind.of, value)
    if kind.type == "day":
        return iso(value)
    return (
        (act_report_sentences.YES if value else act_report_sentences.NO)
        if kind.type == "yesno"
        else str(value)
    )
