"""The pairing plan as a mixed-integer programme, solved to proven optimality."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rounds.analysis.pairing.wish_sentences import solver_gave_up
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError, lacking


class Cross(NamedTuple):
    """At least so many of the chosen pairs must be among ``cells`` (male, female)."""

    cells: frozenset[tuple[int, int]]
    at_least: int


class Solved(NamedTuple):
    """The chosen cells, their cost, and the lower bound the solver proved for it."""

    cells: list[tuple[int, int]]
    cost: float
    bound: float


def solve(
    costs: Sequence[Sequence[float]],
    allowed: Sequence[Sequence[bool]],
    uses: Sequence[int],
    most: int,
    forced: Sequence[tuple[int, int]] = (),
    crosses: Sequence[Cross] = (),
) -> Solved | None:
    """Choose as many pairs as can be, at most ``most``, and of those plans the cheapest.

    ``costs`` and ``allowed`` are males × females; a female is used once, male i at most
    ``uses[i]`` times; forced cells must be allowed. Returns None when the forced pairs and
    wished crosses cannot all be had. Solved by branch and bound (HiGHS through
    ``scipy.optimize.milp``) with no gap left. Raises RoundsError if scipy is not installed
    or the solver gives up.
    """
    try:
        import numpy as np
        from scipy import sparse
        from scipy.optimize import Bounds, LinearConstraint, milp
    except ImportError as e:
        raise RoundsError(lacking("a pairing plan needs", "analysis")) from e

    nobody = not len(uses) or not len(allowed[0])
    cells = np.zeros((0, 2), dtype=int) if nobody else np.argwhere(np.asarray(allowed, dtype=bool))
    if not len(cells) or most <= 0:
        return None if forced or any(c.at_least > 0 for c in crosses) else Solved([], 0.0, 0.0)
    male, female = cells[:, 0], cells[:, 1]
    n, females = len(cells), int(female.max()) + 1
    cost = np.asarray(costs, dtype=float)[male, female]
    column = np.arange(n)
    place = {(int(a), int(b)): k for k, (a, b) in enumerate(cells)}
    wished = [[place[c] for c in cross.cells if c in place] for cross in crosses]

    # One row per male, one per female, one that counts, then the crosses.
    side = [np.full(len(w), len(uses) + females + 1 + k) for k, w in enumerate(wished)]
    row = np.concatenate([male, len(uses) + female, np.full(n, len(uses) + females), *side])
    col = np.concatenate([column, column, column, *(np.array(w, dtype=int) for w in wished)])
    shape = (len(uses) + females + 1 + len(crosses), n)
    matrix = sparse.csc_array((np.ones(len(row)), (row, col)), shape=shape)
    used_males, used_females = np.unique(male), len(np.unique(female))
    target = min(most, used_females, int(np.asarray(uses)[used_males].sum()))
    least = np.zeros(n)
    for cell in forced:
        if cell not in place:
            return None
        least[place[cell]] = 1

    def run(objective: Any, pairs_at_least: float, pairs_at_most: float) -> Any:
        low = np.concatenate([np.zeros(shape[0] - len(crosses)), [float(c.at_least) for c in crosses]])
        high = np.concatenate(
            [np.asarray(uses, float), np.ones(females), [pairs_at_most], np.full(len(crosses), np.inf)]
        )
        low[len(uses) + females] = pairs_at_least
        result = milp(
            objective,
            constraints=LinearConstraint(matrix, low, high),
            bounds=Bounds(least, np.ones(n)),
            integrality=np.ones(n),
            options={"mip_rel_gap": 0.0},
        )
        if result.status not in (0, 2):
            raise RoundsError(solver_gave_up(str(result.message)))
        return result

    result = run(cost, target, target)
    if result.status == 2:  # the wishes leave no room for so many: first, how many can there be
        widest = run(-np.ones(n), 0, target)
        if widest.status == 2:
            return None
        target = round(-widest.fun)
        result = run(cost, target, target)
    chosen = [(int(male[k]), int(female[k])) for k in np.flatnonzero(result.x > 0.5)]
    return Solved(chosen, float(sum(costs[a][b] for a, b in chosen)), float(result.mip_dual_bound))
