"""A scene seen from one of its visits: what was read there, and what came before."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Self

from rounds.husbandry.readings import Value
from rounds.records.observations import Visit
from rounds.rules.scene import Scene, UsualRange

NONE_READ: Mapping[str, None] = {}


class View(dict[str, Any]):
    """A scene seen from one of its visits: the readings by id, and the looks before it.

    A value is None when it is not known and a :class:`~rounds.rules.scene.UsualRange` for a count
    that was only confirmed. With ``strict`` only what was observed counts: how running
    tests look. ``blank`` are readings to start from as not known, which saves asking for
    each; ``past`` is the value of :attr:`past` where it is known already. Views are made for one evaluation and thrown away. What is derived from one is
    added by :class:`~rounds.rules.context.EvaluationContext`.
    """

    __slots__ = (
        "_past",
        "_past_alike",
        "_past_in_stage",
        "_strict",
        "at",
        "day",
        "now_ms",
        "scene",
        "seen",
        "strict",
    )

    def __init__(
        self,
        scene: Scene,
        at: int | None = None,
        *,
        strict: bool = False,
        blank: Mapping[str, None] = NONE_READ,
        past: list[Visit] | None = None,
    ) -> None:
        dict.__init__(self, blank)
        self.scene, self.strict = scene, strict
        self._past = past
        self._past_in_stage: list[Visit] | None = None
        self._past_alike: list[Visit] | None = None
        self._strict: Self | None = None
        visits = scene.visits
        if at is None:
            self.day, self.now_ms = scene.today, scene.now_ms
            self.at = len(visits) - 1 if scene.present else len(visits)
            self.seen: Visit | None = visits[-1] if scene.present and visits else None
        else:
            self.at, self.seen = at, visits[at]
            self.day, self.now_ms = visits[at].day, visits[at].at_ms
        seen = self.seen
        if seen is None:
            return
        if seen.confirmed and not strict:
            for id_, value in seen.confirmed.items():
                self[id_] = UsualRange(*value) if isinstance(value, (tuple, list)) else value
        self.update(seen.read)

    def strictly(self) -> Self:
        """This look with only what was observed."""
        if self.strict or self.seen is None or not self.seen.confirmed:
            return self
        if self._strict is None:
            at = None if self.scene.present and self.at == len(self.scene.visits) - 1 else self.at
            self._strict = type(self)(self.scene, at, strict=True)
            self._strict._past, self._strict._past_in_stage = self._past, self._past_in_stage
        return self._strict

    @property
    def past(self) -> list[Visit]:
        """Earlier looks (skipped visits are none), newest first."""
        if self._past is None:
            self._past = [v for v in reversed(self.scene.visits[: self.at]) if v.looked]
        return self._past

    @property
    def past_in_stage(self) -> list[Visit]:
        """Earlier looks on days when the enclosure was certainly in its present stage."""
        if self._past_in_stage is None:
            first = self.scene.stage_from
            self._past_in_stage = _since(first, self.past)
        return self._past_in_stage

    @property
    def past_alike(self) -> list[Visit]:
        """Those of them since the day exactly today's animals came together, that day included.

        An amount read on that day is still another company's.
        """
        if self._past_alike is None:
            same = self.scene.enclosure.company.same_since
            self._past_alike = _since(same, self.past_in_stage)
        return self._past_alike

    def past_of_someone(self) -> Iterator[Visit]:
        """Earlier looks in this stage at which one of today's animals was certainly there."""
        oldest = self.scene.enclosure.company.oldest_since
        return (v for v in self.past_in_stage if v.day >= oldest)

    def previous(self) -> Visit | None:
        """The last look before this one."""
        visits = self.scene.visits
        return next((visits[i] for i in range(self.at - 1, -1, -1) if visits[i].looked), None)

    def observed(self, id_: str) -> Value | None:
        """What was typed for a reading at this very visit."""
        return self.seen.read.get(id_) if self.seen is not None else None


def _since(day: int, past: list[Visit]) -> list[Visit]:
    """Those of some looks, newest first, that were on a day or after it."""
    return past if not past or past[-1].day >= day else [v for v in past if v.day >= day]
