"""The best matches for a few words, in any order, among things with names.

The words of all names, and those of all that is said beside them, each know who holds them:
ten thousand animals have a few thousand different words, and those are gone through.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from functools import cached_property

from rounds.named_tuple import NamedTuple
from rounds.text.normalisation import folded
from rounds.views.page import Link

REMEMBERED = 120
"""Words whose holders are remembered: what was typed before the last letter is looked for again."""
MOST = 200
"""Matches that are listed; whoever sees so many types another letter."""


class Named(NamedTuple):
    """One thing with a name.

    ``keys`` are further names for it; ``note`` is found and shown at the end, ``more`` is only found.
    """

    kind: str
    name: str
    about: str
    link: Link | None = None
    enclosure: int | None = None
    keys: str = ""
    note: str = ""
    more: str = ""


class NameIndex:
    """An index of named things in the order in which equally good matches are listed."""

    def __init__(self, every: Sequence[Named]) -> None:
        self.every = every
        self._known: dict[tuple[str, int], set[int]] = {}

    @cached_property
    def _names(self) -> _Words:
        return _Words(f"{e.name} {e.keys}" for e in self.every)

    @cached_property
    def _texts(self) -> _Words:
        """Not waited for where enough names hold what was typed."""
        return _Words(f"{e.kind} {e.about} {e.note} {e.more}" for e in self.every)

    def get_ready(self) -> None:
        """Go through all words now, so that nothing that is looked for waits for it."""
        assert self._names is not None
        assert self._texts is not None

    def find(self, wanted: Sequence[str], most: int = MOST) -> list[Named]:
        """At most ``most`` things that hold all of these words, the best first.

        A whole word is better than the beginning of one, that than a part of one; and any of
        them in a name better than in what is said beside it. A thing is as good as the worst
        of its words.
        """
        found: dict[int, None] = {}
        if not wanted:
            return []
        for ways in range(1, 7):
            held = set.intersection(*(self._within(w, ways) for w in wanted))
            found |= dict.fromkeys(sorted(held.difference(found)))
            if len(found) >= most:
                break
        return [self.every[i] for i in list(found)[:most]]

    def _within(self, word: str, ways: int) -> set[int]:
        """What holds the word in one of the best so many ways; the last words asked for are remembered."""
        if not ways:
            return set()
        known = self._known.get((word, ways))
        if known is None:
            words, way = (self._names, ways) if ways <= 3 else (self._texts, ways - 3)
            mine = (words.whole, words.beginning, words.part)[way - 1](word)
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            known = self._known[word, ways] = self._within(word, ways - 1) | mine
        return known


class _Words:
    """Which texts hold a word, by the words of all of them: those are few, however many texts there are."""

    def __init__(self, texts: Iterable[str]) -> None:
        self._holding: defaultdict[str, list[int]] = defaultdict(list)
        known: dict[str, set[str]] = {}  # of many animals the same is said
        for i, text in enumerate(texts):
            words = known.get(text)
            if words is None:
                words = known[text] = set(wanted(text))
            for word in words:
                self._holding[word].append(i)

    def whole(self, word: str) -> set[int]:
        return set(self._holding.get(word, ()))

    def beginning(self, word: str) -> set[int]:
        return set().union(*(some for w, some in self._holding.items() if w.startswith(word)))

    def part(self, word: str) -> set[int]:
        return set().union(*(some for w, some in self._holding.items() if word in w))


def wanted(query: str) -> list[str]:
    """The words of what was typed, as the index has them: case, accents and the sign between line and number
    do not matter."""
    return folded(query).replace("/", " ").split()
