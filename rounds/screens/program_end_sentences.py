"""What is said before the walk is on the screen and after it was left, and of what the screen does not take."""

from __future__ import annotations

NO_TERMINAL = (
    "the walk needs a terminal: run it in one, without redirecting its input or output "
    "(rounds --plain walks in lines of text anywhere; rounds summary prints the day's list)."
)
PASTED = "pasted text was not taken: the walk takes keys only"
NOTHING_RECORDED = "nothing was recorded"


def saved(number: int) -> str:
    return f"saved: {number} {'reading or act' if number == 1 else 'readings and acts'} of this round"


def thrown_away(saved: str) -> str:
    return f"{saved}; the invented house is thrown away"


def goes_on_at(saved: str, box: str) -> str:
    return f"{saved}; the next start goes on at {box}"


def at_its_end(saved: str, not_seen: int) -> str:
    return f"{saved}; {f'the next start shows its summary, {not_seen} not seen' if not_seen else 'the round is finished'}"


def no_look(where: str, name: str, near: str) -> str:
    return f"{where}: there is no look `{name}`. {near}"


def looks_are(names: tuple[str, ...]) -> str:
    return f"There are: {', '.join(names)}."
