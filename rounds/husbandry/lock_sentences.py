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


def locked(deed: str, until: str, reason: str) -> str:
    return f"locked: {do_not(deed, until, reason)}"


def do_not(deed: str, until: str, reason: str) -> str:
    return f"do not {deed}{_until(until)} ({reason})"


def whole(deeds: Iterable[str], until: str, animal: str, reason: str) -> str:
    who = f" ({animal})" if animal else ""
    return f"do not {', '.join(deeds)}{_until(until)}{who}{': ' if reason else ''}{reason}"


def _until(day: str) -> str:
    return f" until {day}" if day else ""


def headline(deeds: Iterable[str], until: str) -> str:
    """What must not be done, in a few words: ``do not dig until 2 Dec``. Three deeds and more: leave it alone."""
    named = tuple(deeds)
    what = "leave it alone" if len(named) > 2 else f"do not {' or '.join(named)}"
    return f"{what}{_until(until)}"
