"""What line mode says of a card."""

from __future__ import annotations

NEXT_FIELD = "the next field"


def card_of(title: str) -> str:
    return f"Card: {title}."


def field(label: str, said: str) -> str:
    return f"{label} {said}"


def proposed(fields: tuple[str, ...]) -> str:
    return f"Proposed: {', '.join(fields)}."


def has_to_be_told(labels: tuple[str, ...]) -> str:
    return f"Still needed: {', '.join(labels)}. leave: nothing is recorded."


def will_record(title: str, who: str, told: tuple[str, ...], unsaid: tuple[str, ...]) -> str:
    of = f" {who}" if who else ""
    what = f": {', '.join(told)}" if told else ""
    left = f"; not said: {', '.join(unsaid)}" if unsaid else ""
    return f"record: records {title}{of}{what}{left}. leave: nothing is recorded."


def none_of_these(typed: str) -> str:
    return f"{typed!r} is none of these answers."


def no_sign_of_a_text(sign: str) -> str:
    return f"A text of a card cannot hold {sign!r} here, which is one of its keys."


def no_number(typed: str) -> str:
    return f"{typed!r} is no number."
