"""What a card says: what recording will do, what it still needs, what a key of it cannot do."""

from __future__ import annotations

ANSWER_TAKEN_AWAY = "taken away; the same key again leaves the card"
SERIES_OVER = "no more are weighed"
NEXT_BOX = "Number or code of the next box?"
TAKE_IT = "take it"
RUB_IT_OUT = "rub it out"
RUB_OUT_FIRST = "take back what is typed first"


def past_the_counts(key: str) -> str:
    return f"{key} past counts"


def no_count(label: str) -> str:
    return f"{label} is no count; only a count can be at least so many"


def none_to_weigh(box: str) -> str:
    return f"nobody to weigh in {box}"


def only_chosen(label: str) -> str:
    return f"{label}: press one of the numbers"


def only_typed(label: str) -> str:
    return f"{label}: nothing is listed for it, type it"


def still_to_tell(question: str) -> str:
    return f"still needed: {question}"


def no_key_of_a_card(key: str, keys: str) -> str:
    return f"{key} does nothing here; {keys}"


def keys_of_a_card(record_key: str, next_key: str, leave_key: str) -> str:
    return f"{record_key} records, {next_key} goes to the next field, {leave_key} leaves"


def takes_text(record_key: str) -> str:
    return f"{record_key} takes what you typed"


def needs(labels: tuple[str, ...]) -> str:
    return f"still needed: {', '.join(labels)}"


def one_told(label: str, answer: str) -> str:
    return f"{label} {answer}"


def will_record(record_key: str, title: str, who: str, told: tuple[str, ...], unsaid: tuple[str, ...]) -> str:
    of = f" {who}" if who else ""
    what = f": {', '.join(told)}" if told else ""
    left = f"; not said: {', '.join(unsaid)}" if unsaid else ""
    return f"{record_key} records {title}{of}{what}{left}"
