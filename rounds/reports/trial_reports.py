"""Reports of a sib trial: its plan, its females, its counts, its verdict, the cost over levels of F."""

from __future__ import annotations

from rounds.reports.columns import Column
from rounds.reports.report import Table, kind, listing_kind

PLAN = kind(
    "trial-plan",
    "Plan of a trial",
    "What a trial of this size could show, and who stands where; a verdict reads it back",
    Table(
        "layout",
        (
            Column("position", "place", "text", "Where the brood stands", always=True),
            Column("arm", "arm", "text", "The arm it belongs to", always=True),
            Column("female", "female", "text", "Its mother", always=True),
            Column("male", "male", "text", "Its father"),
            Column("seed", "", "whole", "Seed of the draw", always=True),
        ),
        "A brood and its place",
    ),
    Table(
        "chances",
        (
            Column("b", "", "number", "A cost: lethal equivalents per gamete", always=True),
            Column("survival", "", "number", "The survival it leaves, 0 to 1", always=True),
            Column("power", "", "number", "How often such a trial finds it, 0 to 1"),
            Column("females", "", "whole", "Females per arm to find it in 8 of 10 trials"),
            Column("claimed", "", "number", "The power that counting eggs one by one would claim, too high"),
        ),
        "What the trial can do about one cost",
    ),
    fields=(
        Column("endpoint", "", "text", "What counts as survived", always=True),
        Column("ends", "", "day", "The last day; nothing is judged before", always=True),
        Column("arms", "", "text", "Both arms, the one compared with last", many=True),
        Column("females", "", "whole", "Females of each arm, in the same order", many=True),
        Column("eggs", "", "whole", "Eggs counted of each female", always=True),
        Column("rho", "", "number", "How alike eggs of one female are, 0 to 1", always=True),
        Column("survival", "", "number", "What the compared arm should reach, 0 to 1", always=True),
        Column("seed", "", "whole", "Seed of the draw", always=True),
        Column("design_effect", "", "number", "1 + (eggs - 1) × rho"),
        Column("effective_eggs", "", "number", "Independent eggs that an arm tells as much as"),
        Column("detectable_survival", "", "number", "The highest survival found in 8 of 10 trials"),
        Column("detectable_b", "", "number", "The cost that stands for"),
        Column("checks", "", "text", "What does not match or is not known", many=True),
    ),
    csv="layout",
)

TRIALS = listing_kind(
    "trials",
    "Trials of the book",
    "A trial with how far it is; no arm is told",
    (
        Column("name", "name", "text", "Its name", always=True),
        Column("species", "species", "text", "Latin name"),
        Column("endpoint", "endpoint", "text", "What counts as survived"),
        Column("opened", "opened", "day", "The day it was opened"),
        Column("stops", "last day", "day", "Its last day"),
        Column("closed", "closed", "day", "The day it was closed"),
        Column("females", "females", "whole", "Females in it"),
        Column("paired", "paired", "whole", "Of those, paired"),
        Column("searched", "searched", "whole", "Of those, searched"),
        Column("out", "out", "whole", "Females that dropped out"),
    ),
)

SEATS = listing_kind(
    "trial-females",
    "Females of a trial",
    "A female of the trial, in the order of the places",
    (
        Column("female", "female", "text", "Line and number", always=True),
        Column("male", "male", "text", "Her male"),
        Column("place", "place", "text", "Where she stands"),
        Column("pairing", "pairing", "text", "Name of her pairing"),
        Column("state", "state", "text", "How far she is", always=True),
        Column("arm", "arm", "text", "Her arm; null while the trial runs, unless asked for"),
        Column("note", "note", "text", "What was noted"),
    ),
)

