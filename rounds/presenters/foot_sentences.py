"""What the foot of the screen says is saved, or is not."""

from __future__ import annotations

BOX_BEFORE, NEXT_BOX = "box before", "next box"


def not_saved(waiting: int, reason: str) -> str:
    return f"NOT SAVED ({waiting} waiting): {reason}"


def leave_again(said: str, quit_key: str) -> str:
    return f"{said} {quit_key} again leaves; what waits is then kept in a file."


def saving(waiting: int) -> str:
    return f"saving {waiting} …"


def until_read(refusal: str, help_key: str) -> str:
    return f"{refusal} ({help_key} when it was read)"


def saved(number: int) -> str:
    return f" {number} saved" if number else " nothing to save yet"


def waiting(number: int) -> str:
    return f" · {number} waiting …"


def news_beside(news: str) -> str:
    return f" · {news}"


def first_saved(undo_key: str) -> str:
    return f" 1 saved · {undo_key} takes it back, and so on as often as you like"


def first_round(next_key: str, help_key: str) -> str:
    return f" first round: type what you see; {next_key} takes the rest as expected; {help_key} helps"
