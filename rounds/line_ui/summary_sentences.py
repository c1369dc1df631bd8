"""What line mode says of the summary, and as its help."""

from __future__ import annotations

NOTHING_TO_CARRY = "To carry next time: nothing."
QUIT_LEAVES = "quit leaves."
NOTHING_LISTED = "Nothing is listed. back goes to the last box, quit leaves."
HOW_TO_ANSWER = "Type an answer by its digit or its word and press Enter; several answers go on one line with blanks between them."
ENTER_ALONE = (
    "Enter alone goes on: what was not typed is confirmed as usual. A note is the word note and its text."
)
HELP_SHOWS = "what can be typed, and what each reading means"
OR_ENTER_ALONE = " or Enter alone"
ON_THE_SUMMARY = "A number chooses a row of the summary; done and put off are about that row."
READ_HERE = "What is read here, and what it means:"
KNOWN_HERE = "What is known here:"


def of_day(day: str, seen: int, of: int) -> str:
    return f"Summary of {day}, {seen} of {of} seen."


def to_carry(what: str) -> str:
    return f"To carry next time: {what}"


def rests_on(what: str) -> str:
    return f"What that rests on: {what}"


def due_at(where: str, work: str) -> str:
    return f"{where}: {work}"


def not_done(number: int) -> str:
    return f"Due and not done: {number}."


def not_seen(each: tuple[str, ...]) -> str:
    return f"Not seen: {'; '.join(each)}"


def empty_boxes(boxes: tuple[str, ...]) -> str:
    return f"{len(boxes)} empty, not asked: {', '.join(boxes)}"


def more(number: int) -> str:
    return f"and {number} more: the word all reads them"


def at_row(row: int, of: int, box: str) -> str:
    return f"At row {row} of {of}, {box}. Enter goes there, a number goes to that row, quit leaves."


def row(at: int, of: int, said: str) -> str:
    return f"Row {at} of {of}: {said}"


def row_not_seen(at: int, of: int, said: str) -> str:
    return f"Row {at} of {of}: {said}, not seen."


def where(box: str, place: str) -> str:
    return f"{box} at {place}" if place else box


def action(where: str, level: str, said: str) -> str:
    return f"{where}, {level}: {said}"


def unseen(where: str, stage: str, skipped: str) -> str:
    return f"{where}, {stage}{f', skipped: {skipped}' if skipped else ''}"


def pages_by_word(titles: tuple[str, ...]) -> str:
    return f"Pages of the book, by their word: {', '.join(titles)}"


def reading(title: str, key: str, about: str) -> str:
    return f"{title}{f', key {key}' if key else ''}: {about}"
