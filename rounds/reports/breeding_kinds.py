"""Reports for breeding: inbreeding and kinship, lines as a whole, whom to pair, plans."""

from __future__ import annotations

from rounds.reports.report import ReportTable, kind, listing_kind
from rounds.reports.report_columns import ReportColumn

UNRELATED = "parents not recorded taken as unrelated"
AS_SIBS = "parents not recorded taken as full sibs of their line's founders"
AT_MOST = "at most: parents not recorded may be any animal of that line, mature and alive then"

EXACT = "Are low and the usual reading exact, not outer bounds?"

KINSHIP = listing_kind(
    "kinship",
    "Inbreeding",
    "An animal with its coefficient of inbreeding F, and how much of its pedigree is known",
    (
        ReportColumn("animal", "animal", "text", "Line and number, or the name of a table", always=True),
        ReportColumn("line", "", "text", "Its line"),
        ReportColumn("sex", "", "text", "Its sex; `group` for several animals"),
        ReportColumn("sire", "", "text", "Its father; possible ones parted by |, ? for one not recorded"),
        ReportColumn("dam", "", "text", "Its mother"),
        ReportColumn("f_low", "", "number", f"F, {UNRELATED}", always=True),
        ReportColumn("f_usual", "", "number", f"F, {AS_SIBS}", always=True),
        ReportColumn("f_high", "", "number", f"F {AT_MOST}", always=True),
        ReportColumn("exact", "", "yesno", EXACT, always=True),
        ReportColumn(
            "doubt", "", "text", "Why its label may be another's: then at most goes by the worst case"
        ),
        ReportColumn("", "F"),
        ReportColumn("", "at most", align="right"),
        ReportColumn("", "generations", align="right"),
        ReportColumn("full_generations", "", "whole", "Generations back of which every ancestor is known"),
        ReportColumn("deepest_generation", "", "whole", "Generations back to the oldest ancestor known"),
        ReportColumn(
            "equivalent_generations", "", "number", "Sum over known ancestors of (1/2)^generations back"
        ),
        ReportColumn(
            "completeness", "", "number", "Share of ancestors known in the generations looked at, 0 to 1"
        ),
        ReportColumn("", "known", align="right"),
        ReportColumn("", "parents"),
    ),
)

MATRIX = listing_kind(
    "kinship-matrix",
    "Kinship of every two animals",
    "Two animals and their coefficient of kinship",
    (
        ReportColumn("a", "", "text", "One animal", always=True),
        ReportColumn("b", "", "text", "The other", always=True),
        ReportColumn("low", "", "number", f"Their kinship, {UNRELATED}", always=True),
        ReportColumn("usual", "", "number", f"Their kinship, {AS_SIBS}", always=True),
        ReportColumn("high", "", "number", f"Their kinship {AT_MOST}", always=True),
        ReportColumn("exact", "", "yesno", EXACT, always=True),
    ),
)

_SOURCE = (
    ReportColumn("ancestor", "", "text", "The ancestor that adds to the kinship"),
    ReportColumn(
        "kind", "", "text", "What it is: an animal, a group, unknown parents, declared, further back"
    ),
    ReportColumn("adds", "", "number", "How much of the kinship comes from it"),
    ReportColumn("steps_a", "", "whole", "Generations from the first animal back to it"),
    ReportColumn("steps_b", "", "whole", "Generations from the second animal back to it"),
)
BETWEEN = kind(
    "kinship-between",
    "Kinship of two animals",
    "Two animals, their kinship, and the ancestors it comes from",
    ReportTable(
        "sources",
        (
            ReportColumn("a", "", "text", "One animal", always=True),
            ReportColumn("b", "", "text", "The other", always=True),
            ReportColumn(
                "end", "", "text", "Which reading the row adds up to", words=("low", "usual", "high")
            ),
            ReportColumn("kinship", "", "number", "The kinship in this reading", always=True),
            ReportColumn("exact", "", "yesno", "Is it exact, not an outer bound?", always=True),
            *_SOURCE,
        ),
        "What adds up to the kinship in one of its readings",
        in_json=False,
    ),
    fields=(
        ReportColumn("a", "", "text", "One animal", always=True),
        ReportColumn("b", "", "text", "The other", always=True),
        ReportColumn("low", "", "number", f"Their kinship, {UNRELATED}", always=True),
        ReportColumn("usual", "", "number", f"Their kinship, {AS_SIBS}", always=True),
        ReportColumn("high", "", "number", f"Their kinship {AT_MOST}", always=True),
        ReportColumn("exact", "", "yesno", EXACT, always=True),
        ReportColumn("low_from", "", "object", "What adds up to low", many=True, of=_SOURCE),
        ReportColumn("usual_from", "", "object", "What adds up to the usual reading", many=True, of=_SOURCE),
    ),
    csv="sources",
)


def _range(name: str, meaning: str) -> tuple[ReportColumn, ReportColumn]:
    return (
        ReportColumn(f"{name}_low", "", "number", f"{meaning}, low end"),
        ReportColumn(f"{name}_high", "", "number", f"{meaning}, high end"),
    )


