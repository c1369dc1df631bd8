"""The cost of inbreeding over several levels of F in lines for the keeper."""

from __future__ import annotations

from math import isfinite

from rounds.analysis.trial import cost_sentences as sentences
from rounds.analysis.trial.inbreeding_cost import FEWEST_DF, Cost, Level


def cost_lines(rows: list[Level], c: Cost) -> list[str]:
    """The line through several levels of F, in words; the first line is the finding."""
    levels = _by_level(rows)
    if not isfinite(c.b):
        where = sentences.NO_LOWER_LIMIT if c.b < 0 else sentences.NO_UPPER_LIMIT
        return [finding(c), where, *(sentences.level(f, alive, eggs) for f, eggs, alive in levels)]
    out = [finding(c), sentences.fitted(len(rows), c.a, c.b, c.lethal_equivalents)]
    if c.low is None or c.high is None:
        out.append(sentences.NO_INTERVAL)
    else:
        method = sentences.TOO_NARROW if c.independent else sentences.WIDENED
        out.append(sentences.interval(c.low, c.high, method))
    if c.phi is not None:
        out.append(sentences.spread(c.phi))
    return out + [sentences.level(f, alive, eggs, c.survival(f)) for f, eggs, alive in levels]


def finding(c: Cost) -> str:
    if not isfinite(c.b) or c.low is None or c.high is None:
        return sentences.NO_RANGE
    if c.independent:
        return sentences.few_rows(FEWEST_DF + 2)
    if c.low > 0:
        return sentences.FELL
    return sentences.ROSE if c.high < 0 else sentences.RANGE_HOLDS_0


def _by_level(rows: list[Level]) -> list[tuple[float, int, int]]:
    """(F, eggs, survivors) of each level, the lowest F first."""
    return [
        (f, sum(r.n for r in rows if r.f == f), sum(r.survived for r in rows if r.f == f))
        for f in sorted({r.f for r in rows})
    ]
