"""Sentences of acts about weights and head widths."""

from __future__ import annotations

from rounds.problems import Refusal


def holds_eggs(box: str) -> Refusal:
    return Refusal(f"{box} holds eggs.", "Eggs are not weighed; record `hatched` first.")


def is_grown(when: str) -> Refusal:
    return Refusal(f"it is grown since {when}.", "Leave it out.")


def had_that_instar(animal: str, instar: str) -> str:
    return f"{animal} was {instar} already."
