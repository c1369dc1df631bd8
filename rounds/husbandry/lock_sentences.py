"""Sentences about what a lock forbids, until when and why."""

from __future__ import annotations

from collections.abc import Iterable


def locked(deed: str, until: str, reason: str) -> str:
    return f"locked: {do_not(deed, until, reason)}"


def do_not(deed: str, until: str, reason: str) -> str:
    return f"do not {deed}{_until(until)} ({reason})"


def whole(deeds: Iterable[str], until: str, animal: str, reason: str) -> str:
    who = f" ({animal})" if animal else ""
    return f"do not {', '.join(deeds)}{_until(until)}{who}: {reason}"


def _until(day: str) -> str:
    return f" until {day}" if day else ""
