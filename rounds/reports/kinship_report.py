"""Inbreeding of animals, and the kinship of every two of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, overload

from rounds.analysis.pedigree.completeness import DEPTH, generations
from rounds.analysis.pedigree.kinship import inbreeding
from rounds.reports import pedigree_report_sentences
from rounds.reports.breeding_kinds import KINSHIP, MATRIX
from rounds.reports.range_text import range_text
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.reports.report_columns import ReportColumn, for_programs
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.analysis.pedigree.kinship import Kinships
    from rounds.analysis.pedigree.pedigree_table import Pedigree


def kinship_report(p: Pedigree, which: Sequence[int]) -> ReportDocument:
    """F of animals (positions in the pedigree), with how much of their ancestry is known."""
    f, known = inbreeding(p), generations(p)
    rows = []
    for i in which:
        shown = range_text(f[i].low, f[i].high) + ("" if f[i].exact else " *")
        k = known[i]
        rows.append(
            ReportRow(
                (
                    p.names[i],
                    p.line[i] or None,
                    p.sex[i] or None,
                    *_parents(p, i),
                    f[i].low,
                    f[i].high,
                    f[i].exact,
                    shown,
                    pedigree_report_sentences.generations_known(k.full, k.deepest),
                    k.full,
                    k.deepest,
                    k.equivalent,
                    k.completeness,
                    f"{k.completeness:.0%}",
                    clean(_parent_words(p, i), 400),
                )
            )
        )
    notes = [pedigree_report_sentences.ORIGIN] if any(not p.parents(i) for i in which) else []
    notes += [pedigree_report_sentences.outer_bounds_marked()] if any(not f[i].exact for i in which) else []
    columns = tuple(
        c._replace(heading=pedigree_report_sentences.known_of_the_last(DEPTH)) if c.heading == "known" else c
        for c in KINSHIP.table(ROWS).columns
    )
    return document(KINSHIP, "", Report("", columns, rows, tuple(notes)))


def _parents(p: Pedigree, i: int) -> tuple[str | None, str | None]:
    """Sire and dam by name as a pedigree table has them: possible sires parted by |, None for not recorded."""
    sires = [p.names[s] if s >= 0 else "?" for s in p.sires.get(i, (p.sire[i],) if p.sire[i] >= 0 else ())]
    return "|".join(sires) or None, p.names[p.dam[i]] if p.dam[i] >= 0 else None


def _parent_words(p: Pedigree, i: int) -> str:
    sire, dam = _parents(p, i)
    if i in p.sires:
        could = [p.names[s] if s >= 0 else pedigree_report_sentences.MALE_NOT_RECORDED for s in p.sires[i]]
        sire = pedigree_report_sentences.possibly(tuple(could))
    return pedigree_report_sentences.parents(sire or "", dam or "")


def matrix_report(found: Kinships) -> ReportDocument:
    """The kinship of every two animals: a square for people, a pair a row for programs."""
    ends = [(pedigree_report_sentences.LOW_END, found.low)]
    if found.high != found.low:
        ends.append((pedigree_report_sentences.HIGH_END, found.high))
    columns = (
        ReportColumn("", " "),
        *(ReportColumn("", clean(a, 20) or "?", "number", places=4) for a in found.animals),
    )
    squares = [
        Report(
            f"{title}:",
            columns,
            [ReportRow((a, *values)) for a, values in zip(found.animals, square, strict=True)],
        )
        for title, square in ends
    ]
    notes = [] if found.exact else [pedigree_report_sentences.OUTER]
    pairs = Report("", for_programs(MATRIX.table(ROWS).columns), _Pairs(found))
    return document(MATRIX, "", *squares, pairs, notes=notes)


class _Pairs(Sequence[ReportRow]):
    """A row for every two animals, made when it is asked for: there may be millions."""

    def __init__(self, found: Kinships) -> None:
        self._found = found

    def __iter__(self) -> Iterator[ReportRow]:
        found = self._found
        for a, low, high in zip(found.animals, found.low, found.high, strict=True):
            for b, least, most in zip(found.animals, low, high, strict=True):
                yield ReportRow((a, b, least, most, found.exact))

    def __len__(self) -> int:
        return len(self._found.animals) ** 2

    @overload
    def __getitem__(self, at: int) -> ReportRow: ...
    @overload
    def __getitem__(self, at: slice) -> list[ReportRow]: ...
    def __getitem__(self, at: int | slice) -> ReportRow | list[ReportRow]:
        if isinstance(at, slice):
            return [self[n] for n in range(*at.indices(len(self)))]
        if not 0 <= at < len(self):
            raise IndexError(at)
        found = self._found
        i, j = divmod(at, len(found.animals))
        return ReportRow((found.animals[i], found.animals[j], found.low[i][j], found.high[i][j], found.exact))
