"""What is said of a rule's condition that cannot be read, or that can never hold."""

from __future__ import annotations

from rounds.problems import Refusal

EMPTY = Refusal("an empty condition.", "Give a reading or a measure and what it must be.")
READING_OR_MEASURE = Refusal("a comparison needs either `reading` or `measure`.")
OF_BESIDE_READING = Refusal("`of` belongs to a measure, not to a reading.")


def stands_alone(word: str, other: str) -> Refusal:
    return Refusal(f"`{word}` stands alone, not beside `{other}`.", "Put both in `all`.")


def no_conditions(word: str) -> Refusal:
    return Refusal(f"`{word}` is empty.", "List at least one condition.")


def no_answers(comparison: str) -> Refusal:
    return Refusal(f"`{comparison}` is empty.", "List at least one answer.")


def no_comparison(known: tuple[str, ...]) -> Refusal:
    return Refusal("nothing to compare with.", f"Give one of: {', '.join(known)}.")


def no_plausible_range(name: str) -> Refusal:
    hint = "Give its entry in readings.yaml `plausible: [lowest, highest]`, or compare with numbers here."
    return Refusal(f"`{name}` has no range of what is plausible.", hint)


def reading_not_there(measure: str, reading: str) -> Refusal:
    return Refusal(f"`{measure}` is made from the reading `{reading}`, which does not exist.")


def not_of_a_reading(measure: str) -> Refusal:
    return Refusal(f"`{measure}` is not asked about a reading.", "Leave `of` out.")


def of_wrong_type(measure: str, types: tuple[str, ...], reading: str, type_: str) -> Refusal:
    return Refusal(f"`{measure}` needs a {' or '.join(types)}, and `{reading}` is a {type_}.")


def comparison_does_not_fit(name: str, type_: str, comparison: str, fitting: tuple[str, ...]) -> Refusal:
    said = f"`{name}` is a {type_}, so `{comparison}` cannot be used."
    return Refusal(said, f"Use one of: {', '.join(fitting)}.")


def beyond_its_limits(
    name: str, least: str, most: str | None, comparison: str, number: str, *, always: bool
) -> Refusal:
    limits = f"at least {least}" if most is None else f"{least} to {most}"
    holds = "always" if always else "never"
    return Refusal(f"`{name}` is {limits}, so `{comparison}: {number}` {holds} holds.")


def never_at_once(name: str, comparisons: tuple[str, ...]) -> Refusal:
    return Refusal(f"`{name}` can never be {' and '.join(comparisons)} at once.", "Change one of them.")
