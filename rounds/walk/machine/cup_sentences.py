"""What the walk says of a fresh cup like the last one. Amounts are quarter cups."""

from __future__ import annotations

NEVER_GIVEN = "no jelly was given to those here before; type how much"


def quarters(amount: float) -> str:
    return f"{amount:g} quarter cup{'' if amount == 1 else 's'}"


def will_give(amount: float, when: str) -> str:
    return f"fresh cup: {quarters(amount)}, as on {when}"


def given(amount: float, when: str) -> str:
    return f"jelly given: {quarters(amount)}, as on {when}"


def typed_already(amount: float) -> str:
    return f"jelly given is {quarters(amount)} already; type over it to change it"


def given_today(amount: float, keeper: str) -> str:
    return f"{keeper} gave {quarters(amount)} here today already; if more was given, type it"
