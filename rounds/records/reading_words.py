"""A reading's value in words: observed, expected, and of an earlier visit. Nothing of the screen."""

from __future__ import annotations

from rounds.husbandry.readings import ReadingKind
from rounds.records.entries import Cell
from rounds.records.observations import Visit
from rounds.text.cleaning import clean, number


def value_words(kind: ReadingKind, value: Cell) -> str:
    """An observed value as the keeper would say it."""
    if kind.type == "tick":
        return "yes" if value else "no"
    if kind.type == "choice":
        choice = kind.choice(str(value))
        return clean(choice.title if choice else str(value), 16)
    if isinstance(value, (int, float)):
        return f"{'at least ' if kind.at_least and value else ''}{_measure(kind, value)}"
    return clean(str(value), 16)


def past_words(kind: ReadingKind, visit: Visit, width: int) -> str:
    """One earlier value in a column of ``width`` cells: read, (confirmed), skipped, or nothing."""
    if kind.id in visit.read:
        return _short(kind, visit.read[kind.id], width).replace("at least ", "≥")
    if kind.id in visit.confirmed:
        value = visit.confirmed[kind.id]
        if isinstance(value, (tuple, list)):
            return f"({usual_words(kind, value).replace(' to ', '–')})"
        return f"({_short(kind, value, width - 2)})"
    return "skipped" if visit.skipped else "·"


def _short(kind: ReadingKind, value: Cell, width: int) -> str:
    """The value's words; a choice too long for ``width`` by its short name from the config."""
    if kind.type != "choice":
        return value_words(kind, value)
    choice = kind.choice(str(value))
    names = [clean(x, 40) for x in ((choice.title, choice.id) if choice else (str(value),))]
    return next((x for x in names if len(x) <= width), names[0] if width < 1 else f"{names[0][: width - 1]}…")


def usual_words(kind: ReadingKind, value: object) -> str:
    if isinstance(value, (tuple, list)):
        low, high = value
        return number(low) if low == high else f"{number(low)} to {number(high)}"
    return value_words(kind, value if isinstance(value, (int, float, str)) else str(value))


def _measure(kind: ReadingKind, value: float) -> str:
    return f"{value:.{kind.decimals}f}" if kind.decimals else number(value)
