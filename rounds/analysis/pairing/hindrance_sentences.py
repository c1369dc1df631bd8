"""Why an animal cannot breed now."""

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
