"""One date as people write it, as the period it names: the forms, and what is said of the ones that fail.

A form is a pattern with the function that reads its groups. Dates with points are always
day first. Dates of three numbers with strokes, dashes or blanks and the year last are read
where only one order of day and month gives a date, and otherwise only in an order that is
settled (:mod:`rounds.values.date_order`). Two-digit years are read only after points
(``20.11.26``), 69 to 99 as 19xx (POSIX ``strptime``, %y).
"""

from __future__ import annotations

import re
from collections.abc import Callable
from contextlib import suppress
from datetime import date

from rounds.named_tuple import NamedTuple
from rounds.values import periods
from rounds.values import value_sentences as sentences
from rounds.values.date_order import DateOrder
from rounds.values.periods import EARLY, LATE, MID, SEASONS, Period
from rounds.values.spans import FIRST, LAST, iso
from rounds.values.unreadable import UnreadableValue, YearMissing

_GERMAN_MONTHS = {
    1: "januar jänner",
    2: "februar",
    3: "märz maerz mär mrz",
    5: "mai",
    6: "juni",
    7: "juli",
    10: "oktober okt",
    12: "dezember dez",
}
_OTHER_SEASONS = {"autumn": "fall herbst", "spring": "frühling frühjahr", "summer": "sommer"}
_PARTS = {
    EARLY: "early beginning start anfang",
    MID: "mid middle mitte",
    LATE: "late end ende",
}

MONTH_NUMBERS = {name.lower(): n for n, name in enumerate(sentences.MONTHS, 1)}
"""English and German names and their usual abbreviations, lower case."""
MONTH_NUMBERS |= {name[:3]: n for name, n in MONTH_NUMBERS.items()} | {"sept": 9}
MONTH_NUMBERS |= {name: n for n, names in _GERMAN_MONTHS.items() for name in names.split()}
SEASON_NAMES = {name: name for name in SEASONS}
"""The season that each name means."""
SEASON_NAMES |= {name: season for season, names in _OTHER_SEASONS.items() for name in names.split()}
PARTS = {name: part for part, names in _PARTS.items() for name in names.split()}


class Setting(NamedTuple):
    """What a date may depend on: the day it is read (None: it must not), the order, the hemisphere."""

    today: int | None = None
    order: DateOrder = DateOrder.UNSETTLED
    southern: bool = False
    digits_are_days_ago: bool = False


def parse_date(low: str, setting: Setting) -> Period:
    """The period that ``low`` (lower case, single blanks) names. Raises UnreadableValue."""
    for pattern, read in _FORMS:
        if (match := pattern.fullmatch(low)) and (period := read(match, setting)) is not None:
            return period
    if not low:
        raise UnreadableValue(low, sentences.date_missing(), sentences.EXPECTED_DATE)
    raise UnreadableValue(low, sentences.not_a_date(low), sentences.EXPECTED_DATE)


def _year_first(m: re.Match[str], _: Setting) -> Period:
    year, month, number = int(m["year"]), int(m["month"]), int(m["day"])
    if month > 12 and 1 <= number <= 12:
        _refuse_swapped(m[0], year, number, month)
    return periods.day(year, month, number, m[0])


def _points(m: re.Match[str], _: Setting) -> Period:
    number, month, year = int(m[1]), int(m[2]), _full_year(m[3])
    if month > 12 and 1 <= number <= 12:
        _refuse_swapped(m[0], year, number, month)
    return periods.day(year, month, number, m[0])


def _refuse_swapped(typed: str, year: int, month: int, number: int) -> None:
    """The number in the month's place is no month; suggest the other order where that is a day."""
    try:
        meant = iso(periods.day(year, month, number, typed).earliest)
    except UnreadableValue:
        return
    raise UnreadableValue(typed, sentences.no_such_month(number), sentences.EXPECTED_DATE, (meant,))


def _full_year(digits: str) -> int:
    year = int(digits)
    return year if len(digits) > 2 else 1900 + year if year >= 69 else 2000 + year


