"""Two animals: their kinship, what adds up to it, and the tree of their ancestors."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rounds.analysis.pedigree import pedigree_sentences
from rounds.analysis.pedigree.ancestor_tree import as_text, marked
from rounds.reports import pedigree_report_sentences
from rounds.reports.breeding_kinds import BETWEEN
from rounds.reports.report import Report, ReportDocument, ReportRow, TextBlock, document
from rounds.reports.report_columns import CellValue, ReportColumn
from rounds.text import reading_sentences, reading_text
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.analysis.pedigree.ancestor_tree import Node
    from rounds.analysis.pedigree.kinship import Between, Shared
    from rounds.analysis.pedigree.pedigree_table import Pedigree

_SOURCE = (
    ReportColumn("", "adds", "number", places=4),
    ReportColumn("", "from"),
    ReportColumn("", "generations back"),
)


def between_report(
    p: Pedigree, pair: tuple[str, str], found: Between, trees: Sequence[Node]
) -> ReportDocument:
    """The kinship of a pair with its sources at either end; ``trees`` are those of the two, or of the one."""
    k = found.kinship
    note = "" if k.exact else pedigree_report_sentences.OUTER_BOUNDS
    usual_from = found.usual_from if found.usual_from != found.low_from else []
    ends = [(f"{reading_sentences.LOW}:", found.low_from), (f"{reading_sentences.USUAL}:", usual_from)]
    at_most = [] if reading_text.same(k.usual, k.high) else [pedigree_report_sentences.at_most(k.high)]
    tree = [
        *as_text(trees),
        *([pedigree_sentences.ANCESTOR_OF_BOTH] if any(map(marked, trees)) else []),
    ]
    return document(
        BETWEEN,
        "",
        *(Report(title, _SOURCE, [_added(part) for part in parts]) for title, parts in ends if parts),
        TextBlock("", (*at_most, *tree)),
        Report("", BETWEEN.table("sources").columns, _rows(pair, found), name="sources"),
        said=(
            clean(
                f"{_two(p, pair)} {reading_text.reading_text(k.low, k.usual, k.high)}{note}{_means(p, pair)}",
                300,
            ),
        ),
        result={
            "a": pair[0],
            "b": pair[1],
            "low": k.low,
            "usual": k.usual,
            "high": k.high,
            "exact": k.exact,
            "low_from": [_fields(x) for x in found.low_from],
            "usual_from": [_fields(x) for x in found.usual_from],
        },
    )


def _added(part: Shared) -> ReportRow:
    """An ancestor as a row that people read."""
    steps = pedigree_report_sentences.steps_back(*part.steps) if any(part.steps) else ""
    source = clean(_source(part), 120)
    return ReportRow((part.adds, source, steps), pedigree_report_sentences.adds(part.adds, source, steps))


def _fields(part: Shared) -> dict[str, CellValue]:
    a, b = part.steps
    return {"ancestor": part.name or None, "kind": part.kind, "adds": part.adds, "steps_a": a, "steps_b": b}


def _rows(pair: tuple[str, str], found: Between) -> list[ReportRow]:
    """Every source of either end, with what they add up to; one row without a source where there is none."""
    out = []
    for end, value, parts in (
        ("low", found.kinship.low, found.low_from),
        ("usual", found.kinship.usual, found.usual_from),
        ("high", found.kinship.high, []),
    ):
        sources: list[tuple[CellValue, ...]] = [tuple(_fields(x).values()) for x in parts] or [(None,) * 5]
        out += [ReportRow((*pair, end, value, found.kinship.exact, *source)) for source in sources]
    return out


def _two(p: Pedigree, pair: tuple[str, str]) -> str:
    if pair[0] != pair[1]:
        return pedigree_report_sentences.kinship_of_two(*pair)
    if p.sex[p.at[pair[0]]] == "group":
        return pedigree_report_sentences.kinship_of_members(pair[0])
    return pedigree_report_sentences.kinship_with_itself(pair[0])


def _means(p: Pedigree, pair: tuple[str, str]) -> str:
    """What a kinship stands for, where it does: two of one sex have no offspring."""
    sexes = [p.sex[p.at[a]] for a in pair]
    if pair[0] == pair[1]:
        return "" if sexes[0] == "group" else pedigree_report_sentences.OWN_F
    if sexes[0] == sexes[1] and sexes[0] in ("m", "f"):
        return pedigree_report_sentences.both_are(males=sexes[0] == "m")
    return pedigree_report_sentences.F_OF_OFFSPRING


def _source(part: Shared) -> str:
    """An ancestor that adds to a kinship, or what else does."""
    if part.kind == "unknown":
        return pedigree_report_sentences.not_recorded_parents(part.name)
    if part.kind == "declared":
        return pedigree_report_sentences.declared(part.name)
    if part.kind == "further back":
        return part.kind
    return pedigree_report_sentences.ancestor(part.name, group=part.kind == "group")
