"""What is said of a trial that the books keep: what it has fixed, how far it is, what to mind beside its verdict."""

from __future__ import annotations


def days(n: int) -> str:
    return f"{n} day" if n == 1 else f"{n} days"


def peeking(days_left: int) -> str:
    return (
        f"looked at {days(days_left)} before its last day: this is peeking. Whoever looks before the end, and stops when it "
        "suits, finds differences that are not there more often than the p-value says"
    )


def opened(trial: str, day: str, species: str) -> str:
    return f"{trial}: opened {day}, {species}"


def fixed(what: str) -> str:
    return f"{what}, fixed when it began"


def changed(what: str, day: str, before: str, counted: int, of: int) -> str:
    """``counted`` of ``of`` females had been searched when it was changed."""
    return f"{what}, changed on {day} (it was {before} when it began), when {counted} of {of} broods had been counted"


def settled(endpoint: str, last_day: str) -> str:
    """Each as one of the two above says it."""
    return f"endpoint {endpoint}; last day {last_day}"


NO_LAST_DAY = "none"


def size(females: int, eggs: int, seed: int | None) -> str:
    """``seed``: what it was drawn with, where that may be told."""
    drawn = f", drawn with the seed {seed}" if seed is not None else ""
    return f"{females} females, {eggs} eggs each{drawn}"


def how_far(paired: int, searched: int, out: int) -> str:
    return f"{paired} paired, {searched} of them searched, {out} dropped out"


def mind(what: str) -> str:
    return f"! {what}"


def closed(day: str, why: str) -> str:
    return f"closed {day}: {why}"


def closed_early(day: str, days_early: int, why: str) -> str:
    return f"closed {day}, {days(days_early)} before its last day: {why}"


def not_yet(trial: str, last_day: str, days_left: int) -> str:
    return f"not yet: {trial} runs until {last_day} ({days(days_left)} to go); nothing is judged before"


LOOK_EARLY = "--early looks all the same, and the verdict will say that it was a look before the end"


def over_and_open(trial: str) -> str:
    return f"it is over and still open: rounds record trial-close {trial}"


def planned_size(females: tuple[int, int], eggs: int) -> str:
    return f"planned with {females[0]} + {females[1]} females, {eggs} eggs each"


def stands_elsewhere(female: str, drawn: str, now: str) -> str:
    return f"{female} was drawn for {drawn} and stands at {now}"


def places_used(as_drawn: int, elsewhere: int, gone: int) -> str:
    """How many broods stand where they were drawn, elsewhere, or nowhere any more."""
    said = [
        f"{as_drawn} as drawn",
        f"{elsewhere} elsewhere",
        *([f"{gone} not set up or gone"] if gone else []),
    ]
    return f"places: {', '.join(said)}"


def could_detect_nothing(size_words: str, of_ten: float) -> str:
    return f"{size_words}: it could not even have detected that nothing survives, {of_ten:.0f} times of 10"


def could_detect(size_words: str, survival: float, lowest: float, rho: float) -> str:
    return f"{size_words}: it could only detect a fall from {survival:.0%} to {lowest:.0%} or lower (rho {rho:g})"
