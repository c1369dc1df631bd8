"""What ``rounds rules`` says beside its reports, and what it refuses."""

from __future__ import annotations

from rounds.text.plurals import many

READINGS_FIRST = "The rules cannot be checked until the readings are right."
NO_CASE_RUN = "No case was run."
EARLIER_FIRST = "--from is after --to. Give the earlier day first."


def nothing_taken(problems: int) -> str:
    return f"{many(problems, 'problem')}; nothing was taken."


def nothing_wrong(rules: int, files: int) -> str:
    return f"{many(rules, 'rule')} in {many(files, 'file')}, nothing wrong."


def cases_run(cases: int, rules: int, wrong: int) -> str:
    return f"{many(cases, 'case')} of {many(rules, 'rule')}, {wrong} wrong."


def no_rule(rule: str) -> str:
    return f"there is no rule `{rule}`."


CODE_OR_NUMBER = "Give its code or its short number."


def no_enclosure(typed: str, hint: str) -> str:
    """``hint`` names the nearest, or is the one above."""
    return f"there is no box `{typed}`. {hint}"
