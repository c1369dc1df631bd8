"""Numbers as keepers type them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.numbers import number_text, parse_decimal, parse_whole
from rounds.values.unreadable import UnreadableValue


@pytest.mark.parametrize(
    ("typed", "setting", "value"),
    [
        ("2,5", {}, 2.5),
        ("2.5", {}, 2.5),
        (" 2,5 ", {}, 2.5),
        ("12", {}, 12.0),
        (".5", {}, 0.5),
        (",5", {}, 0.5),
        ("5.", {}, 5.0),
        ("+3", {}, 3.0),
        ("-3,25", {}, -3.25),
        ("−3", {}, -3.0),
        ("2,5 g", {"unit": "g"}, 2.5),
        ("2,5g", {"unit": "g"}, 2.5),
        ("2.5 Grams", {"unit": "g"}, 2.5),
        ("31 mm", {"unit": "mm"}, 31.0),
        ("24 °C", {"unit": "°C"}, 24.0),
        ("24°", {"unit": "°C"}, 24.0),
        ("60 %", {"unit": "%"}, 60.0),
        ("3 cups", {"unit": "cups"}, 3.0),
        ("1.234", {}, 1.234),
        ("1,2345", {}, 1.2345),
        ("0,234", {}, 0.234),
        ("1234,567", {}, 1234.567),
        ("1,234", {"high": 100}, 1.234),
        ("2.50", {"decimals": 1}, 2.5),
    ],
)
def test_numbers_that_can_be_read_in_one_way(typed: str, setting: dict[str, Any], value: float) -> None:
    assert parse_decimal(typed, **setting) == value


@pytest.mark.parametrize(
    ("typed", "setting", "reason", "suggestions"),
    [
        ("1,234", {}, "`1,234` can be 1.234 or 1234.", ("1.234", "1234")),
        ("1,234 g", {"unit": "g"}, "`1,234 g` can be 1.234 or 1234.", ("1.234", "1234")),
        ("1,234", {"low": 100}, "`1,234` is below 100, the lowest possible.", ("1234",)),
        ("1,234", {"decimals": 1}, "`1,234` has more than 1 decimal place.", ("1234",)),
        ("1.234", {"decimals": 2}, "`1.234` has more than 2 decimal places.", ("1234",)),
        ("1 234", {}, "`1 234` separates its thousands; write the digits together.", ("1234",)),
        ("1'234'567", {}, "`1'234'567` separates its thousands; write the digits together.", ("1234567",)),
        ("1.234,5", {}, "`1.234,5` separates its thousands; write the digits together.", ("1234.5",)),
        ("1,234.5", {}, "`1,234.5` separates its thousands; write the digits together.", ("1234.5",)),
        ("1 234", {"high": 9}, "`1 234` separates its thousands; write the digits together.", ()),
        ("0.5 kg", {"unit": "g"}, "`0.5 kg` is not in g.", ("500 g",)),
        ("3,1 cm", {"unit": "mm"}, "`3,1 cm` is not in mm.", ("31 mm",)),
        ("3 cups", {"unit": "g"}, "`3 cups` is not in g.", ()),
        ("12 g", {}, "`12 g` is more than a number.", ("12",)),
        ("1e5", {}, "`1e5` is not a number.", ()),
        ("nan", {}, "`nan` is not a number.", ()),
        ("", {}, "`` is not a number.", ()),
        (".", {}, "`.` is not a number.", ()),
        ("٣", {}, "`٣` is not a number.", ()),
        ("240", {"high": 35}, "`240` is above 35, the highest possible.", ()),
        ("9" * 16, {}, f"`{'9' * 16}` has too many digits.", ()),
    ],
)
def test_refused_with_the_reason(
    typed: str, setting: dict[str, Any], reason: str, suggestions: tuple[str, ...]
) -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_decimal(typed, **setting)
    assert (e.value.reason, e.value.suggestions) == (reason, suggestions)
    for suggestion in suggestions:
        parse_decimal(suggestion, **setting)


def test_what_was_expected_names_limits_and_unit() -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_decimal("240", unit="°C", low=10, high=35)
    assert e.value.expected == "a number such as 2.5, 10 to 35, in °C"
    with pytest.raises(UnreadableValue) as e:
        parse_whole("x", low=1, what="a box number")
    assert e.value.expected == "a box number, 1 or more"


def test_whole_numbers() -> None:
    assert parse_whole("12") == parse_whole("12.0") == parse_whole(" 12,0 ") == 12
    assert type(parse_whole("12.0")) is int
    for typed, suggestions in (
        ("12.5", ()),
        ("1,234", ("1234",)),
        ("1.234", ("1234",)),
        ("12 eggs", ("12",)),
    ):
        with pytest.raises(UnreadableValue) as e:
            parse_whole(typed)
        assert e.value.suggestions == suggestions


@given(st.floats(-1e12, 1e12).map(lambda x: round(x, 6)))
def test_a_number_written_parses_back(value: float) -> None:
    assert parse_decimal(number_text(value)) == value


@given(st.integers(-(10**15) + 1, 10**15 - 1))
def test_a_whole_number_written_parses_back(value: int) -> None:
    assert parse_whole(str(value)) == value
    assert number_text(value) == str(value)


@given(st.integers(0, 99_999), st.integers(0, 99))
def test_point_and_comma_are_the_same_with_two_decimals(whole: int, hundredths: int) -> None:
    assert parse_decimal(f"{whole},{hundredths:02}") == parse_decimal(f"{whole}.{hundredths:02}")
