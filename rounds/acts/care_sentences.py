"""Sentences of acts about substrate, protein, checklists and clearing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.problems import Refusal, Unsaid

UNKNOWN_SUBSTRATE = "what it was is not known"


def litres_for_no_enclosure() -> Refusal:
    return Refusal("is what each box got, and no box is named.", "Leave it out, or name the boxes (into=…).")


def before_it_was_mixed(batch: str, when: str) -> Refusal:
    return Refusal(f"is before {batch} was mixed ({when}).", "Give a later day.")


def nobody_to_feed(box: str, stage: str) -> Refusal:
    return Refusal(f"{box} is in stage {stage}.", "Choose a box of feeding larvae or adults.")


def out_before_it_was_given(day: str, when: str) -> Refusal:
    return Refusal(f"{day} is before it was given ({when}).", "Give a later day.")


def no_day_to_take_it_out() -> Refusal:
    return Unsaid("is needed: nobody knows the day it was given.", "Say by which day it has to be out.")


def leftovers_still_in(since: str) -> str:
    return f"Leftovers of {since or 'an unknown day'} are still to be taken out (record `protein-out`)."


def protein_given(what: str, when: str) -> str:
    return f"{what} given {when}"


def protein_out_by(what: str, when: str, day: str) -> str:
    return f"{what} given {when}; out by {day} as the keeper set it"


def no_protein_in(box: str) -> Refusal:
    return Refusal(f"no protein is recorded as left in {box}.", "Record `protein` when it is given.")


def protein_given_later(when: str) -> Refusal:
    return Refusal(f"is before it was given ({when}).", "Give a later day.")


def no_such_checklist(checklist: str, near: str, checklists: Iterable[str]) -> Refusal:
    return Refusal(f"there is no checklist `{checklist}`.", near or f"Lists: {', '.join(checklists)}.")


def every_step_ticked(checklist: str) -> Refusal:
    return Refusal(f"every step of {checklist} is ticked already.", "There is nothing to record.")


def no_step_named() -> Refusal:
    return Unsaid("is needed.", "Which steps are done?")


def no_such_step(step: str, checklist: str, near: str, steps: Iterable[str]) -> Refusal:
    return Refusal(f"`{step}` is not on the list {checklist}.", near or f"Steps: {', '.join(steps)}.")


def step_ticked(step: str) -> Refusal:
    return Refusal(f"`{step}` is ticked already.", "Leave it out.")


def which_checklist(checklists: Sequence[str]) -> Refusal:
    return Unsaid(
        "is needed.", f"Lists: {', '.join(checklists)}." if checklists else "Give the checklist's id."
    )


def no_checklist_has_step(step: str, hint: str) -> Refusal:
    return Refusal(f"no checklist has a step `{step}`.", hint)


def is_so_already(box: str, stage: str) -> Refusal:
    return Refusal(f"{box} is {stage} already.", "There is nothing to record.")


def not_empty(box: str) -> Refusal:
    return Refusal(f"{box} is not empty.", "Record `emptied` first.")
