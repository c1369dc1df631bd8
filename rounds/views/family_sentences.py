"""What the pages of pairings, broods, lines and arrivals say."""

from __future__ import annotations

# Pairings.
ABOUT_PAIRING = "One pairing. Whether the males are certainly the fathers is said with the reason."
ABOUT_PAIRINGS = (
    "Which males were with which female. What was found of each stands last; at least stays at least."
)
NO_PAIRING_YET = (
    "No pairing is recorded yet. Go to the box the animals are put together in; the record key there"
    " offers it."
)
PAIRINGS = "pairings"
TOGETHER_NOW = "together now"
PLANNED = "planned, not yet made"
OVER = "over"
WHO = "who"
MATINGS_SEEN = "matings seen"
SEARCHES = "searches"
BROODS = "broods"
YOUNG_WITH_NUMBER = "young with a number"
NONE_SEEN = "none seen"
NONE_FOUND = "none found"
NOT_SEARCHED = "not searched yet"
NOT_SEARCHED_AS_RECORDED = "not searched yet, as far as is recorded"
NOT_SEEN_WHICH = "not seen which"
NO_ENCLOSURE_RECORDED = "no box is recorded"
COMPLETE = "complete"
PARTIAL = "partial"
IN_TRIAL = "in a trial"
FEMALE = "female"
MALE = "male"
PARENT_NOT_RECORDED = "male or female is not recorded"


def pairing(name: str) -> str:
    return f"pairing {name}"


def none_but_first(day: str) -> str:
    return f"none but the first, {day}"


def seen(number: int) -> str:
    return f"{number} seen"


def found(counted: str) -> str:
    return f"{counted} found"


def paternity(how: str, why: str) -> str:
    return f"{how}: {why}" if why else how


def f_by(f: str, male: str | None) -> str:
    return f if male is None else f"{f} by {male}"


def searched(found_words: str, recount: int | None, *, at_least: bool) -> str:
    """``found_words``: how many of each; ``recount``: how many may have been counted before."""
    said = f"at least {found_words}" if at_least else found_words
    return f"{said}; up to {recount} counted before" if recount else said


def parents(mother: str, father: str) -> str:
    return f"mother {mother}; father {father}"


def certain(father: str) -> str:
    return f"{father}, certain"


def likely(father: str) -> str:
    return f"{father}, likely"


def one_of(fathers: str) -> str:
    return f"one of {fathers}"


# Broods.
ABOUT_BROOD = "One brood. Counted, less those dead, moved or given away: so many should still be there."
WHOSE = "whose"
RECORD_SAYS_WHICH = "record it here: of which pairing it is"
WHERE_THEY_LIVE = "where they live"
THE_OTHERS = "what became of the others"
SPLIT_FROM_IT = "split from it"
WITH_NUMBER = "with a number"
WAS_IN = "was in"
IN_NO_GROUP = "in no group any more"
NONE_LEFT = "none has left the groups"
NO_BROOD_OF_ITS_OWN = "no brood of its own"
NONE_YET = "none yet"
NOWHERE_ELSE = "nowhere else"
NONE_IN_GROUP = "none in a group"
OF_PAIRING = "of the pairing"
COMPLETE_SEARCH = "complete search"
PARTIAL_SEARCH = "partial search"


def brood(name: str) -> str:
    return f"brood {name}"


def line_and_species(line: str, species: str) -> str:
    return f"{line}, {species}"


def first_counted(counts: str, day: str) -> str:
    return f"{counts} (males.females.unsexed) on {day}"


def of_running_trial(hidden: str) -> str:
    return f"of a running trial; its arm and F are {hidden}"


def so_many(number: int, how: str) -> str:
    return f"{number} {how}"


def unexplained(number: int) -> str:
    return f"what became of {number} more is not recorded"


def found_by(search: str, what: str) -> str:
    return f"{search}: {what}"


def last_seen(who: str, day: str) -> str:
    return f"{who}; last seen {day}" if who else f"last seen {day}"


# Lines.
ABOUT_LINE = (
    "One line. Who can breed follows from what is recorded; why the others cannot is said beside them."
)
ABOUT_LINES = "Lines with how many live: males.females.unsexed with numbers, and those in counted groups."
NO_LINE_YET = (
    "No line is open yet. Record the arrival of the animals first, then open a line from it:"
    " the record key at a box offers both."
)
LINES = "lines"
LIVING_LINES = "living lines"
NONE_LIVING = "none living"
GROWN = "grown, and can it breed"
LIVING = "living"
IN_GROUPS = "in groups"
ARRIVALS = "arrivals"
GONE = "no longer here"
NONE_WITH_NUMBER = "none with a number"
NOT_WRITTEN = "not written"
CAN_BREED = "can breed now, as far as is recorded"
AWAKE_NOT_KNOWN = "not known how long"


def line(name: str) -> str:
    return f"line {name}"


def as_written(generation: str) -> str:
    return f"{generation}, as it was written"


def founders(animals: int, some: str, more: int) -> str:
    """``some``: the names of the first; ``more``: how many besides."""
    rest = f" and {more} more" if more else ""
    return f"{animals} animal{'s' * (animals != 1)} without recorded parents: {some}{rest}"


def from_arrival(name: str) -> str:
    return f"arrival {name}"


def in_groups(total: str) -> str:
    return f"{total} in groups"


def missing(number: int) -> str:
    return f"{number} missing"


# Arrivals.
ABOUT_ARRIVAL = "One arrival with its papers and all that certainly or possibly comes from it."
ABOUT_ARRIVALS = (
    "What came into the house together, and its papers. Counts are males.females.unsexed as they came."
)
NO_ARRIVAL_YET = (
    "No arrival is recorded yet. Go to the box the animals were put into; the record key there offers it."
)
CAME_WITH_NUMBER = "came with it, with a number"
CAME_IN_GROUPS = "came with it, in groups"
LINES_FOUNDED = "lines founded from it"
WHO_COMES_FROM_IT = "who comes from it"
NONE_HAS_NUMBER = "none has a number"
NOBODY_COMES = "nobody, as far as is recorded"
IN_QUARANTINE = "in quarantine"
CERTAIN = "certain"
POSSIBLE = "possible"


def arrival(name: str) -> str:
    return f"arrival {name}"


def quarantine(day: str, *, over: bool) -> str:
    return f"{'was until' if over else 'until'} {day}"


def withheld(why: str) -> str:
    return f"has to wait: {why}"
