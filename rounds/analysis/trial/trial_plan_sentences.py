"""What is said of a planned trial: what cannot be planned, what it can show, what does not match."""

from __future__ import annotations

from rounds.problems import Refusal

BLINDING = (
    "This is not fully blinded: whoever walks does not see arm or F on the round, but can know whose tub it is. "
    "Give both arms the same disturbance, and decide now where surplus animals go."
)

NO_ENDPOINT = Refusal("the endpoint is empty.", "Say what counts as survived: adult or cell by the last day.")
SAME_ARMS = Refusal("a trial needs two arms of different names.", "For example sib,outcross.")
POSITION_TWICE = Refusal("a position is given twice.", "Each brood stands in one of its own.")

FEMALES_PER_ARM = "females per arm"
EGGS_PER_FEMALE = "eggs per female"
RHO = "rho"
EXPECTED_SURVIVAL = "the expected survival"


def no_such_number(what: str, number: float, least: float, most: float) -> Refusal:
    return Refusal(f"{what} cannot be {number:g}.", f"Expected {least:g} to {most:g}.")


def few_positions(positions: int, broods: int) -> Refusal:
    return Refusal(f"{positions} positions for {broods} broods.", "Give more, or fewer females.")


def no_such_arm(female: str, arm: str, arms: tuple[str, ...]) -> Refusal:
    return Refusal(f"the pair of {female} is in the arm `{arm}`.", f"Expected one of: {', '.join(arms)}.")


# What is settled.


def endpoint(what: str) -> str:
    return f"endpoint, fixed now: {what}"


def ends_on(day: str) -> str:
    return f"it ends on {day}, fixed now; nothing is judged before"


def females_of(other: int, reference: int) -> str:
    return f"{other} + {reference} females"


def size(females: str, arms: tuple[str, str], eggs: int) -> str:
    return f"{females} ({', '.join(arms)}), {eggs} eggs each, counted at first sight"


def alike(rho: float, effect: float, eggs: int, arm_eggs: float) -> str:
    """``effect``: the design effect; ``arm_eggs``: how many independent eggs an arm tells as much as."""
    return (
        f"eggs of one female are alike (rho {rho:g}, design effect {effect:.2f}): {eggs} of them tell as much "
        f"as {eggs / effect:.1f} independent ones, and an arm as much as {arm_eggs:.0f}"
    )


# What it can show.


def found_in(of_ten: float) -> str:
    return f"about {of_ten:.0f} of 10 such trials"


def detects(females: str, survival: float, lowest: float, found: str, b: float) -> str:
    return (
        f"with {females} you could only detect a fall from {survival:.0%} to {lowest:.0%} or lower "
        f"(found in {found}; B {b:.2f} per gamete, 2B {2 * b:.2f})"
    )


def detects_nothing(females: str, of_ten: float) -> str:
    return f"with {females} you could not even detect that nothing survives, {of_ten:.0f} times of 10"


def chance(
    b: float, survival: float, left: float, power: float | None, females: int | None, aim: float
) -> str:
    """Of a cost ``b`` that leaves ``left``: how often it is found, and the females an arm to find it by ``aim``."""
    found = f"found {power:.0%} of the time" if power is not None else "no p-value"
    if power is not None and power > 0.995:
        found = "found nearly always"
    need = f"{females} + {females} females for {aim:.0%}" if females is not None else "more than anybody has"
    return f"  a cost of B {b:g} ({survival:.0%} to {left:.0%}): {found}; {need}"


def eggs_alone(claimed: float, b: float) -> str:
    return f"  counting eggs as if each stood alone would claim {claimed:.0%} for B {b:g}: eggs of one female are alike"


# What to mind.


def mind(what: str) -> str:
    return f"! {what}"


def only_described(other: int, reference: int, fewest: int) -> str:
    few = f"{other} and {reference} females: below {fewest} an arm no p-value will be given"
    return f"{few}, it can only be described"


def too_uneven(other: int, reference: int, times: int) -> str:
    few = f"{other} and {reference} females: no p-value where one arm is more than {times} times the other"
    return f"{few}; share them out more evenly"


def ages_differ(who: str, arms: tuple[str, ...], days: tuple[float, ...]) -> str:
    """``who``: females or males; ``days``: the mean age of each arm."""
    said = " and ".join(f"{arm} {mean:.0f}" for arm, mean in zip(arms, days, strict=True))
    return f"{who} do not match in age, days on average: {said}"


FEMALES = "females"
MALES = "males"


def batch_uneven(batch: str, arms: tuple[str, ...], pairs: tuple[int, ...]) -> str:
    said = ", ".join(f"{n} of {arm}" for n, arm in zip(pairs, arms, strict=True))
    return f"substrate batch {batch} is shared unevenly: {said}"


def ages_missing(number: int, who: str) -> str:
    return f"the age of {number} {who} is not given, so their matching is not known"


def batches_missing(pairs: int) -> str:
    return f"the substrate batch of {pairs} pairs is not given"


def male_in_both(male: str, broods: int) -> str:
    return f"the male {male} is in both arms: all {broods} of its broods would drop out"


def male_of_several(male: str, females: int) -> str:
    return f"the male {male} is given to {females} females, whose broods would count as one"
