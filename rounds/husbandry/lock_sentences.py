"""Sentences about what a lock forbids, until when and why."""

from __future__ import annotations

from collections.abc import Iterable

# Why something must not be done, as the books hold it.
QUARANTINE = "quarantine"
LEFT_ALONE = "eggs are left alone until the first search"
CELL_BUILT = "a cell is built, or about to be"
EGGS_LIE = "eggs are left where they lie"
CHOOSING = "it is choosing where to build its cell"
BROKEN_CELL = "a broken cell is not built twice"
LEAVES_BY_ITSELF = "it leaves its cell by itself"

MAY_BE_IN_CELL = "may be in its cell, do not dig; look through the wall"
"""Why nobody digs where larvae may have begun to wander, going by their age."""
TODAY = "today"


def in_cell_until_then(todo: str) -> str:
    """The same with what can be done meanwhile, one sentence."""
    return f"{MAY_BE_IN_CELL}; until then {todo[:1].lower()}{todo[1:].rstrip('.')}"


def locked(deed: str, last_day: str, reason: str) -> str:
    return f"locked: {do_not(deed, last_day, reason)}"


def do_not(deed: str, last_day: str, reason: str) -> str:
    return f"do not {deed}{_through(last_day)} ({reason})"


def instruction(todo: str, withheld: str) -> str:
    """What to do, and why it has to wait where something keeps it back."""
    return f"{todo} It has to wait: {withheld}." if withheld else todo


def whole(deeds: Iterable[str], last_day: str, animal: str, reason: str) -> str:
    who = f" ({animal})" if animal else ""
    return f"do not {any_of(deeds)}{_through(last_day)}{who}{': ' if reason else ''}{reason}"


def headline(deeds: Iterable[str], last_day: str) -> str:
    """What must not be done, in at most 40 characters; everything through a day is "leave it alone"."""
    named = tuple(deeds)
    return f"{'leave it alone' if last_day and len(named) > 3 else f'do not {any_of(named)}'}{_through(last_day)}"


def set_aside(deeds: Iterable[str]) -> str:
    """What one may do now although a lock forbids it, in at most 40 characters."""
    named = tuple(deeds)
    return f"set aside, you may {'work in it' if len(named) > 2 else any_of(named)}"


def otherwise_locked(last_day: str) -> str:
    return f"it is urgent; otherwise locked{_through(last_day)}"


def both_reasons(one: str, other: str) -> str:
    return "; ".join(dict.fromkeys(reason for reason in (one, other) if reason))


def and_after_that(reason: str, deeds: Iterable[str], last_day: str, other: str) -> str:
    """The reason of a lock, and what a longer one still forbids when it is over."""
    begun = f"{reason}; " if reason else ""
    return f"{begun}after that do not {any_of(deeds)}{_through(last_day)}{': ' if other else ''}{other}"


def any_of(deeds: Iterable[str]) -> str:
    """``dig, open or wet``."""
    *some, last = deeds
    return f"{', '.join(some)} or {last}" if some else last


def _through(last_day: str) -> str:
    return f" through {last_day}" if last_day else ""
