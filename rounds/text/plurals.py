"""How many of something, in words."""

from __future__ import annotations


def many(n: int, one: str, more: str = "") -> str:
    """``1 pair``, ``3 pairs``; ``more`` is the word for several where it is not ``one`` and an s."""
    return f"{n} {one if n == 1 else more or f'{one}s'}"
