"""Sentences about what due work follows from, and how near it is."""

from __future__ import annotations

from collections.abc import Iterable

from rounds.husbandry import lock_sentences

NOBODY_WROTE_IT_DOWN = "nobody wrote down what it holds or what went in last time"
TUBS_FOR_WHAT_IS_FOUND = "for what is found; nobody knows yet how many that is"
SUBSTRATE_FOR_THE_TUBS = "to fill the tubs for what is found"
BY_WHAT_WENT_IN = "by what went in last time"
BY_WHAT_IT_HOLDS = "by what the box holds"
BY_ITS_LARVAE = "by the room its larvae need"
TWO_THIRDS, ALL = "two thirds", "all"


def share_of_what_it_holds(share: str, litres: float) -> str:
    return f"{share} of the {litres:g} l it holds, if it is full"


def went_in(litres: float, when: str) -> str:
    return f"{litres:g} l went in {when}"


def room_for_larvae(share: str, litres: str, larvae: int, source: str) -> str:
    return f"{share} of {litres} l for each of {larvae} larvae ({source})"


def first_search(when: str, days: str, source: str) -> str:
    return _after(f"laying since {when}", "first search", days, source)


def next_search(when: str, days: str, source: str) -> str:
    return _after(f"searched {when}", "next search", days, source)


def bed_again(when: str, days: str, source: str) -> str:
    return _after(f"substrate changed {when}", "all of it again", days, source)


def bed_first(stage: str, when: str, days: str, source: str) -> str:
    return _after(f"{stage} since {when}", "all substrate changed", days, source)


def change_again(when: str, days: str, source: str) -> str:
    return _after(f"substrate changed {when}", "again", days, source)


def change_first(stage: str, when: str, days: str, source: str) -> str:
    return _after(f"{stage} since {when}", "substrate changed", days, source)


def weigh_again(when: str, days: str, source: str) -> str:
    return _after(f"weighed {when}", "again", days, source)


def weigh_first(stage: str, when: str, days: str, source: str) -> str:
    return _after(f"{stage} since {when}", "weighed", days, source)


def arrival_in_quarantine(lot: str) -> str:
    return f"{lot} is in quarantine until then"


def quarantine_over(when: str, days: str, source: str) -> str:
    return _after(f"in quarantine since {when}", "over", days, source)


def eggs_hatch(when: str, days: float, source: str) -> str:
    return f"eggs {when}; they hatch within {days:g} days ({source})"


def hatch_by_the_books(when: str, otherwise: str) -> str:
    return f"hatch {when} as recorded{f'; {otherwise}' if otherwise else ''}"


def will_wander(when: str, days: str, source: str) -> str:
    return _after(f"hatched {when}", "wandering", days, source)


def up_after_wandering(when: str, days: str, source: str) -> str:
    return _after(f"wandering since {when}", "up", days, source)


def up_after_cell(when: str, days: str, source: str) -> str:
    return _after(f"in its cell since {when}", "up", days, source)


def up_after_rest(when: str, days: str, source: str) -> str:
    return _after(f"resting since {when}", "up", days, source)


MISSED = {
    "wandering": "look: in a cell already, or dead?",
    "emergence": "look: up already, or dead in its cell?",
}
"""What work is when hardly any chance is left, by its kind."""


def hardly_any_left(percent: int) -> str:
    return f"By now {100 - percent} in 100 would have been seen"


def not_yet(percent: int, sibs: int, broods: int, made_for: float = 0) -> str:
    """``made_for`` is the temperature (°C) the species file's durations are for; 0 where it says none."""
    learned = [
        *([f"{sibs} of its brood"] if sibs else []),
        *([f"{broods} other {'brood' if broods == 1 else 'broods'} of this house"] if broods else []),
    ]
    after = f", going by {' and '.join(learned)}" if learned else ""
    warmth = f"reckoned at {made_for:g} °C" if made_for else "temperature not reckoned with"
    return f"Not seen yet; {percent} in 100 within a fortnight{after}; {warmth}"


def at_several(boxes: int, what: str) -> str:
    return f"{boxes} boxes: {what}"


def rest_not_known(parts: str) -> str:
    return f"how long {parts} takes is not known for this species, so the end is open"


def souring_shows(when: str, days: str, source: str) -> str:
    return f"prepared {when}; heat and souring show within {days} days ({source})"


def protein_out_by(what: str, when: str) -> str:
    return f"{what or 'protein'} given {when}, out by the day set then"


def leftovers_out(when: str, days: str, source: str) -> str:
    return _after(f"protein given {when}", "out", days, source)


def ready_to_breed(when: str, days: str, source: str) -> str:
    return _after(f"first feed {when}", "ready", days, source)


def pairing_over(when: str, days: str, source: str) -> str:
    return _after(f"together since {when}", "over", days, source)


def _after(begun: str, then: str, days: str, source: str) -> str:
    return f"{begun}; {then} after {days} days ({source.removesuffix(', no source')})"


def due_back_there(animal: str, owner: str, when: str) -> str:
    return f"{animal} is due back to {owner or 'its owner'} {when}"


def due_back_here(animal: str, owner: str, when: str) -> str:
    return f"{animal} is due back from {owner or 'its owner'} {when}"


def lock_ends(deeds: Iterable[str], until: str, reason: str) -> str:
    return f"do not {lock_sentences.any_of(deeds)} until {until}: {reason or 'no reason given'}"


def today(day: str) -> str:
    return f"today, {day}"


def this_week(day: str) -> str:
    return f"this week, to {day}"


def later(day: str) -> str:
    return f"later, most likely after {day}"


def overdue(days: int) -> str:
    return f"{days} day{'s' if days != 1 else ''} late"


def labels_in_doubt(box: str, other: str) -> str:
    return f"the labels of {box} and {other} may have been mixed up; their records are doubtful until you say"
