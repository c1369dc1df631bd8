"""The steps of a round that can be taken back, as the book has them."""

from __future__ import annotations

from rounds.records.entries import UndoStep
from rounds.walk.machine.state import Undoable
from rounds.walk.rule_monitor import state_of
from rounds.walk.saved_count import SavedCount


class UndoSteps:
    """The rows of each step by its number; ``saved`` counts what they are about."""

    def __init__(self) -> None:
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
        rows.append(UndoStep(round_, undoable.seq, subject, undoable.kind, int(undoable.depth), before))
        self.saved.add(rows[-1])
        return rows[-1:]

    def subject(self, seq: int) -> bytes:
        """What a step is about first: a visit, an action or an act."""
        return self._rows[seq][0].subject

    def take_back(self, seq: int) -> list[UndoStep]:
        """The rows of a step, marked as taken back."""
        self.saved.drop(seq)
        return [s._replace(undone=True) for s in self._rows.pop(seq, ())]

    def about(self, subject: bytes) -> set[int]:
        """The steps that a visit, an action or an act is the subject of."""
        return {seq for seq, rows in self._rows.items() if any(r.subject == subject for r in rows)}

    def drop_about(self, subject: bytes) -> set[int]:
        """Forget the steps about an act that the books did not allow, and say which they were."""
        gone = self.about(subject)
        for seq in gone:
            del self._rows[seq]
            self.saved.drop(seq)
        return gone
