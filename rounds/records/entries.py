"""What a walk writes: each entry is one idempotent assignment, ready for one transaction.

A walk makes every id itself (UUIDv7, 16 bytes), so an entry that was sent twice, because
the first answer was lost, changes nothing. ``seq`` numbers a round's steps from 1; order
is by sequence, never by clock.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.readings import Value
from rounds.named_tuple import NamedTuple
from rounds.records.observations import Action, Flag

AS_EXPECTED = "as_expected"  # value: mapping of reading id to value or [low, high]
NOTE = "note"
SKIPPED = "skipped"
ACT = "act"  # not a cell: the kind of a step whose subject is an act
OWN_KINDS = (AS_EXPECTED, NOTE, SKIPPED)
"""Cells of a visit that are not in readings.yaml."""

Cell = Value | Mapping[str, object] | None
"""What a cell of a visit can hold; None means nothing (also after undo)."""


class OpenRound(NamedTuple):
    """One walk of one keeper over some bays (empty: the whole house) on a round day."""

    uid: bytes
    keeper: str
    day: int
    at_ms: int
    zone: str
    name: str = ""  # "" for the day's first round, else what it was asked for by ("evening")
    bays: tuple[str, ...] = ()
    fingerprint: str = ""


class OpenVisit(NamedTuple):
    uid: bytes
    round: bytes
    enclosure: int
    seq: int
    at_ms: int


class Assign(NamedTuple):
    """Put ``after`` into the cell (visit, kind); a changed value also leaves a change row."""

    visit: bytes
    kind: str
    depth: int
    before: Cell
    after: Cell
    at_ms: int
    keeper: str
    why: str = ""


class SetFlag(NamedTuple):
    """A rule stands (or no longer stands) at a visit."""

    visit: bytes
    flag: Flag
    stands: bool
    fingerprint: str


class SetActionEntry(NamedTuple):
    """The whole state of an action after this entry."""

    action: Action
    visit: bytes  # the visit at which this happened; b"" outside a walk
    at_ms: int
    keeper: str
    knew: str | None = None
    """A keeper's key: the state it was in for all that the keeper knew. In another by now it is not written."""
    by_rule: bool = False
    """A rule's doing: what a keeper has decided about the action meanwhile stays."""


class UndoStep(NamedTuple):
    """What undo needs to take one key back; kept while its round is open.

    ``subject`` is a visit's or an action's uid; ``kind`` is empty for an action, whose
    ``before`` is then its state fields. ``walk`` is the start of the program that made the
    step and counts ``seq`` itself: the book gives the steps of each start numbers that no
    other start of the round has. Empty: ``seq`` is the book's own number.
    """

    round: bytes
    seq: int
    subject: bytes
    kind: str
    depth: int
    before: Cell
    undone: bool = False
    walk: bytes = b""


class StandAt(NamedTuple):
    """The walk is at this enclosure: where it resumes. None: past the last one."""

    round: bytes
    enclosure: int | None


class LeaveRound(NamedTuple):
    """A terminal is left in the middle of a round: its steps are those of whoever goes on. ``walk`` is its start."""

    round: bytes
    walk: bytes


class CloseRound(NamedTuple):
    """The round is over; ``unseen`` are the enclosures nobody looked at."""

    round: bytes
    at_ms: int
    unseen: tuple[int, ...]


class RecordActEntry(NamedTuple):
    """An act, as it was typed; it is planned again where it is written.

    ``subject`` and ``typed`` are what a keeper would type after `rounds record ACT`.
    """

    uid: bytes
    act: str
    subject: str
    typed: Mapping[str, str]
    day: int
    at_ms: int
    keeper: str
    visit: bytes = b""  # the visit at which it was recorded; b"" outside a walk
    sure: bool = False


class UndoActEntry(NamedTuple):
    """An act is taken back, by an act of its own (``uid``)."""

    uid: bytes
    act: bytes
    day: int
    at_ms: int
    keeper: str
    visit: bytes = b""


Entry = (
    OpenRound
    | OpenVisit
    | Assign
    | SetFlag
    | SetActionEntry
    | UndoStep
    | StandAt
    | LeaveRound
    | CloseRound
    | RecordActEntry
    | UndoActEntry
)
