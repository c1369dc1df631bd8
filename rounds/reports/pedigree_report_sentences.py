"""What reports of kinship and of a colony say."""

from __future__ import annotations

from rounds.reports.range_text import range_text
from rounds.text.plurals import many

# Inbreeding and kinship.

LOW_END = "low end, unknown parents unrelated"
HIGH_END = "high end, unknown parents full sibs of their line's founders"
ORIGIN = "F counts from the oldest animals recorded on: where no parent is recorded it is taken as 0"
OUTER = "outer bounds: too many possible sires to go through every combination"
MALE_NOT_RECORDED = "a male not recorded"
NOT_RECORDED = "not recorded"


def outer_bounds_marked() -> str:
    return f"* {OUTER}"


def generations_known(full: int, deepest: int) -> str:
    return f"{full} of {deepest}"


def known_of_the_last(generations: int) -> str:
    """A heading."""
    return f"known of the last {generations}"


def possibly(males: tuple[str, ...]) -> str:
    return f"possibly {' or '.join(males)}"


def parents(sire: str, dam: str) -> str:
    return f"sire {sire or NOT_RECORDED}, dam {dam or NOT_RECORDED}"


def kinship_of_two(a: str, b: str) -> str:
    return f"{a} and {b}: kinship"


def kinship_with_itself(animal: str) -> str:
    return f"{animal}: kinship with itself"


def kinship_of_members(group: str) -> str:
    return f"{group}: kinship of two of its members"


OWN_F = ", which is half of 1 + its own F"
F_OF_OFFSPRING = ", which is F of their offspring"
OUTER_BOUNDS = " (outer bounds)"


def both_are(*, males: bool) -> str:
    return f" (both are {'males' if males else 'females'})"


def not_recorded_parents(line: str) -> str:
    return f"parents not recorded{f' of line {line}' if line else ''}, taken as full sibs"


def declared(founders: str) -> str:
    return f"{founders}, declared related"


def ancestor(name: str, *, group: bool) -> str:
    return f"{name}{' (group)' if group else ''}"


def steps_back(first: int, second: int) -> str:
    return f"{first} and {second}"


def adds(kinship: float, source: str, steps: str) -> str:
    return f"{kinship:.4f}  {source}{f', {steps} generations back' if steps else ''}"


# A colony.

ALL_COUNT_AS_LIVING = "a table does not say who is alive: all of its animals are counted as living"
NO_RECORDED_FOUNDER = "none of its genes is from a founder that is recorded."
NO_EFFECTIVE_SIZE = "effective size: cannot tell, it takes a recorded father and a recorded mother"


def group_of_living(kind: str, name: str, living: int) -> str:
    return f"{kind} {name or '(none)'}: {living} living"


def mean_kinship(low: float, high: float) -> str:
    return f"mean kinship of each with all of them, itself too: {range_text(low, high)}"


def gene_diversity(low: float, high: float) -> str:
    share = "gene diversity, 1 - mean kinship, the share of the founders' variety that is left"
    return f"{share}: {range_text(low, high)}"


def founder_genomes(low: float | None, high: float | None) -> str:
    """None is a number without end."""
    known = f"{low:.2f}" if low is not None else "no limit"
    if high is not None and high - (low or 0) > 0.005:
        known += f"–{high:.2f}"
    return f"founder genome equivalents, 1 / (2 × mean kinship): {known}"


def founder_equivalents(founders: float, unknown: float) -> str:
    """``unknown`` is a share from 0 to 1."""
    return (
        f"founder equivalents, 1 / Σ share²: {founders:.2f}; "
        f"share of genes from parents not recorded: {unknown:.0%}"
    )


_STILL_THERE = "founder genomes still there, 1 / Σ (share² / retention), alleles lost on the way left out:"


def genomes_still_there(genomes: float, drops: int) -> str:
    """``drops`` is 0 where the figure is exact."""
    return f"{_STILL_THERE} {genomes:.2f}{f' (drawn: {drops} gene drops)' if drops else ''}"


def genomes_unknown(because: str) -> str:
    return f"{_STILL_THERE} cannot tell, {because}"


def founders_lost(founders: str, drops: int) -> str:
    seen = f", not one of their alleles in {drops} gene drops" if drops else ""
    return f"founders lost{seen}: {founders}"


def recorded_parents(males: str, females: int) -> str:
    """``males`` is a number, or a span of two with a dash where possible fathers are open."""
    is_open = "; which of the possible fathers they are is open" if "–" in males else ""
    return f"their recorded parents: {males} male{'' if males == '1' else 's'}, {many(females, 'female')}{is_open}"


def effective_size(size: str) -> str:
    formula = "effective size, 4·Nm·Nf / (Nm + Nf)"
    return f"{formula}: {size} at the most, as if all of them had equally many offspring"


def expected_f(f: str, generations: int) -> str:
    return (
        f"paired on with so many parents F would be {f} in {generations} generations, "
        "higher where some leave more offspring than others"
    )


def realised_size(size: float, animals: int) -> str:
    return (
        f"effective size as it has been, from the rise of F (low end) in {many(animals, 'animal')} with "
        f"more than one known generation: {size:.1f}"
    )
