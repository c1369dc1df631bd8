"""The cost of inbreeding over several levels of F in words for the keeper."""

from __future__ import annotations

from math import isfinite

from rounds.analysis.trial.inbreeding_cost import FEWEST_DF, Cost, Level

CANNOT = "cannot tell whether inbreeding costs anything here: "


def cost_lines(rows: list[Level], c: Cost) -> list[str]:
    """The line through several levels of F, in words; the first line is the finding."""
    levels = _by_level(rows)
    if not isfinite(c.b):
        seen = [f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%})" for f, eggs, alive in levels]
        where = "no upper limit: nothing survived above the lowest F"
        if c.b < 0:
            where = "no lower limit: nothing survived below the highest F, so this is no cost of inbreeding"
        return [finding(c), f"B has {where}", *seen]
    out = [
        finding(c),
        f"-ln S = A + B·F by maximum likelihood over {len(rows)} rows: A {c.a:.4f}, B {c.b:.4f} per gamete, "
        f"2B {c.lethal_equivalents:.4f} per animal",
    ]
    if c.low is None or c.high is None:
        out.append("no interval: survival is 100% at one end, where the likelihood has no top")
    else:
        out.append(f"B from {c.low:.3f} to {c.high:.3f} (95%, {interval_method(c)})")
    if c.phi is not None:
        out.append(
            f"phi {c.phi:.2f}: rows vary {'more' if c.phi > 1 else 'no more'} than independent eggs would"
        )
    out += [
        f"  F {f:g}: {alive} of {eggs} survived ({alive / eggs:.1%}), the line says {c.survival(f):.1%}"
        for f, eggs, alive in levels
    ]
    return out


def interval_method(c: Cost) -> str:
    return (
        "as if every egg were independent, so too narrow" if c.independent else "t over rows, widened by phi"
    )


def finding(c: Cost) -> str:
    if not isfinite(c.b) or c.low is None or c.high is None:
        return f"{CANNOT}there is no range of B to go by"
    if c.independent:
        return (
            f"{CANNOT}so few rows do not show how much broods differ by themselves. "
            f"Give a row for each brood, {FEWEST_DF + 2} or more"
        )
    if c.low > 0:
        return "survival fell as F rose"
    return (
        "survival rose with F: no cost of inbreeding was seen"
        if c.high < 0
        else f"{CANNOT}the range of B holds 0"
    )


def _by_level(rows: list[Level]) -> list[tuple[float, int, int]]:
    """(F, eggs, survivors) of each level, the lowest F first."""
    return [
        (f, sum(r.n for r in rows if r.f == f), sum(r.survived for r in rows if r.f == f))
        for f in sorted({r.f for r in rows})
    ]
