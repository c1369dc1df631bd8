"""What line mode says of an enclosure: what stands there, what is asked, and what was recorded."""

from __future__ import annotations

WITHOUT_A_PLACE = "without a place"
NO_SPECIES = "no species recorded"
SEEN = "Seen on this round."
ALL_OF_THAT_VISIT = "All of that visit. Enter goes back to today's."
ENTER_GOES_THERE = "Enter goes there first"
ENTER_GOES_ON = "Enter goes on"
ASKED_ONCE_A_SHELF = "asked once a shelf"
ASKED_EACH_TIME = "asked each time"
SKIPPED_LAST_TIME = "skipped last time"
OTHERS_THEN = " (other animals or another stage then)"
NOTE_EMPTIED = "note emptied"
DUE, DUE_SOON = "Due", "Due soon"


def stands(box: str, stage: str, days: str, number: int, where: str, at: int, of: int) -> str:
    return f"{box}, {stage}{days}, number {number}, {where}. {at} of {of}."


def at_place(place: str) -> str:
    return f"at {place}"


def inmates(species: str, who: str) -> str:
    return f"{species}: {who}"


def lock(words: str) -> str:
    return f"Lock: {words}"


def lock_set_aside(words: str) -> str:
    return f"Lock set aside: what was found is urgent ({words})"


def open_action(level: str, action: str) -> str:
    return f"Open, {level}: {action}"


def flag(level: str, words: str) -> str:
    return f"Flag, {level}: {words}"


def due(when: str, work: str) -> str:
    return f"{when}: {work}"


def begun(checklist: str, done: int, of: int, steps: tuple[str, ...]) -> str:
    return f"Begun: {checklist}, {done} of {of} checklist steps done; open: {'; '.join(steps)}"


def due_work_failed(why: str) -> str:
    return f"Due work {why}"


def for_days(days: int) -> str:
    return f" for {_count(days, 'day')}"


def for_days_or_more(days: int) -> str:
    return f" for {days} days or more"


def for_days_between(low: int, high: int) -> str:
    return f" for {low} to {high} days"


def skipped_on_this_round(reason: str) -> str:
    return f"Skipped on this round: {reason}."


def note(text: str) -> str:
    return f"Note: {text}"


def to_do(reason: str) -> str:
    return f"{reason} To do:"


def confirms(usual: tuple[str, ...], unread: tuple[str, ...]) -> str:
    left = f"; it leaves {', '.join(unread)} unread" if unread else ""
    return f"confirms {', '.join(usual)}{left}."


# A question


def at_the_end(said: str, then: str) -> str:
    return f"{said} {then}."


def of_shelf(shelf: str) -> str:
    return f"shelf {shelf}, "


def correcting(day: str) -> str:
    return f"Correcting {day}, "


def question(before: str, reading: str, parts: tuple[str, ...]) -> str:
    return f"{before}{reading}: {'; '.join(parts)}."


def answers(each: tuple[tuple[str, str], ...]) -> str:
    return ", ".join(f"{key} {text}" for key, text in each)


def numbers(low: float, high: float, unit: str, *, at_least: bool) -> str:
    least, of = "at least how many, " if at_least else "", f", in {unit}" if unit else ""
    return f"{least}{low:g} to {high:g}{of}"


def expected(value: str) -> str:
    return f"usual {value}"


def has_to_be_read(why: str) -> str:
    return f"has to be read: {why}"


def on_day(day: str) -> str:
    return f" on {day}"


def last(value: str, when: str) -> str:
    return f"last {value}{when}"


def last_as_expected(value: str, when: str) -> str:
    return f"last {value}{when}, as usual"


def now(value: str) -> str:
    return f"now {value}"


def now_as_expected(value: str) -> str:
    return f"now {value}, as usual"


# What was recorded


def confirmed(readings: int, unread: tuple[str, ...]) -> str:
    left = f"; left unread: {', '.join(unread)}" if unread else ""
    return f"{_count(readings, 'reading')} as usual{left}" if readings else f"seen{left}"


def note_recorded(text: str) -> str:
    return f"note {text}"


def skipped(reason: str) -> str:
    return f"skipped, {reason}"


def reading_recorded(reading: str, value: str) -> str:
    return f"{reading} {value}"


def _count(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def by_others(said: str) -> str:
    return f"Others today: {said}"
