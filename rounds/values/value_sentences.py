"""What is said about a text that cannot be used: the sentences, and the phrases for what was expected."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.problems import one_line

LONGEST_QUOTE = 40
MOST_WORDS = 24

MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)

EXPECTED_DATE = (
    "a day (2026-03-01, 1.3.2026, 1 March 2026), a month (March 2026), a week (week 10 2026), "
    "a season (spring 2026) or a year (2026)"
)
EXPECTED_SPAN = (
    f"{EXPECTED_DATE}; `before`, `after` or `about` and one of these; two of these with `to` between them; "
    "or `unknown`"
)
EXPECTED_DAY = "one day, such as 2026-03-01, 1.3.2026 or 1 March 2026"
EXPECTED_DAY_FROM_TODAY = f"{EXPECTED_DAY}, or +14 for in 14 days"
EXPECTED_YES_NO = "one of: yes, no"
EXPECTED_SEX = "one of: m, f, unknown"
EXPECTED_COUNT = "a count such as 14, about 20, 10-12 or at least 30"
EXPECTED_COUNTS = f"{EXPECTED_COUNT}, or males.females.unsexed such as 1.2.0"

EXPECTED_HELD_COUNT = "a count such as 14, at least 30, ~20 or 10-12"
EXPECTED_HELD_COUNTS = "12, at least 12, ~12, or males.females.unsexed such as 1.2.0"


def shown(text: str) -> str:
    """The text as a message may show it: short, on one line, nothing a terminal would obey."""
    return one_line(text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 1] + "…")


def quoted(text: str) -> str:
    return f"`{shown(text)}`"


def did_you_mean(suggestions: Sequence[str]) -> str:
    return f"Did you mean {' or '.join(map(quoted, suggestions))}?" if suggestions else ""


def one_of(answers: Sequence[str]) -> str:
    shown_ones = [one_line(answer) for answer in answers[:MOST_WORDS]]
    more = ", …" if len(answers) > MOST_WORDS else ""
    return f"one of: {', '.join(shown_ones)}{more}" if shown_ones else "nothing"


# Dates.


def not_a_date(text: str) -> str:
    return f"{quoted(text)} is not a date."


def date_missing() -> str:
    return "The date is missing."


def no_such_month(month: int) -> str:
    return f"There is no month {month}."


def no_such_day(year: int, month: int, days: int) -> str:
    return f"{MONTHS[month - 1]} {year} has {days} days."


def no_such_week(year: int, weeks: int) -> str:
    return f"{year} has {weeks} weeks."


def no_such_year(text: str) -> str:
    return f"{quoted(text)} is outside the calendar, which runs from the year 1 to 9999."


def two_orders(text: str, day_first: str, month_first: str) -> str:
    return f"{quoted(text)} can be {day_first} or {month_first}."


def year_needs_four_digits(text: str) -> str:
    return f"{quoted(text)} does not give the year in four digits."


def which_year(text: str) -> str:
    return f"{quoted(text)} does not say which year."


def depends_on_today(text: str) -> str:
    return f"{quoted(text)} means another day tomorrow; write the date itself."


def one_date_only(text: str) -> str:
    return f"{quoted(text)} names one date, not two."


def runs_backwards(first: str, second: str) -> str:
    return f"{quoted(first)} comes after {quoted(second)}."


def earlier_first() -> str:
    return "Write the earlier one first."


def nothing_before(text: str) -> str:
    return f"No date comes before {quoted(text)}."


def nothing_after(text: str) -> str:
    return f"No date comes after {quoted(text)}."


def season_within_year(season: str, year: int) -> str:
    return f"{season.capitalize()} {year} lies within one year."


def season_years(season: str) -> str:
    return f"{season.capitalize()} runs from one year into the next."


def more_than_a_day(text: str) -> str:
    return f"{quoted(text)} is more than one day."


# Numbers.


def expected_number(what: str, unit: str, low: float | None, high: float | None) -> str:
    """``a number such as 2.5, 0 to 40, in g``."""
    if low is not None and high is not None:
        what += f", {low:g} to {high:g}"
    elif low is not None:
        what += f", {low:g} or more"
    elif high is not None:
        what += f", {high:g} or less"
    return f"{what}, in {unit}" if unit else what


def not_a_number(text: str) -> str:
    return f"{quoted(text)} is not a number."


def not_whole(text: str) -> str:
    return f"{quoted(text)} is not a whole number."


def two_numbers(text: str, with_decimals: str, whole: str) -> str:
    return f"{quoted(text)} can be {with_decimals} or {whole}."


def thousands(text: str) -> str:
    return f"{quoted(text)} separates its thousands; write the digits together."


def too_low(text: str, low: float) -> str:
    return f"{quoted(text)} is below {low:g}, the lowest possible."


def too_high(text: str, high: float) -> str:
    return f"{quoted(text)} is above {high:g}, the highest possible."


def too_fine(text: str, decimals: int) -> str:
    return f"{quoted(text)} has more than {decimals} decimal place{'' if decimals == 1 else 's'}."


def too_long(text: str) -> str:
    return f"{quoted(text)} has too many digits."


def other_unit(text: str, unit: str) -> str:
    return f"{quoted(text)} is not in {unit}." if unit else f"{quoted(text)} is more than a number."


# Words.


def not_an_answer(text: str) -> str:
    return f"{quoted(text)} is not one of the answers."


def several_answers(text: str, begun: Sequence[str]) -> str:
    return f"{quoted(text)} is the beginning of {' and '.join(map(quoted, begun))}."


def not_yes_or_no(text: str) -> str:
    return f"{quoted(text)} is neither yes nor no."


def not_a_sex(text: str) -> str:
    return f"{quoted(text)} is not a sex."


def unsure_sex(text: str) -> str:
    return f"{quoted(text)} is not sure of the sex."


# Counts.


def not_a_count(text: str) -> str:
    return f"{quoted(text)} is not a count."


def perhaps_none(text: str) -> str:
    return f"{quoted(text)} may be none at all. A rough count starts at 1; none is 0."


def sexed_but_rough(text: str) -> str:
    return f"{quoted(text)} is rough about males or females. Count those you sexed; the others may be rough."


def open_and_rough(text: str) -> str:
    return f"{quoted(text)} has no highest number for one sex and one for the others. Say at least for all."


def count_backwards(text: str) -> str:
    return f"{quoted(text)} has the larger number first."


def count_too_large(most: int) -> str:
    return f"A count goes up to {most}."


def nothing_below_nought(text: str) -> str:
    return f"{quoted(text)}: no count is below 0."


def pair_or_thousands(text: str) -> str:
    return f"{quoted(text)} can be males.females or a number with a point between thousands."
