"""Reports of a sib trial: its plan, its females, its counts, its verdict, the cost over levels of F."""

from __future__ import annotations

from rounds.reports.report import ReportTable, kind, listing_kind
from rounds.reports.report_columns import ReportColumn

PLAN = kind(
    "trial-plan",
    "Plan of a trial",
    "What a trial of this size could show, and who stands where; a verdict reads it back",
    ReportTable(
        "layout",
        (
            ReportColumn("position", "place", "text", "Where the brood stands", always=True),
            ReportColumn("arm", "arm", "text", "The arm it belongs to", always=True),
            ReportColumn("female", "female", "text", "Its mother", always=True),
            ReportColumn("male", "male", "text", "Its father"),
            ReportColumn("seed", "", "whole", "Seed of the draw", always=True),
        ),
        "A brood and its place",
    ),
    ReportTable(
        "chances",
        (
            ReportColumn("b", "", "number", "A cost: lethal equivalents per gamete", always=True),
            ReportColumn("survival", "", "number", "The survival it leaves, 0 to 1", always=True),
            ReportColumn("power", "", "number", "How often such a trial finds it, 0 to 1"),
            ReportColumn("females", "", "whole", "Females per arm to find it in 8 of 10 trials"),
            ReportColumn(
                "claimed", "", "number", "The power that counting eggs one by one would claim, too high"
            ),
        ),
        "What the trial can do about one cost",
    ),
    fields=(
        ReportColumn("endpoint", "", "text", "What counts as survived", always=True),
        ReportColumn("ends", "", "day", "The last day; nothing is judged before", always=True),
        ReportColumn("arms", "", "text", "Both arms, the one compared with last", many=True),
        ReportColumn("females", "", "whole", "Females of each arm, in the same order", many=True),
        ReportColumn("eggs", "", "whole", "Eggs counted of each female", always=True),
        ReportColumn("rho", "", "number", "How alike eggs of one female are, 0 to 1", always=True),
        ReportColumn("survival", "", "number", "What the compared arm should reach, 0 to 1", always=True),
        ReportColumn("seed", "", "whole", "Seed of the draw", always=True),
        ReportColumn("design_effect", "", "number", "1 + (eggs - 1) × rho"),
        ReportColumn("effective_eggs", "", "number", "Independent eggs that an arm tells as much as"),
        ReportColumn("detectable_survival", "", "number", "The highest survival found in 8 of 10 trials"),
        ReportColumn("detectable_b", "", "number", "The cost that stands for"),
        ReportColumn("checks", "", "text", "What does not match or is not known", many=True),
    ),
    csv="layout",
)

TRIALS = listing_kind(
    "trials",
    "Trials of the book",
    "A trial with how far it is; no arm is told",
    (
        ReportColumn("name", "name", "text", "Its name", always=True),
        ReportColumn("species", "species", "text", "Latin name"),
        ReportColumn("endpoint", "endpoint", "text", "What counts as survived"),
        ReportColumn("opened", "opened", "day", "The day it was opened"),
        ReportColumn("stops", "last day", "day", "Its last day"),
        ReportColumn("closed", "closed", "day", "The day it was closed"),
        ReportColumn("females", "females", "whole", "Females in it"),
        ReportColumn("paired", "paired", "whole", "Of those, paired"),
        ReportColumn("searched", "searched", "whole", "Of those, searched"),
        ReportColumn("out", "out", "whole", "Females that dropped out"),
    ),
)

SEATS = listing_kind(
    "trial-females",
    "Females of a trial",
    "A female of the trial, in the order of the places",
    (
        ReportColumn("female", "female", "text", "Line and number", always=True),
        ReportColumn("male", "male", "text", "Her male"),
        ReportColumn("place", "drawn for", "text", "The place drawn for her brood"),
        ReportColumn(
            "stands", "stands at", "text", "Where she or her brood stands now; null where nobody is left"
        ),
        ReportColumn("pairing", "pairing", "text", "Name of her pairing"),
        ReportColumn("state", "state", "text", "How far she is", always=True),
        ReportColumn("arm", "arm", "text", "Her arm; null while the trial runs, unless asked for"),
        ReportColumn("note", "note", "text", "What was noted"),
    ),
)

