"""Sentences of acts about counted groups, and how many may be taken out of one."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid


def no_counted_group(box: str) -> Refusal:
    return Refusal(f"{box} holds no counted group.", "Animals with a number are recorded one by one.")


def several_meant(box: str, groups: Iterable[str]) -> Refusal:
    return Unsaid("several groups are meant.", f"{box} holds: {', '.join(groups)}.")


def no_such_group(box: str, groups: Iterable[str]) -> Refusal:
    return Refusal("no such group is there.", f"{box} holds: {', '.join(groups)}.")


def more_than_there_are(counts: str, there: str) -> Refusal:
    return Refusal(f"{counts} is more than the {there} there are.", "Count again, or record the count first.")


def cannot_come_out(counts: str, there: str) -> Refusal:
    return Refusal(
        f"{counts} cannot be taken out of {there}.", "Check which sexes they are, or record the sexing first."
    )


def nothing_taken() -> Refusal:
    return Refusal("says that there were none.", "Say how many, 1 or more: 3, or 1.2.0.")


def says_not_how_many_are_left(counts: str) -> Refusal:
    return Refusal(f"`{counts}` does not say how many are left.", "Give the number you saw.")
