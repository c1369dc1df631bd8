"""Sentences of acts about weights and head widths."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.problems import Refusal


def no_group_to_weigh(box: str, animals: Sequence[str]) -> Refusal:
    return Refusal(
        f"{box} holds no counted group.",
        f"Record `weigh` for {', '.join(animals)}." if animals else "Record who is here first.",
    )


def holds_eggs(box: str) -> Refusal:
    return Refusal(f"{box} holds eggs.", "Eggs are not weighed; record `hatched` first.")


def is_grown(when: str) -> Refusal:
    return Refusal(f"it has been grown since {when}.", "Leave it out.")


def much_heavier(grams: float, times: float, last: float, perhaps: float | None, *, grouped: bool) -> str:
    of = "of this group" if grouped else "of this animal"
    return f"{grams:g} g is {times:.1f} times the last {last:g} g {of}{_perhaps(perhaps)}."


def lighter(who: str, grams: float, percent: float, last: float, perhaps: float | None) -> str:
    return f"{who}: {grams:g} g is {percent:.0f}% lighter than the last {last:g} g{_perhaps(perhaps)}."


def another_head(who: str, head: float, last: float, perhaps: float | None) -> str:
    return f"{who}: a head of {head:g} mm after {last:g} mm cannot be the same larva's{_perhaps(perhaps)}."


def _perhaps(value: float | None) -> str:
    """The value with its point moved."""
    return "" if value is None else f" (or is it {value:g}?)"


def had_that_instar(animal: str, instar: str) -> str:
    return f"{animal} was {instar} already."


def beyond_the_species(grams: float, species: str, most: float) -> str:
    return f"{grams:g} g is far beyond the {most:g} g of the heaviest larva known of {species}."


def much_for_instar(grams: float, instar: str, species: str, most: float) -> str:
    return f"{grams:g} g is much for an {instar} of {species}, whose heaviest larvae reach {most:g} g."


def head_of_another_instar(head: float, instar: str, species: str, low: float, high: float) -> str:
    return f"A head of {head:g} mm is not that of an {instar} of {species}, which has {low:g} to {high:g} mm."
