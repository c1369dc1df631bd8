"""Sentences about what to bring to the rack."""

from __future__ import annotations

from collections.abc import Iterable

NOT_KNOWN = "not known"


def rests_on(box: str, why: str) -> str:
    return f"{box}: {why}"


def unknown_amount(thing: str, mix: str, boxes: Iterable[str]) -> str:
    return f"{thing}{_of(mix)}, amount not known, for {', '.join(boxes)}"


def bring(amount: str, thing: str, mix: str, boxes: Iterable[str], unknown: Iterable[str]) -> str:
    some = ", ".join(unknown)
    told = f"{amount} {thing}{_of(mix)} for {', '.join(boxes)}"
    return f"{told}; amount not known for {some}" if some else told


def _of(mix: str) -> str:
    return f" ({mix})" if mix else ""


def about(amount: str) -> str:
    return f"about {amount}"


def between(low: str, high: str) -> str:
    return f"{low} to {high}"


def up_to(high: str) -> str:
    return f"up to {high}"
