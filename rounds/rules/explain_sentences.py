"""What is said when a rule is explained: its verdict, its clauses, its history."""

from __future__ import annotations

from rounds.text.plurals import many

YES = "yes"
NO = "no"
UNKNOWN = "unknown"


def verdict(id_: str, word: str, title: str, level: str, file: str, line_number: int) -> str:
    return f"{id_}: {word}  ({title}; level {level}; {file}:{line_number})"


def clause(depth: int, word: str, text: str, value: str) -> str:
    shown = f"  [{value}]" if value else ""
    return f"  {'  ' * depth}{word:7}  {text}{shown}"


def history(words: str) -> str:
    return f"  {words}"


def because(reason: str) -> str:
    return f"  because: {reason}"


def do(text: str) -> str:
    return f"  do: {text}"


def withheld(locks: str) -> str:
    return f"  has to wait: {locks}"


def bring(items: tuple[str, ...]) -> str:
    """``items``: each amount with what it is of."""
    return f"  bring: {', '.join(items)}"


def mind(caution: str) -> str:
    return f"  mind: {caution}"


def days(number: int) -> str:
    return many(number, "day")


def looks(number: int) -> str:
    return many(number, "visit")


def not_held(need: str, skipped: int, *, cannot_be_told: bool) -> str:
    """``need``: days or looks; ``skipped``: visits passed over."""
    said = "cannot be told on this visit" if cannot_be_told else "does not hold"
    return f"It {said}; it must hold for {need}. Only observed values count.{_skipped(skipped)}"


def held(looks_held: int, days_held: int, need: str, skipped: int) -> str:
    run = f"{many(looks_held, 'visit')} over {many(days_held, 'day')}"
    return f"It has held for {run}; it must hold for {need}.{_skipped(skipped)}"


def held_before(looks_held: int, days_held: int, need: str, skipped: int) -> str:
    """A run that is over: the condition does not hold at this look."""
    run = f"{many(looks_held, 'visit')} over {many(days_held, 'day')}"
    return f"It held for {run} and does not hold now; it must hold for {need}.{_skipped(skipped)}"


def _skipped(visits: int) -> str:
    return f" {visits} skipped visit{'s do' if visits > 1 else ' does'} not count." if visits else ""


def lingers(ends_after: int) -> str:
    """After the reason of a rule that was not so at this look."""
    return f" Not so on this visit; it ends after {ends_after} such visits."


def done_with(title: str) -> str:
    """In place of an instruction that a more urgent flag's at the same box carries out as well."""
    return f'"{title}" covers this too.'


# Values, and the texts they stand in.

STRAY_BRACE = "a brace without its other half"

NOT_KNOWN = "?"


def at_least(number: str) -> str:
    return f"at least {number}"


def between(least: str, most: str) -> str:
    return f"{least}–{most}"
