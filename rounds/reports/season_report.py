"""A season's end by line: tables for people, a row a stage for programs."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.season import LineSeason
from rounds.analysis.young_fates import Count, Loss
from rounds.reports import day_sentences
from rounds.reports.day_kinds import SEASON
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.reports.report_columns import CellValue, ReportColumn
from rounds.text.cleaning import day_and_year


def season_report(lines: Sequence[LineSeason], first: int, last: int) -> ReportDocument:
    """By line: what was found and hatched, losses by stage beside how many entered it, beetles."""
    return document(
        SEASON,
        day_sentences.season_title(day_and_year(first), day_and_year(last)),
        *_for_people(lines),
        Report(
            "", SEASON.table(ROWS).columns, [_by_stage(s, n) for s in lines for n in range(len(s.losses))]
        ),
        said=(day_sentences.COUNTS_ARE_RECORDED, day_sentences.LOST_BOTH_WAYS),
    )


def _for_people(lines: Sequence[LineSeason]) -> list[Report]:
    found: list[tuple[CellValue, ...]] = [
        (
            s.line,
            s.species,
            s.pairings,
            day_sentences.searches(s.searches, s.complete),
            _counted(s.eggs),
            _counted(s.larvae),
            s.broods,
            s.undated,
        )
        for s in lines
    ]
    hatch: list[tuple[CellValue, ...]] = [
        (s.line, _counted(s.eggs), _counted(s.hatched), _counted(s.hatch_unknown))
        for s in lines
        if s.eggs.n or s.eggs.at_least
    ]
    losses: list[tuple[CellValue, ...]] = [
        (
            s.line,
            x.stage,
            _counted(x.of),
            day_sentences.perhaps_more(x.perhaps),
            x.dead,
            x.missing,
            x.given,
            _lost(x),
        )
        for s in lines
        for x in s.losses
        if x.of.n or x.perhaps or x.dead or x.missing or x.given
    ]
    left: list[tuple[CellValue, ...]] = [
        (s.line, s.numbered, _counted(s.here), _counted(s.unexplained)) for s in lines
    ]
    grown: list[tuple[CellValue, ...]] = [(s.line, s.emerged, s.died, s.died_unknown, s.maybe) for s in lines]
    return [
        _part(
            "Found",
            (
                "line",
                "species",
                "pairings",
                "searches",
                "eggs",
                "larvae",
                "broods",
                "broods without a sure date",
            ),
            found,
        ),
        _part("Eggs that were counted", ("line", "counted", "seen hatched", "fate unknown"), hatch),
        _part(
            "Lost, by stage",
            (
                "line",
                "stage",
                "came to it",
                "perhaps more",
                "found dead",
                "not found again",
                "given away",
                "lost of those counted",
            ),
            losses,
        ),
        _part("What became of the young", ("line", "got a number", "still in a group", "unexplained"), left),
        _part("Beetles", ("line", "came up", "died", "of those, cause unknown", "day unsure"), grown),
    ]


def _part(title: str, headings: Sequence[str], rows: Sequence[tuple[CellValue, ...]]) -> Report:
    """A table that only people get; columns of nothing but numbers stand at the right."""
    numbers = [bool(rows) and all(isinstance(row[i], int) for row in rows) for i in range(len(headings))]
    columns = tuple(
        ReportColumn("", h, "whole" if n else "text") for h, n in zip(headings, numbers, strict=True)
    )
    return Report(title, columns, [ReportRow(row) for row in rows])


def _counted(count: Count) -> str:
    return day_sentences.counted(count.n, at_least=count.at_least, at_most=count.at_most)


def _lost(stage: Loss) -> str:
    lost = stage.dead + stage.missing
    if stage.lost_at_least is None or stage.lost_at_most is None:
        return day_sentences.lost_of_none(lost) if lost else ""
    return day_sentences.lost_share(lost, stage.of.n, stage.lost_at_least, stage.lost_at_most)


def _by_stage(s: LineSeason, stage: int) -> ReportRow:
    """One stage of a line; what concerns the whole line is repeated."""
    x = s.losses[stage]
    return ReportRow(
        (
            s.line,
            s.species,
            s.pairings,
            s.searches,
            s.complete,
            s.broods,
            s.undated,
            s.eggs.n,
            s.eggs.at_least,
            s.larvae.n,
            s.larvae.at_least,
            s.hatched.n,
            s.hatched.at_least,
            s.hatch_unknown.n,
            s.hatch_unknown.at_least,
            s.hatch_unknown.at_most,
            x.stage,
            x.of.n,
            x.of.at_least,
            x.perhaps,
            x.dead,
            x.missing,
            x.given,
            x.lost_at_least,
            x.lost_at_most,
            s.numbered,
            s.here.n,
            s.here.at_least,
            s.unexplained.n,
            s.unexplained.at_most,
            s.emerged,
            s.died,
            s.died_unknown,
            s.maybe,
        )
    )
