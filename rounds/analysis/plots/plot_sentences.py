"""What drawings of the books say: their titles, axes and legends."""

from __future__ import annotations

from rounds.text.plurals import many

SEVERAL = "several kinds"
MALES, FEMALES, NOT_SEXED = "males", "females", "not sexed"
AGE = "days since the brood was found"
WEIGHT = "weight (g)"
ALIVE = "alive, grown or given away"
AT_MOST = "at most, if all that nobody found again lived"
OF_YOUNG = "share of the young that were counted"
NO_PLACE = "no place"
RACK_SIGNS = (
    "!!! now, !! today, ! watch it",
    "thick frame: something is open; dashed frame: empty slot",
)
SIGNS_IN_TEXT = "!!! now, !! today, ! watch it, · empty slot"
SHELF_GAP = "gap: nobody read it"


def growth(name: str) -> str:
    return f"Growth of {name}"


def weights_left_out(number: int) -> str:
    return f"{many(number, 'weighing')} left out: no day, or no brood with a day"


def survival(name: str) -> str:
    return f"Survival of the broods of {name}"


def alive_of(low: int, high: int, of: int) -> str:
    return f"{low} of {of}" if low == high else f"{low} to {high} of {of}"


def broods_left_out(number: int) -> str:
    return f"{many(number, 'brood')} left out: no count"


def rack(house: str, day: str) -> str:
    return f"The rack of {house}, {day}" if house else f"The rack, {day}"


def temperatures(first: str, last: str) -> str:
    return f"Shelf temperatures, {first} to {last}"
