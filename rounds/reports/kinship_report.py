"""Inbreeding of animals, and the kinship of every two of them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, overload

from rounds.analysis.pedigree.ceiling import unrecorded_behind
from rounds.analysis.pedigree.completeness import DEPTH, generations
from rounds.analysis.pedigree.kinship import inbreeding
from rounds.reports import pedigree_report_sentences
from rounds.reports.breeding_kinds import KINSHIP, MATRIX
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.reports.report_columns import ReportColumn, for_programs
from rounds.text import reading_sentences, reading_text
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.analysis.pedigree.kinship import KinshipRange, Kinships
    from rounds.analysis.pedigree.pedigree_table import Pedigree


def kinship_report(p: Pedigree, which: Sequence[int], *, for_people: bool = True) -> ReportDocument:
    """F of animals (positions in the pedigree), with how much of their ancestry is known.

    Without ``for_people`` what only people read stays empty.
    """
    f, known, unsure = inbreeding(p), generations(p), unrecorded_behind(p)
    rows = []
    for i in which:
        k = known[i]
        shown = most = generations_known = completeness = parents = ""
        if for_people:
            shown, most = _columns(p, i, f[i])
            generations_known = pedigree_report_sentences.generations_known(k.full, k.deepest)
            completeness = f"{k.completeness:.0%}"
            parents = clean(_parent_words(p, i), 400)
        rows.append(
            ReportRow(
                (
                    p.names[i],
                    p.line[i] or None,
                    p.sex[i] or None,
                    *_parents(p, i),
                    f[i].low,
                    f[i].usual,
                    f[i].high,
                    f[i].exact,
                    p.doubts.get(i),
                    shown,
                    most,
                    generations_known,
                    k.full,
                    k.deepest,
                    k.equivalent,
                    k.completeness,
                    completeness,
                    parents,
                )
            )
        )
    notes = list(READINGS) if any(unsure[i] for i in which) else []
    if any(i in p.founders and i not in p.doubts for i in which):
        notes.append(pedigree_report_sentences.ORIGIN)
    notes += [
        clean(pedigree_report_sentences.doubted(p.names[i], p.doubts[i]), 400) for i in which if i in p.doubts
    ]
    notes += [pedigree_report_sentences.outer_bounds_marked()] if any(not f[i].exact for i in which) else []
    columns = tuple(
        c._replace(heading=pedigree_report_sentences.known_of_the_last(DEPTH)) if c.heading == "known" else c
        for c in KINSHIP.table(ROWS).columns
    )
    return document(KINSHIP, "", Report("", columns, rows, tuple(notes)))


READINGS = (reading_sentences.LOW, reading_sentences.USUAL, reading_sentences.AT_MOST)
"""What the three figures take parents that are not recorded for."""


def _columns(p: Pedigree, i: int, f: KinshipRange) -> tuple[str, str]:
    """F from low to the usual reading, and at most, as two columns."""
    starred = "" if f.exact else " *"
    if reading_text.same(f.low, f.usual) and reading_text.same(f.usual, f.high):
        if i in p.founders:
            return pedigree_report_sentences.AS_DECLARED, ""
        return f"{reading_text.short(f.usual)}{starred}", reading_text.short(f.high)
    from_to = reading_text.range_column(f.low, f.usual)
    if reading_text.same(f.low, f.usual):
        from_to = pedigree_report_sentences.from_low(from_to)
    return from_to + starred, reading_text.short(f.high)


def _parents(p: Pedigree, i: int) -> tuple[str | None, str | None]:
    """Sire and dam by name as a pedigree table has them: possible sires parted by |, None for not recorded."""
    if i not in p.sires:
        sire, dam = p.sire[i], p.dam[i]
        return p.names[sire] if sire >= 0 else None, p.names[dam] if dam >= 0 else None
    sires = [p.names[s] if s >= 0 else "?" for s in p.sires[i]]
    return "|".join(sires) or None, p.names[p.dam[i]] if p.dam[i] >= 0 else None


def _parent_words(p: Pedigree, i: int) -> str:
    sire, dam = _parents(p, i)
    if i in p.sires:
        could = [p.names[s] if s >= 0 else pedigree_report_sentences.MALE_NOT_RECORDED for s in p.sires[i]]
        sire = pedigree_report_sentences.possibly(tuple(could))
    return pedigree_report_sentences.parents(sire or "", dam or "")


def matrix_report(found: Kinships) -> ReportDocument:
    """The kinship of every two animals: a square for people, a pair a row for programs."""
    ends = [(reading_sentences.LOW, found.low)]
    if found.high != found.low:
        ends += [(reading_sentences.USUAL, found.usual), (reading_sentences.AT_MOST, found.high)]
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
        for a, *rows in zip(found.animals, found.low, found.usual, found.high, strict=True):
            for b, *readings in zip(found.animals, *rows, strict=True):
                yield ReportRow((a, b, *readings, found.exact))

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
