"""What a card says: what recording will do, what it still needs, what a key of it cannot do."""

from __future__ import annotations

from rounds.text.plurals import many

ANSWER_TAKEN_AWAY = "taken away"
TAKEN_AWAY_AND_LEAVES = "taken away; the same key again leaves the card"
SERIES_OVER = "no more are weighed"
NEXT_BOX = "Number or code of the next box?"
RUB_IT_OUT = "rub it out"
TAKE_AWAY = "take away"
TYPE_IT = "type it"
ANOTHER_DAY = "another day"
LIST = "list"
RUB_OUT_FIRST = "take back what is typed first"


def nothing_to_rub_out(leave_key: str) -> str:
    return f"nothing to rub out here; {leave_key} leaves the card"


def would_be_lost(answers: int, leave_key: str) -> str:
    return (
        f"{many(answers, 'answer')} would be lost: {leave_key} again leaves the card, any other key goes on"
    )


def so_many_exactly(label: str, number: str, at_least_key: str) -> str:
    return f"{label}: {number} exactly; {at_least_key} says at least so many"


def question_typed(question: str, typed_as: str) -> str:
    """``typed_as`` shows how an answer may be typed."""
    return f"{question} ({typed_as})" if typed_as else question


def past_the_counts(key: str) -> str:
    return f"{key} past counts"


def no_count(label: str) -> str:
    return f"{label} is no count; only a count can be at least so many"


def none_to_weigh(box: str) -> str:
    return f"nobody to weigh in {box}"


def only_chosen(label: str) -> str:
    return f"{label}: press one of the numbers"


def press_a_number(label: str, next_key: str, *, several: bool) -> str:
    return only_chosen(label) + (f"; {next_key} goes on to the next field" if several else "")


def only_typed(label: str) -> str:
    return f"{label}: nothing is listed for it, type it"


def still_to_tell(question: str) -> str:
    return f"still needed: {question}"


def no_key_of_a_card(key: str, keys: str) -> str:
    return f"{key} does nothing here; {keys}"


def keys_of_a_card(record_key: str, next_key: str, leave_key: str) -> str:
    return f"{record_key} records, {next_key} goes to the next field, {leave_key} leaves"


def needs(labels: tuple[str, ...]) -> str:
    return f"still needed: {', '.join(labels)}"


def one_told(label: str, answer: str) -> str:
    return f"{label} {answer}"


def will_record(record_key: str, title: str, who: str, told: tuple[str, ...], unsaid: tuple[str, ...]) -> str:
    of = f" {who}" if who else ""
    what = f": {', '.join(told)}" if told else ""
    left = f"; not said: {', '.join(unsaid)}" if unsaid else ""
    return f"{record_key} records {title}{of}{what}{left}"
