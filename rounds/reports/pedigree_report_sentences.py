"""What reports of kinship and of a colony say."""

from __future__ import annotations

from rounds.text.plurals import many
from rounds.text.reading_text import reading_text, same, short

# Inbreeding and kinship.

AS_DECLARED = "0 as declared"
ORIGIN = "as declared: founders said to be unrelated to the others count as not inbred"
OUTER = "outer bounds: too many possible fathers to try every one"
MALE_NOT_RECORDED = "a male not recorded"
NOT_RECORDED = "not recorded"


def from_low(low: str) -> str:
    """Low and the usual reading are the same and there may be more: the column beside it says how much."""
    return f"from {low}"


def at_most(kinship: float) -> str:
    if_any = "if parents not recorded were any animals of that line, mature and alive then"
    return f"at most {short(kinship)}, {if_any}"


def doubted(animal: str, why: str) -> str:
    return f"{animal} may be another animal ({why}): at most takes any parents of its line for it"


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
    return f"father {sire or NOT_RECORDED}, mother {dam or NOT_RECORDED}"


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
    return f"{short(kinship)}  {source}{f', {steps} generations back' if steps else ''}"


# A colony.

ALL_COUNT_AS_LIVING = "a table does not say who is alive: all of its animals are counted as living"
NO_RECORDED_FOUNDER = "none of its genes is from a founder that is recorded."
NO_EFFECTIVE_SIZE = "effective size: cannot tell, it takes a recorded father and a recorded mother"


def group_of_living(kind: str, name: str, living: int) -> str:
    return f"{kind} {name or '(none)'}: {living} living"


def mean_kinship(low: float, usual: float, high: float) -> str:
    return f"mean kinship of each with all of them, itself too: {reading_text(low, usual, high)}"


def gene_diversity(low: float, usual: float, high: float) -> str:
    share = "gene diversity, 1 - mean kinship, the share of the founders' variety that is left"
    if same(low, high):
        return f"{share}: {short(usual)}"
    return f"{share}: usual reading {short(usual)}, {short(low)} at least, {short(high)} at most"


def founder_genomes(low: float | None, usual: float | None, high: float | None) -> str:
    """None is a number without end."""

    def said(number: float | None) -> str:
        return "no limit" if number is None else f"{number:.2f}"

    known = said(usual)
    if said(low) != said(high):
        known = f"usual reading {known}, {said(low)} at least, {said(high)} at most"
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
        f"effective size as it has been, from the rise of F (low) in {many(animals, 'animal')} with "
        f"more than one known generation: {size:.1f}"
    )
