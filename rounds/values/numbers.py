"""Numbers as people write them: with a decimal point or comma, and with their unit behind them.

Thousands are never guessed. ``1,234`` is 1.234 where 1234 is not possible (its limits
or its decimals say so); where both are, it is refused. ``1.234`` is always 1.234: that is
how this program writes numbers itself.
"""

from __future__ import annotations

import re

from rounds.values import words
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

_DIGITS, _DECIMALS = 15, 20
_NUMBER = re.compile(r"([+-]?)([0-9]*)(?:([.,])([0-9]*))?")
_THOUSANDS = re.compile(r"([+-]?[0-9]{1,3})(?:[ .,'’][0-9]{3})+(?:[.,][0-9]+)?")
_UNIT = re.compile(r"([^a-z°%µ\"/]*?) ?([a-z°%µ\"/][a-z °%µ\"/.²³]*)", re.IGNORECASE)


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
    expected = words.expected_number(what, unit, low, high)
    number = _without_unit(typed, unit, expected)
    match = _NUMBER.fullmatch(number)
    if not match or not (match[2] or match[4]):
        raise UnreadableValue(typed, *_no_number(typed, number, unit, low, high, decimals, expected))
    if len(match[2]) > _DIGITS or len(match[4] or "") > _DECIMALS:
        raise UnreadableValue(typed, words.too_long(typed), expected)
    plain = number.replace(",", ".")
    if match[3] == "," and len(match[4]) == 3 and 1 <= len(match[2]) <= 3 and match[2].strip("0"):
        grouped = number.replace(",", "")
        both = [text for text in (plain, grouped) if not _wrong(text, low, high, decimals)]
        if len(both) == 2:
            raise UnreadableValue(typed, words.two_numbers(typed), expected, (plain + "0", grouped))
        if both == [grouped]:
            raise UnreadableValue(typed, words.thousands(typed), expected, (grouped,))
    if wrong := _wrong(plain, low, high, decimals):
        raise UnreadableValue(typed, wrong, expected)
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
    expected = words.expected_number(what, unit, low, high)
    number = parse_decimal(typed, unit=unit, low=low, high=high, decimals=_DECIMALS, what=what)
    if not number.is_integer():
        grouped = _without_unit(typed, unit, expected)
        digits = re.sub(r"[.,]", "", grouped) if _THOUSANDS.fullmatch(grouped) else ""
        suggestions = (digits,) if digits and not _wrong(digits, low, high, 0) else ()
        raise UnreadableValue(typed, words.not_whole(typed), expected, suggestions)
    return int(number)


def number_text(value: float) -> str:
    """A number without an exponent, and without the point of a whole one: parses back to ``value``."""
    if isinstance(value, int) or value.is_integer():
        return str(int(value))
    from decimal import Decimal

    return format(Decimal(repr(value)), "f")


def _without_unit(typed: str, unit: str, expected: str) -> str:
    """The number alone, trimmed; a unit behind it must be the one asked for."""
    text = " ".join(typed.split()).replace("\u2212", "-")
    match = _UNIT.fullmatch(text)
    if not match or not match[1]:
        return text
    found = match[2].strip().casefold().rstrip(".")
    if found in {unit.casefold(), *UNITS.get(unit, ())}:
        return match[1]
    if not any(c.isdigit() for c in match[1]):
        return text
    suggestions = (match[1],) if not unit and _NUMBER.fullmatch(match[1]) else ()
    raise UnreadableValue(typed, words.other_unit(typed, unit), expected, suggestions)


def _wrong(plain: str, low: float | None, high: float | None, decimals: int | None) -> str:
    """What is wrong with a number written with a point, as a sentence; "" for nothing."""
    value = float(plain)
    if low is not None and value < low:
        return words.too_low(plain, low)
    if high is not None and value > high:
        return words.too_high(plain, high)
    if decimals is not None and len(plain.partition(".")[2].rstrip("0")) > decimals:
        return words.too_fine(plain, decimals) if decimals else words.not_whole(plain)
    return ""


def _no_number(
    typed: str, number: str, unit: str, low: float | None, high: float | None, decimals: int | None, expected: str
) -> tuple[str, str, tuple[str, ...]]:
    """Reason, expected and suggestions for what is no number at all."""
    if not _THOUSANDS.fullmatch(number):
        return words.not_a_number(typed), expected, ()
    whole, sign, rest = number, "", ""
    if match := re.fullmatch(r"(.*)([.,])([0-9]*)", number):
        others = set(re.findall(r"[ .,'’]", match[1]))
        if others and match[2] not in others:
            whole, sign, rest = match[1], ".", match[3]
    plain = re.sub(r"[ .,'’]", "", whole) + sign + rest
    if len(plain) > _DIGITS or _wrong(plain, low, high, decimals):
        return words.thousands(typed), expected, ()
    return words.thousands(typed), expected, (plain,)
