"""What is said about a cell that holds none of what its column takes."""

from __future__ import annotations

from rounds.problems import Refusal
from rounds.values.value_sentences import quoted, shown

ABOVE_NOUGHT = "a number above 0, such as 2.5"
A_NUMBER = "a number, such as 2.5"
KEEP_ONE_OF_THEM = "Keep one of them."


def unreadable(reason: str, expected: str, hint: str) -> Refusal:
    return Refusal(f"{reason.removesuffix('.')}; expected {expected}.", hint)


def blank_at_an_end(text: str) -> Refusal:
    return Refusal(f"{quoted(text)} begins or ends with a blank.", "Take the blank away.")


def too_long(most: int) -> Refusal:
    return Refusal(f"is longer than {most} characters.", "Use a shorter name and put the rest in a note.")


def stroke_in_a_line(text: str) -> Refusal:
    return Refusal(f"{quoted(text)} holds a /, which stands between line and number.", "Use another sign.")


def no_bay(text: str) -> Refusal:
    return Refusal(f"expected one to four letters, not {quoted(text)}.")


def not_above_nought(text: str) -> Refusal:
    return Refusal(f"expected {ABOVE_NOUGHT}, not {quoted(text)}.")


def no_row(text: str) -> Refusal:
    return Refusal(f"expected a whole number from 1, not {quoted(text)}.")


def no_uid(text: str) -> Refusal:
    return Refusal(f"expected a UUID of 32 hexadecimal digits (8-4-4-4-12), not {quoted(text)}.")


def no_json(text: str) -> Refusal:
    return Refusal(f"expected JSON, not {quoted(text)}.")


def no_time_of_day(text: str) -> Refusal:
    return Refusal(f"expected a time of day such as 04:00, not {quoted(text)}.")


def no_zone(text: str, hint: str) -> Refusal:
    return Refusal(f"{quoted(text)} is not a time zone; expected an IANA name such as Europe/Berlin.", hint)


def no_address(text: str) -> Refusal:
    return Refusal(f"expected an address such as B3-2 (bay, shelf, slot), not {quoted(text)}.")


def no_animal(text: str) -> Refusal:
    return Refusal(f"expected LINE/NUMBER, such as UMBER/07, not {quoted(text)}.")


def no_words(words: tuple[str, ...]) -> Refusal:
    return Refusal(f"expected some of {' '.join(words)}.")


def named_twice(text: str) -> Refusal:
    return Refusal(f"{quoted(text)} names something twice.", KEEP_ONE_OF_THEM)


# Dates that can be read in two ways.


def order_unsettled(reason: str, others: int, meant: tuple[str, ...]) -> Refusal:
    more = f" So can {others} more." if others else ""
    return Refusal(
        f"{reason}{more} No date of this file settles whether the day or the month comes first.",
        f"Write {' or '.join(map(quoted, meant))}, and the others likewise.",
    )


def order_contradicted(reason: str, day_first: str, month_first: str, meant: tuple[str, ...]) -> Refusal:
    return Refusal(
        f"{reason} In this file the day comes first in {quoted(day_first)}, the month in {quoted(month_first)}.",
        f"Write {' or '.join(map(quoted, meant))}, and the others likewise.",
    )


def sexed_but_rough(column: str) -> Refusal:
    return Refusal(
        f"{quoted(column)} cannot be rough.",
        "Count those you sexed; those in `unsexed` may be about so many.",
    )


def at_least_denied(column: str) -> Refusal:
    return Refusal(f"says no, but {quoted(column)} says at least so many.", "Correct one of the two.")


def empty(meaning: str) -> Refusal:
    return Refusal(f"is empty; expected {meaning}.")


# Readings.


def not_a_reading(reading: str, hint: str) -> Refusal:
    return Refusal(f"{quoted(reading)} is not a reading.", hint or "See readings.yaml for what can be read.")


def nothing_read(reading: str) -> Refusal:
    return Refusal(f"is empty; expected what was read of {quoted(reading)}.")


def number_read(reading: str, *, whole: bool) -> str:
    return f"a {'whole ' if whole else ''}number for {quoted(reading)}"


def no_range(text: str, low: str) -> Refusal:
    return Refusal(
        f"an expected count is a range such as 1..3, not {quoted(text)}.",
        f"Write {shown(low)}..{shown(low)}.",
    )


def range_backwards(text: str) -> Refusal:
    return Refusal(f"the range {quoted(text)} runs backwards.", "Write the lower number first.")


# Local times.


def no_local_time(text: str) -> Refusal:
    return Refusal(
        f"expected a local date and time such as 2026-02-01T07:31, not {quoted(text)}.",
        "The zone is the house's; an offset such as +01:00 may follow.",
    )


def year_far_off(year: str) -> Refusal:
    return Refusal(f"expected a year from 1900 to 2200, not {year}.")


def no_such_day(day: str) -> Refusal:
    return Refusal(f"there is no {day} in the calendar.")


def no_such_time(time: str) -> Refusal:
    return Refusal(f"there is no {time} on a clock.")


def other_offset(text: str, offset: str, zone: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(
        f"{quoted(text)} says {offset}, but {zone} was at {', '.join(known)} then.",
        "Write the house's local time, without an offset unless the clocks passed it twice.",
    )


def hour_left_out(text: str, zone: str) -> Refusal:
    return Refusal(
        f"there was no {shown(text)} in {zone}: the clocks went forward over it.",
        "Write the time that the clock showed.",
    )
