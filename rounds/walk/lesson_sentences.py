"""What the first boxes of the invented house teach, one line each."""

from __future__ import annotations


def look(example: str) -> str:
    return f" Try a reading: type how many quarter cups of jelly were eaten, such as {example}."


def flag(down_key: str, digit: str) -> str:
    return f" Try a flag: {down_key} down to moisture, then {digit} for standing water. See it rise."


def act(record_key: str) -> str:
    return f" Try an act: {record_key} asks what happened here. A digit chooses, such as mating seen."


def search(record_key: str) -> str:
    return f" Try a search: {record_key}, then searched. It asks how many larvae and eggs you found."


def search_is_at(box: str, go_key: str, number: int) -> str:
    return f" Next, a search with counts: {go_key}, {number} and enter go to {box}."
