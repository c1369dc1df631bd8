"""What the screen says must not be done, is open, due or flagged at an enclosure."""

from __future__ import annotations

NOBODY = "no animals recorded"
AT_LEAST = "at least "


def lifted(lock: str) -> str:
    return f"lifted: urgent ({lock})"


def begun(checklist: str, done: int, of: int, steps: tuple[str, ...]) -> str:
    return f"{checklist}: {done} of {of} checklist steps done. Open: {'; '.join(steps)}"


def due(what: str, animal: str, when: str, withheld: str, why: str) -> str:
    work = f"{what}{f' ({animal})' if animal else ''} {when}"
    if not withheld:
        return f"{work}: {why}" if why else work
    return f"{work} has to wait: {withheld}.{f' {why[:1].upper()}{why[1:]}' if why else ''}"


def reason(reason: str, since: str, *, cause_gone: bool) -> str:
    began, gone = f" (since {since})" if since else "", " (not seen today: fixed?)" if cause_gone else ""
    return f"{reason}{began}{gone}"


def to_do(todo: str, withheld: str) -> str:
    return f"→ {todo} {withheld}".rstrip()


def headline(what: str, todo: str) -> str:
    return f"{what}: {todo}"


def dealt_with(reason: str) -> str:
    return f"done or put off: {reason}"


def more(number: int, help_key: str) -> str:
    return f"and {number} more; {shows_all(help_key)}"


def shows_all(help_key: str) -> str:
    return f"{help_key} shows all"


def litres(number: float) -> str:
    return f" · {number:g} litres"


def note_of(day: str, note: str) -> str:
    return f"{day}: {note}"


def is_here(keeper: str) -> str:
    return f"{keeper} is at this box too."


def by_another(keeper: str, when: str, what: str) -> str:
    return f"{keeper} {when}: {what}"
