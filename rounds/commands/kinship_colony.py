"""``rounds kinship --colony``: each line and species as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import click

from rounds.problems import RoundsError

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree
    from rounds.commands.options import CliContext

COLUMNS = (
    "of", "name", "living", "mean_kinship_low", "mean_kinship_high", "gene_diversity_low", "gene_diversity_high",
    "founder_genomes_low", "founder_genomes_high", "founder_equivalents", "unknown_share", "breeding_males_low",
    "breeding_males_high", "breeding_females", "effective_size_low", "effective_size_high", "realised_size",
    "realised_animals", "f_in_5_generations_low", "f_in_5_generations_high", "founder_genomes_retained", "drops",
    "retained_unknown_because",
)  # fmt: skip
AHEAD = 5
"""Generations that the expected F looks ahead."""
SEED = 1
"""Of the gene drop: the same book always gives the same figure."""


def print_colony(p: Pedigree, given: CliContext | None, form: str) -> None:
    """Print the figures; ``given`` is None for a pedigree from a file, of which all count as living."""
    from rounds.commands.listing import print_records
    from rounds.text.cleaning import clean

    records = [_record(p, *group) for group in _groups(p, given)]
    if not records:
        raise RoundsError("there are no living animals with a number to look at.")
    if form != "text":
        print_records(records, COLUMNS, form)
        return
    if given is None:
        click.echo("a table does not say who is alive: all of its animals are counted as living")
    for r in records:
        click.echo(clean(f"{r['of']} {r['name'] or '(none)'}: {r['living']} living", 200))
        for words in _words(r):
            click.echo(f"  {words}")


def _groups(p: Pedigree, given: CliContext | None) -> list[tuple[str, str, list[str]]]:
    """(line or species, its name, living animals)."""
    if given is None:
        names = [p.names[i] for i in p.listed]
        lines = dict.fromkeys(p.line[i] for i in p.listed)
        each = [("line", x, [n for n in names if p.line[p.at[n]] == x]) for x in lines]
        return [*each, ("all", "", names)] if len(lines) > 1 else each
    from rounds.analysis.pedigree.book_pedigree import living
    from rounds.records.naming import animal_name
    from rounds.store.book import open_book
    from rounds.store.ledger_store import load

    with open_book(given.book, readonly=True) as book:
        ledger = load(book)
    groups: dict[tuple[str, str], list[str]] = {}
    for i in living(ledger):
        line = ledger.row("line", ledger.row("animal", i)["line"])
        name = animal_name(ledger, i)
        groups.setdefault(("line", str(line["name"])), []).append(name)
        groups.setdefault(("species", str(line["species"])), []).append(name)
    return [(*key, names) for key, names in sorted(groups.items())]


def _record(p: Pedigree, of: str, name: str, living: list[str]) -> dict[str, Any]:
    from rounds.analysis.pedigree import colony
    from rounds.analysis.pedigree.completeness import generations
    from rounds.analysis.pedigree.kinship import inbreeding
    from rounds.commands.listing import finite

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
        of, name, len(living), means.mean.low, means.mean.high, means.gene_diversity.low, means.gene_diversity.high,
        finite(means.founder_genomes.low), finite(means.founder_genomes.high), colony.founder_equivalents(shares),
        shares.get("", 0.0), *pairing, least or None, most or None, realised.size, realised.animals,
        colony.expected_f(most, AHEAD, now[0]) if most else None,
        colony.expected_f(least, AHEAD, now[1]) if least else None, *_retained(p, living, shares),
    )  # fmt: skip
    return dict(zip(COLUMNS, values, strict=True))


def _retained(p: Pedigree, living: list[str], shares: dict[str, float]) -> tuple[float | None, int, str]:
    """Founder genomes counting what is lost; drops it was drawn with (0: exact); why it cannot be told."""
    from rounds.analysis.pedigree.colony import founder_genomes_retained
    from rounds.analysis.pedigree.gene_drop import drops_for, retention

    drops = drops_for(p)
    try:
        kept = retention(p, living, SEED, drops)
    except ValueError as error:
        return None, 0, str(error)
    found = founder_genomes_retained(shares, kept.share)
    if not found:
        return None, 0, "none of its genes is from a founder that is recorded."
    return found, 0 if all(kept.exact.values()) else drops, ""


def _words(r: dict[str, Any]) -> list[str]:
    from rounds.commands.listing import amount

    fge = f"{r['founder_genomes_low']:.2f}" if r["founder_genomes_low"] is not None else "no limit"
    if (
        r["founder_genomes_high"] is not None
        and r["founder_genomes_high"] - (r["founder_genomes_low"] or 0) > 0.005
    ):
        fge += f"–{r['founder_genomes_high']:.2f}"
    out = [
        f"mean kinship of each with all of them, itself too: {amount(r['mean_kinship_low'], r['mean_kinship_high'])}",
        "gene diversity, 1 - mean kinship, the share of the founders' variety that is left: "
        f"{amount(r['gene_diversity_low'], r['gene_diversity_high'])}",
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
