"""What inbreeding costs: −ln S = A + B·F (Morton, Crow & Muller 1956).

S is the share surviving, F the inbreeding of the offspring. B counts lethal equivalents per
gamete, 2B per (diploid) animal; published figures are often 2B, and mixing the two doubles
the cost. delta = 1 − S(inbred) / S(outbred) is the share of survivors lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import exp, expm1, inf, log, log1p, sqrt

from rounds.analysis.trial import count_sentences as sentences
from rounds.analysis.trial.count_table import CountColumn, read
from rounds.analysis.trial.survival_shares import t_quantile
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem

COLUMNS = (
    CountColumn("f", "number", "F of the offspring", required=True, high=1),
    CountColumn("n", "whole", "how many eggs", required=True, low=1, high=10_000_000),
    CountColumn("survived", "whole", "how many survived", required=True, high=10_000_000),
    CountColumn("note", "text", "anything else"),
)
"""Columns of a table of levels: one row for each level of F, or for each brood."""


FEWEST_DF = 3
"""Rows beyond two from which phi tells anything: with fewer the interval would be all of it."""


class Level(NamedTuple):
    """So many survived of ``n`` at inbreeding ``f``."""

    f: float
    n: int
    survived: int


class Cost(NamedTuple):
    """The fitted line, B per gamete. Standard errors are None where the likelihood has no top.

    ``phi`` is Pearson's chi-square over its degrees of freedom (rows − 2): above 1 the rows
    vary more than independent eggs would, and ``error_b`` times its root is the honest one;
    None without a degree of freedom. ``low`` and ``high`` bound B at 0.95: by t with phi from
    :data:`FEWEST_DF` degrees of freedom on, else (``independent``) as if every egg were independent.
    """

    a: float
    b: float
    error_a: float | None
    error_b: float | None
    loglik: float
    phi: float | None
    low: float | None
    high: float | None
    independent: bool

    @property
    def lethal_equivalents(self) -> float:
        """2B, per diploid animal."""
        return 2 * self.b

    def survival(self, f: float) -> float:
        return exp(-(self.a + self.b * f))


def levels(lines: Iterable[str], file: str) -> tuple[list[Level], list[Problem]]:
    """Read a table ``F,n,survived`` from opened text; with any problem the list is empty."""
    table = read(lines, file, COLUMNS, sentences.LEVELS)
    problems = list(table.problems)
    out = []
    for line in table.rows:
        v = line.values
        if v["survived"] > v["n"]:
            said = sentences.more_survived_than_were(v["survived"], v["n"])
            problems.append(Problem(file, line.number, line.starts.get("survived", 0), *said))
        out.append(Level(v["f"], v["n"], v["survived"]))
    if not problems and len({x.f for x in out}) < 2:
        problems.append(Problem(file, 0, 0, *sentences.one_level(out[0].f)))
    return ([], problems) if problems else (out, [])


def between(reference: float, other: float, f: float) -> tuple[float, float]:
    """B per gamete and delta of two survivals whose F differ by ``f``: closed form.

    B is infinite when nothing survived in the other arm. Raises ValueError when the
    reference is 0 or f is not above 0.
    """
    if reference <= 0 or f <= 0:
        raise ValueError("a cost needs survivors in the reference and a difference in F.")
    return (log(reference / other) / f if other > 0 else inf), 1 - other / reference


def cost_of(b: float, f: float) -> float:
    """The share of survivors lost at F with B lethal equivalents per gamete: 1 − exp(−B·F)."""
    return -expm1(-b * f)


def b_of(cost: float, f: float) -> float:
    """B per gamete from the share of survivors lost at F."""
    return -log1p(-cost) / f


def fit(rows: Sequence[Level]) -> Cost:
    """A and B of most likelihood: binomial, log link, S held at or below 1 everywhere between the levels.

    The likelihood is concave in the two values −ln S at the lowest and the highest F, and
    S ≤ 1 just says neither is negative. So the best of four tops (free, either end at S = 1,
    both) is the answer. Where all died above the lowest F, B has no upper limit and is infinite;
    where all died below the highest, B has no lower limit and A no upper one.
    Raises ValueError for less than two levels, or when nothing survived anywhere.
    """
    first, last = min(r.f for r in rows), max(r.f for r in rows)
    if first == last:
        raise ValueError("a cost needs two levels of F.")
    if not any(r.survived for r in rows):
        raise ValueError("nothing survived: there is no survival to lose.")
    span = last - first
    points = [((r.f - first) / span, r.n, r.survived) for r in rows]
    if all(y == 0 for t, _, y in points if t > 0):
        eggs, alive = sum(n for t, n, _ in points if t == 0), sum(y for t, _, y in points if t == 0)
        a = log(eggs / alive)
        return Cost(a, inf, None, None, _one(a, eggs, alive), None, None, None, independent=True)
    if all(y == 0 for t, _, y in points if t < 1):
        eggs, alive = sum(n for t, n, _ in points if t == 1), sum(y for t, _, y in points if t == 1)
        return Cost(
            inf, -inf, None, None, _one(log(eggs / alive), eggs, alive), None, None, None, independent=True
        )
    tops = [_top(points, free) for free in ((True, True), (False, True), (True, False), (False, False))]
    loglik, u, v = max(x for x in tops if x is not None)
    b = (v - u) / span
    a = u - b * first
    errors = _errors(rows, a, b)
    phi = low = high = None
    if errors is not None:
        df = len(rows) - 2
        quantile, widen = 1.959963984540054, 1.0
        if df >= 1:
            expected = [exp(-(a + b * r.f)) for r in rows]
            chi2 = sum(
                (r.survived - r.n * s) ** 2 / (r.n * s * (1 - s)) for r, s in zip(rows, expected, strict=True)
            )
            phi = chi2 / df
        if phi is not None and df >= FEWEST_DF:
            quantile, widen = t_quantile(df), sqrt(max(1.0, phi))
        half = quantile * errors[1] * widen
        low, high = b - half, b + half
    return Cost(
        a,
        b,
        errors[0] if errors else None,
        errors[1] if errors else None,
        loglik,
        phi,
        low,
        high,
        len(rows) - 2 < FEWEST_DF,
    )


def _one(x: float, n: int, y: int) -> float:
    """Log likelihood of y of n surviving at −ln S = x (without the constant); −inf where it cannot be."""
    if x < 0 or (x == 0 and y < n):
        return -inf
    return -y * x + ((n - y) * log(-expm1(-x)) if y < n else 0.0)


def _total(points: Sequence[tuple[float, int, int]], u: float, v: float) -> float:
    return sum(_one(u * (1 - t) + v * t, n, y) for t, n, y in points)


def _top(
    points: Sequence[tuple[float, int, int]], free: tuple[bool, bool]
) -> tuple[float, float, float] | None:
    """(log likelihood, u, v) at the top with an end not free held at 0; None if that cannot be.

    Newton's steps, halved until they climb and stay inside.
    """
    eggs, alive = sum(n for _, n, _ in points), sum(y for _, _, y in points)
    start = -log(min(0.999, max(1e-3, alive / eggs)))
    u, v = (start if free[0] else 0.0), (start if free[1] else 0.0)
    now = _total(points, u, v)
    if now == -inf:
        return None
    for _ in range(200):
        gu = gv = huu = huv = hvv = 0.0
        for t, n, y in points:
            x = u * (1 - t) + v * t
            if x == 0:
                continue  # an end held at S = 1, where all lived
            e = -expm1(-x)
            g = -y + (n - y) * (1 - e) / e
            h = (n - y) * (1 - e) / (e * e)
            gu, gv = gu + g * (1 - t), gv + g * t
            huu, huv, hvv = huu + h * (1 - t) ** 2, huv + h * t * (1 - t), hvv + h * t * t
        if free == (True, True):
            det = huu * hvv - huv * huv
            if det <= 1e-14 * max(huu * hvv, 1e-300):
                du, dv = gu, gv
            else:
                du, dv = (hvv * gu - huv * gv) / det, (huu * gv - huv * gu) / det
        else:
            du = gu / huu if free[0] and huu > 0 else (gu if free[0] else 0.0)
            dv = gv / hvv if free[1] and hvv > 0 else (gv if free[1] else 0.0)
        step, moved = 1.0, False
        while step > 1e-12:
            a, b = u + step * du, v + step * dv
            if a >= 0 and b >= 0 and (there := _total(points, a, b)) > now:
                u, v, now, moved = a, b, there, True
                break
            step /= 2
        if not moved:
            break
    return now, u, v


def _errors(rows: Sequence[Level], a: float, b: float) -> tuple[float, float] | None:
    """Standard errors from the expected information; None at the edge S = 1 or without information."""
    i0 = i1 = i2 = 0.0
    for r in rows:
        s = exp(-(a + b * r.f))
        if s >= 1 - 1e-12:
            return None
        w = r.n * s / (1 - s)
        i0, i1, i2 = i0 + w, i1 + w * r.f, i2 + w * r.f * r.f
    det = i0 * i2 - i1 * i1
    return (sqrt(i2 / det), sqrt(i0 / det)) if det > 0 else None
