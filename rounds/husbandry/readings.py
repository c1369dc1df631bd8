"""What can be read at a visit, and which of it each stage is asked: the shape of that data.

The values come from ``config/readings.yaml`` (parsed in :mod:`rounds.husbandry.readings_file`);
a new reading needs no code.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.stages import Depth
from rounds.named_tuple import NamedTuple

Value = float | int | str | bool
"""A reading's value: a number, a choice key, a tick or a text (a note)."""

TYPES = ("count", "choice", "tick")
SUBJECTS = ("enclosure", "shelf", "room")


class Choice(NamedTuple):
    """One answer of a choice reading; ``key`` is the digit or letter that gives it."""

    id: str
    title: str
    key: str


class ReadingKind(NamedTuple):
    """One thing that can be read.

    Counts lie within ``low``..``high`` (in ``unit``), with ``decimals`` places typed;
    ``at_least`` counts mean "this many or more". ``ask_key`` moves to this reading from
    anywhere in the enclosure; it may be empty. ``of_animals`` readings say something about
    the animals that were there, and nothing about others that move in later. ``of_adults``
    readings are not asked where only eggs and larvae are recorded. ``plausible``
    is the range outside of which a count was more likely mistyped than so: it is recorded
    all the same, and rules can ask about it. ``act`` is the act that the reading states.
    """

    id: str
    title: str
    type: str
    subject: str = "enclosure"
    ask_key: str = ""
    unit: str = ""
    low: float = 0
    high: float = 9
    decimals: int = 0
    at_least: bool = False
    choices: tuple[Choice, ...] = ()
    about: str = ""
    retired: bool = False
    of_animals: bool = False
    of_adults: bool = False
    plausible: tuple[float, float] | None = None
    act: str = ""

    def states(self, value: object) -> dict[str, str] | None:
        """What the act is told that this value states, None when it states none."""
        if not self.act or value is None or value is False or value == 0:
            return None
        return {"count": f"{value:g}"} if isinstance(value, int | float) and value is not True else {}

    @property
    def one_digit(self) -> bool:
        """A single digit is the whole answer, so the cursor moves on by itself."""
        return self.type != "count" or (self.high <= 9 and not self.decimals)

    def choice(self, id: str) -> Choice | None:
        return next((c for c in self.choices if c.id == id), None)


class StagePlan(NamedTuple):
    """What one stage is asked.

    ``asked`` lists reading ids by depth; a deeper look is also asked what the shallower
    ones are. ``usual`` is the value that one key confirms (``"history"`` for a count: the
    range of the last fortnight), ``fine`` every value that is not out of the ordinary;
    ``usual_for`` and ``fine_for`` are the same by species. ``first`` are the readings to
    be typed before going on.
    """

    stage: str
    starts_at: Depth
    asked: Mapping[Depth, tuple[str, ...]]
    usual: Mapping[str, Value] = {}
    usual_for: Mapping[str, Mapping[str, Value]] = {}
    fine: Mapping[str, tuple[Value, ...]] = {}
    fine_for: Mapping[str, Mapping[str, tuple[Value, ...]]] = {}
    first: tuple[str, ...] = ()

    def usual_value(self, kind: str, species: str) -> Value | None:
        """What one key confirms for this reading, or None: then it is never confirmed."""
        return self.usual_for.get(species, {}).get(kind, self.usual.get(kind))

    def is_fine(self, kind: str, species: str, value: Value) -> bool | None:
        """Is a value ordinary here? None when nobody said what is."""
        fine = self.fine_for.get(species, {}).get(kind, self.fine.get(kind))
        return None if fine is None or "history" in fine else value in fine


class Vocabulary(NamedTuple):
    """All of ``readings.yaml``; ``every_shelf`` is asked at a shelf's first enclosure.

    ``skips`` and ``put_offs`` are the reasons a digit gives to skip an enclosure and to put work off.
    """

    kinds: Mapping[str, ReadingKind]
    stages: Mapping[str, StagePlan]
    skips: tuple[Choice, ...] = ()
    every_shelf: tuple[str, ...] = ()
    put_offs: tuple[Choice, ...] = ()

    def unasked(self, *, vacated: bool, young_only: bool) -> frozenset[str]:
        """Readings that nobody is asked where everybody has left, or where all are eggs and larvae."""
        return frozenset(
            k.id for k in self.kinds.values() if (vacated and k.of_animals) or (young_only and k.of_adults)
        )