def _readings(name: str, meaning: str) -> tuple[ReportColumn, ReportColumn, ReportColumn]:
    """A figure that rests on kinships, in its three readings from the least to the largest."""
    return (
        ReportColumn(f"{name}_low", "", "number", f"{meaning}, the least it can be"),
        ReportColumn(f"{name}_usual", "", "number", f"{meaning}, {AS_SIBS}"),
        ReportColumn(f"{name}_high", "", "number", f"{meaning}, at most"),
    )


COLONY = listing_kind(
    "colony",
    "Lines and species as a whole",
    "Figures of the living animals of a line or a species",
    (
        ReportColumn(
            "of", "", "text", "What the figures are of", words=("line", "species", "all"), always=True
        ),
        ReportColumn("name", "", "text", "Its name"),
        ReportColumn("living", "", "whole", "Living animals with a number", always=True),
        *_readings("mean_kinship", "Mean kinship of each with all of them, itself included"),
        *_readings("gene_diversity", "1 - mean kinship"),
        *_readings("founder_genomes", "1 / (2 × mean kinship), null for no limit"),
        ReportColumn("founder_equivalents", "", "number", "1 / Σ share² of the founders"),
        ReportColumn("unknown_share", "", "number", "Share of genes from parents not recorded, 0 to 1"),
        ReportColumn("breeding_males_low", "", "whole", "Recorded fathers of the living, at the least"),
        ReportColumn("breeding_males_high", "", "whole", "Recorded fathers of the living, at the most"),
        ReportColumn("breeding_females", "", "whole", "Recorded mothers of the living"),
        *_range("effective_size", "4·Nm·Nf / (Nm + Nf)"),
        ReportColumn("realised_size", "", "number", "Effective size as it has been, from the rise of F"),
        ReportColumn("realised_animals", "", "whole", "Animals that figure rests on"),
        *_range("f_in_5_generations", "Expected F after five generations of as many parents"),
        ReportColumn("founder_genomes_retained", "", "number", "1 / Σ (share² / retention)"),
        ReportColumn("drops", "", "whole", "Gene drops it was drawn with; 0 is exact"),
        ReportColumn("retained_unknown_because", "", "text", "Why it cannot be told"),
        ReportColumn("lost_founders", "", "text", "Founders of whose genes nothing was left"),
    ),
)


def _instead(name: str, whose: str) -> tuple[ReportColumn, ...]:
    return (
        ReportColumn(name, "", "text", f"The next best for {whose}"),
        ReportColumn(f"{name}_costs_more", "", "number", "How much more the pair would cost"),
        *_readings(f"{name}_f", "F of their offspring"),
        ReportColumn(f"{name}_taken", "", "yesno", "Is it in another pair of this plan?"),
    )


PAIRINGS = listing_kind(
    "pairings",
    "Whom to pair now",
    "A pair that may be made now",
    (
        ReportColumn("species", "", "text", "Latin name", always=True),
        ReportColumn("rank", "number", "whole", "Number in the list, which --choose takes", always=True),
        ReportColumn("male", "male", "text", "Line and number of the male", always=True),
        ReportColumn("female", "female", "text", "Line and number of the female", always=True),
        *_readings("f", "F of their offspring"),
        ReportColumn("exact", "", "yesno", EXACT),
        ReportColumn("", "F"),
        ReportColumn("", "at most", align="right"),
        ReportColumn("cost", "cost", "number", "Weight × F and the parents' mean kinships", places=4),
        ReportColumn("why", "", "text", "Its reasons", many=True),
        ReportColumn("warnings", "", "text", "What to mind", many=True),
        ReportColumn("", "why, and what to mind"),
        *_instead("runner_up", "her"),
        *_instead("for_him", "him"),
        *_range("mean_kinship_change", "What one offspring changes of the mean kinship"),
        ReportColumn("until", "by", "day", "The last day it can be made"),
    ),
)

PAIRING_PLANS = listing_kind(
    "pairing-plans",
    "Planned pairings",
    "A planned pairing that is not made yet",
    (
        ReportColumn("plan", "plan", "text", "Its name", always=True),
        ReportColumn("male", "male", "text", "Line and number of the male", always=True),
        ReportColumn("female", "female", "text", "Line and number of the female", always=True),
        ReportColumn("purpose", "purpose", "text", "What it is for"),
        ReportColumn("stands_in", "offered at", "text", "The box where a round offers it"),
        ReportColumn("meant_for", "into", "text", "The box it is meant for"),
        ReportColumn("chosen", "chosen", "day", "The day it was chosen"),
        ReportColumn("earliest", "from", "day", "First day it can be made"),
        ReportColumn("latest", "to", "day", "Last day it can be made; null is an open end"),
        ReportColumn("withheld", "withheld", "text", "What stands in its way"),
        ReportColumn("why", "why", "text", "Why it was chosen"),
    ),
)
