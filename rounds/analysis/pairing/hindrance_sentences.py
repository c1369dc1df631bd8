"""Why an animal cannot breed now, or is in no pair."""

from __future__ import annotations

LEFT_OUT = "left out by you"
SEX_NOT_KNOWN = "sex not known"
MISSING = "missing"
NO_ENCLOSURE = "in no box"
QUARANTINE = "in quarantine"
RESTING = "resting, has not fed yet"
MATURITY_NOT_KNOWN = "not known whether it is ready to breed: when it is, record it at its box"
NOBODY_KNOWS_WHEN = "nobody knows when"


def on_loan(to: str = "") -> str:
    return f"on loan to {to}" if to else "on loan"


def promised(to: str) -> str:
    return f"promised: {to}"


def quarantine_until(day: str) -> str:
    return f"in quarantine until {day}"


def paired(pairing: str) -> str:
    return f"paired now ({pairing})"


def planned(other: str, plan: str) -> str:
    return f"planned with {other} ({plan})"


def in_trial(trial: str) -> str:
    return f"in the trial {trial}"


def laying(box: str) -> str:
    return f"laying in {box}"


def locked(why: str = "") -> str:
    return f"must not be moved{'' if not why else ': ' + why}"


def not_mature_before(day: str) -> str:
    return f"may not be ready to breed before {day}"


# It could breed now, and is in no pair.

NO_BOX_LEFT = "left over: no free box for another pair"


def nobody_for(sex: str) -> str:
    """``sex``: m or f."""
    return f"no {_other(sex)} can breed now"


def no_pair_allowed(reasons: tuple[str, ...]) -> str:
    return f"no pair allowed: {', '.join(reasons)}"


def all_taken(sex: str) -> str:
    """``sex``: m or f."""
    return f"left over: no {_other(sex)} is left for {'him' if sex == 'm' else 'her'}"


def _other(sex: str) -> str:
    return "female" if sex == "m" else "male"
