"""What is said when a trial is judged: what was found, how sure it is, and what to mind."""

from __future__ import annotations

BLINDED = "This was not fully blinded: no arm and no F was told on the round, but the keeper could know whose tub it was."

# The finding.


def only_described(other: str, reference: str) -> str:
    return f"cannot tell: a single brood against the rest is only described ({other}, {reference})"


def cannot_tell(other: str, reference: str) -> str:
    return f"cannot tell whether survival in {other} differs from {reference}"


def survival_was(other: str, reference: str, *, lower: bool) -> str:
    return f"survival in {other} was {'lower' if lower else 'higher'} than in {reference}"


# Each arm, and the difference.


def arm(name: str, broods: int, mean: float, low: float, high: float, method: str) -> str:
    many = f"{broods} {'brood' if broods == 1 else 'broods'}"
    return f"{name}: {many}, mean {mean:.1%} ({low:.1%} to {high:.1%}, {method})"


def one_brood(name: str, alive: int, eggs: int) -> str:
    return f"{name}: {alive} of {eggs} ({alive / eggs:.1%})"


def set_against_one(brood: str, other: str) -> str:
    """Both as :func:`one_brood` says them."""
    return f"{brood}; the one brood it is set against, {other}"


def set_against_rest(brood: str, others: int, least: float, most: float, worse: int, better: int) -> str:
    rest = f"of the {others} other broods ({least:.1%} to {most:.1%})"
    return f"{brood}; {rest} {worse} did worse and {better} better"


def difference(share: float, low: float, high: float, method: str) -> str:
    spread = f"from {_points(low)} to {_points(high)} ({method}, 95%)"
    return f"difference {_points(share)} percentage points, {spread}"


def _points(share: float) -> str:
    return f"{100 * share + 0.0:+.1f}"


def p_value(p: float, method: str) -> str:
    return f"p = {p:.4f} ({method}): {by_chance(p)}"


def by_chance(p: float) -> str:
    """A p-value as a keeper can take it: how often chance alone comes out so far apart."""
    of = 100 if p >= 0.01 else 1000 if p >= 0.001 else 10_000
    many = f"about {p * of:.0f} of {of:,}" if p * of >= 1 else f"fewer than 1 of {of:,}"
    return f"without any difference {many} such trials would come out as far apart or further"


def no_p(why: str) -> str:
    return f"no p-value: {why}"


def fitted(reference: float, other: float, rho: float, known: str) -> str:
    """``known``: how well rho is known."""
    return (
        f"beta-binomial estimate: {reference:.1%} and {other:.1%}; "
        f"how alike eggs of one female are, rho {rho:.3f} ({known})"
    )


RHO_NOT_KNOWN = "anything fits: these counts do not tell how alike eggs of a brood are"


def rho_between(low: float, high: float, *, few: bool) -> str:
    return f"{low:.3f} to {high:.3f}{', too narrow with so few females' if few else ''}"


# The cost.


def share_lost(amount: str) -> str:
    return f"delta, the share of survivors lost: {amount}"


def cost(f: float, amount: str, *, f_assumed: bool) -> str:
    taken = ", taken from the names of the arms" if f_assumed else ""
    return f"lethal equivalents at a difference in F of {f:g}{taken}: B per gamete {amount}"


def cost_per_animal(amount: str) -> str:
    return f"  2B per animal {amount}"


def amount(value: float | None, low: float | None, high: float | None, method: str) -> str:
    """A figure with its range; None: without limit."""
    said = f"{value:.3f}" if value is not None else "without limit"
    if low is None:
        spread = "any value" if high is None else f"{high:.3f} or less"
    else:
        spread = f"{low:.3f} or more" if high is None else f"from {low:.3f} to {high:.3f}"
    return f"{said}, {spread} ({method}, 95%)"


def no_cost(why: str) -> str:
    return f"no lethal equivalents: {why}"


def nothing_to_lose(arm_name: str) -> str:
    return f"nothing survived in {arm_name}, so there is no survival to lose"


