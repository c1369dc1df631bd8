"""Sentences of acts about moving into an enclosure, and what animals leave behind."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal, Unsaid


def animals_inside(stage: str, stages: Iterable[str]) -> Refusal:
    return Refusal(f"cannot be {stage} with animals inside.", f"Give one of: {', '.join(stages)}.")


def in_use_already(box: str, stage: str) -> Refusal:
    return Refusal(f"{box} is in use, in stage {stage}.", "Leave it out, or record `stage` for it.")


def stage_missing(box: str, stage: str, stages: Iterable[str]) -> Refusal:
    return Unsaid(f"is needed: what is {box} ({stage}) for now?", f"One of: {', '.join(stages)}.")


def others_still_there(box: str) -> Refusal:
    return Refusal(f"{box} still holds others.", "Say keep, or nothing.")


def rest_missing(box: str) -> Refusal:
    return Unsaid(f"is needed: {box} is empty now.", "Keep it, clear it (empty), prepare it, or say later.")


def still_holds_animals(box: str) -> Refusal:
    return Refusal(f"{box} still holds animals.", "Record where they went first.")


def not_looked_through(box: str) -> Refusal:
    return Unsaid(
        f"must be yes before {box} is cleared.",
        "Look for eggs and larvae first, and record what you find with `search`.",
    )


def may_hold_eggs(box: str) -> Refusal:
    return Refusal(
        f"{box} may hold eggs, and no complete search since the last animal left is in the book.",
        "Record `search` with what was found (0 is an answer), then clear it.",
    )


LIVED_IN = "somebody lives in it again"


def nobody_left(when: str) -> str:
    return f"the last one left on {when}"


def has_no_cause(box: str, stage: str) -> str:
    return f"{box} is in stage {stage} now"


def was_cleared(box: str) -> str:
    return f"{box} was cleared"


def before_pairing_began(pairing: str, when: str) -> Refusal:
    return Refusal(f"is before {pairing} began ({when}).", "Give a later day.")


def mated_later(animal: str, pairing: str, when: str) -> str:
    return f"{animal} was seen mating in {pairing} on {when}, after that day."


def not_hers(brood: str, when: str, animal: str) -> str:
    return (
        f"{brood}, found on {when}, was laid after {animal} had left and all had been searched: "
        "it counts as laid by whoever else was there."
    )
