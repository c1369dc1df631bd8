"""Measures of food: what has gone, against the usual, and how old what is left is.

Amounts are quarter cups. `jelly_gone` is what has gone since the last look at the food;
taking old food out is not eating and never enters these figures.
"""

from __future__ import annotations

from rounds.records.observations import Visit
from rounds.rules.visit_view import View

DAY_MS = 86_400_000
FORTNIGHT = 14
ENOUGH = 4
"""Observed amounts below which a median says nothing about what is usual."""
SHORTEST = 0.25
"""Days between two looks below which an amount gone says nothing about a day's."""

LASTS = 6
"""Days after which nothing is left of a cup: jelly keeps about three, and then it is changed (common practice,
no source); twice that, so that a cup left standing is not taken for a slip (estimate)."""

_OF_FOOD = frozenset(("jelly_gone", "jelly_in", "jelly_out"))


def _looked_at_food(seen: Visit) -> bool:
    read, confirmed = seen.read, seen.confirmed
    return (
        "jelly_gone" in read
        or "jelly_in" in read
        or "jelly_out" in read
        or (bool(confirmed) and not _OF_FOOD.isdisjoint(confirmed))
    )


def _per_day(gone: object, at_ms: int, before: Visit | None) -> float | None:
    if gone is None or before is None:
        return None
    days = (at_ms - before.at_ms) / DAY_MS
    return float(gone) / days if days >= SHORTEST else None  # type: ignore[arg-type]


def gone_per_day(view: View, _of: str) -> float | None:
    gone = view.observed("jelly_gone")
    if gone is None:
        return None
    return _per_day(gone, view.now_ms, next((v for v in view.past if _looked_at_food(v)), None))


def usual_gone_per_day(view: View, _of: str) -> float | None:
    """Median of the fortnight before this visit, within this stage and of these animals; None under four amounts."""
    first, rates = view.day - FORTNIGHT, []
    same = view.scene.enclosure.company.same_since
    after: Visit | None = None  # the later look whose amount is still waiting for the one before it
    for seen in view.past_alike:
        if not _looked_at_food(seen):
            continue
        if after is not None and after.day > same:
            rate = _per_day(after.read.get("jelly_gone"), after.at_ms, seen)
            if rate is not None:
                rates.append(rate)
        if seen.day < first:
            break
        after = seen
    if len(rates) < ENOUGH:
        return None
    rates.sort()
    half = len(rates) // 2
    return rates[half] if len(rates) % 2 else (rates[half - 1] + rates[half]) / 2


def gone_ratio(view: View, _of: str) -> float | None:
    now = view["=gone_per_day"]
    usual = view["=usual_gone_per_day"] if now is not None else None
    return now / usual if usual else None


def days_untouched(view: View, _of: str) -> int | None:
    """Days covered by looks in a row at which food lay there and none of it had gone.

    Each such look covers the days since the look before it, at the most as many as a cup
    :data:`LASTS`: that nobody looked for weeks is not that nothing was eaten for weeks. A look at which the food was
    not observed is passed over: it adds no days and ends nothing. What lay untouched before
    any of today's animals came says nothing about them.
    """
    return _untouched_run(view)[0]


def usually_gone_meanwhile(view: View, _of: str) -> float | None:
    """What usually goes in as many days: the mean of the fortnight before the run, times its days.

    A mean, because small beetles leave the cup as it was on most days and a median would
    be nothing. None under four observed amounts of these very animals.
    """
    days, eaten = _untouched_run(view)
    if not days or eaten is None:
        return 0.0 if days == 0 else None
    gone, over, observed = 0.0, 0.0, 0
    after: Visit | None = None
    same = view.scene.enclosure.company.same_since
    for seen in view.past_alike:
        if seen.day > eaten or not _looked_at_food(seen):
            continue
        if after is not None and after.day > same and (amount := after.read.get("jelly_gone")) is not None:
            gone, over, observed = (
                gone + float(amount),
                over + (after.at_ms - seen.at_ms) / DAY_MS,
                observed + 1,
            )
        if seen.day < eaten - FORTNIGHT:
            break
        after = seen
    return gone / over * days if observed >= ENOUGH and over else None


def _untouched_run(view: View) -> tuple[int | None, int | None]:
    found: tuple[int | None, int | None] | None = view.get("~untouched")
    if found is None:
        found = view["~untouched"] = _find_untouched_run(view)
    return found


def _find_untouched_run(view: View) -> tuple[int | None, int | None]:
    """The days of the run, and the day before it when it was last seen that some had gone (None: never)."""
    state = None if view.seen is None else _untouched(view.seen)
    if state is None:
        return None, None
    if not state:
        return 0, None
    offered, total, open_day = False, 0, view.day
    for before in view.past_of_someone():
        if open_day:
            total += min(open_day - before.day, LASTS)  # longer than that nobody saw whether it was eaten
            open_day = 0
        offered = offered or bool(before.read.get("jelly_in") or before.read.get("fruit_in"))
        state = _untouched(before)
        if state is False:
            return total, before.day
        if state:
            open_day = before.day
    # Nobody saw it eaten in all of the history: only true if food is known to have been there.
    return (total if offered else None), None


def _untouched(seen: Visit) -> bool | None:
    """Whether nothing was gone; None when neither jelly nor fruit was observed."""
    jelly, fruit = seen.read.get("jelly_gone"), seen.read.get("fruit_gone")
    if jelly is None and fruit is None:
        return None
    return not jelly and fruit in (None, "untouched")


def gone_beyond(view: View, _of: str) -> float | None:
    """Quarter cups gone now beyond the most that can have lain there by what was written down.

    The most: all that was put in during the last :data:`LASTS` days, less what was seen to
    have gone or was taken out meanwhile. Not known where nothing was put in then: somebody
    may not write it down.
    """
    gone = view.observed("jelly_gone")
    if gone is None:
        return None
    recent: list[Visit] = []
    for seen in view.past:
        if seen.day < view.day - LASTS:
            break
        recent.append(seen)
    there, given = 0.0, False
    for seen in reversed(recent):
        read = seen.read
        # More gone than is known of was of an older cup: it takes nothing from the new one.
        there = max(0.0, there - float(read.get("jelly_gone") or 0) - float(read.get("jelly_out") or 0))
        there += float(read.get("jelly_in") or 0)
        given = given or bool(read.get("jelly_in"))
    return float(gone) - there if given else None


def cup_age_days(view: View, _of: str) -> int | None:
    if view.observed("jelly_in"):
        return 0
    for seen in view.past:
        if seen.read.get("jelly_in"):
            return view.day - seen.day
    return None


def fruit_age_days(view: View, _of: str) -> int | None:
    given = _fruit(view)
    return view.day - given if given else None


def fruit_left(view: View, _of: str) -> bool | None:
    given = _fruit(view)
    return None if given is None else bool(given)


def _fruit(view: View) -> int | None:
    """Day the fruit that lies there was given; 0 when it has gone, None when none is on record."""
    if view.observed("fruit_in"):
        return view.day
    gone = view.observed("fruit_gone") == "gone"
    for seen in view.past:
        if seen.read.get("fruit_in"):
            return 0 if gone else seen.day
        gone = gone or seen.read.get("fruit_gone") == "gone"
    return None
