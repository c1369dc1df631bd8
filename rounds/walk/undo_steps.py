"""The steps of a round that can be taken back, as the book has them."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.records.entries import ACT, UndoStep
from rounds.walk.machine.state import Undoable
from rounds.walk.rule_monitor import state_of
from rounds.walk.saved_count import SavedCount


class UndoSteps:
    """The rows of each step by its number; ``saved`` counts what they are about.

    ``walk`` is this start of the program, whose steps are told apart from those of another
    terminal that walks the same round.
    """

    def __init__(self, walk: bytes) -> None:
        self.walk = walk
        self.walked = False
        """Has this start taken any step?"""
        self._rows: dict[int, list[UndoStep]] = {}
        self.saved = SavedCount()

    def take_up(self, rows: dict[int, list[UndoStep]]) -> None:
        """Go on with an interrupted round's."""
        self._rows = rows
        self.saved = SavedCount(step for some in rows.values() for step in some)

    def add(self, round_: bytes, undoable: Undoable, subject: bytes) -> list[UndoStep]:
        """The row undo will need; one for a whole session of typing a note."""
        rows = self._rows.setdefault(undoable.seq, [])
        if any(r.subject == subject and r.kind == undoable.kind for r in rows):
            return []
        before = undoable.before if undoable.action is None else state_of(undoable.action)
        row = UndoStep(round_, undoable.seq, subject, undoable.kind, int(undoable.depth), before)
        self.walked = True
        rows.append(row._replace(walk=self.walk))
        self.saved.add(rows[-1])
        return rows[-1:]

    def subject(self, seq: int) -> bytes:
        """What a step is about first: a visit, an action or an act."""
        return self._rows[seq][0].subject

    def act_of(self, seq: int) -> bytes | None:
        """The act that a step recorded, by itself or because a reading stated it."""
        return next((row.subject for row in self._rows.get(seq, ()) if row.kind == ACT), None)

    def add_act(self, round_: bytes, seq: int, act: bytes) -> list[UndoStep]:
        """The act that a reading stated belongs to the reading's step."""
        row = UndoStep(round_, seq, act, ACT, 0, None)
        self._rows[seq].append(row._replace(walk=self.walk))
        return self._rows[seq][-1:]

    def drop_act(self, act: bytes) -> list[UndoStep]:
        """An act that a reading stated was taken back, as the reading has another answer: its row, marked so."""
        out: list[UndoStep] = []
        for rows in self._rows.values():
            gone = [row for row in rows if row.subject == act and row.kind == ACT]
            rows[:] = [row for row in rows if row not in gone]
            out += (row._replace(undone=True) for row in gone)
        return out

    def answered(self, visit: bytes, kind: str, *, before: int) -> int | None:
        """The newest step below ``before`` in which a reading was answered."""
        return max(
            (
                seq
                for seq, rows in self._rows.items()
                if seq < before and any(row.subject == visit and row.kind == kind for row in rows)
            ),
            default=None,
        )

    def take_back(self, seq: int) -> list[UndoStep]:
        """The rows of a step, marked as taken back."""
        self.saved.drop(seq)
        return [s._replace(undone=True) for s in self._rows.pop(seq, ())]

    def steps_about(self, subject: bytes, *, newest: bool = False) -> tuple[int, ...]:
        """The steps about an act or an action, oldest first; ``newest``: the last of them alone."""
        found = [seq for seq, rows in self._rows.items() if any(r.subject == subject for r in rows)]
        return tuple(found[-1:] if newest else found)

    def made_elsewhere(self) -> tuple[int, ...]:
        """Steps that were read from the book: another start of the program made them."""
        return tuple(seq for seq, rows in self._rows.items() if rows and rows[0].walk != self.walk)

    def forget(self, seqs: Iterable[int]) -> None:
        """These are not taken back from here any more: another terminal has made them, or has taken them back."""
        for seq in seqs:
            self._rows.pop(seq, None)
            self.saved.drop(seq)
