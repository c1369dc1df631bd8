"""What the list of pairs and that of planned pairings say."""

from __future__ import annotations

from rounds.text.plurals import many
from rounds.text.reading_text import reading_text, short

NO_PAIR = "no pair can be made now"
NOBODY_GROWN = "the book holds no grown animal that is alive"
NOTHING_PLANNED = "no pairing is planned"
OUTER_BOUNDS = "some F are outer bounds: too many possible fathers to try every one"
INSTEAD_FOR_HER = "instead for her"
INSTEAD_FOR_HIM = "instead for him"


def pairs_of(species: str, pairs: int, males: int, females: int, *, in_plan: bool) -> str:
    able = f"of {many(males, 'male')} and {many(females, 'female')} that can breed now"
    return f"{species}: {many(pairs, 'pair')} {'' if in_plan else 'may be made '}{able}"


def pair(number: int, male: str, female: str, f: str, until: str) -> str:
    """``until`` is the last day it can be made; it may be empty."""
    return f"{number}. {male} × {female}: F {f}{f', to be made by {until}' if until else ''}"


def lowest_f(f: float) -> str:
    return f"the lowest F at most of any of them is {short(f)}"


def instead(
    whom: str, animal: str, cost: float, low: float, usual: float, high: float, *, taken: bool
) -> str:
    """``whom`` is one of the two phrases above."""
    elsewhere = ", taken elsewhere in this plan" if taken else ""
    return f"{whom}: {animal}{elsewhere}, cost {cost:+.4f}, F {reading_text(low, usual, high)}"


def mind(warning: str) -> str:
    return f"! {warning}"


def mean_kinship(low: float, usual: float, high: float) -> str:
    return f"mean kinship of the living {reading_text(low, usual, high)}"


def mean_kinship_after(before: str, low: float, usual: float, high: float) -> str:
    return f"{before}; with one offspring of each pair {reading_text(low, usual, high)}"


STOPPED = "the search was stopped: the best plan found by then"
NO_BETTER_PLAN = "no plan is better with the weights set"


def of_offspring(kinship: float, f: float) -> str:
    return f"mean kinship of their offspring {short(kinship)}, mean F {short(f)} (parents not recorded taken as for the ranking)"


def at_most_better(share: float) -> str:
    """``share`` is from 0 to 1."""
    return f"no plan can be more than {share:.1%} better with the weights set"


def not_allowed(pairs: int, reason: str, *, unknown_can_be_allowed: bool) -> str:
    allow = " (--across unknown allows them)" if unknown_can_be_allowed else ""
    return f"{many(pairs, 'pair')} not allowed: {reason}{allow}"


def not_now(animals: tuple[tuple[tuple[str, ...], str], ...]) -> str:
    """``animals``: who they are, and why."""
    return "not now: " + "; ".join(f"{', '.join(who)}: {why}" for who, why in animals)


# Planned pairings.


def planned(plan: str, male: str, female: str, into: str) -> str:
    """``into`` is the box it is meant for, if one was named."""
    return f"{plan}  {male} × {female}{f' into {into}' if into else ''}"


def offered(box: str, first: str, last: str) -> str:
    """``box`` and ``last`` may be empty: she is in none, and it is offered without an end."""
    until = f" to {last}" if last else " on"
    return f"offered at {box or 'no box'} from {first}{until}"


def withheld(why: str) -> str:
    return f"has to wait: {why}"
