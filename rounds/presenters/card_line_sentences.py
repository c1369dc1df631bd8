"""What stands beside the fields of a card."""

from __future__ import annotations

PROPOSED = "  proposed"
NEEDED = "? needed"
NOT_SAID = "? not said"


def headlines(cautions: tuple[str, ...]) -> str:
    return " · ".join(cautions)


def shows_all(keys: str) -> str:
    return f"{keys} shows all"


def caution_behind(keys: str) -> str:
    return f"caution: {keys}"


def otherwise(usual: str) -> str:
    return f"({usual})"


def fields_in_sight(first: int, last: int, fields: int) -> str:
    return f"     fields {first} to {last} of {fields}; * needed"
