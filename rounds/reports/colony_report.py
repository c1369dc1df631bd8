"""Lines and species as a whole: mean kinship, founders, effective size."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

from rounds.reports.breeding_kinds import COLONY
from rounds.reports.range_text import range_text
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
        head = clean(f"{r['of']} {r['name'] or '(none)'}: {r['living']} living", 200)
        rows.append(ReportRow(tuple(r.values()), head, tuple(_words(r))))
    said = (
        ["a table does not say who is alive: all of its animals are counted as living"] if all_living else []
    )
    return document(COLONY, "", Report("", COLONY.table(ROWS).columns, rows, said=tuple(said)))


def _record(p: Pedigree, of: str, name: str, living: list[str]) -> dict[str, Any]:
    from rounds.analysis.pedigree import colony
    from rounds.analysis.pedigree.completeness import generations
    from rounds.analysis.pedigree.kinship import inbreeding

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
        means.mean.low,
        means.mean.high,
        means.gene_diversity.low,
        means.gene_diversity.high,
        _finite(means.founder_genomes.low),
        _finite(means.founder_genomes.high),
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
    from rounds.analysis.pedigree.colony import founder_genomes_retained, lost_founders
    from rounds.analysis.pedigree.gene_drop import drops_for, retention

    drops = drops_for(p)
    try:
        kept = retention(p, living, SEED, drops)
    except ValueError as error:
        return None, 0, str(error), ""
    found = founder_genomes_retained(shares, kept.share)
    lost = ", ".join(lost_founders(shares, kept.share))
    if not found:
        return None, 0, "none of its genes is from a founder that is recorded.", lost
    return found, 0 if all(kept.exact.values()) else drops, "", lost


def _words(r: dict[str, Any]) -> list[str]:
    fge = f"{r['founder_genomes_low']:.2f}" if r["founder_genomes_low"] is not None else "no limit"
    if (
        r["founder_genomes_high"] is not None
        and r["founder_genomes_high"] - (r["founder_genomes_low"] or 0) > 0.005
    ):
        fge += f"–{r['founder_genomes_high']:.2f}"
    out = [
        f"mean kinship of each with all of them, itself too: {range_text(r['mean_kinship_low'], r['mean_kinship_high'])}",
        "gene diversity, 1 - mean kinship, the share of the founders' variety that is left: "
        f"{range_text(r['gene_diversity_low'], r['gene_diversity_high'])}",
        f"founder genome equivalents, 1 / (2 × mean kinship): {fge}",
        f"founder equivalents, 1 / Σ share²: {r['founder_equivalents']:.2f}; "
        f"share of genes from parents not recorded: {r['unknown_share']:.0%}",
    ]
    kept = "founder genomes still there, 1 / Σ (share² / retention), alleles lost on the way left out: "
    if r["founder_genomes_retained"] is None:
        kept += f"cannot tell, {r['retained_unknown_because']}"
    else:
        drawn = f" (drawn: {r['drops']} gene drops)" if r["drops"] else ""
        kept += f"{r['founder_genomes_retained']:.2f}{drawn}"
    out.append(kept)
    if r["lost_founders"]:
        seen = f", not one of their alleles in {r['drops']} gene drops" if r["drops"] else ""
        out.append(f"founders lost{seen}: {r['lost_founders']}")
    if r["effective_size_low"] is not None:
        males, size = _span(r, "breeding_males", "d"), _span(r, "effective_size", ".1f")
        out += [
            f"their recorded parents: {males} male{'' if males == '1' else 's'}, {r['breeding_females']} "
            f"female{'' if r['breeding_females'] == 1 else 's'}"
            + ("; which of the possible fathers they are is open" if "–" in males else ""),
            f"effective size, 4·Nm·Nf / (Nm + Nf): {size} at the most, as if all of them had equally many offspring",
            f"paired on with so many parents F would be {_span(r, f'f_in_{AHEAD}_generations', '.3f')} "
            f"in {AHEAD} generations, higher where some leave more offspring than others",
        ]
    else:
        out.append("effective size: cannot tell, it takes a recorded father and a recorded mother")
    if r["realised_size"] is not None:
        n = r["realised_animals"]
        out.append(
            f"effective size as it has been, from the rise of F (low end) in {n} animal{'' if n == 1 else 's'} with "
            f"more than one known generation: {r['realised_size']:.1f}"
        )
    return out


def _span(r: dict[str, Any], name: str, how: str) -> str:
    low, high = (format(r[f"{name}_{end}"], how) for end in ("low", "high"))
    return low if low == high else f"{low}–{high}"
