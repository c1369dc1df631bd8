"""What the screen says around an enclosure or a page: its title, its columns, what a small terminal leaves out."""

from __future__ import annotations

NO_PLACE = "no place"
READ_THEN, NOW, EXPECTED = "read then", "now", "usual"
ENDS_THE_NUMBER = "ends the number"
REST_AS_EXPECTED = "all else as usual, next box"
ABOUT_THIS_ENCLOSURE = "about this box"
NEXT_ON_THE_WALK, SIGNS = "next on the walk", "   ✓ seen, s skipped"
DUE = "due"
LOOK_FOR = " look for: "
BAYS = " bay "
OTHER_BAY = "page up, page down: another bay"
TO_THE_WALK = " ← the walk"


def at_stop(at: int, of: int, seen: int) -> str:
    return f" {at} of {of} · {seen} seen"


def summary_so_far(seen: int, of: int) -> str:
    return f" summary · {seen} of {of} seen so far"


def end_of_walk(seen: int, of: int) -> str:
    return f" end of the walk · {seen} of {of} seen"


def round_named(name: str) -> str:
    return f" · {name} round"


def number_and_place(number: int, place: str) -> str:
    return f"   no. {number} at {place}"


def day(number: int) -> str:
    return f"day {number}"


def day_or_more(number: int) -> str:
    return f"day {number} or more"


def day_between(low: int, high: int) -> str:
    return f"day {low} to {high}"


def correcting(day: str) -> str:
    return f"correcting {day}"


def four_weeks(first: str, last: str) -> str:
    return f"four weeks, {first} to {last}"


def note(text: str) -> str:
    return f"note: {text} "


def skipped(reason: str) -> str:
    return f"skipped: {reason} "


def out_of_sight(above: int, below: int, named: tuple[str, ...]) -> str:
    counts = [f"{n} more {where}" for n, where in ((above, "above"), (below, "below")) if n]
    return f"{', '.join(counts)}{': ' if named else ''}{', '.join(named)}"


def back_to_today(next_key: str) -> str:
    return f"{next_key}: back to today's visit"


def goes_on(next_key: str, how: str) -> str:
    return f"{next_key}: {how}"


def small_terminal(width: int, height: int) -> str:
    return f"small terminal ({width}×{height}); 80×24 shows all"


def note_of(day: str) -> str:
    return f"note of {day}"


def back_to(page: str) -> str:
    return f" ← {page}"


def from_above(section: str) -> str:
    return f"{section}, from above"


def more_behind_enter(number: int) -> str:
    return f"and {number} more; enter shows all"


def more_shelves(above: int, below: int) -> str:
    return f" {above} shelves more above, {below} below"


def of_another(value: str, keeper: str) -> str:
    return f"{value} · {keeper}"
