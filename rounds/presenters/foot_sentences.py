"""What the foot of the screen says: what is saved or is not, how a mode ends, which numbers are taken."""

from __future__ import annotations

BOX_BEFORE, NEXT_BOX = "box before", "next box"
AT_LEAST = "at least how many:"
ALL_KEYS = "all keys"
DIGIT_OR_WORDS = "digit or words:"
MORE = "more"
CALL_FOR_HELP = "call for help"


def not_saved(waiting: int, reason: str) -> str:
    return f"NOT SAVED ({waiting} waiting): {reason}"


def leave_again(said: str, quit_key: str) -> str:
    return f"{said} {quit_key} again leaves; what waits is then kept in a file."


def saving(waiting: int) -> str:
    return f"saving {waiting} …"


def until_read(refusal: str, help_key: str) -> str:
    return f"{refusal} ({help_key} when it was read)"


def saved(number: int) -> str:
    return f" {number} saved" if number else " nothing typed yet"


def waiting(number: int) -> str:
    return f" · {number} waiting …"


def news_beside(news: str) -> str:
    return f" · {news}"


def first_saved(undo_key: str) -> str:
    return f" 1 saved · {undo_key} takes it back, and so on as often as you like"


def first_round(next_key: str, help_key: str) -> str:
    return f" first round: type what you see; {next_key} takes the rest as usual; {help_key} helps"


def numbers(low: float, high: float, unit: str, ends: str) -> str:
    of = f" ({unit})" if unit else ""  # "9 ¼ cup" would be nine and a quarter
    return f"{low:g} to {high:g}{of}{ends}"


def other_pages(help_key: str) -> str:
    return f" digits open other pages: {help_key}"


def enter_or_back(enter: str, rub_key: str, leaves: str) -> str:
    return f"enter {enter}; {rub_key} with nothing typed: {leaves}"


def page_turns(page: int, pages: int) -> str:
    return f"{MORE}, {page} of {pages}"


def any_other_key(leaves: str) -> str:
    return f"any other key: {leaves}"
