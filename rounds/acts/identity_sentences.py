"""Sentences of acts about one animal: its number, parents, sex, mark and place."""

from __future__ import annotations

from rounds.problems import Refusal, Unsaid

UNDO_THE_OTHER_ACT = "Undo the act that says otherwise first."


def enclosure_missing() -> Refusal:
    return Unsaid("is needed.", "Give the box it is in, or a state for old notes.")


def not_alive_and_in_an_enclosure(state: str) -> Refusal:
    return Refusal(f"an animal that is {state} is in no box.", "Leave one of them out.")


def brood_of_another_line(brood: str, line: str) -> Refusal:
    return Refusal(f"{brood} is of another line than {line}.", "Check both.")


def no_such_group(box: str, line: str) -> Refusal:
    return Refusal(f"{box} holds no such group of {line}.", "Say counted=no, or check the box.")


def not_a_father(animal: str, sex: str) -> Refusal:
    return Refusal(f"{animal} is {sex}.", "Give a male.")


def not_a_mother(animal: str, sex: str) -> Refusal:
    return Refusal(f"{animal} is {sex}.", "Give a female.")


def father_is_the_mother() -> Refusal:
    return Refusal("is its father too.", "Give another animal.")


def no_parent_named() -> Refusal:
    return Unsaid("is empty, and so is the mother.", "Give the father, the mother, or both.")


def own_descendant(parent: str, animal: str) -> Refusal:
    return Refusal(f"{parent} descends from {animal}, or is the same.", "Give another animal.")


def another_parent_known(animal: str, known: str, parent: str) -> str:
    return f"{animal} has {known} there. Is it {parent}?"


def WEIGHTS_OVERLAP() -> str:
    return "Weights of the sexes overlap. Are you certain all the same?"


def another_sex_known(animal: str, known: str, sex: str) -> str:
    return f"{animal} is {known} in the book. Is it {sex}?"


def another_total(counts: str, total: int, before: str) -> Refusal:
    return Refusal(
        f"{counts} are {total}, and {before} are counted there.",
        "Sexing leaves the total as it is: record the dead, the moved or the new count first.",
    )


def sexed_before(before: str, counts: str) -> str:
    return f"{before} were sexed before. Are they {counts}?"


def no_mark(animal: str) -> Refusal:
    return Refusal(f"{animal} has no mark in the book.", "Check which animal you mean.")


def mark_lost_already(animal: str) -> Refusal:
    return Refusal(f"{animal}'s mark is lost already.", "Record the new mark with `marked`.")


def nobody_knows_where(animal: str) -> Refusal:
    return Refusal(f"nobody knows where {animal} is.", "Record it with `found`.")


def there_already(animal: str, box: str) -> Refusal:
    return Refusal(f"{animal} is in {box} already.", "Give another box.")


def they_are_there_already(box: str) -> Refusal:
    return Refusal(f"they are in {box} already.", "Give another box.")
