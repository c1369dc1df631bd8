"""What the walk says of a key on an enclosure, on the summary or on a page of the books."""

from __future__ import annotations

NOTHING_CLOSER = "nothing more is asked here with a closer look"
FIRST_ENCLOSURE = "this is the first box"
SAVING = "saving"
NOTHING_LISTED = "nothing is listed"
TODAY_AGAIN = "back at today's visit"
NOTHING_TO_TAKE_BACK = "nothing of this round is left to undo"
THAT_KEY = "that key"
THE_ACTION = "the action"
AS_EXPECTED, THE_NOTE, THE_SKIP, THE_ACT = "as usual", "the note", "the skip", "the act"
NOTHING_MORE = "nothing more has to be typed here"
ALL_IS_READ = "all is read here"
LISTED_NOWHERE = "nothing is listed here"
NOTHING_BEHIND = "there is nothing more behind this row"
EMPTY_SLOT = "nothing stands in this slot"
NO_ENCLOSURE_OF_ROW = "no box belongs to this row"
NOT_ON_THIS_WALK = "that box is not on this walk"
SAID_ALREADY = "that was noted already"
NO_LONGER_OPEN = "that action is no longer open"


def for_the_keeper(what: str, keeper: str, call_key: str) -> str:
    return f"{what}: only the keeper does that. Call {keeper}; {call_key} at the box leaves word."


def will_be_called(keeper: str) -> str:
    return f"{keeper} is asked to look here. Say why in the note; call as well where it cannot wait."


def is_called(keeper: str) -> str:
    return f"{keeper} is asked to look here already. Say more in the note."


def does_nothing_here(key: str, help_key: str, *, num_lock: bool) -> str:
    return f"{key} does nothing here{' (is Num Lock off?)' if num_lock else ''}; {help_key} shows the keys"


def does_nothing_on_summary(key: str) -> str:
    return f"{key} does nothing on the summary"


def does_nothing_on_page(key: str, help_key: str) -> str:
    return f"{key} does nothing on this page; {help_key} shows the keys"


def goes_back(key: str) -> str:
    return f"{key} goes back"


def nothing_typed(leaving_key: str) -> str:
    return f"nothing is typed; {leaving_key} goes back"


def takes_back(key: str) -> str:
    return f"{key} takes the last thing back"


def escape_does_nothing(way_back: str) -> str:
    return f"Escape does nothing here; {way_back}"


def scanners_enter(next_key: str) -> str:
    return f"that Enter was taken for the scanner's; {next_key} goes on"


def correcting(next_key: str) -> str:
    return f"correcting an earlier visit; {next_key} ends it"


def said_beside(reading: str) -> str:
    return f"what was said beside {reading}"


def seen_alive(when: str) -> str:
    return f"last seen alive: {when}"


# Answers


def all_read(next_key: str, up_key: str) -> str:
    return f"all is read; {next_key} goes on, {up_key} goes back up"


def yes_or_no(reading: str) -> str:
    return f"{reading}: 1 is yes, 0 is no"


def one_of(reading: str, choices: tuple[tuple[str, str], ...]) -> str:
    return f"{reading}: {', '.join(f'{key} {title}' for key, title in choices)}"


def mended_by(rub_key: str) -> str:
    return f"; {rub_key} corrects it"


def not_taken(reading: str, typed: str, then: str) -> str:
    return f"{reading} {typed} cannot be right and was not saved{f'; {then}' if then else ''}"


def decimal_places(reading: str, places: int, rub_key: str) -> str:
    return f"{reading}: {places} decimal places{mended_by(rub_key)}"


def unreadable(reading: str, reason: str, rub_key: str) -> str:
    return f"{reading}: {reason.removesuffix('.')}{mended_by(rub_key)}"


def must_be_typed(reading: str, why: str, next_key: str) -> str:
    return f"{reading} ({why}): type it, or {next_key} again leaves it unread"


def several_to_be_read(readings: tuple[str, ...], next_key: str) -> str:
    return f"{still_to_be_read(', '.join(readings))}; {next_key} again leaves them unread"


def left_unread(box: str, readings: tuple[str, ...], of_shelf: str, *, shelf_goes_on: bool) -> str:
    """``of_shelf`` is a reading of the shelf that was not read either, or ""; does another box of it come?"""
    where = "can be typed at the next box of the shelf" if shelf_goes_on else "was not read on this shelf"
    shelf = f"; {of_shelf} {where}" if of_shelf else ""
    return f"left unread at {box}: {', '.join(readings)}{shelf}"


def shelf_not_read(reading: str, box: str, *, shelf_goes_on: bool) -> str:
    """Does another box of the shelf come?"""
    if not shelf_goes_on:
        return f"{reading} not read on this shelf; {box} was its last box"
    return f"{reading} not read at {box}; it can be typed at the next box of the shelf"


def read_once(reading: str, subject: str) -> str:
    return f"{reading} is read once per {subject}"


def the_action(reason: str) -> str:
    return f"{THE_ACTION}: {reason.rstrip('.')}"


def taken_back(box: str, what: str) -> str:
    return f"taken back at {box}: {what}"


def nothing_to_undo(undo_key: str, box: str, before: str) -> str:
    return f"nothing was recorded just now; {undo_key} again takes back {before} at {box}"


def still_to_be_read(readings: str) -> str:
    return f"still to be read: {readings}"


# Pages of the book


def record_does_this(record_key: str) -> str:
    return f"{record_key} does this; this page records nothing"


def nothing_from_here(why: str) -> str:
    return f"{why}: nothing can be recorded from here"


def at_most(characters: int) -> str:
    return f"at most {characters} characters fit"
