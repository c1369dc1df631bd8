"""Sentences about what is wrong in a species file."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal


def stands_twice(species: str, file: str) -> Refusal:
    return Refusal(f"`{species}` stands in {file} too.", "Keep one of them.")


def none_to_leave_out(species: str, hint: str) -> Refusal:
    return Refusal(f"there is no species `{species}` to leave out.", hint)


def not_latin(name: str) -> Refusal:
    return Refusal(f"`{name}` is not a Latin name.", "Write genus and species: Pachnoda marginata.")


def a_species(species: str) -> str:
    return f"species `{species}`"


def a_value(what: str, name: str) -> str:
    return f"{what}, `{name}`"


def a_part(what: str, name: str) -> str:
    return f"{what}, {name}"


def range_is_not_two_numbers(what: str) -> Refusal:
    return Refusal(f"{what}: `range` must be two numbers, lowest and highest.", "Write [14, 21].")


def range_falls(what: str, low: float, high: float) -> Refusal:
    return Refusal(f"{what}: the range [{low:g}, {high:g}] falls.", f"Write [{high:g}, {low:g}].")


def range_is_a_point(what: str, low: float, high: float) -> Refusal:
    return Refusal(
        f"{what}: [{low:g}, {high:g}] is a point, and nothing alive keeps to one.",
        "Give the lowest and the highest that is usual.",
    )


def outside_what_is_possible(
    what: str, low: float, high: float, lowest: float, highest: float, unit: str
) -> Refusal:
    limits = f"{lowest:g} to {highest:g} {unit}".rstrip()
    return Refusal(f"{what}: [{low:g}, {high:g}] is outside what is possible.", f"Expected {limits}.")


def likely_outside(what: str, likely: float, low: float, high: float) -> Refusal:
    return Refusal(f"{what}: `likely` {likely:g} lies outside [{low:g}, {high:g}].")


def names_nothing(what: str, words: Iterable[str]) -> Refusal:
    return Refusal(f"{what}: `is` names nothing.", f"Expected one of: {', '.join(words)}.")


def no_year(what: str, source: str, near: str, plain: Iterable[str]) -> Refusal:
    named = ", ".join(f"`{p}`" for p in plain)
    return Refusal(
        f"{what}: the source `{source}` names no year.",
        near or f"Name author, year and where it appeared, or write one of {named}.",
    )


def parts_outlast_the_whole(
    what: str, whole: str, most: float, parts: Iterable[str], fewest: float
) -> Refusal:
    return Refusal(
        f"{what}: `{whole}` ends at {most:g}, but {' and '.join(parts)} take {fewest:g} at the least."
    )


def together_outlasts_life(what: str, together: float, active: float) -> Refusal:
    return Refusal(
        f"{what}: a pair is left together for up to {together:g} days, but an adult lives {active:g} at the most.",
        "Give `together_days` that end within `active_days`.",
    )


def a_legal_entry(what: str, number: int) -> str:
    return f"{what}, legal entry {number}"


def no_temperature(what: str, at: str) -> Refusal:
    return Refusal(
        f"{what}: `durations_at` {at} is no temperature a beetle lives at.", "Give °C, from 0 to 45."
    )


def no_day(what: str, given: str) -> Refusal:
    return Refusal(f"{what}: `{given}` is no day.", "Write the day it was looked up: 2026-11-29.")


def law(species: str, entries: Iterable[tuple[str, str, str, str]]) -> str:
    """``entries`` are where, what the law says, whose it is, and when that was looked up."""
    rules = " ".join(
        f"{where}: {says} ({authority}, looked up {day})." for where, says, authority, day in entries
    )
    return (
        "Ask the authority where you live before animals travel: its law decides. "
        f"On file for {species}, not complete and perhaps out of date: {rules}"
    )


def no_law_known(species: str) -> str:
    return (
        f"No legal status is on file for {species}. That does not mean there is none: "
        "ask your plant-health and nature authorities before animals travel."
    )
