"""Chance that is the same on every machine: only ``random()`` is promised to stay so."""

from __future__ import annotations

import random


class Chance:
    """A stream of its own for each name, so that a change in one box leaves the others alone."""

    def __init__(self, *names: object) -> None:
        self._random = random.Random("/".join(map(str, names)))

    def happens(self, probability: float) -> bool:
        return self._random.random() < probability

    def between(self, low: int, high: int) -> int:
        """A whole number, both ends included."""
        return low + int(self._random.random() * (high - low + 1))

    def normal(self) -> float:
        """Roughly normal, mean 0, sd 1: twelve throws, so that no library's logarithm takes part."""
        return sum(self._random.random() for _ in range(12)) - 6.0
