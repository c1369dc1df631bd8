"""Sentences of acts about broods: split into tubs, merged, counted again, hatched."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.problems import Refusal, Unsaid

EGGS_OFTEN_FAIL = "Eggs that are moved often fail."


def too_few_for_the_tubs(tubs: int, per: int, counted: int) -> Refusal:
    return Refusal(
        f"{tubs} tubs of {per} need more than the {counted} there are.",
        "Give fewer tubs, or record the count first.",
    )


def before_it_was_there(when: str) -> Refusal:
    return Refusal(f"is before it was there ({when}).", "Give a later day.")


def brood_is_nowhere(brood: str) -> Refusal:
    return Refusal(f"nothing of {brood} is in a box.", "Check which brood you mean.")


def in_several_places(brood: str, places: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"{brood} is here: {'; '.join(places)}.")


def none_of_it_there(brood: str, places: Iterable[str]) -> Refusal:
    return Refusal("holds none of it.", f"{brood} is here: {'; '.join(places)}.")


def several_kinds_there(counts: str, kinds: Iterable[str]) -> Refusal:
    return Unsaid(f"is needed: {counts} are there.", f"Give one of: {', '.join(kinds)}.")


def none_of_that_kind(kind: str, counts: str, kinds: Iterable[str]) -> Refusal:
    return Refusal(f"there are no {kind} among {counts}.", f"Give one of: {', '.join(kinds)}.")


def named_tubs_are_not_new() -> Refusal:
    return Refusal("is for new tubs, and `into` names tubs you have already.", "Leave one of them out.")


def the_brood_is_there(box: str) -> Refusal:
    return Refusal(f"{box} is where the brood is.", "Leave it out.")


def tub_in_use(box: str, stage: str) -> Refusal:
    return Refusal(
        f"{box} is in use, in stage {stage}.",
        "Give empty or prepared tubs; for one in use record `merge`.",
    )


def another_number_of_places(places: int, tubs: int) -> Refusal:
    return Refusal(f"{places} places for {tubs} tubs.", "Give one place for all, or one for each.")


def no_tubs_named() -> Refusal:
    return Unsaid(
        "is needed, unless `into` names tubs.",
        "Say what the codes of new tubs begin with (prefix=L), or name tubs you have (into=T-11,T-12).",
    )


def not_a_tub_of_young(box: str, stage: str) -> Refusal:
    return Refusal(f"{box} is in stage {stage}.", "Give a tub of larvae or eggs, or an empty one.")


def merged_with_itself(box: str) -> Refusal:
    return Refusal(f"{box} is the same box.", "Leave it out.")


def adults_are_not_merged(box: str, stage: str) -> Refusal:
    return Refusal(
        f"{box} is in stage {stage}.",
        "Give tubs of larvae or eggs; adults are moved one by one with `move`.",
    )


def nothing_to_merge(box: str) -> Refusal:
    return Refusal(f"nothing is in {box}.", "Leave it out.")


def two_species(other: str, their_species: str, box: str, species: str) -> Refusal:
    return Refusal(f"{other} holds {their_species}, {box} holds {species}.", "Keep the species apart.")


def group_is_grown(group: str) -> Refusal:
    return Refusal(f"{group} are adults already.", "Leave it out.")


def not_to_be_sexed_yet(instar: str) -> Refusal:
    return Refusal(f"{instar} cannot be sexed yet.", "Give a plain count.")


def more_than_there_were(counts: str, before: str) -> str:
    return f"{counts} is more than the {before} there were."


def were_that_old_already(instar: str) -> str:
    return f"They were {instar} already."


def eggs_in_several(boxes: Iterable[str]) -> Refusal:
    return Unsaid("is needed.", f"Its eggs are in: {', '.join(boxes)}.")


def no_eggs_there(brood: str, boxes: Sequence[str]) -> Refusal:
    return Refusal(
        f"no eggs of {brood} are there.",
        f"Its eggs are in: {', '.join(boxes)}." if boxes else "Record `counted` for larvae.",
    )


def not_new_larvae(counts: str) -> Refusal:
    return Refusal(f"{counts} is not a count of new larvae.", "Give a plain count, 1 or more.")


def before_the_eggs_were_found(when: str) -> Refusal:
    return Refusal(f"is before the eggs were found ({when}).", "Give a later day.")


def more_than_the_eggs(eggs: int) -> Refusal:
    return Refusal(f"is more than the {eggs} eggs there are.", "Record `counted` first.")


def hatch_was_expected(when: str) -> str:
    return f"It was expected to hatch {when}."
