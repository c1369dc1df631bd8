"""What line mode says of the round: its beginning, its end, what was saved and what was not."""

from __future__ import annotations

OPENS = "The word help lists what can be typed; undo takes the last thing back, brief makes it shorter, quit leaves."
SHORTER = "Shorter from now on."
IN_FULL = "In full from now on."
THE_USUAL = "Enter alone: the usual."
SLOW_DISK = "the disk is slow"
WHAT_CAME_LAST = "what came last"
TRIED_AGAIN = "Enter tries again; quit leaves, and what is not saved is kept in a file beside the book."
ALL_SAVED = "All is saved."
CLOSED = "--plain asks on its output and reads answers on its input; one of them is closed."


def begins(day: str, name: str, keeper: str, seen: int, of: int) -> str:
    round_ = f", {name} round" if name else ""
    return f"Round of {day}{round_}, walked by {keeper}: {seen} of {of} seen."


def nothing_in_bays(bays: str) -> str:
    return f"There is no box in bays {bays}"


def not_taken(rest: str) -> str:
    return f"Not taken: {rest}"


def not_taken_without_enter(line: str) -> str:
    return f"Not taken, no Enter came after it: {line}"


def longer_than_a_line(most: int) -> str:
    return f"Not taken: a line of more than {most} characters."


def back_on_the_walk(box: str) -> str:
    return f"Back on the walk at {box}."


def enter_alone(confirms: str) -> str:
    return f"Enter alone {confirms}"


def no_longer_raised(flag: str) -> str:
    return f"No longer raised: {flag}"


def saved(what: str) -> str:
    return f"saved: {what}"


def saved_now(what: tuple[str, ...]) -> str:
    return f"saved now: {'; '.join(what)}"


def not_saved(what: str) -> str:
    return f"NOT SAVED: {what}"


def waiting(number: int) -> str:
    return f"{number} waiting."


def waiting_because(number: int, reason: str) -> str:
    return f"{number} waiting, tried again without your doing. {reason}"


def goes_on_at(box: str) -> str:
    return f"All is saved; the next start goes on at {box}."


def no_width(typed: str, least: int) -> str:
    return (
        f"--width: `{typed}` is no width. Write a number of columns, {least} or more, "
        "or --width alone for the terminal's own."
    )
