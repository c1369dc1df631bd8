"""Which round day an instant belongs to: the day turns at an hour of the house's own, not at midnight."""

from __future__ import annotations

LONG_AWAY = 60
"""Days without a round after which a clock may as well be wrong as the house have been left alone."""


def in_doubt(day: int, last: int | None) -> bool:
    """Is it unlikely that a round of ``day`` follows the one of ``last``, made before it? (Ordinals; None: none was.)"""
    return last is not None and not 0 <= day - last <= LONG_AWAY


def round_day(at_ms: int, zone: str, day_starts: int) -> int:
    """The house's round day at an instant, as an ordinal: it turns at ``day_starts`` minutes."""
    from datetime import datetime, timedelta
    from zoneinfo import ZoneInfo

    local = datetime.fromtimestamp(at_ms / 1000, ZoneInfo(zone))
    return (local.replace(tzinfo=None) - timedelta(minutes=day_starts)).toordinal()