_TOLD = (
    ReportColumn("female", "female", "text", "The mother", always=True),
    ReportColumn("eggs", "eggs", "whole", "Eggs and larvae of the brood when first counted", always=True),
    ReportColumn("larvae", "larvae", "whole", "Of those, larvae already; null where it is not known"),
    ReportColumn("alive", "survived", "whole", "Of those, survived", always=True),
    ReportColumn("male", "male", "text", "The father"),
    ReportColumn("f", "F", "number", "F of the offspring", places=3),
    ReportColumn("batch", "", "text", "Substrate batch"),
    ReportColumn("female_age", "", "number", "Her age at the start", unit="days"),
    ReportColumn("male_age", "", "number", "His age at the start", unit="days"),
    ReportColumn("left_out", "left out", "text", "Why a verdict leaves it out"),
    ReportColumn("note", "note", "text", "What to mind about it"),
)
TALLY = listing_kind(
    "trial-tally",
    "Counts of a trial",
    "A brood with its counts",
    (ReportColumn("arm", "arm", "text", "Its arm", always=True), *_TOLD),
)
TALLY_KEPT_BACK = listing_kind(
    "trial-tally-kept-back",
    "Counts of a running trial",
    "A brood with its counts; arm, F and survivors are kept back until the last day",
    tuple(c for c in _TOLD if c.name not in ("alive", "f")),
)

_RANGE = (
    ReportColumn("value", "", "number", "The estimate; null for one without limit"),
    ReportColumn("low", "", "number", "Low end of its 95% range"),
    ReportColumn("high", "", "number", "High end of its 95% range"),
    ReportColumn("how", "", "text", "How it was found"),
)


def _figure(name: str, title: str, meaning: str) -> ReportColumn:
    return ReportColumn(name, title, "object", meaning, of=_RANGE)


def _arm(word: str) -> tuple[ReportColumn, ...]:
    return (
        ReportColumn(f"{word}_arm", f"{word} arm", "text", "Its name"),
        ReportColumn(f"{word}_broods", f"{word} broods", "whole", "Broods of it that were compared"),
        ReportColumn(f"{word}_eggs", f"{word} eggs", "whole", "Eggs in them"),
        ReportColumn(f"{word}_alive", f"{word} alive", "whole", "Survivors of them"),
        _figure(f"{word}_mean", f"{word} mean of brood shares", "Mean of the shares that survived"),
    )


VERDICT = kind(
    "trial-verdict",
    "Verdict of a trial",
    "What a trial found, with what it could have found",
    fields=(
        ReportColumn(
            "finding",
            "finding",
            "text",
            "lower, higher, cannot tell or only described; not yet before the last day",
            always=True,
        ),
        ReportColumn("days_left", "days left", "whole", "Days until the trial may be judged"),
        *_arm("reference"),
        *_arm("other"),
        _figure("difference", "difference", "Other mean - reference mean"),
        ReportColumn(
            "p",
            "p",
            "object",
            "Two-sided p-value",
            of=(
                ReportColumn("value", "", "number", "The p-value; null where there is none"),
                ReportColumn("how", "", "text", "The test, or why there is none"),
            ),
        ),
        _figure("reference_fit", "reference beta-binomial mean", "Mean by maximum likelihood"),
        _figure("other_fit", "other beta-binomial mean", "Mean by maximum likelihood"),
        _figure("reference_rho", "reference rho", "How alike eggs of one female are in that arm"),
        _figure("other_rho", "other rho", "How alike eggs of one female are in that arm"),
        _figure("rho", "rho", "How alike eggs of one female are, taken alike in both arms"),
        _figure("delta", "delta", "Share of survivors lost"),
        _figure("b_per_gamete", "B per gamete", "Lethal equivalents per gamete"),
        _figure("b_per_animal", "2B per animal", "Lethal equivalents per animal"),
        _figure("difference_in_f", "difference in F", "The difference in F that B stands on"),
        _figure(
            "detectable_difference",
            "detectable difference",
            "The smallest difference found in 8 of 10 such trials",
        ),
        ReportColumn(
            "females_needed",
            "females per arm for the difference seen",
            "whole",
            "Females per arm that would find the difference seen",
        ),
        ReportColumn(
            "dropped_out",
            "dropped out",
            "object",
            "Broods that were left out",
            many=True,
            of=(
                ReportColumn("female", "", "text", "The mother"),
                ReportColumn("why", "", "text", "The reason"),
                ReportColumn("arm", "", "text", "Her arm"),
            ),
        ),
        ReportColumn("counted_as_one", "counted as one", "text", "Broods that count as one", many=True),
        ReportColumn("notes", "note", "text", "What to mind", many=True),
    ),
)

COST = kind(
    "trial-cost",
    "Cost over levels of F",
    "The line -ln S = A + B·F through several levels of F",
    fields=(
        ReportColumn("finding", "finding", "text", "What was found", always=True),
        _figure("a", "A", "Loss at F = 0"),
        _figure("b_per_gamete", "B per gamete", "Lethal equivalents per gamete"),
        _figure("b_per_animal", "2B per animal", "Lethal equivalents per animal"),
        _figure("error_of_b", "standard error of B", "Of expected information, eggs independent"),
        _figure("phi", "phi", "Pearson chi-square over rows - 2"),
    ),
)
