"""What is said of a keeper's wishes for pairings that cannot be meant, or cannot be had."""

from __future__ import annotations

from rounds.problems import Refusal, nearest

WEIGHT = "the weight of F"
MOST_F = "the highest F"
USES = "the uses of a male"
BOXES = "the free boxes"
TOGETHER = "the days together"

KEEP_ONE = "Keep one."
ONCE_IN_A_PLAN = "A female is paired once in a plan."
FREE_MORE = "Free more boxes."

NO_PLAN = Refusal(
    "no plan fits all forced pairs and wished crosses with these animals, limits and boxes.",
    "Ask for less, or allow a male more uses.",
)


def uses_of(male: str) -> str:
    return f"the uses of `{male}`"


def several_times(name: str, times: int) -> Refusal:
    return Refusal(f"`{name}` is a candidate {times} times.", KEEP_ONE)


def no_such_number(what: str, number: float) -> Refusal:
    return Refusal(f"{what} cannot be {number:g}.", "Expected 0 or more.")


def no_barrier(barrier: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"`{barrier}` cannot be crossed, expected {', '.join(known)}.", nearest(barrier, known))


def no_candidate(what: str, male: str, female: str, name: str, known: tuple[str, ...]) -> Refusal:
    """``what``: forced or forbidden."""
    return Refusal(f"the {what} pair {male} × {female}: `{name}` is no candidate.", nearest(name, known))


def wrong_sex(what: str, male: str, female: str, name: str, sex: str) -> Refusal:
    return Refusal(f"the {what} pair {male} × {female}: `{name}` is no {sex}.", "Male first.")


def uses_of_no_candidate(name: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"uses of a male: `{name}` is no candidate.", nearest(name, known))


def uses_of_no_male(name: str) -> Refusal:
    return Refusal(f"uses of a male: `{name}` is no male.", ONCE_IN_A_PLAN)


def nobody_of_line(line: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"no candidate is of the line `{line}`.", nearest(line, known))


def forced_and_forbidden(male: str, female: str) -> Refusal:
    return Refusal(f"the pair {male} × {female} is both forced and forbidden.", KEEP_ONE)


def forced_with_several(female: str, males: int) -> Refusal:
    return Refusal(f"`{female}` is forced with {males} males.", ONCE_IN_A_PLAN)


def forced_too_often(male: str, females: int, allowed: int) -> Refusal:
    said = f"`{male}` is forced with {females} females and may be used {allowed} times."
    return Refusal(said, "Allow more uses.")


def crossed_and_apart(line: str, other: str) -> Refusal:
    return Refusal(f"the lines {line} and {other} are both to be crossed and kept apart.", KEEP_ONE)


def more_crosses_than_boxes(pairs: int, line: str, other: str, boxes: int) -> Refusal:
    return Refusal(f"{pairs} pairs of {line} and {other} are wanted and {boxes} boxes are free.", FREE_MORE)


def more_forced_than_boxes(pairs: int, boxes: int) -> Refusal:
    return Refusal(f"{pairs} pairs are forced and {boxes} boxes are free.", FREE_MORE)


def cannot_breed(animal: str, why: str) -> str:
    return f"{animal} cannot breed now ({why})"


ONE_CANNOT_BREED = "one of the two cannot breed now"
RECORD_IT = "Record it, or allow what is unknown."
SEE_TO_IT = "Drop it, or see to what is in its way first."
DROP_IT = "Drop it, or the wish against it."


def forced_barred(male: str, female: str, why: str, hint: str) -> Refusal:
    return Refusal(f"the forced pair {male} × {female} may not be made: {why}.", hint)


def boxes_of_which_species(boxes: int, species: tuple[str, ...]) -> str:
    several = f"several species could use them ({', '.join(species)})"
    return f"{boxes} free boxes, and {several}. Name one with --species."


def nobody_of_species(species: str, known: tuple[str, ...]) -> str:
    return f"no grown animal is of `{species}`. {nearest(species, known)}".rstrip()


def solver_gave_up(why: str) -> str:
    return f"no plan could be worked out: {why}"
