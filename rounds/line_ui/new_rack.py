"""A rack as its keeper described it, and the acts that put it into a new book."""

from __future__ import annotations

import re
from collections.abc import Iterator
from string import ascii_uppercase

from rounds.named_tuple import NamedTuple

MOST_BAYS, MOST_SHELVES, MOST_SLOTS = 26, 99, 99
"""A letter for each bay; two digits for a shelf and for a slot, as the acts at the rack take them."""
MOST_IN_ALL = 2_000
"""Slots of a first rack, and so boxes: twice the largest house that is reckoned with, made in seconds. More by tables."""
HIGHEST_NUMBER = 999_999

CODE = re.compile(r"(.*[^\W\d].*?)([0-9]{1,6})")
"""Something with a letter in it, and a number at its end."""


class NewRack(NamedTuple):
    """``bays`` beside each other, ``shelves`` in each, ``slots`` on each; ``boxes`` fill them in the order of a walk."""

    house: str
    keeper: str
    bays: int
    shelves: int
    slots: int
    boxes: int
    first_code: str
    filled: bool

    def places(self) -> Iterator[str]:
        """The addresses of all slots, bay by bay, from the top shelf down."""
        for bay in ascii_uppercase[: self.bays]:
            for shelf in range(1, self.shelves + 1):
                yield from (f"{bay}{shelf}-{slot}" for slot in range(1, self.slots + 1))

    def acts(self) -> Iterator[tuple[str, dict[str, str]]]:
        """The name of each act and what is typed for it: first the shelves, then the boxes on them."""
        for bay in ascii_uppercase[: self.bays]:
            for shelf in range(1, self.shelves + 1):
                yield "shelf", {"bay": bay, "shelf": str(shelf), "slots": str(self.slots)}
        stage = "prepared" if self.filled else "empty"
        for code, number, place in zip(self.codes(), self._numbers(), self.places(), strict=False):
            yield "box", {"code": code, "number": str(number), "place": place, "stage": stage}

    def codes(self) -> list[str]:
        """The codes of the boxes: they count on from the first, as wide as it is written."""
        before, digits = _parts(self.first_code)
        return [f"{before}{number:0{len(digits)}}" for number in self._numbers()]

    def _numbers(self) -> range:
        first = int(_parts(self.first_code)[1])
        return range(first, first + self.boxes)


def is_code(text: str) -> bool:
    """Can boxes be counted on from this code?"""
    found = CODE.fullmatch(text)
    return found is not None and 1 <= int(found[2]) <= HIGHEST_NUMBER - MOST_IN_ALL + 1


def _parts(code: str) -> tuple[str, str]:
    found = CODE.fullmatch(code)
    assert found is not None, code  # it was asked for until it was one
    return found[1], found[2]
