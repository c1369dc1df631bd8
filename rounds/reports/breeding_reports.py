"""Reports for breeding: inbreeding and kinship, lines as a whole, whom to pair, plans."""

from __future__ import annotations

from rounds.reports.columns import Column
from rounds.reports.report import Table, kind, listing_kind

UNKNOWN_PARENTS = "low end: unknown parents unrelated; high end: as related as they could be"

KINSHIP = listing_kind(
    "kinship",
    "Inbreeding",
    "An animal with its coefficient of inbreeding F, and how much of its pedigree is known",
    (
        Column("animal", "animal", "text", "Line and number, or the name of a table", always=True),
        Column("line", "", "text", "Its line"),
        Column("sex", "", "text", "Its sex; `group` for several animals"),
        Column("sire", "", "text", "Its father; possible ones parted by |, ? for one not recorded"),
        Column("dam", "", "text", "Its mother"),
        Column("f_low", "", "number", f"F, {UNKNOWN_PARENTS}", always=True),
        Column("f_high", "", "number", "High end of F", always=True),
        Column("exact", "", "yesno", "Are both ends exact, not outer bounds?", always=True),
        Column("", "F"),
        Column("", "generations", align="right"),
        Column("full_generations", "", "whole", "Generations back of which every ancestor is known"),
        Column("deepest_generation", "", "whole", "Generations back to the oldest ancestor known"),
        Column("equivalent_generations", "", "number", "Sum over known ancestors of (1/2)^generations back"),
        Column("completeness", "", "number", "Share of ancestors known in the generations looked at, 0 to 1"),
        Column("", "known", align="right"),
        Column("", "parents"),
    ),
)

MATRIX = listing_kind(
    "kinship-matrix",
    "Kinship of every two animals",
    "Two animals and their coefficient of kinship",
    (
        Column("a", "", "text", "One animal", always=True),
        Column("b", "", "text", "The other", always=True),
        Column("low", "", "number", f"Their kinship, {UNKNOWN_PARENTS}", always=True),
        Column("high", "", "number", "High end of it", always=True),
        Column("exact", "", "yesno", "Are both ends exact, not outer bounds?", always=True),
    ),
)

_SOURCE = (
    Column("ancestor", "", "text", "The ancestor that adds to the kinship"),
    Column("kind", "", "text", "What it is: an animal, a group, unknown parents, declared, further back"),
    Column("adds", "", "number", "How much of the kinship comes from it"),
    Column("steps_a", "", "whole", "Generations from the first animal back to it"),
    Column("steps_b", "", "whole", "Generations from the second animal back to it"),
)
BETWEEN = kind(
    "kinship-between",
    "Kinship of two animals",
    "Two animals, their kinship, and the ancestors it comes from",
    Table(
        "sources",
        (
            Column("a", "", "text", "One animal", always=True),
            Column("b", "", "text", "The other", always=True),
            Column("end", "", "text", "Which end of the range the row adds up to", words=("low", "high")),
            Column("kinship", "", "number", "The kinship at this end", always=True),
            Column("exact", "", "yesno", "Is it exact, not an outer bound?", always=True),
            *_SOURCE,
        ),
        "What adds up to the kinship at one end of its range",
        in_json=False,
    ),
    fields=(
        Column("a", "", "text", "One animal", always=True),
        Column("b", "", "text", "The other", always=True),
        Column("low", "", "number", f"Their kinship, {UNKNOWN_PARENTS}", always=True),
        Column("high", "", "number", "High end of it", always=True),
        Column("exact", "", "yesno", "Are both ends exact, not outer bounds?", always=True),
        Column("low_from", "", "object", "What adds up to the low end", many=True, of=_SOURCE),
        Column("high_from", "", "object", "What adds up to the high end", many=True, of=_SOURCE),
    ),
    csv="sources",
)


def _range(name: str, meaning: str) -> tuple[Column, Column]:
    return (
        Column(f"{name}_low", "", "number", f"{meaning}, low end"),
        Column(f"{name}_high", "", "number", f"{meaning}, high end"),
    )


