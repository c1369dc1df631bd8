"""What the walk says when something it asked for was answered, or was not."""

from __future__ import annotations

STAYED = "stayed here"
NOT_SKIPPED = "not skipped"
NO_OTHER_READING = "there is no other reading"
NOTHING_ADDED = "nothing added"
NO_READING = "no reading"
NOTHING_CHOSEN = "nothing chosen"
NO_COMMAND = "no command"
NO_EARLIER_VISIT = "there is no earlier visit or act to correct"
NOTHING_TO_CORRECT = "nothing to correct"
NOTHING_CORRECTED = "nothing corrected"
CORRECTING = "correcting an earlier visit: the old value is kept beside what you type now"
ENTER_ENDS_NOTE = "enter ends the note"
NOTHING_SCANNED = "nothing was scanned"


def act_taken_back(act: str) -> str:
    return f"taken back: {act}"


def nothing_under(what: str, key: str) -> str:
    return f"{what} under {key}"


def only_closed(said: str, key: str, *, the_help: bool) -> str:
    return f"{said}{'; ' if said else ''}{key} only closed the {'help' if the_help else 'list'}"


def with_nothing_typed(rub_key: str) -> str:
    return f"{rub_key} with nothing typed goes back"


def no_enclosure(typed: str) -> str:
    return f"no box {typed!r} on this walk"


def skipped(box: str, reason: str) -> str:
    return f"skipped {box}: {reason}"


def read_already(undo_key: str) -> str:
    return f"already read today; {undo_key} takes readings back"


# Scans


def cut_off(after: str) -> str:
    return f"the scan was cut off{f' after {after}' if after else ''}"


def too_long(begins: str) -> str:
    return f"{begins}… is too long for a box's code"


def stands_here(box: str) -> str:
    return f"{box} is where you stand"


def scanned(box: str) -> str:
    return f"scanned {box}"


def nothing_done(why: str) -> str:
    return f"{why}: nothing done"


def and_dropped(said: str, dropped: str) -> str:
    return f"{said}; {dropped}" if dropped else said


def half_typed(reading: str, typed: str) -> str:
    return f"{reading} {typed} was only half typed and is not saved"