def _year_last(m: re.Match[str], setting: Setting) -> Period:
    """Two numbers, then the year: day first or month first."""
    first, second = int(m[1]), int(m[3])
    short = len(m[4]) == 2
    if short and setting.order is DateOrder.UNSETTLED:
        year = _full_year(m[4])
        meant = (
            _day(year, second, first),
            _day(year, first, second),
            _day(_full_year(m[1]), second, int(m[4])),
        )
        suggestions = tuple(dict.fromkeys(iso(day) for day in meant if day))
        raise UnreadableValue(
            m[0], sentences.year_needs_four_digits(m[0]), sentences.EXPECTED_DATE, suggestions
        )
    year = _full_year(m[4])
    day_first, month_first = _day(year, second, first), _day(year, first, second)
    if day_first and month_first and day_first != month_first:
        if setting.order is DateOrder.UNSETTLED:
            named = [f"{date.fromordinal(day).day} {_month_name(day)}" for day in (day_first, month_first)]
            reason = sentences.two_orders(m[0], *named)
            raise UnreadableValue(m[0], reason, sentences.EXPECTED_DATE, (iso(day_first), iso(month_first)))
        chosen = day_first if setting.order is DateOrder.DAY_FIRST else month_first
        return Period(chosen, chosen, "day", standing=False)
    if found := day_first or month_first:
        return Period(found, found, "day", standing=not short)
    if first <= 12 < second:
        return periods.day(year, first, second, m[0])
    return periods.day(year, second, first, m[0])


def _day(year: int, month: int, number: int) -> int | None:
    try:
        return date(year, month, number).toordinal()
    except ValueError:
        return None


def _month_name(ordinal: int) -> str:
    return sentences.MONTHS[date.fromordinal(ordinal).month - 1]


def _year_month(m: re.Match[str], _: Setting) -> Period:
    return periods.month(int(m["year"]), int(m["month"]), m[0])


def _year(m: re.Match[str], _: Setting) -> Period:
    return periods.year(int(m["year"]), m[0], PARTS[m["part"]] if m["part"] else None)


def _week(m: re.Match[str], _: Setting) -> Period:
    weekday = m.groupdict().get("weekday")
    return periods.week(int(m["year"]), int(m["week"]), m[0], int(weekday) if weekday else None)


def _named(m: re.Match[str], setting: Setting) -> Period | None:
    """A name with a year: a month, a day of it, a part of it, or a season."""
    part = PARTS[m["part"]] if m["part"] else None
    year, second_year = int(m["year"]), m["second_year"]
    if m["name"] in SEASON_NAMES and m["day"] is None:
        name = SEASON_NAMES[m["name"]]
        return periods.season(
            name, year, int(second_year) if second_year else None, m[0], part, southern=setting.southern
        )
    month = MONTH_NUMBERS.get(m["name"])
    if month is None or second_year is not None or (m["day"] and part is not None):
        return None
    if m["day"]:
        return periods.day(year, month, int(m["day"]), m[0])
    return periods.month(year, month, m[0], part)


def _named_first(m: re.Match[str], _: Setting) -> Period | None:
    month = MONTH_NUMBERS.get(m[1])
    return None if month is None else periods.day(int(m[3]), month, int(m[2]), m[0])


def _relative(m: re.Match[str], setting: Setting) -> Period:
    return _days_on(m, setting, {"yesterday": -1, "today": 0, "tomorrow": 1}[m[0]])


def _ago(m: re.Match[str], setting: Setting) -> Period:
    today = _today(m, setting)
    return periods.days_back(today, int(m[1]) if m[1].isdigit() else 1, m[2], m[0])


def _ahead(m: re.Match[str], setting: Setting) -> Period:
    return _days_on(m, setting, int(m[1]))


def _digits(m: re.Match[str], setting: Setting) -> Period | None:
    """``3`` for three days ago, where the caller says that digits mean this."""
    return _days_on(m, setting, -int(m[0])) if setting.digits_are_days_ago else None


def _around(m: re.Match[str], setting: Setting) -> Period:
    return periods.around(_today(m, setting), m[2], int(m[1] == "last"), m[0])


def _days_on(m: re.Match[str], setting: Setting, days: int) -> Period:
    day = _today(m, setting) + days
    if not FIRST < day < LAST:
        raise UnreadableValue(m[0], sentences.no_such_year(m[0]), sentences.EXPECTED_DATE)
    return Period(day, day, "day", standing=False)


def _today(m: re.Match[str], setting: Setting) -> int:
    if setting.today is None:
        raise UnreadableValue(m[0], sentences.depends_on_today(m[0]), sentences.EXPECTED_DATE)
    return setting.today


