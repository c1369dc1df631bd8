"""What ``rounds help promises`` says beside the promises themselves."""

from __future__ import annotations

ABOUT_TESTS = "The tests and scripts are in the folder the program was made from. A promise without a figure holds or does not."


def held_by(tests: tuple[str, ...]) -> str:
    return f"Held by {', '.join(tests)}"


def measured_by(scripts: tuple[str, ...]) -> str:
    return f"Measured by {', '.join(scripts)}"


def measured(figure: float, at_most: float | None, unit: str, *, met: bool) -> str:
    """``unit`` is "" for a multiple."""
    counted = f" {unit}" if unit else "-fold"
    if at_most is None:
        return f"{figure:g}{counted}"
    if met:
        return f"{figure:g}{counted}, within its budget of {at_most:g}"
    return f"{figure:g}{counted}: NOT MET, its budget is {at_most:g}"


def last(number: str, counted: str, day: str, machine: str) -> str:
    """``number`` and ``counted`` (in words) are "" where there is none."""
    return f"Last figure: {'; '.join(filter(None, (number, counted)))} ({day}, {machine})"
