"""What reports of a batch of substrate and of an arrival say."""

from __future__ import annotations

PUT_INTO = "Put into"
NO_RECIPE = "No recipe is recorded."
FROM_IT = "Animals and groups from it"
CERTAIN_IS = "`certain` is no where a father is open or a parent is not recorded."


def batch_title(name: str) -> str:
    return f"Substrate batch {name}"


def mixed(when: str) -> str:
    return f"Mixed {when}." if when else "It is not recorded when it was mixed."


def lot_title(name: str) -> str:
    return f"Arrival {name}"


def came(when: str, whom: str, papers: str) -> str:
    """Each of them may be empty: not recorded."""
    arrived = f"Came {when}" if when else "It is not recorded when it came"
    return f"{arrived}{f' from {whom}' if whom else ''}. Papers: {papers or 'none recorded'}."


def origin(told: str, mated_before: str) -> str:
    return f"Origin as it was told: {told or 'nothing recorded'}. Mated before: {mated_before}."
