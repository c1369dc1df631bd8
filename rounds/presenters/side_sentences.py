"""What stands beside the questions on a wide screen: who is in the box, four weeks in pictures, weights, the next work."""

from __future__ import annotations

IN_THE_BOX = "in the box"
NEXT_DUE = "next due"
AGE_NOT_KNOWN = "age not known"
LOOKS = "looks"
WEIGHT = "weight"
BARS = "▁ to █ how much"
FINE = "· as usual"
NOT_READ = "- not read"
GAP = "gap: nobody looked"
STEPS = {
    "born": "hatched",
    "wandering": "wandering",
    "cell": "in its cell",
    "eclosed": "eclosed",
    "emerged": "emerged",
    "first_feed": "first fed",
    "mature": "ready to breed",
    "found": "found",
    "here": "here",
}
"""Steps of a life, each as it stands before the days since."""


def age(step: str, fewest: int | None, most: int | None) -> str:
    """How long ago the last step was of which the day is known."""
    if fewest is None and most is None:
        return AGE_NOT_KNOWN
    if fewest is None:
        days = f"at most {most} days"
    elif most is None:
        days = f"at least {fewest} days"
    elif fewest == most:
        days = f"{fewest} day{'s' if fewest != 1 else ''}"
    else:
        days = f"{fewest}–{most} days"
    return f"{step} {days}{'' if step.startswith(('in ', 'here')) else ' ago'}"


def and_more(number: int, animals: int) -> str:
    return f"and {number} more, {animals} in all" if animals else f"and {number} more"


def usual_count(low: str, high: str, low_bar: str, high_bar: str) -> str:
    if low == high:
        return f"usual {low} {low_bar}"
    return f"usual {low}–{high} {low_bar}{high_bar}"


def answer(key: str, title: str) -> str:
    return f"{key} {title}"


def looks_missed(days: int) -> str:
    return f"{days} day{'s' if days != 1 else ''} without a look"


def grams(values: tuple[str, ...], when: str) -> str:
    return f"{', '.join(values)} g{f'; {when}' if when else ''}"


def heaviest(sex: str, low: str, high: str, source: str) -> str:
    who = {"m": "males", "f": "females"}.get(sex, "larvae")
    return f"{who} reach {low}–{high} g ({source})"


def next_due(what: str, days: int, *, waits: bool) -> str:
    said = f"has to wait: {what}" if waits else what
    if days < 0:
        return f"{-days} day{'s' if days != -1 else ''} late: {said}"
    return f"now: {said}" if not days else f"in {days} day{'s' if days != 1 else ''}: {said}"
