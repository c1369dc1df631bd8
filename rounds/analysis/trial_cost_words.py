"""The cost of inbreeding over several levels of F in words for the keeper, and as rows for programs."""

from __future__ import annotations

from math import isfinite

from rounds.analysis.trial_cost import FEWEST_DF, Cost, Level
from rounds.analysis.trial_words import COLUMNS


def cost_lines(rows: list[Level], c: Cost) -> list[str]:
    """The line through several levels of F, in words."""
    if not isfinite(c.b):
        where = "no upper limit: nothing survived above the lowest F"
        if c.b < 0:
            where = "no lower limit: nothing survived below the highest F, so this is no cost of inbreeding"
        seen = [
            f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%})"
            for f, eggs, alive in _by_level(rows)
        ]
        return [f"B has {where}", *seen]
    told = c.low is not None and c.high is not None and (c.low > 0 or c.high < 0)
    out = [
        f"-ln S = A + B·F by maximum likelihood over {len(rows)} rows: A {c.a:.4f}, B {c.b:.4f} per gamete, "
        f"2B {c.lethal_equivalents:.4f} per animal"
    ]
    if c.low is None or c.high is None:
        out.append("no interval: survival is 100% at one end, where the likelihood has no top")
    else:
        how = (
            "as if every egg were independent, so too narrow"
            if c.independent
            else "t over rows, widened by phi"
        )
        out.append(f"B from {c.low:.3f} to {c.high:.3f} (95%, {how})")
        if c.independent:
            out.append(
                "cannot tell whether inbreeding costs anything here: so few rows do not show how much broods differ "
                f"by themselves. Give a row for each brood, {FEWEST_DF + 2} or more"
            )
        elif not told:
            out.append("cannot tell whether inbreeding costs anything here: the interval holds 0")
    if c.phi is not None:
        out.append(
            f"phi {c.phi:.2f}: rows vary {'more' if c.phi > 1 else 'no more'} than independent eggs would"
        )
    out += [
        f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%}), the line says {c.survival(f):.1%}"
        for f, eggs, alive in _by_level(rows)
    ]
    return out


def _by_level(rows: list[Level]) -> list[tuple[float, int, int]]:
    """(F, eggs, survivors) of each level, the lowest F first."""
    return [
        (f, sum(r.n for r in rows if r.f == f), sum(r.survived for r in rows if r.f == f))
        for f in sorted({r.f for r in rows})
    ]


def cost_records(c: Cost) -> list[dict[str, object]]:
    """The same as rows with the fields :data:`COLUMNS`."""
    finite = isfinite(c.b)
    how = "as if every egg were independent" if c.independent else "t over rows, widened by phi"
    values: list[tuple[object, ...]] = [
        (
            "A",
            c.a if isfinite(c.a) else None,
            None,
            None,
            f"standard error {c.error_a}" if c.error_a is not None else None,
        ),
        ("B per gamete", c.b if finite else None, c.low, c.high, how),
        ("2B per animal", 2 * c.b if finite else None, c.low and 2 * c.low, c.high and 2 * c.high, how),
        ("standard error of B", c.error_b, None, None, "expected information, eggs independent"),
        ("phi", c.phi, None, None, "Pearson chi-square over rows - 2"),
    ]
    return [dict(zip(COLUMNS, v, strict=True)) for v in values]
