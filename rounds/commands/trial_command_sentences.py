"""What ``rounds trial`` refuses and says beside its reports."""

from __future__ import annotations

from rounds.text.plurals import many
from rounds.text.reading_text import same, short

# Options that do not go together.

OWN_COUNTS = "a trial of the book has its own counts: leave --counts out."
OWN_PLAN = "a trial of the book has its own plan and counts: leave --plan and --counts out."
EARLY_NEEDS_NAME = "--early is for a trial of the book: give its NAME."
EARLY_NEEDS_PLAN = "--early needs to know the last day: give the trial's NAME, or --plan."
LEVELS_ALONE = "--levels stands alone: a cost over levels of F has no arms."
RECORD_IS_TEXT = "--record prints the trial as text: leave --as out."
ONLY_WITH_RECORD = "--keeper and --sure go with --record: without it nothing is recorded."


def needs_name(option: str) -> str:
    return f"{option} is for a trial of the book: give the trial a NAME."


def fixed_at_start(option: str) -> str:
    return f"--{option} was fixed when the trial began: leave it out."


# What is asked for.

FOR_EXAMPLE_ARMS = "For example sib,outcross."
EXPECTED_ARMS = "Expected sib or outcross."


NONE_OPENED = "None was opened yet."


def there_are(names: tuple[str, ...]) -> str:
    return f"There are: {', '.join(names)}."


def no_trial(name: str, hint: str) -> str:
    """``hint`` names the nearest, or is one of the two above."""
    return f"the book holds no trial `{name}`. {hint}"


def is_open(name: str) -> str:
    return f"the book holds a trial `{name}` already. Give another name."


def no_two_names(arms: str) -> str:
    return f"`{arms}` is not two names."


def ends_too_soon(typed: str) -> str:
    return f"--ends: `{typed}` is not after today. A trial ends on a day to come."


def other_arms(first: str, second: str) -> str:
    return f"--arms: a trial of the book compares {first} with {second}. Leave it out."


def no_endpoint(typed: str, endpoints: tuple[str, ...], meant: str) -> str:
    """``meant`` is the hint with the nearest one, if any is near; so in what follows."""
    known = ", ".join(endpoints)
    return (
        f"--endpoint: `{typed}` cannot be counted from the book. Expected one of: {known}. {meant}".rstrip()
    )


def none_of_species(typed: str, hint: str) -> str:
    """``hint`` names the nearest, or those there are."""
    return f"--species: no grown animal with a number is of `{typed}`. {hint}"


def name_the_species(there: tuple[str, ...]) -> str:
    return f"--species: name the one the trial is about ({', '.join(there) or 'the book holds no grown animal'})."


def no_line_of_species(typed: str, meant: str) -> str:
    return f"--species: no line is of `{typed}`. {meant}".rstrip()


def no_batch(name: str, meant: str) -> str:
    return f"--batch: the book holds no batch `{name}`. {meant}".rstrip()


def no_arm_of_a_trial(arm: str) -> str:
    return f"the arm `{arm}` is none of a trial's."


def not_in_plan(arm: str, meant: str) -> str:
    return f"the arm `{arm}` is not in the plan. {meant}".rstrip()


def no_arm(arm: str) -> str:
    return f"there is no arm `{arm}`."


def no_reference(arm: str, meant: str) -> str:
    return f"--reference: there is no arm `{arm}`. {meant}".rstrip()


def no_f(text: str, arm: str) -> str:
    return f"`{text}` cannot be the F of {arm}, expected 0 to 1."


# A plan.

GIVE_PLAN_FILE = "Give the file of `trial plan --as json`."
TOO_DEEP = "is nested too deeply."
NO_PLAN = "is no plan: it needs endpoint, ends (YYYY-MM-DD) and two arms."
ARM_IS_NO_TEXT = "is no plan: an arm's name is not a text."
NO_POSITIONS = "! no --positions were given: the numbers are an order, for places of your own choice"


def no_json(problem: str) -> str:
    return f"is not JSON: {problem}."


def too_few_free(
    species: str, females: int, males: int, gives: str, not_free: tuple[str, ...], more: int
) -> str:
    """``not_free`` are animals with the reason in brackets; ``more`` of them are not named."""
    return (
        f"{species}: {many(females, 'female')} and {many(males, 'male')} are free, which gives {gives}. "
        "Each female needs a male of her own: a full sib, or for the cross one whose young have F at most 0.0625 for "
        f"certain. Ask for fewer with --females, or name pairs with --pairs. Not free: "
        f"{', '.join(not_free) or 'nobody else'}{f' and {more} more' if more else ''}."
    )


def not_free(animal: str, why: str) -> str:
    return f"{animal} ({why})"


def drawn_pair(female: str, male: str, low: float, high: float) -> str:
    f = short(low) if same(low, high) else f"{short(low)} to {short(high)}"
    return f"{female} × {male}: F of their young {f}"


def only_one_arm(animals: tuple[str, ...]) -> str:
    return f"! for {', '.join(animals)} only one arm was possible, so theirs was not left to chance"


def place_in_use(place: str, boxes: tuple[str, ...]) -> str:
    return f"! at {place} stands {', '.join(boxes)}, in use: it has to move first"


def to_open_it(seed: int) -> str:
    return f"Nothing is recorded. To open it as it stands here: the same with --seed {seed} --record"


# A trial that runs.

LOOKED_EARLY = "That it was looked at early is written down in the book, and its verdict will say so."
NOT_PAIRED = "not paired yet"
NOT_SEARCHED = "paired, not searched yet"


def dropped_out(day: str, why: str) -> str:
    return f"dropped out on {day}: {why}"


def searched(times: str) -> str:
    """``times`` is how often, in words."""
    return f"paired, searched {times}"


# Counts.

NOTHING_SEARCHED = "the book holds no searched pairing made for `sibs` or `cross` in those days. Counts from elsewhere: --counts FILE."


def running_left_out(pairings: int) -> str:
    return f"{pairings} pairings of trials that run are left out: rounds trial tally NAME"


def f_is_a_range(low: float, high: float) -> str:
    return f"F {short(low)} to {short(high)}, parents further back are not recorded"


def close_kin(low: float) -> str:
    return f"recorded as a cross, but its parents are close kin (F {short(low)} at the least)"


def no_sibs(high: float) -> str:
    return f"recorded as sibs, but F is {short(high)} at the most"


# A verdict.

NO_PLAN_GIVEN = "no plan was given: whether endpoint and last day were fixed beforehand is not known (--plan)"


def nothing_survived(file: str) -> str:
    return f"{file}: nothing survived at any level, so there is no survival to lose."


def endpoint_as_planned(endpoint: str) -> str:
    return f"endpoint as planned: {endpoint}"


def of_trial(trial: str, settled: str) -> str:
    """``settled``: its endpoint and last day."""
    return f"{trial}: {settled}"


def one_arm(arm: str) -> str:
    return f"there is one arm, {arm}: a trial compares two."


def nothing_left(arms: tuple[str, ...], gone: tuple[str, ...], more: int) -> str:
    """A line for each brood that is ``gone``; ``more`` of them are not named."""
    lines = [f"cannot tell: nothing is left to compare in {', '.join(arms)}. Dropped out:", *gone]
    return "\n".join([*lines, *([f"  and {more} more"] if more else [])])


def gone(arm: str, female: str, why: str) -> str:
    return f"  {arm} {female}: {why}"


def not_before(day: str) -> str:
    return (
        f"the plan ends on {day}: looking before then makes a false find "
        "likelier. Nothing is judged today (--early looks all the same, and says so)."
    )
