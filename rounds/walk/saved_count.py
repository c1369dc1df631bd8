"""How much of a round the book holds, counted as a keeper would: what was answered, and the acts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from rounds.records.entries import UndoStep

What = tuple[bytes, str]


class SavedCount:
    """Steps by number, each about one thing: a reading of a visit, its note, an action, an act.

    A thing counts once, however often it was typed anew, and not at all once every step about
    it was taken back. Kept up step by step, so that a key late in a round costs no more.
    """

    def __init__(self, steps: Iterable[UndoStep] = ()) -> None:
        self._of: dict[int, What] = {}
        self._times: Counter[What] = Counter()
        self._firsts: list[tuple[int, int]] = []  # ticket that a step was first put with, and its number
        self._new: list[int] = []
        for step in steps:
            self.add(step)
        self._new.clear()  # they came out of the book

    def add(self, step: UndoStep) -> None:
        """A step, or one more row of one: its first says what it is about."""
        if step.seq not in self._of:
            self._of[step.seq] = what = (step.subject, step.kind)
            self._times[what] += 1
            self._new.append(step.seq)

    def sent(self, ticket: int) -> None:
        """What was added meanwhile is saved once this ticket is."""
        self._firsts += ((ticket, seq) for seq in self._new)
        self._new.clear()

    def drop(self, seq: int) -> None:
        """A step was taken back, or the books did not allow it."""
        what = self._of.pop(seq, None)
        if what is not None:
            self._times[what] -= 1
            if not self._times[what]:
                del self._times[what]

    def count(self, saved_up_to: int) -> int:
        """How many things are saved when every ticket up to this one is."""
        waiting: Counter[What] = Counter()
        for ticket, seq in reversed(self._firsts):
            if ticket <= saved_up_to:
                break
            if seq in self._of:
                waiting[self._of[seq]] += 1
        return len(self._times) - sum(n == self._times[what] for what, n in waiting.items())
