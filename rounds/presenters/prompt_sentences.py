"""What stands at the foot of the screen beside the answers: how a mode ends, which numbers are taken."""

from __future__ import annotations

AT_LEAST = "at least how many:"
DIGIT_OR_WORDS = "digit or words:"
MORE = "more"


def page_turns(page: int, pages: int) -> str:
    return f"{MORE}, {page} of {pages}"


def numbers(low: float, high: float, unit: str, ends: str) -> str:
    of = f" ({unit})" if unit else ""  # "9 ¼ cup" would be nine and a quarter
    return f"{low:g} to {high:g}{of}{ends}"


def other_pages(help_key: str) -> str:
    return f" digits open other pages: {help_key}"


def enter_or_back(enter: str, rub_key: str, leaves: str) -> str:
    return f"enter {enter}; {rub_key} with nothing typed: {leaves}"


def any_other_key(leaves: str) -> str:
    return f"any other key: {leaves}"
