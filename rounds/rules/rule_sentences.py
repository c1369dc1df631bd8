"""What is said of a file of rules that cannot be taken; what a rule is called stands before each sentence."""

from __future__ import annotations

from rounds.problems import Refusal, nearest

RULES_FILE = "rules file"
NO_RULES = Refusal("the list `rules` is missing.", "Put the rules under `rules:`.")
NO_WHEN = Refusal("the field `when` is missing.")
ID_SIGNS = Refusal("an `id` is made of small letters, digits and hyphens, 60 at most.")
LASTING = Refusal("`lasting` needs either `visits` or `days`.")
ENDS_AFTER = Refusal("`ends_after` needs `visits`.")


def rule(id_: str) -> str:
    return f"rule `{id_}`" if id_ else "rule"


def nothing_to_switch_off(id_: str, known: tuple[str, ...]) -> Refusal:
    return Refusal("there is no such rule to switch off.", nearest(id_, known))


def defined_twice(what: str, file: str, line_number: int) -> Refusal:
    """``what``: the rule as it is called."""
    return Refusal(f"{what} is defined twice; the first is at {file}:{line_number}.", "Keep one of them.")


def applies_nowhere(key: str) -> Refusal:
    return Refusal(f"`{key}` is empty, so the rule would apply nowhere.", "Leave it out for all.")


def in_both_lists(species: str) -> Refusal:
    return Refusal(f"`{species}` is in both lists of species.")


def number_of_looks(key: str, most: int) -> Refusal:
    return Refusal(f"`{key}` must be 1 to {most}.")


def needs_bring(level: str) -> Refusal:
    return Refusal(f"a rule of level `{level}` needs `bring`.")


def bring_of_another_level(level: str) -> Refusal:
    return Refusal(f"`bring` belongs to rules of level `{level}`.")


def no_amount(item: str, per_adult: str, written: str) -> Refusal:
    return Refusal(f"`{item}` must be a number or `{per_adult}`.", nearest(written, [per_adult]))


def amount_out_of_range(item: str) -> Refusal:
    return Refusal(f"`{item}` must be over 0 and at most 1000.")


# Texts.


def wrong_braces(key: str, why: str) -> Refusal:
    return Refusal(f"`{key}` has {why}.", "Write {name} around a value, no other braces.")


def no_such_value(name: str, hint: str) -> Refusal:
    return Refusal(f"`{{{name}}}` is no reading or measure.", hint)


def needs_no_of(measure: str) -> str:
    return f"`{measure}` needs no `of`."


def needs_a(measure: str, types: tuple[str, ...]) -> str:
    return f"`{measure}` needs a {' or '.join(types)}."


def counts_no_days(name: str) -> Refusal:
    return Refusal(
        f"`{name}` is no number of days.", "After `date of` stands a measure in days, or `held_days`."
    )


def write_of_reading(measure: str) -> str:
    return f"Write {{{measure} of READING}}."


def no_stage(name: str, known: tuple[str, ...], otherwise: str) -> Refusal:
    return Refusal(
        f"`do` names no stage `{name}`.", nearest(name, known) or f"Give a stage or `{otherwise}`."
    )


def not_for_stage(stage: str) -> Refusal:
    return Refusal(f"the rule does not apply to stage `{stage}`.", "Add it to `applies`.")


def two_texts(stage: str) -> Refusal:
    return Refusal(f"`do` has two texts for `{stage}`.", "Keep one of them.")


def no_text_for(stages: tuple[str, ...], otherwise: str) -> Refusal:
    return Refusal(f"`do` has no text for {', '.join(stages)}.", f"Add them, or `{otherwise}`.")


def never_tell(word: str, stage: str, *, for_the_rest: bool) -> Refusal:
    hint = "Give that stage a text of its own." if for_the_rest else "Say it another way."
    return Refusal(f"never tell a keeper to `{word}` in stage `{stage}`.", hint)


def order_out_of_range(most: int) -> Refusal:
    return Refusal(f"`order` must be 1 to {most}.")


def covers_nothing(rule: str, covered: str, known: tuple[str, ...]) -> Refusal:
    return Refusal(f"rule `{rule}`: it covers `{covered}`, which is no rule.", nearest(covered, known))


def short_line(most: int) -> Refusal:
    return Refusal(f"`short` must be one line of {most} characters at most, with no value to fill in.")


def no_title(rule: str, taken: str, most: int) -> Refusal:
    """``taken`` is the headline that is shown instead."""
    return Refusal(
        f"rule `{rule}` has no title, so its headline is “{taken}”.",
        f"A `title` of at most {most} characters says it better.",
    )


def long_title(rule: str, taken: str, most: int) -> Refusal:
    return Refusal(
        f"rule `{rule}` has a title too long for a headline, which is “{taken}”.",
        f"Keep `title` to {most} characters; the rest belongs in `because`.",
    )


def no_short(rule: str, taken: str, most: int) -> Refusal:
    """``taken`` is the line that is shown instead."""
    return Refusal(
        f"rule `{rule}` begins what to do with a long sentence; its one line is “{taken}”.",
        f"`short` beside `text` says it in at most {most} characters.",
    )
