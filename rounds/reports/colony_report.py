"""Lines and species as a whole: mean kinship, founders, effective size."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

from rounds.analysis.pedigree import colony
from rounds.analysis.pedigree.completeness import generations
from rounds.analysis.pedigree.gene_drop import drops_for, retention
from rounds.analysis.pedigree.kinship import inbreeding
from rounds.reports import pedigree_report_sentences
from rounds.reports.breeding_kinds import COLONY
from rounds.reports.report import ROWS, Report, ReportDocument, ReportRow, document
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree

AHEAD = 5
"""Generations that the expected F looks ahead."""
SEED = 1
"""Of the gene drop: the same book always gives the same figure."""


def colony_report(
    p: Pedigree, groups: Sequence[tuple[str, str, list[str]]], *, all_living: bool
) -> ReportDocument:
    """Figures of each group: whether it is a line or a species, its name, and its living animals."""
    rows = []
    for group in groups:
        r = _record(p, *group)
        head = clean(pedigree_report_sentences.group_of_living(r["of"], r["name"], r["living"]), 200)
        rows.append(ReportRow(tuple(r.values()), head, tuple(_words(r))))
    said = [pedigree_report_sentences.ALL_COUNT_AS_LIVING] if all_living else []
    return document(COLONY, "", Report("", COLONY.table(ROWS).columns, rows, said=tuple(said)))


def _record(p: Pedigree, of: str, name: str, living: list[str]) -> dict[str, Any]:
    means = colony.mean_kinships(p, living)
    shares = colony.founder_shares(p, living)
    which = [p.at[n] for n in living]
    pairing = colony.breeders(p, living)
    least = colony.effective_size(pairing.fewest_males, pairing.females)
    most = colony.effective_size(pairing.most_males, pairing.females)
    f, known = inbreeding(p), generations(p)
    now = [sum(x) / len(which) for x in ([f[i].low for i in which], [f[i].high for i in which])]
    realised = colony.realised_size([f[i].low for i in which], [known[i].equivalent for i in which])
    values = (
        of,
        name,
        len(living),
        *means.mean[:3],
        *means.gene_diversity[:3],
        *map(_finite, means.founder_genomes[:3]),
        colony.founder_equivalents(shares),
        shares.get("", 0.0),
        *pairing,
        least or None,
        most or None,
        realised.size,
        realised.animals,
        colony.expected_f(most, AHEAD, now[0]) if most else None,
        colony.expected_f(least, AHEAD, now[1]) if least else None,
        *_retained(p, living, shares),
    )
    return dict(zip([c.name for c in COLONY.table(ROWS).columns], values, strict=True))


def _finite(value: float) -> float | None:
    """None for a number without end, which says "no limit"."""
    return value if isfinite(value) else None


def _retained(p: Pedigree, living: list[str], shares: dict[str, float]) -> tuple[float | None, int, str, str]:
    """Founder genomes counting what is lost; drops it was drawn with (0: exact); why it cannot be told; who is lost."""
    drops = drops_for(p)
    try:
        kept = retention(p, living, SEED, drops)
    except ValueError as error:
        return None, 0, str(error), ""
    found = colony.founder_genomes_retained(shares, kept.share)
    lost = ", ".join(colony.lost_founders(shares, kept.share))
    if not found:
        return None, 0, pedigree_report_sentences.NO_RECORDED_FOUNDER, lost
    return found, 0 if all(kept.exact.values()) else drops, "", lost


def _words(r: dict[str, Any]) -> list[str]:
    out = [
        pedigree_report_sentences.mean_kinship(*_readings(r, "mean_kinship")),
        pedigree_report_sentences.gene_diversity(*_readings(r, "gene_diversity")),
        pedigree_report_sentences.founder_genomes(*_readings(r, "founder_genomes")),
        pedigree_report_sentences.founder_equivalents(r["founder_equivalents"], r["unknown_share"]),
    ]
    if r["founder_genomes_retained"] is None:
        out.append(pedigree_report_sentences.genomes_unknown(r["retained_unknown_because"]))
    else:
        out.append(pedigree_report_sentences.genomes_still_there(r["founder_genomes_retained"], r["drops"]))
    if r["lost_founders"]:
        out.append(pedigree_report_sentences.founders_lost(r["lost_founders"], r["drops"]))
    if r["effective_size_low"] is None:
        out.append(pedigree_report_sentences.NO_EFFECTIVE_SIZE)
    else:
        ahead = _span(r, f"f_in_{AHEAD}_generations", ".3f")
        out += [
            pedigree_report_sentences.recorded_parents(
                _span(r, "breeding_males", "d"), r["breeding_females"]
            ),
            pedigree_report_sentences.effective_size(_span(r, "effective_size", ".1f")),
            pedigree_report_sentences.expected_f(ahead, AHEAD),
        ]
    if r["realised_size"] is not None:
        out.append(pedigree_report_sentences.realised_size(r["realised_size"], r["realised_animals"]))
    return out


def _readings(r: dict[str, Any], name: str) -> tuple[Any, Any, Any]:
    return r[f"{name}_low"], r[f"{name}_usual"], r[f"{name}_high"]


def _span(r: dict[str, Any], name: str, how: str) -> str:
    low, high = (format(r[f"{name}_{end}"], how) for end in ("low", "high"))
    return low if low == high else f"{low}–{high}"
