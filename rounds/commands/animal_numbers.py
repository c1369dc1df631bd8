"""Animals by the bare number on their mark, where only one animal has it."""

from __future__ import annotations

from collections.abc import Collection

from rounds.commands import kinship_sentences

MOST_NAMED = 20


class BareNumbers:
    """Names as they are typed, in full: a bare number is the one LINE/NUMBER it stands for."""

    def __init__(self, known: Collection[str]) -> None:
        self.known = known
        self.open: dict[str, str] = {}
        """What is said of each number that stands for several animals; the hint is kinship_sentences.NAME_THE_LINE."""

    def full(self, name: str) -> str:
        """The full name; one that nothing fits, or several do, stays as it is."""
        if name in self.known:
            return name
        fits = [n for n in self.known if "/" in n and n.rpartition("/")[2] == name]
        if len(fits) > 1:
            self.open[name] = kinship_sentences.number_of_several(
                name, tuple(fits[:MOST_NAMED]), max(0, len(fits) - MOST_NAMED)
            )
        return fits[0] if len(fits) == 1 else name