COLONY = listing_kind(
    "colony",
    "Lines and species as a whole",
    "Figures of the living animals of a line or a species",
    (
        Column("of", "", "text", "What the figures are of", words=("line", "species", "all"), always=True),
        Column("name", "", "text", "Its name"),
        Column("living", "", "whole", "Living animals with a number", always=True),
        *_range("mean_kinship", "Mean kinship of each with all of them, itself included"),
        *_range("gene_diversity", "1 - mean kinship"),
        *_range("founder_genomes", "1 / (2 × mean kinship), null for no limit"),
        Column("founder_equivalents", "", "number", "1 / Σ share² of the founders"),
        Column("unknown_share", "", "number", "Share of genes from parents not recorded, 0 to 1"),
        Column("breeding_males_low", "", "whole", "Recorded fathers of the living, at the least"),
        Column("breeding_males_high", "", "whole", "Recorded fathers of the living, at the most"),
        Column("breeding_females", "", "whole", "Recorded mothers of the living"),
        *_range("effective_size", "4·Nm·Nf / (Nm + Nf)"),
        Column("realised_size", "", "number", "Effective size as it has been, from the rise of F"),
        Column("realised_animals", "", "whole", "Animals that figure rests on"),
        *_range("f_in_5_generations", "Expected F after five generations of as many parents"),
        Column("founder_genomes_retained", "", "number", "1 / Σ (share² / retention)"),
        Column("drops", "", "whole", "Gene drops it was drawn with; 0 is exact"),
        Column("retained_unknown_because", "", "text", "Why it cannot be told"),
    ),
)


def _instead(name: str, whose: str) -> tuple[Column, ...]:
    return (
        Column(name, "", "text", f"The next best for {whose}"),
        Column(f"{name}_costs_more", "", "number", "How much more the pair would cost"),
        *_range(f"{name}_f", "F of their offspring"),
        Column(f"{name}_taken", "", "yesno", "Is it in another pair of this plan?"),
    )


PAIRINGS = listing_kind(
    "pairings",
    "Whom to pair now",
    "A pair that may be made now",
    (
        Column("species", "", "text", "Latin name", always=True),
        Column("rank", "number", "whole", "Number in the list, which --choose takes", always=True),
        Column("male", "male", "text", "Line and number of the male", always=True),
        Column("female", "female", "text", "Line and number of the female", always=True),
        *_range("f", "F of their offspring"),
        Column("exact", "", "yesno", "Are both ends exact, not outer bounds?"),
        Column("", "F"),
        Column("cost", "cost", "number", "Weight × F and the parents' mean kinships", places=4),
        Column("why", "why", "text", "Its reasons", many=True),
        Column("warnings", "mind", "text", "What to mind", many=True),
        *_instead("runner_up", "her"),
        *_instead("for_him", "him"),
        *_range("mean_kinship_change", "What one offspring changes of the mean kinship"),
        Column("until", "by", "day", "The last day it can be made"),
    ),
)

PAIRING_PLANS = listing_kind(
    "pairing-plans",
    "Planned pairings",
    "A planned pairing that is not made yet",
    (
        Column("plan", "plan", "text", "Its name", always=True),
        Column("male", "male", "text", "Line and number of the male", always=True),
        Column("female", "female", "text", "Line and number of the female", always=True),
        Column("purpose", "purpose", "text", "What it is for"),
        Column("stands_in", "offered at", "text", "The enclosure where a round offers it"),
        Column("meant_for", "into", "text", "The enclosure it is meant for"),
        Column("chosen", "chosen", "day", "The day it was chosen"),
        Column("earliest", "from", "day", "First day it can be made"),
        Column("latest", "to", "day", "Last day it can be made; null is an open end"),
        Column("withheld", "withheld", "text", "What stands in its way"),
        Column("why", "why", "text", "Why it was chosen"),
    ),
)
