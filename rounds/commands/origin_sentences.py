"""What ``rounds batch`` and ``rounds lot`` refuse."""

from __future__ import annotations

MOST_NAMED = 12


def no_batch(name: str, meant: str, there: tuple[str, ...]) -> str:
    """``meant`` is the hint with the nearest name, if any is near; ``there`` are those that are recorded."""
    return f"there is no batch `{name}`. {meant or _there(there)}"


def no_arrival(name: str, meant: str, there: tuple[str, ...]) -> str:
    return f"there is no arrival `{name}`. {meant or _there(there)}"


def _there(names: tuple[str, ...]) -> str:
    return f"There are: {', '.join(names[:MOST_NAMED])}." if names else "None is recorded yet."
