"""Sentences about what to bring to the rack."""

from __future__ import annotations

from collections.abc import Iterable

NOT_KNOWN = "not known"
FOR_SET_UPS = "for boxes being set up"


def rests_on(box: str, why: str) -> str:
    return f"{box}: {why}"


def unknown_amount(thing: str, mix: str, boxes: Iterable[str]) -> str:
    return f"{thing}{_of(mix)}, amount not known, for {', '.join(boxes)}"


def a_box(amount: float, rule: str) -> str:
    return f"{amount:g} a box: {rule}"


def an_adult(rule: str) -> str:
    return f"1 an adult: {rule}"


def by_the_litre(litres: float, rule: str) -> str:
    return f"{1000 * litres:g} ml a litre of the box: {rule}"


def bring(
    amount: str,
    thing: str,
    mix: str,
    boxes: Iterable[str],
    unknown: Iterable[str],
    *,
    how: tuple[str, ...] = (),
) -> str:
    some = ", ".join(unknown)
    beside = "; ".join(filter(None, (mix, *how)))
    told = f"{amount} {thing}{_of(beside)} for {', '.join(boxes)}"
    return f"{told}; amount not known for {some}" if some else told


def _of(beside: str) -> str:
    return f" ({beside})" if beside else ""


def about(amount: str) -> str:
    return f"about {amount}"


def between(low: str, high: str) -> str:
    return f"{low} to {high}"


def up_to(high: str) -> str:
    return f"up to {high}"
