"""What each mode asks, what Enter does there, and what comes of leaving it with nothing told."""

from __future__ import annotations

GOES_ON = "goes on"
STAY_HERE = "you stay here"
YES, NO = "yes", "no"

# Acts

NOTHING_IS_RECORDED = "nothing is recorded"
RECORD_WHICH = "Record which?"
CARD_OF_WHICH = "Open the card of which?"
WITH_CARD = "tell more: day, note"
TYPE_CARD = "Type card first to tell more of it, such as another day."
TAKE_WHICH_STEP = "Take which step?"
STEP_WORD = "step"
ALL_THE_SAME = "Record it all the same?"
BACK_TO_CARD = "no, back to the card"

# Actions

NOTHING_DONE_OR_OFF = "nothing is ticked off or put off"
NOTHING_TICKED_OFF, NOTHING_PUT_OFF = "nothing is ticked off", "nothing is put off"
WHICH_IS_DONE, WHICH_IS_PUT_OFF = "Which is done?", "Which is put off?"
NOT_PUT_OFF, PUTS_IT_OFF = "it is not put off", "puts it off"
ONE_DAY = "1 day"
WHY_PUT_OFF = "Why is it put off?"

# The others

CORRECT_WHICH, NOTHING_CORRECTED = "Correct which visit or act?", "nothing is corrected"
CORRECT_IT, CORRECT_IT_FULL = "correct it", "correct it: its card opens as it was told"
TAKE_BACK, TAKE_BACK_FULL = "take it back", "take it back: as if it had never been recorded"
GO_WHERE, GOES_THERE = "Go to which number or code?", "goes there"
WHICH_COMMAND, NOTHING = "Which command?", "nothing"
NOTE = "note:"
ENDS_NOTE, NOTE_STAYS, NO_NOTE = "ends the note", "the note stays as it is", "no note"
SAVED_AS_TYPED = "saved as you type; enter ends the note"
ADD_WHICH, NOTHING_ADDED, NO_READING_ADDED = "Add which reading?", "nothing is added", "no reading is added"
SCAN, ENDS_SCAN = "Scan a label, or type its code?", "ends it"
SCAN_RECORDS_NOTHING = "enter ends it; a scan goes to a box and records nothing"
SCAN_LEAVES_THE_CARD = "the box scanned leaves the card unrecorded; enter without a code: back at it"
BACK_AT_THE_CARD = "back at the card"
WHY_SKIP, NOT_SKIPPED = "Why skip it?", "it is not skipped"

# On the walk

PAGES = "pages:"
ENTER_TAKES_IT, NEXT_KEY_TAKES_IT = ", enter takes it", ", the next key takes it"
REST_AS_EXPECTED, BACK_TO_TODAY = "all else as usual, next box", "back to today's visit"


def promised(step: str, flag: str) -> str:
    return f"{step} ({flag})"


def steps_promised(number: int) -> str:
    return f"{number} steps that the flags here ask for"


def page(number: int) -> str:
    return f"page {number}"


def correct_act(act: str) -> str:
    return f"{act}?"


def of_page(question: str, page: int, pages: int) -> str:
    return f"{question} page {page} of {pages}:" if pages > 1 else question


def off_for_days(most: int) -> str:
    return f"Put off for how many days, 1 to {most}?"


def turns_or_closes(down_key: str, up_key: str) -> str:
    return f"{down_key} {up_key} turn the page; any other key closes it"


def note_of(box: str) -> str:
    return f"{box}, note:"


def reading(title: str) -> str:
    return f"{title}:"


def has_to_be_read(why: str) -> str:
    return f"! {why}"


def next_instead(keys: tuple[str, ...], then: str) -> str:
    return f"; {' or '.join(keys)}: {then}"


def looks_for(move_keys: str, leaving_key: str) -> str:
    return f"letters and digits look for it; {move_keys} choose, enter opens, {leaving_key} with nothing typed goes back"
