"""Sentences of acts about what comes into the house: arrivals, lines, loans, quarantine."""

from __future__ import annotations

from rounds.problems import Refusal, Unsaid


def name_taken(table: str, name: str) -> Refusal:
    return Refusal(f"there is a {table} `{name}` already.", "Give another name.")


def quarantine_over_before_they_came(when: str) -> Refusal:
    return Refusal(f"is before they came ({when}).", "Give that day or a later one.")


def others_not_in_quarantine(box: str) -> Refusal:
    return Refusal(
        f"{box} holds animals that are not in quarantine.", "New animals stay apart: name an empty box."
    )


def put_in_with_others(box: str, until: str, when: str) -> str:
    end = f" until {until}" if until else ""
    return f"{box} holds others in quarantine{end}. Put these ({when}) in with them?"


def nobody_came() -> Refusal:
    return Refusal("counts nobody.", "Say how many came, 1 or more.")


def not_the_species_of_the_line(species: str) -> Refusal:
    return Refusal(f"is not that of the line ({species}).", "Check the species and the line.")


def lot_came(lot: str, counts: str, when: str) -> str:
    return f"{lot} ({counts}) came on {when}"


def not_the_species_of_the_arrival(species: str) -> Refusal:
    return Refusal(f"is not that of the arrival ({species}).", "Check both.")


def before_the_arrival(lot: str, when: str) -> Refusal:
    return Refusal(f"is before {lot} came ({when}).", "Give a later day.")


def unknown_species(name: str, near: str) -> str:
    """``near`` is the nearest known name ("" for none)."""
    known = f" Known is {near}." if near else ""
    return f"{name} is kept nowhere here and has no species file.{known} Keep {name} as a new species?"


def several_species(typed: str, names: tuple[str, ...]) -> str:
    return f"{typed} can be {', '.join(names)}: type more of it"


def species_missing() -> Refusal:
    return Unsaid("is needed.", "Give the Latin name, or the arrival it came with.")


def borrowed_animal_came(animal: str, owner: str, when: str) -> str:
    return f"{animal} came on {when}, on loan from {owner}"


def due_back_before_the_loan(when: str) -> Refusal:
    return Refusal(f"is before the loan began ({when}).", "Give a later day.")


def due_back(owner: str, when: str, *, borrowed: bool) -> str:
    return f"due back {'to' if borrowed else 'from'} {owner} {when}"


def not_in_quarantine(box: str) -> Refusal:
    return Refusal(f"{box} is not in quarantine.", "Check which one you mean.")


def no_stage_after_quarantine(stage: str, stages: str) -> Refusal:
    return Refusal(f"cannot be {stage} now.", f"Give one of: {stages}. For an empty box record `emptied`.")


def end_quarantine_now(until: str) -> str:
    return f"Quarantine was to last until {until}. End it now?"


def is_protected(law: str) -> str:
    return f"{law} No papers are noted. Are they in order?"


def before_quarantine(box: str, since: str) -> Refusal:
    return Refusal(f"{box} is in quarantine only since {since}.", "Give a later day.")
