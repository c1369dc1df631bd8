"""What reports of rules say."""

from __future__ import annotations

NOBODY_LOOKED = "nobody has looked since it came into this stage"


def at_the_look(day: str) -> str:
    return f"on the visit of {day}"


def explained(box: str, stage: str, look: str) -> str:
    """``look`` is one of the two above."""
    return f"{box}, {stage}: {look}"


def not_watched(rule: str, stage: str) -> str:
    return f"{rule} is not watched for at a box in stage {stage}"


def replayed(visits: int, flags_per_100: float) -> str:
    return f"{visits} visits, {flags_per_100:.1f} flags raised per 100 visits"
