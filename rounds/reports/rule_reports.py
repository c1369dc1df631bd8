"""Rules at an enclosure with every clause, and what they would have done over a history."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.problems import Problem
from rounds.reports import rule_report_sentences
from rounds.reports.book_kinds import EXPLAINED, PROBLEMS, REPLAYED
from rounds.reports.report import Report, ReportDocument, ReportRow, document, listing
from rounds.rules.explain import Explained, as_data, lines
from rounds.rules.replay import Replayed
from rounds.rules.scene import Scene
from rounds.text.cleaning import clean, long_day


def explained_report(scene: Scene, answers: Sequence[Explained], silent: Sequence[str]) -> ReportDocument:
    """Why each rule holds or not; ``silent`` are rules asked for that are not watched at this stage."""
    box = scene.enclosure
    look = rule_report_sentences.NOBODY_LOOKED
    if scene.present:
        look = rule_report_sentences.at_the_look(long_day(scene.today))
    rows = []
    columns = EXPLAINED.table("rules").columns
    for answer in answers:
        known = as_data(answer)
        first, *rest = lines(answer)
        rows.append(
            ReportRow(tuple(known[c.name] for c in columns), first, tuple(x.removeprefix("  ") for x in rest))
        )
    return document(
        EXPLAINED,
        "",
        Report("", columns, rows, name="rules"),
        said=(rule_report_sentences.explained(box.code, box.stage, look),),
        notes=[rule_report_sentences.not_watched(rule, box.stage) for rule in silent],
        result={
            "enclosure": box.code,
            "stage": box.stage,
            "look": scene.today if scene.present else None,
        },
    )


def replayed_report(found: Replayed) -> ReportDocument:
    """How often each rule was raised, stood and could not be told."""
    rows = [
        ReportRow((c.rule, c.level, c.visits, c.raised, c.per_100, c.stood, c.unknown, c.enclosures))
        for c in found.counts
    ]
    told = rule_report_sentences.replayed(found.visits, found.flags_per_100)
    return document(
        REPLAYED,
        "",
        Report("", REPLAYED.table("rules").columns, rows, (told,), name="rules"),
        result={"visits": found.visits, "flags_per_100": found.flags_per_100},
    )


def problems_report(problems: Sequence[Problem]) -> ReportDocument:
    """What was found wrong, a line each."""
    rows = [
        ReportRow((p.file, p.line or None, p.column or None, p.message, p.hint or None), clean(str(p), 2000))
        for p in problems
    ]
    return listing(PROBLEMS, rows)
