"""Numbers as people write them: with a decimal point or comma, and with their unit behind them.

Thousands are never guessed. ``1,234`` is 1.234 where 1234 is not possible (its limits
or its decimals say so); where both are, it is refused. ``1.234`` is always 1.234: that is
how this program writes numbers itself.
"""

from __future__ import annotations

import re

from rounds.named_tuple import NamedTuple
from rounds.values import value_sentences as sentences
from rounds.values.unreadable import UnreadableValue

UNITS = {
    "g": ("gr", "gram", "grams", "gramme", "grammes", "gramm"),
    "kg": ("kilogram", "kilograms", "kilo"),
    "mg": ("milligram", "milligrams"),
    "mm": ("millimetre", "millimetres", "millimeter", "millimeters"),
    "cm": ("centimetre", "centimetres", "centimeter", "centimeters"),
    "ml": ("millilitre", "millilitres", "milliliter", "milliliters"),
    "l": ("litre", "litres", "liter", "liters"),
    "°C": ("°", "c", "° c", "degrees", "deg"),
    "%": ("percent", "per cent"),
    "days": ("d", "day"),
    "h": ("hour", "hours"),
}
"""Other ways to write a unit; a unit that is not here is accepted as it is written."""

_FACTORS = {("kg", "g"): 1000, ("mg", "g"): 0.001, ("cm", "mm"): 10, ("l", "ml"): 1000}
"""What to multiply with, for suggesting the number in the unit that is asked for."""

_DIGITS, _DECIMALS = 15, 20
_NUMBER = re.compile(r"([+-]?)([0-9]*)(?:([.,])([0-9]*))?")
_THOUSANDS = r"([+-]?[1-9][0-9]{0,2})(?=([ .,'’]))((?:\2[0-9]{3})+)([.,][0-9]+)?"
_UNIT = r"([^a-zA-Z°%µ\"/]*?) ?([a-zA-Z°%µ\"/][a-zA-Z °%µ\"/.²³]*)"
"""Compiled when they are first needed: a start must not wait for them."""


def parse_decimal(
    typed: str,
    *,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    decimals: int | None = None,
    what: str = "a number such as 2.5",
) -> float:
    """A number with or without decimals, in ``unit`` if it has one, from ``low`` to ``high``.

    ``decimals`` is how many places mean something; noughts beyond them do no harm. ``what``
    begins the phrase for what was expected. Raises UnreadableValue.
    """
    if (plain_digits := _digits_within(typed, low, high)) is not None:
        return float(plain_digits)
    expected = sentences.expected_number(what, unit, low, high)
    limits = _Limits(low, high, decimals)
    number = _without_unit(typed, unit, limits, expected)
    match = _NUMBER.fullmatch(number)
    if not match or not (match[2] or match[4]):
        plain = _ungrouped(number)
        if not plain or len(plain) > _DIGITS:
            raise UnreadableValue(typed, sentences.not_a_number(typed), expected)
        suggestions = () if limits.wrong(plain) else (plain,)
        raise UnreadableValue(typed, sentences.thousands(typed), expected, suggestions)
    if len(match[2]) > _DIGITS or len(match[4] or "") > _DECIMALS:
        raise UnreadableValue(typed, sentences.too_long(typed), expected)
    plain, grouped = number.replace(",", "."), _grouped(number)
    other = grouped if grouped and not limits.wrong(grouped) else ""
    if wrong := limits.wrong(plain, typed):
        raise UnreadableValue(typed, wrong, expected, (other,) if other else ())
    if other and match[3] == ",":
        raise UnreadableValue(typed, sentences.two_numbers(typed, plain, other), expected, (plain, other))
    return float(plain)


def parse_whole(
    typed: str,
    *,
    unit: str = "",
    low: float | None = None,
    high: float | None = None,
    what: str = "a whole number",
) -> int:
    """A whole number (``12``, also ``12.0``), from ``low`` to ``high``. Raises UnreadableValue."""
    if (plain_digits := _digits_within(typed, low, high)) is not None:
        return plain_digits
    return int(parse_decimal(typed, unit=unit, low=low, high=high, decimals=0, what=what))


def _digits_within(typed: str, low: float | None, high: float | None) -> int | None:
    """Digits alone, as tables have them by the ten thousand, if they are within the limits."""
    if not (typed.isdigit() and typed.isascii() and len(typed) <= _DIGITS):
        return None
    value = int(typed)
    return value if (low is None or value >= low) and (high is None or value <= high) else None


def number_text(value: float) -> str:
    """A number without an exponent, and without the point of a whole one: parses back to ``value``."""
    if isinstance(value, int) or value.is_integer():
        return str(int(value))
    from decimal import Decimal

    return format(Decimal(repr(value)), "f")


class _Limits(NamedTuple):
    low: float | None
    high: float | None
    decimals: int | None

    def wrong(self, plain: str, typed: str = "") -> str:
        """What is wrong with a number written with a point, as a sentence; "" for nothing."""
        value = float(plain)
        if self.low is not None and value < self.low:
            return sentences.too_low(typed or plain, self.low)
        if self.high is not None and value > self.high:
            return sentences.too_high(typed or plain, self.high)
        if self.decimals is not None and len(plain.partition(".")[2].rstrip("0")) > self.decimals:
            return sentences.too_fine(typed, self.decimals) if self.decimals else sentences.not_whole(typed)
        return ""


def _grouped(number: str) -> str:
    """``1,234`` as ``1234``, if its sign could stand between thousands; otherwise ""."""
    match = re.fullmatch(r"([+-]?[1-9][0-9]{0,2})[.,]([0-9]{3})", number)
    return match[1] + match[2] if match else ""


def _ungrouped(number: str) -> str:
    """A number with signs between its thousands (``1 234``, ``1.234,5``), without them; otherwise ""."""
    match = re.fullmatch(_THOUSANDS, number)
    if not match:
        return ""
    plain = re.sub(r"[ .,'’]", "", match[1] + match[3])
    return f"{plain}.{match[4][1:]}" if match[4] and match[4][0] != match[2] else plain + (match[4] or "")[1:]


def _without_unit(typed: str, unit: str, limits: _Limits, expected: str) -> str:
    """The number alone, trimmed; a unit behind it must be the one asked for."""
    text = " ".join(typed.split()).replace("\u2212", "-")
    if text[-1:].isdigit():
        return text
    match = re.fullmatch(_UNIT, text)
    if not match or not any(c.isdigit() for c in match[1]):
        return text
    found = match[2].strip().casefold().rstrip(".")
    if found in {unit.casefold(), *UNITS.get(unit, ())}:
        return match[1]
    meant = _in_unit(match[1], found, unit)
    suggestions = (f"{meant} {unit}".strip(),) if meant and not limits.wrong(meant) else ()
    raise UnreadableValue(typed, sentences.other_unit(typed, unit), expected, suggestions)


def _in_unit(number: str, found: str, unit: str) -> str:
    """A number with the unit ``found`` behind it as one in ``unit``; "" where that cannot be said."""
    plain = number.replace(",", ".")
    if _grouped(number) or not re.fullmatch(r"[+-]?[0-9]{1,9}(?:\.[0-9]{1,9})?", plain):
        return ""
    if not unit:
        return plain
    known = next((name for name, forms in UNITS.items() if found in {name.casefold(), *forms}), "")
    factor = _FACTORS.get((known, unit))
    return number_text(round(float(plain) * factor, 9)) if factor else ""
