"""Sentences about what a look found, where it has still to be said whom it concerns."""

from __future__ import annotations


def mating_seen(when: str) -> str:
    return f"a mating was seen on {when}, and several pairings are here"


def found_dead(count: int, when: str) -> str:
    return f"{count} found dead on {when}"


def not_found(count: int, when: str) -> str:
    return f"{count} not found on {when}"
