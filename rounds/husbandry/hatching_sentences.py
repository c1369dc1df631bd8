"""Sentences about eggs and larvae that are older or younger than the books allow."""

from __future__ import annotations

EGGS_TOO_OLD = "these eggs would have to be older than the species' eggs get"


def too_soon(instar: str, days: int, fewest: int) -> str:
    return (
        f"{instar} {days} days after the female came in is sooner than the "
        f"{fewest} days that the species takes at the least"
    )
