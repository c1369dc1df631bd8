"""What the pages of animals and their weighings say."""

from __future__ import annotations

from rounds.text.reading_text import reading_explained

ABOUT_ONE = "One animal with its kin and its past. How sure parents and sibs are is said beside them."
ABOUT_ALL = "Animals with numbers. Each with the last step of its life that was recorded, and the days since."
NO_NUMBER_YET = (
    "No animal has a number yet. Go to the box where they are; the record key there offers"
    " an arrival, a line to open, and numbers for the animals of a line."
)

# Headings.
ANIMALS = "animals"
NOW = "now"
PARENTS = "parents"
PAIRINGS = "pairings"
YOUNG = "young"
SIBS = "sibs"
PLACES = "places"
LIFE = "life"
LOOKS = "notes that name it"
LIVING = "living"
MISSING = "missing"
GONE = "no longer here"
WEIGHTS = "weights"
WEIGHTS_OF_SINGLE = "weights of single ones"

# Nothing there.
NO_ENCLOSURE = "in no box"
NONE_LIVING = "no living animal has a number"
NEVER_WEIGHED = "never weighed"
NO_NOTE = "no note names it"
IN_NO_ENCLOSURE_EVER = "it was in no box"


def title(animal: str) -> str:
    return f"animal {animal}"


# Who it is.
SPECIES_NOT_RECORDED = "species not recorded"
HOW_NOT_RECORDED = "how is not recorded"
STILL_ALIVE = "alive"
WHEREABOUTS_UNKNOWN = "missing"
LEFT_HOUSE = "left the house"
WHEN_NOT_RECORDED = "when is not recorded"


def line_and_species(line: str, species: str) -> str:
    return f"{line}, {species or SPECIES_NOT_RECORDED}"


def state_in(state: str, where: str, stage: str) -> str:
    return f"{state}, in {where}, {stage}"


def dead(when: str, cause: str) -> str:
    suspected = f"suspected cause: {cause}" if cause else "cause not recorded"
    return f"dead, {when}; {suspected}"


def last_seen(state: str, day: str) -> str:
    return f"{state}; last seen {day}"


def in_trial(trial: str, arm: str) -> str:
    return f"in trial {trial}; its arm is {arm}"


# Where it is, and what holds.
IS_IN = "is in"
WHILE_IN_STAGE = "while in this stage"
DAY_NOT_AGREED = "a day not agreed"
LENT = "lent"
ON_LOAN_HERE = "on loan here"
LENT_OUT_TO_NOBODY = "no box"


def do_not(forbidden: tuple[str, ...]) -> str:
    return f"do not {', '.join(forbidden)}"


def loan(owner: str, terms: str, back_by: str | None, *, out: bool) -> str:
    """``back_by`` None: it is back."""
    said = f"to {owner}" if out else f"from {owner}"
    agreed = f": {terms}" if terms else ""
    return f"{said}{agreed}" if back_by is None else f"{said}{agreed}; back by {back_by}"


def over(what: str) -> str:
    return f"{what}, over"


def lent_to(owner: str) -> str:
    return f"lent to {owner}"


# Its kin.
MOTHER = "mother"
FATHER = "father"
MAY_BE = "may be"
FROM_BROOD = "from its brood"
RECORDED = "recorded"
LIKELY = "likely; an earlier male cannot be ruled out"
CERTAIN = "certain"


def through_pairing(pairing: str) -> str:
    return f"from {pairing}"


def how_through(how: str, through: str) -> str:
    return f"{how}, {through}"


def one_of_males(males: int) -> str:
    return f"one of {males} males"


def found(day: str) -> str:
    return f"found {day}"


def young_of_brood(counted: str, instar: str, day: str, maybe: str) -> str:
    return f"{counted} {instar}, {day}{maybe}"


def possibly_its(males: int) -> str:
    return f"; possibly its: {males} males"


LIKELY_ITS = "; likely its"


def doubtful_place(place: str, doubt: str) -> str:
    return f"{place}; doubtful: {doubt}" if doubt else place


# F.
WORKING = "working it out …"


def f(low: float, usual: float, high: float, *, exact: bool) -> str:
    return reading_explained(low, usual, high, exact=exact)


def parents_contradict(why: str) -> str:
    return f"the recorded parents contradict each other ({why})"


def as_recorded(derived: str, why: str) -> str:
    return f"as recorded; the book alone would say {derived}, {why}"


def looked_through(number: int, of: int) -> str:
    return f"looked through {number} of {of} boxes"


# Weighings.


def weight(grams: float) -> str:
    return f"{grams:g} g"


def head(mm: float | None) -> str:
    return f"{mm:g} mm" if mm is not None else ""


def gain(grams: float, fewest: int | None, most: int | None) -> str:
    """``fewest`` and ``most`` days between; None where nobody knows."""
    said = f"{grams:+.4g} g"
    if fewest is None or most is None:
        return said
    return f"{said} in {fewest} d" if fewest == most else f"{said} in {fewest}–{most} d"


WEIGHED_ITSELF = "its own"
WEIGHED_LIKELY = "likely its"
WEIGHED_ONE_OF = "one of several"


def weighings(number: int, low: float, high: float) -> str:
    return (
        f"{number} weighings, {low:g} to {high:g} g" if high > low else f"{number} weighings, all {low:g} g"
    )


def heaviest(sign: str, day: str) -> str:
    return f"{sign} heaviest, on {day}"


NO_EXACT_DAY = "a day not known exactly"


def some_day_within(sign: str) -> str:
    return f"{sign} some day within"


def likely_its(sign: str) -> str:
    return f"{sign} likely its"


def without_day(number: int) -> str:
    return f"{number} without a day left out"
