"""An F or a kinship in its three readings, as people read it."""

from __future__ import annotations

import re

from rounds.text import reading_sentences as sentences

PLACES = 4
"""Decimal places of a coefficient: the F of first cousins' young is 0.0625."""


def same(one: float, other: float) -> bool:
    """Do two figures read the same?"""
    return abs(one - other) < 0.5 * 0.1**PLACES


def short(figure: float) -> str:
    """``0.25``, ``0.5938``, ``0``: no more zeros than it takes. The one way in which a coefficient is written."""
    said = f"{figure:.{PLACES}f}"
    return (said.rstrip("0").rstrip(".") if "." in said else said) if float(said) else "0"


def reading_text(low: float, usual: float, high: float) -> str:
    """``0.125`` where all is known, else ``0–0.25, at most 0.5938``: low to the usual reading, and at most."""
    if same(low, usual) and same(usual, high):
        return short(usual)
    return f"{range_column(low, usual)}, at most {short(high)}"


def reading_explained(low: float, usual: float, high: float, *, exact: bool) -> str:
    """:func:`reading_text`, with what is not known where the readings differ or are only outer bounds."""
    said = reading_text(low, usual, high)
    if not (same(low, usual) and same(usual, high)):
        said += f" ({sentences.OF_NOT_RECORDED})"
    return said if exact else f"{said}; {sentences.OUTER_BOUNDS}"


def range_column(low: float, usual: float) -> str:
    """``0–0.25``, low to the usual reading, for a column beside that of what is at most."""
    if same(low, usual):
        return short(low)
    return f"{short(low)}–{short(usual)}"


_FIGURE = r"(\d(?:\.\d+)?)"
_READING = re.compile(rf"F {_FIGURE}(?:(?:–| to ){_FIGURE})?(?:, at most {_FIGURE})?(?=;|$)")


def after_reading(text: str) -> str:
    """What follows the reading that text begins with; the whole text where it begins with none."""
    found = _READING.match(text)
    return text if found is None else text[found.end() :].lstrip("; ")


def read_reading(text: str) -> tuple[float, float, float] | None:
    """Low, usual and at most out of text that begins with ``F`` and :func:`reading_text`; None for other text."""
    found = _READING.match(text)
    if found is None:
        return None
    low = float(found[1])
    usual = float(found[2] or found[1])
    return low, usual, float(found[3] or found[2] or found[1])
