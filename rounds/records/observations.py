"""What is read from a book, as plain frozen values: the house, enclosures, rounds, visits, flags and actions.

Days are proleptic Gregorian ordinals of the house's round day (``date.toordinal()``),
instants are UTC epoch milliseconds. The store returns these and never its own models.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.occupancy import ANYONE, Company
from rounds.husbandry.readings import Value
from rounds.named_tuple import NamedTuple
from rounds.values.spans import FIRST, Span


class House(NamedTuple):
    """The house a book belongs to; ``day_starts`` is minutes after midnight, house time."""

    name: str
    zone: str
    day_starts: int = 240
    order: str = "straight"  # or "serpentine"


class Slot(NamedTuple):
    """One slot. ``address`` is ``B3-2``: bay B, shelf 3 from the top, slot 2."""

    id: int
    bay: str
    shelf: int
    slot: int

    @property
    def address(self) -> str:
        return f"{self.bay}{self.shelf}-{self.slot}"

    @property
    def shelf_name(self) -> str:
        return f"{self.bay}{self.shelf}"


class Occupant(NamedTuple):
    """Who is in an enclosure: one animal, or a group counted males.females.unsexed."""

    line: str
    animal: str = ""  # the keeper's own number, empty for a group
    sex: str = "unknown"  # m, f, unknown
    males: int = 0
    females: int = 0
    unsexed: int = 0
    at_least: bool = False
    instar: str = ""


class DueNotice(NamedTuple):
    """Work with a window."""

    id: int
    enclosure: int
    what: str
    window: Span
    likely: int | None
    why: str
    animal: str = ""  # LINE/NUMBER, when it is for one of those in there
    withheld: str = ""  # non-empty: a lock forbids it on the day it is planned for, and this says which
    todo: str = ""  # what to do about work of its kind, in a line; "" while only the books' rows are read

    def planned(self) -> int:
        """The day it stands under: the likely one, or the first."""
        return self.window.earliest if self.likely is None else self.likely


class EnclosureState(NamedTuple):
    """A box or tub. ``code`` is its own, ``number`` is short and typed on the number pad."""

    id: int
    code: str
    number: int
    stage: str
    stage_since: Span | None
    place: Slot | None
    order: int  # among the enclosures of one slot
    species: str
    contents: tuple[Occupant, ...] = ()
    litres: float | None = None
    note: str = ""
    company: Company = ANYONE

    @property
    def stage_from(self) -> int:
        """First day from which it was certainly in its stage (FIRST when nobody knows)."""
        return self.stage_since.latest if self.stage_since else FIRST

    @property
    def vacated(self) -> bool:
        """Somebody was in it, and everybody has left. Where nobody ever was recorded they may be uncounted."""
        return not self.contents and self.company != ANYONE

    @property
    def young_only(self) -> bool:
        """Are all that are recorded in it eggs or larvae, numbered or counted?"""
        return bool(self.contents) and all(c.instar for c in self.contents)

    @property
    def changed(self) -> int:
        """The last day on which its stage, or who was in it, may have been another."""
        return max(self.stage_from, self.company.same_since)

    @property
    def adults(self) -> int:
        """Animals recorded one by one and counted groups, those that are neither eggs nor larvae."""
        young = self.stage in ("eggs", "larvae", "wandering", "cell")
        grouped = (
            0
            if young
            else sum(c.males + c.females + c.unsexed for c in self.contents if not c.animal and not c.instar)
        )
        return grouped + sum(1 for c in self.contents if c.animal and not c.instar)


class Visit(NamedTuple):
    """One visit with what was read at it.

    ``read`` holds observed values by reading id; ``confirmed`` holds what one key
    confirmed as usual: a value for ticks and choices, ``(low, high)`` for counts,
    which stay unknown within that range. ``skipped`` is the reason key of a skip.
    """

    uid: bytes
    enclosure: int
    day: int
    at_ms: int
    read: Mapping[str, Value]
    confirmed: Mapping[str, Value | tuple[float, float]]
    depth: int = 0
    skipped: str = ""
    note: str = ""
    keeper: str = ""
    shelf: str = ""  # where it stood then, e.g. "B3"
    id: int = 0

    @property
    def looked(self) -> bool:
        """Something was seen (a visit that was only skipped, or taken back, was not a look)."""
        return bool(self.read or self.confirmed is not NOTHING or self.note) and not self.skipped


NOTHING: Mapping[str, Value | tuple[float, float]] = {}
"""The ``confirmed`` of a visit that nobody confirmed (an empty confirmation is another object)."""


class Flag(NamedTuple):
    """What a rule raised at a visit."""

    rule: str
    level: str
    reason: str
    todo: str
    withheld: str = ""  # non-empty: a lock keeps the action back, and this says which


CALL = "call-for-help"
"""The ``rule`` of an action that no rule raised: a stand-in asks for the keeper."""


class Action(NamedTuple):
    """Something someone has to do, open until done or put off."""

    uid: bytes
    enclosure: int
    rule: str
    level: str
    reason: str
    todo: str
    opened: int  # day
    state: str = "open"  # open, done, off (put off), withdrawn
    until: int | None = None  # put off until this day
    why: str = ""
    cause_gone: bool = False
    withheld: str = ""
    closed: int | None = None  # day it was done


class Round(NamedTuple):
    """One walk as the book has it; ``closed_ms`` is None while it is open."""

    uid: bytes
    keeper: str
    day: int
    name: str
    zone: str
    bays: tuple[str, ...]
    opened_ms: int
    closed_ms: int | None = None
    fingerprint: str = ""
    at_enclosure: int | None = None
    source: str = "walked"  # or "loaded"


class ReadingChange(NamedTuple):
    """A reading that held ``old`` and then ``new`` (None: nothing, or taken back)."""

    visit: bytes
    kind: str
    depth: int
    old: object
    new: object
    at_ms: int
    keeper: str
    why: str = ""