_TOLD = (
    Column("female", "female", "text", "The mother", always=True),
    Column("eggs", "eggs", "whole", "Eggs of the brood", always=True),
    Column("alive", "survived", "whole", "Of those, survived", always=True),
    Column("male", "male", "text", "The father"),
    Column("f", "F", "number", "F of the offspring", places=3),
    Column("batch", "", "text", "Substrate batch"),
    Column("female_age", "", "number", "Her age at the start", unit="days"),
    Column("male_age", "", "number", "His age at the start", unit="days"),
    Column("left_out", "left out", "text", "Why a verdict leaves it out"),
    Column("note", "note", "text", "What to mind about it"),
)
TALLY = listing_kind(
    "trial-tally",
    "Counts of a trial",
    "A brood with its counts",
    (Column("arm", "arm", "text", "Its arm", always=True), *_TOLD),
)
TALLY_KEPT_BACK = listing_kind(
    "trial-tally-kept-back",
    "Counts of a running trial",
    "A brood with its counts; arm, F and survivors are kept back until the last day",
    tuple(c for c in _TOLD if c.name not in ("alive", "f")),
)

_RANGE = (
    Column("value", "", "number", "The estimate; null for one without limit"),
    Column("low", "", "number", "Low end of its 95% range"),
    Column("high", "", "number", "High end of its 95% range"),
    Column("how", "", "text", "How it was found"),
)


def _figure(name: str, title: str, meaning: str) -> Column:
    return Column(name, title, "object", meaning, of=_RANGE)


def _arm(word: str) -> tuple[Column, ...]:
    return (
        Column(f"{word}_arm", f"{word} arm", "text", "Its name"),
        Column(f"{word}_broods", f"{word} broods", "whole", "Broods of it that were compared"),
        Column(f"{word}_eggs", f"{word} eggs", "whole", "Eggs in them"),
        Column(f"{word}_alive", f"{word} alive", "whole", "Survivors of them"),
        _figure(f"{word}_mean", f"{word} mean of brood shares", "Mean of the shares that survived"),
    )


VERDICT = kind(
    "trial-verdict",
    "Verdict of a trial",
    "What a trial found, with what it could have found",
    fields=(
        Column("finding", "finding", "text", "lower, higher, cannot tell or only described; not yet before the last day", always=True),
        Column("days_left", "days left", "whole", "Days until the trial may be judged"),
        *_arm("reference"),
        *_arm("other"),
        _figure("difference", "difference", "Other mean - reference mean"),
        Column("p", "p", "object", "Two-sided p-value", of=(
            Column("value", "", "number", "The p-value; null where there is none"),
            Column("how", "", "text", "The test, or why there is none"),
        )),
        _figure("reference_fit", "reference beta-binomial mean", "Mean by maximum likelihood"),
        _figure("other_fit", "other beta-binomial mean", "Mean by maximum likelihood"),
        _figure("rho", "rho", "How alike eggs of one female are"),
        _figure("delta", "delta", "Share of survivors lost"),
        _figure("b_per_gamete", "B per gamete", "Lethal equivalents per gamete"),
        _figure("b_per_animal", "2B per animal", "Lethal equivalents per animal"),
        _figure("difference_in_f", "difference in F", "The difference in F that B stands on"),
        _figure("detectable_difference", "detectable difference", "The smallest difference found in 8 of 10 such trials"),
        Column("females_needed", "females per arm for the difference seen", "whole", "Females per arm that would find the difference seen"),
        Column("dropped_out", "dropped out", "object", "Broods that were left out", many=True, of=(
            Column("female", "", "text", "The mother"),
            Column("why", "", "text", "The reason"),
            Column("arm", "", "text", "Her arm"),
        )),
        Column("counted_as_one", "counted as one", "text", "Broods that count as one", many=True),
        Column("notes", "note", "text", "What to mind", many=True),
    ),
)  # fmt: skip

COST = kind(
    "trial-cost",
    "Cost over levels of F",
    "The line -ln S = A + B·F through several levels of F",
    fields=(
        Column("finding", "finding", "text", "What was found", always=True),
        _figure("a", "A", "Loss at F = 0"),
        _figure("b_per_gamete", "B per gamete", "Lethal equivalents per gamete"),
        _figure("b_per_animal", "2B per animal", "Lethal equivalents per animal"),
        _figure("error_of_b", "standard error of B", "Of expected information, eggs independent"),
        _figure("phi", "phi", "Pearson chi-square over rows - 2"),
    ),
)
