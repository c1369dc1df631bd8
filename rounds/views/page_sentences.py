"""What pages of the books say in common: nothing there, not known, how long ago, how many."""

from __future__ import annotations

NO_BOX = (
    "There is no box in this book yet. Leave, and take your tables in with `rounds load FOLDER` (`rounds load --columns`"
    " lists what they hold), or begin with one shelf: `rounds record shelf bay=A shelf=1 slots=4`, then"
    " `rounds record box code=TL-01 place=A1-1`. `rounds demo` shows an invented house."
)
"""What to do first, wherever a book without a box is looked at."""

NONE = "none"
NONE_RECORDED = "none recorded"
NOTHING = "nothing"
NOBODY_RECORDED = "no animals recorded"
NOT_RECORDED = "not recorded"
NOT_KNOWN = "not known"
NO_PLACE = "no place"
DAY_NOT_KNOWN = "day not known"
DAY_NOT_RECORDED = "day not recorded"
CANNOT_TELL = "cannot tell"
UNTIL_LIFTED = "until it is lifted"
NOW = "now"
SEEN_TODAY = "today"


def ago(days: int) -> str:
    return SEEN_TODAY if not days else f"{days} day{'s' * (days != 1)} ago"


def day(words: str, year: int) -> str:
    """``words``: the day without its year."""
    return f"{words} {year}"


def between(since: str, until: str) -> str:
    return f"{since} – {until}"


def up_to_days(most: int) -> str:
    return f"up to {most} d"


def days_or_more(fewest: int) -> str:
    return f"{fewest}+ d"


def so_many_days(fewest: int, most: int) -> str:
    return f"{fewest} d" if fewest == most else f"{fewest}–{most} d"


def many(n: int, one: str, more: str = "") -> str:
    return f"{n} {one if n == 1 else more or one + 's'}"


def counts(males: int, females: int, unsexed: int, *, at_least: bool) -> str:
    return f"{'at least ' if at_least else ''}{males}.{females}.{unsexed}"


def total(fewest: int, most: int | None) -> str:
    """``most`` None: at least so many."""
    if most is None:
        return f"at least {fewest}"
    return str(fewest) if fewest == most else f"{fewest} to {most}"


def counted(counts_words: str) -> str:
    return f"{counts_words} (males.females.unsexed)"


def of_instar(counts_words: str, instar: str) -> str:
    """A group; ``instar`` empty: adults."""
    return f"{counts_words} {instar or 'adults'}"


def working_on(what: str, how_far: str) -> str:
    return f"{what}: {how_far}"


def cannot_tell(why: str) -> str:
    return f"{CANNOT_TELL}: {why}"


def mind(what: str) -> str:
    return f"mind: {what}"


def until(day_words: str) -> str:
    return f"until {day_words}"


def through(day_words: str) -> str:
    """The day belongs to it."""
    return f"through {day_words}"
