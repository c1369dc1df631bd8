"""The first boxes of the invented house teach one thing each, in a line that goes away once it is done.

Which box teaches what is fixed when the walk begins: the first one that fits, in the order of
:data:`LESSONS`. Nothing of it is kept: another start teaches again.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from rounds.keys.key_names import sign_of
from rounds.named_tuple import NamedTuple
from rounds.records.stops import Stop
from rounds.walk import lesson_sentences as sentences
from rounds.walk.desk import WalkDesk
from rounds.walk.machine import steps
from rounds.walk.machine.state import Effect, Put, RecordAct

STANDING_WATER = ("moisture", "water")
"""The reading and the answer by which a flag is shown."""


class Lesson(NamedTuple):
    """What one box teaches: which box can, what is said there, and whether a key has done it.

    ``done`` is given what a key brought about and whether a flag stands that was not there before today.
    """

    id: str
    fits: Callable[[Stop, frozenset[str]], bool]
    say: Callable[[WalkDesk], str]
    done: Callable[[Effect, bool], bool]


def _key(desk: WalkDesk, command: str) -> str:
    return sign_of(steps.key_for(desk, command))


def _flag(desk: WalkDesk) -> str:
    reading, answer = STANDING_WATER
    choices = [choice.id for choice in desk.kinds[reading].choices]
    return sentences.flag(_key(desk, "reading_down"), str(choices.index(answer) + 1))


def _to_be_dug(stop: Stop) -> bool:
    locked = any("dig" in lock.forbids for lock in stop.locks)
    return stop.enclosure.stage == "laying" and bool(stop.dues) and not locked


LESSONS = (
    Lesson(
        "look",
        lambda _, asked: "jelly_gone" in asked,
        lambda _: sentences.look("1"),
        lambda effect, _: isinstance(effect, Put),
    ),
    Lesson(
        "flag",
        lambda _, asked: STANDING_WATER[0] in asked,
        _flag,
        lambda effect, raised: isinstance(effect, Put) and raised,
    ),
    Lesson(
        "act",
        lambda stop, _: stop.enclosure.stage == "pairing",
        lambda desk: sentences.act(_key(desk, "record")),
        lambda effect, _: isinstance(effect, RecordAct),
    ),
    Lesson(
        "search",
        lambda stop, _: _to_be_dug(stop),
        lambda desk: sentences.search(_key(desk, "record")),
        lambda effect, _: isinstance(effect, RecordAct) and effect.act == "search",
    ),
)


class Lessons:
    """What is still to be tried in this walk."""

    def __init__(self, desk: WalkDesk) -> None:
        self._desk = desk
        self.open: dict[int, Lesson] = {}  # by stop
        for lesson in LESSONS:
            at = next((i for i in range(desk.count()) if self._teaches(i, lesson)), None)
            if at is not None:
                self.open[at] = lesson

    def _teaches(self, stop: int, lesson: Lesson) -> bool:
        asked = frozenset(a.kind.id for a in self._desk.asks(stop, self._desk.starts_at(stop)))
        return stop not in self.open and lesson.fits(self._desk.route.stops[stop], asked)

    def said(self, stop: int) -> str:
        """What the box at a stop teaches, "" when it is done or there is nothing."""
        if stop in self.open:
            return self.open[stop].say(self._desk)
        last = max(self.open, default=0)
        if stop < last and self.open[last].id == "search" and len(self.open) == 1:
            e = self._desk.route.stops[last].enclosure
            return sentences.search_is_at(e.code, _key(self._desk, "go"), e.number)
        return ""

    def learn(self, effects: Iterable[Effect], raised: Callable[[int], bool]) -> None:
        """A key brought this about; ``raised``: does a flag stand at a stop that was not there before today?"""
        for effect in effects:
            if not isinstance(effect, (Put, RecordAct)):
                continue
            lesson = self.open.get(effect.stop)
            if lesson is not None and lesson.done(effect, raised(effect.stop)):
                del self.open[effect.stop]
