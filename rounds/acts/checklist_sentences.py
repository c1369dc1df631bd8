"""Sentences of acts about checklists and the files they are written in."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.problems import Refusal

FULL_AMOUNT_UNKNOWN = "as much as it holds, and nobody wrote down how much that is"


def stands_already(checklist: str, file: str) -> Refusal:
    return Refusal(f"checklist `{checklist}` stands in {file} already.", "Keep one of them.")


def none_to_leave_out(checklist: str, hint: str) -> Refusal:
    return Refusal(f"there is no checklist `{checklist}` to leave out.", hint)


def a_checklist(checklist: str) -> str:
    return f"checklist `{checklist}`" if checklist else "checklist"


def no_stages(what: str, stages: Iterable[str]) -> Refusal:
    return Refusal(f"{what}: `stages` names none.", f"Stages: {', '.join(stages)}.")


def a_step(what: str, number: int) -> str:
    return f"{what}, step {number}"


def headline_too_long(what: str, most: int) -> Refusal:
    return Refusal(
        f"{what}: its headline is too long.", f"{most} characters at most; the rest belongs in `do`."
    )


def step_twice(what: str, step: str) -> Refusal:
    return Refusal(f"{what}: the step `{step}` is there twice.", "Keep one of them.")


def no_steps(what: str) -> Refusal:
    return Refusal(f"{what}: there are no steps.", "Write them under `steps:`.")


def clearing_begins_elsewhere(what: str, look: str, step: str) -> Refusal:
    return Refusal(
        f"{what}: clearing begins with the step `{look}`, a look for eggs and larvae, not `{step}`.",
        "Put that step first.",
    )


def no_species_value(what: str, name: str, hint: str) -> Refusal:
    return Refusal(f"{what}: there is no value `{name}` in a species file.", hint)


def without_is_missing(what: str, values: str) -> Refusal:
    return Refusal(f"{what}: the field `without` is missing.", f"Say what to do where {values} is not known.")


def without_needs_a_value(what: str) -> Refusal:
    return Refusal(f"{what}: `without` may not need a value.", "Say it in words.")


def to_bring(what: str) -> str:
    return f"{what}, `bring`"


def amount_to_bring(what: str, thing: str, litres: str) -> Refusal:
    return Refusal(f"{what}: `{thing}` is no amount.", f"Give a number up to 1000, or `{litres}`.")
