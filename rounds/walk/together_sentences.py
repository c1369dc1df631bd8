"""What the walk says of others who write into the same book: who, when, where and what."""

from __future__ import annotations

SOMEBODY = "somebody"
LOOKED = "looked"
ALL_USUAL = "all as usual"
REST_USUAL = "the rest as usual"
TAKEN_BACK = "taken back"
SHARED = "you walk this round at another terminal too"


def news(when: str, keeper: str, box: str, what: str) -> str:
    at = f" at {box}" if box else ""
    return f"{when} {keeper or SOMEBODY}{at}: {what}"


def of_your_round(when: str, box: str, what: str) -> str:
    return f"{when} your other terminal at {box}: {what}"


def and_more(said: str, more: int) -> str:
    return f"{said} (+{more})" if more else said


def reading(title: str, value: str) -> str:
    return f"{title} {value}"


def cleared(title: str) -> str:
    return f"{title} taken back"


def noted(note: str) -> str:
    return f"note: {note}"


def skipped(reason: str) -> str:
    return f"skipped ({reason})"


def action_done(reason: str) -> str:
    return f"done: {reason}"


def action_put_off(reason: str) -> str:
    return f"put off: {reason}"


def act(title: str, told: str) -> str:
    return f"{title} ({told})" if told else title
