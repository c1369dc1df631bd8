"""A scene seen from one of its visits: what conditions and derived measures read."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from rounds.husbandry.records import Seen, Value
from rounds.rules.measures import compute
from rounds.rules.scene import Range, Scene


class Look(dict[str, Any]):
    """A scene seen from one of its visits: values by key, each worked out once.

    Keys are reading ids and, for derived measures, ``=name`` or ``=name of reading``. A
    value is None when it is not known and a :class:`Range` for a count that was only
    confirmed. With ``strict`` only what was observed counts: how running tests look.
    Looks are made for one evaluation and thrown away.
    """

    __slots__ = ("at", "day", "now_ms", "scene", "seen", "strict")

    def __init__(self, scene: Scene, at: int | None = None, strict: bool = False) -> None:
        visits = scene.visits
        self.scene, self.strict = scene, strict
        if at is None:
            self.day, self.now_ms = scene.today, scene.now_ms
            self.at = len(visits) - 1 if scene.present else len(visits)
            self.seen = visits[-1] if scene.present and visits else None
        else:
            self.at, self.seen = at, visits[at]
            self.day, self.now_ms = self.seen.day, self.seen.at_ms
        seen = self.seen
        if seen is None:
            return
        if not strict and seen.confirmed:
            for id_, value in seen.confirmed.items():
                self[id_] = Range(*value) if isinstance(value, (tuple, list)) else value
        self.update(seen.read)

    def __missing__(self, key: str) -> Any:
        value = None
        if key[0] == "=":
            value = compute(self, key)
        self[key] = value
        return value

    def back(self) -> Iterator[Seen]:
        """Earlier looks (skipped visits are none), newest first."""
        visits = self.scene.visits
        for i in range(self.at - 1, -1, -1):
            if visits[i].looked:
                yield visits[i]

    def back_in_stage(self) -> Iterator[Seen]:
        """Earlier looks on days when the enclosure was certainly in its present stage."""
        first = self.scene.stage_from
        for seen in self.back():
            if seen.day < first:
                return
            yield seen

    def previous(self) -> Seen | None:
        return next(self.back(), None)

    def observed(self, id_: str) -> Value | None:
        """What was typed for a reading at this very visit."""
        return self.seen.read.get(id_) if self.seen is not None else None
