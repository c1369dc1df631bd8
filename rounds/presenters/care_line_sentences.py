"""What the screen says must not be done, is open, due or flagged at an enclosure."""

from __future__ import annotations

from rounds.husbandry import lock_sentences

NOBODY = "no animals recorded"
AT_LEAST = "at least "


WAIT = "wait: "
CAUSE_GONE = " (not seen today: fixed?)"
ENDED = "you are looking at it now"
DEALT_WITH = "done or put off"


def set_aside(lock: str) -> str:
    return f"set aside, it is urgent ({lock})"


def to_wait(what: str) -> str:
    return f"{WAIT}{what}"


def whom_and_why(animal: str, reason: str) -> str:
    return ": ".join(part for part in (animal, reason) if part)


def due_when(animal: str, when: str, late: int, withheld: str) -> str:
    said = f"{f'{animal}, ' if animal else ''}{when}"
    if late > 0:
        said += f", {late} day{'s' if late != 1 else ''} late"
    # Why it has to wait comes first: what is behind may be cut.
    return f"{withheld}; {'was ' if late > 0 else ''}due {said}" if withheld else said


def several_times(work: str, times: int) -> str:
    return f"{work} ({times} times)"


def steps_done(checklist: str, done: int, of: int) -> str:
    return f"{checklist}, {done} of {of} done"


def next_step(step: str, more: int) -> str:
    return f"next, {step}{f' (and {more} more)' if more else ''}"


def begun(checklist: str, done: int, of: int, steps: tuple[str, ...]) -> str:
    return f"{checklist}: {done} of {of} checklist steps done. Open: {'; '.join(steps)}"


def due(what: str, animal: str, when: str, withheld: str, why: str) -> str:
    work = f"{what}{f' ({animal})' if animal else ''} {when}"
    if not withheld:
        return f"{work}: {why}" if why else work
    return f"{work} has to wait: {withheld}.{f' {why[:1].upper()}{why[1:]}' if why else ''}"


def reason(reason: str, since: str, *, cause_gone: bool) -> str:
    began, gone = f" (first noted {since})" if since else "", CAUSE_GONE if cause_gone else ""
    return f"{reason}{began}{gone}"


def to_do(todo: str, withheld: str) -> str:
    return f"→ {lock_sentences.instruction(todo, withheld)}"


def headline(what: str, todo: str) -> str:
    return f"{what}: {todo}"


def dealt_with(reason: str) -> str:
    return f"{DEALT_WITH}: {reason}"


def more(number: int, help_key: str) -> str:
    return f"and {number} more; {shows_all(help_key)}"


def shows_all(help_key: str) -> str:
    return f"{help_key} shows all"


def and_more(number: int) -> str:
    return f" and {number} more"


def so_many(number: int) -> str:
    return f"{number} animals or groups"


def litres(number: float) -> str:
    return f" · {number:g} litres"


def note_of(day: str, note: str) -> str:
    return f"{day}: {note}"


def is_here(keeper: str) -> str:
    return f"{keeper} is at this box too."


def by_another(keeper: str, when: str, what: str) -> str:
    return f"{keeper} {when}: {what}"
