"""Sentences of acts about trials."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.problems import Refusal, Unsaid

DROPPED_AFTER_COUNT = "dropped after its brood was counted"
LAST_DAY_HAD_COME = "its last day had come"
WAS_FIXED = "It was fixed when the trial began; the change, the old value and your reason will stand beside the verdict."
NOT_KNOWN = "not known"
_KNOWN = "What came of it is known already, so choosing now can favour an arm; the verdict will say so."
BROOD_COUNTED_ALREADY = f"Her brood was counted already. {_KNOWN}"


def had_her_pairing(female: str, trial: str, pairing: str) -> str:
    return (
        f"{female} had her pairing of the trial {trial}, {pairing}: who fathers her eggs is open from now on."
    )


def drawn_for_another(female: str, male: str, trial: str) -> str:
    his = male or "no male"
    return f"{female} was drawn for {his} in the trial {trial}; with others her brood drops out of it."


def another_male_in_a_trial(trial: str) -> str:
    return f"This pairing is in the trial {trial}: with another male its brood drops out of it."


def drawn_for(trial: str) -> str:
    return f"drawn for the trial {trial}"


def opened_anew(change: str, endpoint: str, day: str) -> str:
    fixed = f"endpoint {endpoint}, last day {day}"
    return f"{change}: opened anew after an opening with {fixed} was taken back"


def was_closed(trial: str, day: str) -> Refusal:
    return Refusal(f"{trial} was closed on {day}.", "Nothing is changed after that.")


def in_no_running_trial(animal: str, others: Sequence[str]) -> Refusal:
    return Refusal(
        f"{animal} is in no running trial.",
        f"In running trials: {', '.join(others)}." if others else "No trial is running.",
    )


def dropped_out(trial: str) -> str:
    return f"dropped out of the trial {trial}"


def before_it_began(day: str, trial: str, began: str) -> Refusal:
    return Refusal(f"{day} is before {trial} began ({began}).", "Give a later day.")


def belongs_to_no_arm(pairing: str, purpose: str) -> Refusal:
    return Refusal(f"{pairing} was {purpose}: it belongs to no arm.", "Give one made for sibs or as a cross.")


def several_fathers(pairing: str, males: int) -> Refusal:
    return Refusal(
        f"{pairing} has {males} males, so the father is not known.", "Give a pairing with one male."
    )


def female_was_in_a_trial(female: str, trial: str) -> Refusal:
    return Refusal(f"its female, {female}, is or was in the trial {trial}.", "A female counts once.")


def was_searched(pairing: str, searches: int) -> str:
    return f"{pairing} was searched {times(searches)}. {_KNOWN}"


def not_drawn(pairing: str, since: str, day: str, searches: int) -> str:
    seen = f", searched {times(searches)} before that" if searches else ""
    return f"not drawn: {pairing}, paired {since or 'nobody knows when'}, joined on {day}{seen}"


def times(n: int) -> str:
    return {1: "once", 2: "twice"}.get(n, f"{n} times")


def nothing_to_change() -> Refusal:
    return Refusal("and the last day stay as they are.", "Give endpoint=… or stops=….")


def to_end_it_now(what: str) -> Refusal:
    return Refusal(what, "To end it now record `trial-close`.")


def by_keeper(change: str, keeper: str) -> str:
    return f"{change} by {keeper}" if keeper else change


def endpoint_changed(change: str, before: str, endpoint: str, reason: str) -> str:
    return f"{change}: endpoint {before} -> {endpoint}, because {reason}"


def last_day_changed(change: str, before: str, day: str, reason: str) -> str:
    return f"{change}: last day {before} -> {day}, because {reason}"


def marked_already(trial: str, mark: str) -> Refusal:
    return Refusal(f"{trial} was {mark} already.", "There is nothing to record.")


def ends_before_its_last_day(day: str) -> Refusal:
    return Unsaid("is needed.", f"Its last day is {day}: say why it ends before.")


def ended_early(trial: str, day: str) -> str:
    return f"{trial} was to run until {day}: ended early, it tells less than it seems to."


def trial_closed(trial: str) -> str:
    return f"the trial {trial} was closed"


def one_male_for_each(males: int, females: int) -> Refusal:
    return Refusal(f"{males} males for {females} females.", "One male for each female, in the same order.")


def one_place_for_each(places: int, females: int) -> Refusal:
    return Refusal(f"{places} places for {females} females.", "One for each, or none at all.")


def last_day_not_to_come(day: str) -> Refusal:
    return Refusal(f"{day} is not after today.", "A trial is judged on a day after today.")


def has_an_open_plan(female: str, plan: str) -> Refusal:
    return Refusal(f"{female} has an open plan, {plan}.", f"Record `plan-drop {plan}` first.")


def is_in_the_trial(female: str, trial: str) -> Refusal:
    return Refusal(f"{female} is in the trial {trial}.", "Name another, or record `trial-out` first.")


def drawn_for_the_trial(male: str, trial: str) -> Refusal:
    return Refusal(f"{male} is drawn for the trial {trial}.", "Name another.")


def in_both_arms(animal: str) -> Refusal:
    return Refusal(f"{animal} is in both arms.", "All its broods would drop out: name another.")


def several_species(animals: Iterable[tuple[str, str]]) -> Refusal:
    told = ", ".join(f"{animal} {species or NOT_KNOWN}" for animal, species in animals)
    return Refusal(f"they are not of one species: {told}.", "A trial compares animals of one species.")


def are_kin(female: str, male: str, how: str, *, close: bool) -> str:
    closer = "as close as the other arm" if close else "which lessens what the trial compares"
    return f"{female} and {male} are {how}, {closer}."


def may_lay_of_another(female: str, why: str) -> str:
    return f"{female} may lay eggs of an earlier male ({why}): her brood would drop out."
