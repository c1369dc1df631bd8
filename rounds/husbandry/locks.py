"""What must not be done at an enclosure: locks that were set, and those a stage brings along."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rounds.husbandry import lock_sentences
from rounds.husbandry.life_table import LIFE_OF_STAGES
from rounds.husbandry.stages import Depth
from rounds.named_tuple import NamedTuple
from rounds.values.spans import LAST, Span


class ActiveLock(NamedTuple):
    """What must not be done until a day, and why. ``until`` is a span: its latest day counts."""

    forbids: tuple[str, ...]
    until: Span | None  # None: until lifted
    reason: str
    animal: str = ""


BY_STAGE: dict[str, ActiveLock] = {
    row.stage: ActiveLock(row.forbids, None, row.reason) for row in LIFE_OF_STAGES.values() if row.forbids
}
"""What each stage forbids by its nature, while somebody lives there."""

NEEDS = {Depth.WALL: "", Depth.LID: "open", Depth.DUG: "dig"}


def holds(day: int, until: Span | None, since: int | None = None, lifted: int | None = None) -> bool:
    """Is a lock in force on a day? The one rule, for the books, the database and the screen.

    Its first day and the latest day of its end belong to it, the day on which it was lifted
    does not. None: since ever, without an end, not lifted.
    """
    begun = since is None or since <= day
    over = until is not None and until.latest < day
    return begun and not over and (lifted is None or lifted > day)


def of_stage(stage: str, *, vacated: bool = False) -> ActiveLock | None:
    """The lock that a stage brings along; none where those for whom it held have left."""
    return None if vacated else BY_STAGE.get(stage)


def in_force(
    stage: str, set_: Sequence[ActiveLock], day: int, *, vacated: bool = False
) -> tuple[ActiveLock, ...]:
    """The locks that hold on a day: those set whose end has not come, then the stage's own."""
    held = [k for k in set_ if holds(day, k.until)]
    own = of_stage(stage, vacated=vacated)
    return (*held, *([own] if own else []))


def forbidding(locks: Sequence[ActiveLock], what: str) -> ActiveLock | None:
    """The lock that forbids ``what`` the longest, or None."""
    found = [k for k in locks if what in k.forbids]
    return max(found, key=lambda k: k.until.latest if k.until else 1 << 30, default=None)


def withheld(locks: Sequence[ActiveLock], depth: Depth, *, overridden: bool) -> str:
    """Why one may not look as closely as ``depth`` ("" when one may)."""
    lock = None if overridden else forbidding(locks, NEEDS[depth])
    return lock_sentences.locked(NEEDS[depth], end(lock), lock.reason) if lock else ""


def forbids(lock: ActiveLock, what: str) -> str:
    """That ``what`` is forbidden, until when and why."""
    return lock_sentences.do_not(what, end(lock), lock.reason)


def end(lock: ActiveLock, today: int | None = None) -> str:
    """The last day on which it holds: ``3 Jun``, ``today`` where that is today; nothing for a lock without an end."""
    if lock.until is None:
        return ""
    if lock.until.latest == today:
        return lock_sentences.TODAY
    day = date.fromordinal(lock.until.latest)
    return f"{day.day} {day:%b}"


def words(lock: ActiveLock, today: int | None = None) -> str:
    """One line: what, through which day, why. ``today`` is given where it is read on that day only."""
    return lock_sentences.whole(lock.forbids, end(lock, today), lock.animal, lock.reason)


def headline(lock: ActiveLock, today: int) -> str:
    """What, and through which day, in at most 40 characters."""
    return lock_sentences.headline(lock.forbids, end(lock, today))


def set_aside(lock: ActiveLock, today: int) -> tuple[str, str]:
    """What one may do while something urgent outweighs a lock, and through which day it holds otherwise."""
    return lock_sentences.set_aside(lock.forbids), lock_sentences.otherwise_locked(end(lock, today))


def as_told(found: Sequence[ActiveLock]) -> tuple[ActiveLock, ...]:
    """The locks of one enclosure as they are told: one where two say nearly the same.

    Two of one end are one. Of two where one forbids all that the other does, only its reason is told
    of the shorter when it forbids less; when it forbids more, what holds longer is said behind its reason.
    """
    told: list[ActiveLock] = []
    for lock in found:
        for i, before in enumerate(told):
            joined = _joined(before, lock)
            if joined is not None:
                told[i] = joined
                break
        else:
            told.append(lock)
    return tuple(told)


def _joined(one: ActiveLock, other: ActiveLock) -> ActiveLock | None:
    """Two locks as one, None where they are about different animals or deeds."""
    if one.animal != other.animal:
        return None
    shorter, longer = sorted((one, other), key=_last)
    if _last(shorter) == _last(longer):
        deeds = tuple(dict.fromkeys((*one.forbids, *other.forbids)))
        return one._replace(forbids=deeds, reason=lock_sentences.both_reasons(one.reason, other.reason))
    if set(shorter.forbids) <= set(longer.forbids):
        return longer._replace(reason=lock_sentences.both_reasons(longer.reason, shorter.reason))
    if set(longer.forbids) < set(shorter.forbids):
        after = lock_sentences.and_after_that(shorter.reason, longer.forbids, end(longer), longer.reason)
        return shorter._replace(reason=after)
    return None


def _last(lock: ActiveLock) -> int:
    return LAST if lock.until is None else lock.until.latest
