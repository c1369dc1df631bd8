"""Counts that may be less than exact: a lowest and a highest number, and counts by sex.

What follows from a count is three-valued: True, False, or None where the numbers it may
be disagree. A test or a fit asks :attr:`Count.exact` first and takes only exact counts;
:meth:`Count.number` refuses to give one number for several.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Count:
    """At least ``low`` and at most ``high``; a ``high`` of None is open (``at least 30``).

    ``words`` are those typed, empty for a plain number and for what was computed; they do
    not count when counts are compared with ``==``. Raises ValueError for what is no count.
    """

    low: int
    high: int | None
    words: str = field(default="", compare=False)

    def __post_init__(self) -> None:
        if self.low < 0:
            raise ValueError(f"a count cannot be {self.low}")
        if self.high is not None and self.high < self.low:
            raise ValueError(f"a count of {self.low} to {self.high} runs backwards")

    @property
    def exact(self) -> bool:
        """Is it one number? Only then may it enter a test or a fit."""
        return self.low == self.high

    @property
    def open(self) -> bool:
        """Is there no highest number?"""
        return self.high is None

    @property
    def rough(self) -> bool:
        """Is it one of several numbers, the highest of which is known?"""
        return not self.exact and not self.open

    @property
    def number(self) -> int:
        """The one number it is. Raises ValueError unless :attr:`exact`."""
        if not self.exact:
            raise ValueError(f"{self} is not an exact count")
        return self.low

    def __add__(self, other: Count | int) -> Count:
        other = exactly(other)
        high = None if self.high is None or other.high is None else self.high + other.high
        return Count(self.low + other.low, high)

    __radd__ = __add__

    def __sub__(self, taken: Count | int) -> Count:
        """What is left after an exact number was taken away.

        Raises ValueError if ``taken`` is not exact, or is more than there can have been.
        """
        number = exactly(taken).number
        if self.high is not None and number > self.high:
            raise ValueError(f"{number} cannot be taken from {self}")
        return Count(max(0, self.low - number), None if self.high is None else self.high - number)

    def at_least(self, other: Count | int) -> bool | None:
        """Is it ``other`` or more?"""
        other = exactly(other)
        if other.high is not None and self.low >= other.high:
            return True
        return False if self.high is not None and self.high < other.low else None

    def more_than(self, other: Count | int) -> bool | None:
        """Is it more than ``other``?"""
        some = exactly(other).at_least(self)
        return None if some is None else not some

    def at_most(self, other: Count | int) -> bool | None:
        return exactly(other).at_least(self)

    def less_than(self, other: Count | int) -> bool | None:
        enough = self.at_least(other)
        return None if enough is None else not enough

    def same_as(self, other: Count | int) -> bool | None:
        """Is it the same number? True only where both are exact."""
        other = exactly(other)
        if self.exact and other.exact:
            return self.low == other.low
        return False if self.more_than(other) or self.less_than(other) else None

    def __str__(self) -> str:
        """The words typed; without any, words that parse back to the same count."""
        return self.words or self.plain_words

    @property
    def plain_words(self) -> str:
        if self.exact:
            return str(self.low)
        if self.high is None:
            return f"at least {self.low}"
        return f"{self.low}-{self.high}" if self.low else f"up to {self.high}"

    @property
    def compact(self) -> str:
        """Without blanks: ``14``, ``30+``, ``10-12``."""
        if self.exact:
            return str(self.low)
        return f"{self.low}+" if self.high is None else f"{self.low}-{self.high}"


def exactly(number: Count | int) -> Count:
    """A whole number as a count; a count as it is."""
    return number if isinstance(number, Count) else Count(number, number)


NONE = Count(0, 0)


@dataclass(frozen=True, slots=True)
class Counts:
    """Males, females and unsexed, and the words typed for them (empty for the plain form).

    The words do not count when two are compared with ``==``.
    """

    males: Count
    females: Count
    unsexed: Count
    words: str = field(default="", compare=False)

    @property
    def total(self) -> Count:
        return self.males + self.females + self.unsexed

    def __add__(self, other: Counts) -> Counts:
        return Counts(self.males + other.males, self.females + other.females, self.unsexed + other.unsexed)

    @property
    def exact(self) -> bool:
        """Are all three exact? Only then may they enter a test or a fit."""
        return self.males.exact and self.females.exact and self.unsexed.exact

    @property
    def plain_words(self) -> str:
        """``1.2.3``, ``1.2.3+`` (at least), ``1.2.10-12``."""
        return f"{self.males.compact}.{self.females.compact}.{self.unsexed.compact}"

    def __str__(self) -> str:
        """The words typed; without any, words that parse back to the same counts."""
        return self.words or self.plain_words
