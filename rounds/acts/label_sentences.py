"""Sentences of acts about labels that were on the wrong boxes for some days."""

from __future__ import annotations

from rounds.problems import Refusal

BY_HAND = "Answer no. Then undo what was recorded there on those days, and record it at the other box."
READINGS_STAY = "What was read at the two boxes on the walk stays where it was written."
NOTHING_EXCHANGED = "nothing"
CALLED = {
    "weight": ("weighing", "weighings"),
    "mating": ("mating", "matings"),
    "pairing": ("pairing", "pairings"),
    "pairing_male": ("male with a female", "males with a female"),
    "search": ("search", "searches"),
    "brood": ("brood", "broods"),
    "content": ("move", "moves"),
    "protein": ("protein food", "protein foods"),
    "batch_use": ("substrate given", "substrates given"),
    "tick": ("step of a checklist", "steps of checklists"),
    "lock": ("lock", "locks"),
    "loan": ("loan", "loans"),
    "fewer": ("loss from a group", "losses from groups"),
    "animal": ("date or end of a life", "dates or ends of a life"),
    "sex": ("sex", "sexes"),
    "stage_past": ("change of stage", "changes of stage"),
    "due": ("piece of work", "pieces of work"),
}
"""By table: what one row, and what several, are called in the question."""


def ends_before_it_begins() -> Refusal:
    return Refusal("is before the first day.", "Give that day or a later one.")


def told_already(box: str, other: str) -> Refusal:
    return Refusal(
        f"{box} and {other} are noted already, and nobody has said yet whether their labels were mixed up.",
        "Say that first, or undo it.",
    )


def labels_mixed_up(box: str, other: str) -> str:
    return f"labels of {box} and {other} may have been mixed up"


def labels_were_mixed_up(box: str, other: str) -> str:
    """The same as earlier versions wrote it into the books: it is still to be lifted there."""
    return f"labels of {box} and {other} were mixed up"


def none_open(box: str) -> Refusal:
    return Refusal(f"nobody doubts the label of {box}.", "Record first that labels may have been mixed up.")


def several_open(box: str, others: tuple[str, ...]) -> Refusal:
    return Refusal(f"{box} may have been mixed up with {' and with '.join(others)}.", "Say which of them.")


def held_nobody(box: str, day: str) -> Refusal:
    return Refusal(
        f"{box} held nobody on {day}: there is nobody to exchange with.",
        "Answer no, or give other days.",
    )


def other_species(box: str, other: str) -> Refusal:
    return Refusal(f"{box} and {other} held different species, so what was seen tells them apart.", BY_HAND)


def no_counterpart(who: str, other: str) -> Refusal:
    return Refusal(f"nobody in {other} can have been taken for {who}.", BY_HAND)


def known_outside(who: str, what: str, when: str) -> Refusal:
    """``what`` is a date of its life, such as "when it left its cell"."""
    return Refusal(f"{who}: {what} is recorded for {when}, which is not one of those days.", BY_HAND)


def ended_outside(who: str, state: str) -> Refusal:
    return Refusal(f"{who} is {state}, and that was not recorded on those days.", BY_HAND)


def one_of_them_ended(what: str) -> Refusal:
    return Refusal(f"{what} ended on those days, and nothing like it did at the other box.", BY_HAND)


def group_divided(box: str) -> Refusal:
    return Refusal(
        f"some of the group in {box} were moved or numbered, or all of it left, on those days.", BY_HAND
    )


def rough_counts(box: str) -> Refusal:
    return Refusal(f"more were lost on those days than the group in {box} is known to have had.", BY_HAND)


def fewer_there(box: str) -> Refusal:
    return Refusal(
        f"more were lost on those days than {box} held, or of a sex that was not counted there.", BY_HAND
    )


def left_a_trial(animal: str) -> Refusal:
    return Refusal(f"{animal} left a trial on those days.", BY_HAND)


def how_many(count: int, one: str, several: str) -> str:
    return f"{count} {one if count == 1 else several}"


def exchanged(pairs: tuple[tuple[str, str], ...], what: str, first: str, last: str) -> str:
    """``pairs`` are those who were taken for each other, ``what`` is what was recorded of them."""
    whom = " and ".join(f"{one} with {other}" for one, other in pairs)
    return f"From {first} to {last} exchange {whom}: {what}."


def stays(count: int) -> str:
    rows = "1 record that may be" if count == 1 else f"{count} records that may be"
    return f"{rows} of other days too {'stays' if count == 1 else 'stay'} as {'it is' if count == 1 else 'they are'}."
