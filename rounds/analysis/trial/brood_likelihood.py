"""The beta-binomial likelihood of broods over a grid of means and correlations, for many trials at once.

A brood of n eggs of which y live, with mean mu, intraclass correlation rho and theta = rho / (1 − rho),
has the likelihood prod(mu + r theta, r < y) · prod(1 − mu + r theta, r < n − y) / prod(1 + r theta, r < n)
(Williams 1975), here by gamma functions and without C(n, y), which says nothing of mu or rho.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rounds.analysis.trial.survival_shares import special

if TYPE_CHECKING:
    import numpy as np

    Array = np.ndarray[Any, Any]


IMPOSSIBLE = -1e9
"""Log likelihood of what cannot be (eggs that lived at a mean of 0); finite, so that it can be interpolated."""


_SMOOTH = 2.0
"""The most a log likelihood may fall from one place of a grid to the next for a parabola to fit it."""


def even_rhos(number: int, least: float, most: float) -> Array:
    """0 and so many more less one, even on a log scale of rho / (1 − rho): what :func:`highest` takes them to be."""
    import numpy as np

    theta = np.geomspace(least / (1 - least), most / (1 - most), number - 1)
    rhos: Array = np.concatenate([[0.0], theta / (1 + theta)])
    return rhos


def loglik(eggs: Array, alive: Array, means: Array, rhos: Array) -> Array:
    """Log likelihood of each brood (eggs above 0): broods × rhos × means."""
    import numpy as np

    s = special()
    n, y = (np.asarray(x, dtype=float)[:, None, None] for x in (eggs, alive))
    theta = (rhos / (1 - rhos))[None, :, None]
    mean = means[None, None, :]
    with np.errstate(divide="ignore", invalid="ignore"):
        total = -_rising(s.gammaln, 1 / theta, n) + np.zeros_like(mean)
        total = total + _rising(s.gammaln, mean / theta, y) + _rising(s.gammaln, (1 - mean) / theta, n - y)
        flat = s.xlogy(y, mean) + s.xlogy(n - y, 1 - mean)
    total = np.where(theta == 0, flat, total)
    # Nothing lives at a mean of 0 and nothing dies at 1, whatever rho is.
    total = np.where(((mean == 0) & (y > 0)) | ((mean == 1) & (y < n)), IMPOSSIBLE, total)
    possible: Array = np.maximum(total, IMPOSSIBLE)
    return possible


def _rising(gammaln: Any, start: Array, steps: Array) -> Array:
    """log of start (start + 1) … (start + steps − 1); 0 for no step."""
    import numpy as np

    return np.where(steps == 0, 0.0, gammaln(start + steps) - gammaln(start))


def profiles(table: Array, broods: Array) -> Array:
    """Log likelihood of arms over the means, each at its own best rho: arms × means.

    ``table`` is as :func:`loglik` gives it; ``broods`` (arms × broods) are the rows of it that
    make up each arm, −1 for no brood.
    """
    return highest(summed(table, broods))


def highest(whole: Array) -> Array:
    """The top over rhos at each mean: … × rhos × means to … × means. Rhos are as :func:`even_rhos` gives them."""
    return peak(whole, -2, 2)


def peak(values: Array, axis: int, first: int = 1) -> Array:
    """The top along an axis: that of the parabola through the highest value and its neighbours.

    The value itself where it is at an end (or before ``first``) or falls off too steeply for that.
    """
    import numpy as np

    top = values.argmax(axis=axis, keepdims=True)
    inner = np.clip(top, first, values.shape[axis] - 2)
    before, here, after = (np.take_along_axis(values, inner + step, axis=axis) for step in (-1, 0, 1))
    bend = 2 * here - before - after
    bent = (inner == top) & (bend > 0) & (here - np.minimum(before, after) < _SMOOTH)
    gain = np.where(bent, (before - after) ** 2 / np.where(bent, 8 * bend, 1.0), 0.0)
    found: Array = (np.take_along_axis(values, top, axis=axis) + gain).squeeze(axis=axis)
    return found


def summed(table: Array, broods: Array) -> Array:
    """Log likelihood of arms: arms × rhos × means. Arguments as for :func:`profiles`."""
    import numpy as np

    kinds, flat = len(table), table.reshape(len(table), -1)
    if kinds > 8 * broods.shape[1]:
        longer = np.concatenate([flat, np.zeros((1, flat.shape[1]), dtype=flat.dtype)])  # row −1
        total = np.zeros((len(broods), flat.shape[1]), dtype=flat.dtype)
        for column in broods.T:
            total += longer[column]
    else:  # how many broods of each kind an arm has
        row, column = np.nonzero(broods >= 0)
        cell = row * kinds + broods[row, column]
        total = np.bincount(cell, minlength=len(broods) * kinds).reshape(-1, kinds).astype(flat.dtype) @ flat
    return total.reshape(len(broods), *table.shape[1:])


def falls(one: Array, other: Array, steps: int = 0) -> Array:
    """Twice the fall of the log likelihood from its top to where the other mean is ``steps`` means higher.

    ``one`` and ``other`` are profiles (trials × means) over the same even grid of means.
    """
    n = one.shape[1]
    apart = one[:, : n - steps] + other[:, steps:] if steps >= 0 else one[:, -steps:] + other[:, : n + steps]
    fall: Array = 2 * (peak(one, 1) + peak(other, 1) - peak(apart, 1))
    return fall
