"""What is said of a pair: why it may not be made, why this one, what to mind; and of who cannot breed now."""

from __future__ import annotations

from rounds.text.reading_text import reading_text, short

# Why two may not be paired; such pairs are counted under these words.
FORBIDDEN = "forbidden by you"
LINES_APART = "lines kept apart"
F_TOO_HIGH = "F above the limit"


def another(barrier: str) -> str:
    return f"another {barrier}"


def not_recorded(barrier: str) -> str:
    return f"{barrier} not recorded"


def up_to(f: float) -> str:
    return f"up to {short(f)}"


def barred(kind: str, about: str = "") -> str:
    return f"{kind} ({about})" if about else kind


# What to mind.

FULL_SIBS = "full sibs: the same two parents are recorded for both"


def crosses_species(one: str, other: str) -> str:
    return f"another species: {one} with {other}; their young are hybrids, to be kept and passed on as such"


def may_be_another(animal: str, why: str) -> str:
    return f"{animal} may be another animal ({why}): ranked by the closest kin it could be"


def costs_days(share: float) -> str:
    """``share`` of the days wanted together is missing, 0 to 1."""
    return f"too few days awake together: ranked as if F were {short(share)} higher"


def tie_for_her(female: str, other: str, ties: int, males: int) -> str:
    """``ties`` males are as good for her as this one, ``other`` among them."""
    more = f" and {ties - 1} more" if ties > 1 else ""
    return f"a tie: of {males} males for {female}, {other}{more} would be as good"


def same_or_another(barrier: str, animal: str) -> str:
    return f"the {barrier} of {animal} is not recorded: the same or another, nobody can tell"


def crosses_lines(line: str, other: str, *, origins_known: bool) -> str:
    unknown = "" if origins_known else "; where either comes from is not recorded"
    return f"crosses the lines {line} and {other}{unknown}"


def free_once_parted(male: str, pairing: str) -> str:
    return f"{male} is paired now ({pairing}): free once they are parted"


# Whether they are awake together; days as they are written in files.


def never_awake_together(first: str, until: str, second: str, since: str, days_apart: int) -> str:
    return f"not awake together: {_follows(first, until, second, since)}, {days_apart} days apart"


def awake_too_briefly(first: str, until: str, second: str, since: str, days: int) -> str:
    return f"awake together for {days} days at most: {_follows(first, until, second, since)}"


def _follows(first: str, until: str, second: str, since: str) -> str:
    return f"{first} until {until}, {second} from {since}"


def past_its_life(animal: str, since: str) -> str:
    return f"past the usual active life of its species: {animal}, since {since}"


def few_days_left(animal: str, until: str, days: int) -> str:
    return f"awake together for {days} more days at most: {animal} until {until}"


AWAKE_NOT_KNOWN = "not known whether they are awake together"


def both_awake_until(day: str) -> str:
    return f"both awake until {day} at the longest"


def line_out_of_step(
    line: str, males: tuple[str, str], females: tuple[str, str], days: int, *, from_today: bool
) -> str:
    awake = f"males awake {' to '.join(males)}, females {' to '.join(females)}"
    return f"{line or 'no line'}: {awake}, never {days} days together{' from today on' if from_today else ''}"


# Why this pair.

ASKED_FOR = "asked for by you"


def only_male(female: str) -> str:
    return f"the only male for {female}"


def best_male(female: str, males: int) -> str:
    return f"the best of {males} males for {female}"


def later_male(female: str, place: int, males: int, *, better_elsewhere: bool, in_plan: bool) -> str:
    at = f"number {place} of {males} males for {female}"
    if better_elsewhere:
        return f"{at}; better ones are used elsewhere in this plan"
    return f"{at}; with him the young of all pairs together are the least related" if in_plan else at


def for_her(males: int, place: int, ties: tuple[str, ...], *, better_elsewhere: bool) -> str:
    """The same in a few words: the male is at ``place`` of so many for her, level with ``ties``."""
    if males == 1:
        return "the only male for her"
    if ties:
        more = f" and {len(ties) - 1} more" if len(ties) > 1 else ""
        return f"level with {ties[0]}{more}, of {males} males for her"
    if place == 1:
        return f"best of {males} males for her"
    return f"number {place} of {males} males for her{', better ones are in other pairs' if better_elsewhere else ''}"


def origins_not_recorded(lines: tuple[str, ...]) -> str:
    return f"where these lines come from is not recorded: {', '.join(lines)}; bear that in mind before you cross them"


def f_of_offspring(low: float, usual: float, high: float, *, exact: bool) -> str:
    return f"F of the offspring {reading_text(low, usual, high)}" + ("" if exact else " (outer bounds)")


def mean_kinship(animal: str, mean: float, group: float) -> str:
    return f"mean kinship of {animal} {short(mean)}, the living group's {short(group)}"


def change_of_group(low: float, high: float) -> str:
    moved = f"{low:+.4f}" if high - low < 5e-5 else f"{low:+.4f} to {high:+.4f}"
    return f"one offspring of theirs changes the group's mean kinship by {moved}"


def chosen_for(low: float, usual: float, high: float) -> str:
    return f"F {reading_text(low, usual, high)}"


def next_best(whose: str, animal: str, f: float, more: float) -> str:
    """``whose``: her or his."""
    return f"{whose} next best {animal} (F at most {short(f)}, cost {more:+.4f})"


# What is being worked out.

WHO_CAN_BREED = "who can breed …"
PEDIGREE = "pedigree …"
COMMON_ANCESTORS = "common ancestors …"


def plan_is_looked_for(step: int) -> str:
    return f"the best plan, step {step} …"


def kinship_among(males: int, females: int) -> str:
    return f"kinship of {males} males and {females} females …"


def kinship_with_living(living: int) -> str:
    return f"kinship with {living} living …"


def so_many_pairs(pairs: int) -> str:
    return f"{pairs} pairs …"


def within_species(species: str, step: str) -> str:
    return f"{species}: {step}"


NO_SPECIES = "no species"
