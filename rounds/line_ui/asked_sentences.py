"""What line mode says of a question that a mode asks."""

from __future__ import annotations


def answer(key: str, text: str) -> str:
    return f"{key}: {text}"


def more(answers: int, page: int, pages: int) -> str:
    return f"0: more, page {page} of {pages}, {answers} in all"


def not_today(act: str, why: str) -> str:
    return f"{act} (not today: {why})"


def urgent(level: str, text: str) -> str:
    return f"{level}: {text}"


def question(asked: str, beside: tuple[str, ...], enter_alone: str, back: str) -> str:
    also = "".join(f" {said}" for said in beside)
    return f"{asked}{also} Enter alone: {enter_alone}{f'; back: {back}' if back else ''}."


def note(asked: str, enter_alone: str) -> str:
    return f"{asked}, on one line? Enter alone: {enter_alone}."


def note_so_far(asked: str, typed: str, enter_alone: str, erase: str) -> str:
    return f"{asked} so far: {typed}. What you type is added; Enter alone: {enter_alone}; {erase} alone empties it."