def _without_year(m: re.Match[str], setting: Setting) -> Period | None:
    """A date that lacks nothing but its year: refused, with the latest such date that is not ahead."""
    if (name := m.groupdict().get("name")) and name not in MONTH_NUMBERS and name not in SEASON_NAMES:
        return None
    suggestions: tuple[str, ...] = ()
    sign = " " if m["start"].strip("0123456789. ") else "."
    in_year = f"{m['start']}{sign}{{}}"
    if setting.today is not None:
        this_year = date.fromordinal(setting.today).year
        for typed in (in_year.format(year) for year in (this_year, this_year - 1)):
            try:
                if parse_date(typed, setting).earliest <= setting.today:
                    suggestions = (typed,)
                    break
            except UnreadableValue:
                continue  # 29 February, or week 53
    raise YearMissing(m[0], sentences.which_year(m[0]), sentences.EXPECTED_DATE, suggestions, in_year)


def with_its_year(text: str, today: int, *, ahead: bool) -> str:
    """``27 Nov`` with the year it has when it is the last such day, or the next one; any other text as it is.

    Said at a box on a day, that is plain. In a table it is refused: nobody knows when it was written.
    """
    setting = Setting(today=today)
    try:
        parse_date(" ".join(text.lower().split()), setting)
    except YearMissing as e:
        this_year = date.fromordinal(today).year
        for year in (this_year, this_year + 1) if ahead else (this_year, this_year - 1):
            with suppress(UnreadableValue):  # 29 February, or week 53
                period = parse_date(e.in_year.format(year), setting)
                if period.latest >= today if ahead else period.earliest <= today:
                    return e.in_year.format(year)
    except UnreadableValue:
        pass  # whoever reads it says why
    return text


_NAME = r"(?P<name>[a-zäöü]+)\.?"
_PART = rf"(?P<part>{'|'.join(PARTS)})(?:[ -]of)?[ -]"
_WEEK = r"(?:kw|cw|week|wk|w)"
_FORMS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str], Setting], Period | None]], ...] = tuple(
    (re.compile(pattern), read)
    for pattern, read in (
        (
            r"(?P<year>[0-9]{4})(?P<sign>[-/. ])(?P<month>[0-9]{1,2})(?P=sign)(?P<day>[0-9]{1,2})\.?",
            _year_first,
        ),
        (r"(?P<year>(?:19|20|21)[0-9]{2})(?P<month>[0-9]{2})(?P<day>[0-9]{2})", _year_first),
        (r"(?P<year>[0-9]{4})[-/.](?P<month>[0-9]{1,2})", _year_month),
        (rf"(?:{_PART})?(?P<year>[0-9]{{4}})", _year),
        (r"([0-9]{1,2})\. ?([0-9]{1,2})\. ?([0-9]{4}|[0-9]{2})", _points),
        (r"([0-9]{1,2})([-/ ])([0-9]{1,2})\2([0-9]{4}|[0-9]{2})", _year_last),
        (r"(?P<month>[0-9]{1,2})[-/.](?P<year>[0-9]{4})", _year_month),
        (rf"{_WEEK}\.? ?(?P<week>[0-9]{{1,2}})(?: of |, ?| ?[/-] ?| )(?P<year>[0-9]{{4}})", _week),
        (rf"(?P<year>[0-9]{{4}})(?:, ?|[ -])?{_WEEK} ?(?P<week>[0-9]{{1,2}})(?:-(?P<weekday>[1-7]))?", _week),
        (
            rf"(?:{_PART})?"
            rf"(?:(?P<day>[0-9]{{1,2}})(?:st|nd|rd|th|\.)?(?: of )?[ /-]?)?"
            rf"{_NAME}(?:, ?|[ /-])?(?P<year>[0-9]{{4}})(?:/(?P<second_year>[0-9]{{2}}))?",
            _named,
        ),
        (r"([a-zäöü]+)\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})", _named_first),
        (r"today|yesterday|tomorrow", _relative),
        (r"([0-9]{1,4}|an?) (day|week|month|year)s? ago", _ago),
        (r"in ([0-9]{1,4}) days?", _ahead),
        (r"\+([0-9]{1,4})", _ahead),
        (r"[0-9]{1,3}", _digits),
        (r"(this|last) (week|month|year)", _around),
        (r"(?P<start>[0-9]{1,2}\. ?[0-9]{1,2})\.?", _without_year),
        (rf"(?P<start>(?:[0-9]{{1,2}}(?:st|nd|rd|th|\.)? ?)?{_NAME})", _without_year),
        (rf"(?P<start>{_WEEK}\.? ?[0-9]{{1,2}})", _without_year),
    )
)
