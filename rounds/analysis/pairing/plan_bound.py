"""What no plan can be better than: the proven bound of large plans.

Animals may be shared out in fractions here, which only makes plans better, so the best of
these is a bound. A whole number's square is at least itself, which lets part of the
diagonal of K be linear and keeps the bound close. The convex problem left is solved by
Frank and Wolfe's steps (1956, Naval Res. Logist. Q. 3), each a linear programme; every step
gives a bound, the best of which is kept; the corners met are shared out anew after each.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence

from rounds.analysis.pairing.next_generation import Array, Cell, Enough, Limits, NextGeneration, never

SECONDS = 8.0
CLOSE = 0.002
"""A bound is close enough when the plan lies above it by no more than this share."""


def plan_bound(
    judged: NextGeneration,
    limits: Limits,
    plan: Sequence[Cell],
    *,
    seconds: float = SECONDS,
    go_on: Callable[[], object] = lambda: None,
    enough: Enough = never,
) -> float:
    """A total no plan under the limits lies below; at most that of ``plan``.

    ``go_on`` is called between steps and may raise. One step is always taken; once it is
    ``enough``, the best bound found by then is given.
    """

    total = judged.score(plan).total
    if not plan:
        return total
    step = _LinearStep(limits, judged.pairs)
    return min(total, _relaxed(judged, step, plan, time.monotonic() + seconds, go_on, enough))


def _relaxed(
    judged: NextGeneration,
    step: _LinearStep,
    plan: Sequence[Cell],
    ends: float,
    go_on: Callable[[], object],
    enough: Enough,
) -> float:
    """The best bound until a time, or until it is enough."""
    import numpy as np

    males, total = judged.males, judged.score(plan).total
    part = _linear_part(judged.kinship)
    rest = judged.kinship - np.diag(part)
    most = np.append(np.minimum(step.uses, judged.pairs), np.ones(len(part) - males))
    # n² is at least n, and at most n times the most n can be.
    linear = judged.linear + judged.square * part * np.where(part < 0, most, 1.0)
    f = judged.each[step.male, step.female] / judged.pairs
    x = np.zeros(len(step.cells))
    for cell in plan:
        x[step.place[cell]] = 1.0
    groups, costs = [step.groups(x, males, len(linear))], [float(f @ x)]  # of each corner met
    shares = np.array([1.0])
    bound = -math.inf
    while bound == -math.inf or (time.monotonic() < ends and not enough()):
        go_on()
        corners, cost = np.array(groups), np.array(costs)
        n = shares @ corners
        pull = rest @ n
        value = float(judged.fixed + linear @ n + judged.square * (n @ pull) + cost @ shares)
        of_animal = linear + 2 * judged.square * pull
        corner = step.best(of_animal[step.male] + of_animal[males + step.female] + f)
        to = step.groups(corner, males, len(linear))
        slope = float(of_animal @ (to - n) + f @ corner - cost @ shares)
        bound = max(bound, value + slope)
        if total - bound <= CLOSE * abs(total) or slope > -CLOSE / 20 * abs(total):
            break
        groups.append(to)
        costs.append(float(f @ corner))
        corners = np.array(groups)
        shares = _shared(
            2 * judged.square * corners @ rest @ corners.T,
            corners @ linear + np.array(costs),
            np.append(shares, 0.0),
        )
        kept = shares > 1e-12
        groups = [g for g, k in zip(groups, kept, strict=True) if k]
        costs = [c for c, k in zip(costs, kept, strict=True) if k]
        shares = shares[kept] / shares[kept].sum()
    return bound


def _shared(square: Array, linear: Array, shares: Array, most: int = 2000) -> Array:
    """Shares of the corners met that make ``½ s'Qs + l's`` least: from the worst corner to the best, step by step."""
    import numpy as np

    shares = shares.copy()
    gradient = square @ shares + linear
    for _ in range(most):
        best = int(np.argmin(gradient))
        worst = int(np.argmax(np.where(shares > 0, gradient, -np.inf)))
        slope = gradient[worst] - gradient[best]
        if slope <= 1e-10:
            break
        curve = square[best, best] + square[worst, worst] - 2 * square[best, worst]
        move = min(shares[worst], slope / curve if curve > 0 else np.inf)
        shares[worst] -= move
        shares[best] += move
        gradient += move * (square[:, best] - square[:, worst])
    return shares


def _linear_part(kinship: Array) -> Array:
    """The most in all that can be taken from the diagonal with the rest still positive semidefinite.

    By a barrier: ``sum(d) + mu log det(K − diag d)`` is made greatest by Newton's steps for ever
    smaller mu (Boyd & Vandenberghe 2004, Convex Optimization, chapter 11).
    """
    import numpy as np

    lowest = float(np.linalg.eigvalsh(kinship)[0])
    if lowest <= 1e-9:  # also where ends of ranges make no kinship matrix of a real pedigree
        return np.full(len(kinship), min(0.0, lowest - 1e-12))
    d = np.full(len(kinship), lowest / 2)
    mu = lowest
    end = mu * 1e-4
    while mu > end:
        for _ in range(8):
            inverse = np.linalg.inv(kinship - np.diag(d))
            change = np.linalg.solve(mu * inverse * inverse, 1 - mu * np.diag(inverse))
            step = 1.0
            while step > 1e-6 and not _positive(kinship - np.diag(d + step * change)):
                step /= 2
            d = d + step * change
            if float(np.abs(step * change).max()) < 1e-6:
                break
        mu /= 5
    return np.maximum(d, 0.0) if _positive(kinship - np.diag(np.maximum(d, 0.0))) else np.zeros(len(d))


def _positive(square: Array) -> bool:
    import numpy as np

    try:
        np.linalg.cholesky(square)
    except np.linalg.LinAlgError:
        return False
    return True


class _LinearStep:
    """The plans as the corners of a polytope: its best corner in a direction."""

    def __init__(self, limits: Limits, pairs: int) -> None:
        import numpy as np
        from scipy import sparse

        self.cells = [(int(i), int(j)) for i, j in np.argwhere(limits.allowed)]
        self.place = {cell: at for at, cell in enumerate(self.cells)}
        self.male = np.array([i for i, _ in self.cells])
        self.female = np.array([j for _, j in self.cells])
        males, females = limits.allowed.shape
        count, at = len(self.cells), np.arange(len(self.cells))
        rows = [self.male, males + self.female]
        cols, signs = [at, at], [np.ones(count), np.ones(count)]
        limit = [*map(float, limits.uses), *[1.0] * females]
        for wish, least in limits.wishes:
            mine = np.array([self.place[c] for c in wish if c in self.place], dtype=int)
            rows.append(np.full(len(mine), len(limit)))
            cols.append(mine)
            signs.append(-np.ones(len(mine)))
            limit.append(-float(least))
        shape = (len(limit), count)
        self.upper = sparse.csr_array(
            (np.concatenate(signs), (np.concatenate(rows), np.concatenate(cols))), shape=shape
        )
        self.limit, self.pairs = limit, pairs
        self.uses = np.asarray(limits.uses, dtype=float)
        self.bounds = [(1.0 if cell in limits.forced else 0.0, 1.0) for cell in self.cells]

    def best(self, direction: Array) -> Array:
        """The corner where ``direction`` is least."""
        import numpy as np
        from scipy.optimize import linprog

        done = linprog(
            direction,
            A_ub=self.upper,
            b_ub=self.limit,
            A_eq=np.ones((1, len(self.cells))),
            b_eq=[self.pairs],
            bounds=self.bounds,
            method="highs",
        )
        return done.x

    def groups(self, x: Array, males: int, width: int) -> Array:
        """Offspring groups of each candidate under a plan in fractions."""
        import numpy as np

        n = np.zeros(width)
        np.add.at(n, self.male, x)
        np.add.at(n, males + self.female, x)
        return n