def f_not_known(arms: tuple[str, ...]) -> str:
    return f"F of {' and '.join(arms)} is not known (--f ARM F)"


def reference_has_higher_f(reference: str, other: str) -> str:
    return f"F of {reference}, the arm compared with, is the higher (--reference {other})"


def same_f(f: float) -> str:
    return f"F of both arms is {f:g}"


# What a trial like this can show.


def finds(share: float, of_ten: float, rho: float) -> str:
    """``rho``: how alike eggs of one female are taken to be."""
    return (
        f"a trial like this finds a difference of {100 * share:.1f} percentage points or more in about {of_ten:.0f} of 10 "
        f"cases (rho {rho:.2f}); smaller ones less often"
    )


FINDS_NOTHING = "a trial like this finds no difference in 8 of 10 cases, however large"


def females_to_repeat(females: int) -> str:
    return f"to find a difference as large as seen here would take about {females} + {females} females"


# Broods that do not count, or not apart.


def dropped_out(arm_name: str, female: str, why: str) -> str:
    return f"dropped out: {arm_name} {female}, {why}"


def counted_as_one(which: str) -> str:
    return f"counted as one: {which}"


# Why there is no test.


def lone_brood(name: str) -> str:
    return (
        f"one brood ({name}) cannot tell its arm from its own mother, father or tub; "
        "its counts can join a later trial"
    )


def too_few_for_p(reference: int, other: int, fewest: int) -> str:
    return (
        f"{reference} and {other} females: no p-value below {fewest} an arm, where even the clearest outcome "
        f"could come by chance too often ({fewest - 1} and {fewest - 1}: p is 0.1 at the least)"
    )


def too_uneven_for_p(reference: int, other: int, times: int) -> str:
    return f"{reference} and {other} females: no test is known to hold where one arm is more than {times} times the other"


def too_alike_for_p(rho: float, most: float) -> str:
    return f"eggs of one female are nearly all alike here (rho {rho:.2f}): no test is known to hold above {most:g}"


def where_it_holds(fewest: int, times: int, rho: float) -> str:
    return (
        f"the test errs in at most 6 of 100 trials without a difference: from {fewest} females an arm on, the larger arm at "
        f'most {times} times the smaller, rho up to {rho:g}; elsewhere the verdict is always "cannot tell"'
    )


# Methods.

BOTH_TESTS = "beta-binomial likelihood ratio and Welch's t on brood shares, the larger of both"
WHAT_EITHER_KEEPS = "all that either test keeps"
WIDENED = "widened to hold no difference, as nothing was tested"
T_OVER_BROODS = "t over broods"
WILSON_OF_ONE = "Wilson, the eggs of this one brood"


def wilson(rho: float) -> str:
    return f"Wilson, eggs over the design effect at rho {rho:g}"


# What to mind.


def uneven_broods(least: int, most: int) -> str:
    return f"broods of {least} to {most} eggs count alike: a small one moves the mean as much as a large one"


def uneven_arms(reference: int, other: int) -> str:
    return f"{reference} against {other} females: with equal arms the same work would tell more"


def differ_otherwise(what: str) -> str:
    return f"the arms differ in more than F, which may be what is seen: {what}"


def males_not_given(broods: int) -> str:
    return f"the male of {broods} brood{'' if broods == 1 else 's'} is not given: females that shared one would have to count as one"


def names_alike(who: str, one: str, other: str) -> str:
    """``who``: females or males."""
    return f"the {who} {one} and {other} differ only in capitals or blanks, and are counted as two"


# The plot.


def plot_title(reference: str, other: str) -> str:
    return f"Survival by brood: {reference} and {other}"


PLOT_BROOD = "one brood"
PLOT_AXIS = "share of eggs that reached the endpoint"
PLOT_MEAN = "mean"


def plot_interval(level: float) -> str:
    return f"mean of the broods, and its {level:.0%} interval"
