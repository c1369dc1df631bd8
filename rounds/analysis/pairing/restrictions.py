"""Who may be paired with whom: the keeper's wishes, checked, and what to warn of."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from rounds.problems import nearest
from rounds.values.spans import Span

BARRIERS = ("species", "subspecies", "locality")
"""What is never crossed unless the keeper says so."""

UNKNOWN = "unknown"
"""Among what may be crossed: a recorded subspecies or locality with one that is not recorded."""


class Candidate(NamedTuple):
    """An animal that might breed. ``awake`` spans the days it is, or is likely, active.

    ``hindered`` says why it cannot breed now (resting, in quarantine, promised, on loan …);
    empty if it can.
    """

    animal: str
    sex: str  # m, f; anything else is left out
    line: str = ""
    species: str = ""
    subspecies: str = ""
    locality: str = ""
    awake: Span | None = None
    hindered: str = ""
    note: str = ""  # what to know about it that does not hinder it


class Wishes(NamedTuple):
    """What the keeper sets.

    ``weight`` is w of the plan's cost; ``most_f`` the highest F allowed (its high end);
    ``uses`` how many females a male may be given, ``uses_of`` that for single males.
    ``apart`` lists two lines never to be crossed (a line twice: not within it); ``cross``
    two lines and the least number of pairs wanted between them. ``boxes`` is the number of
    free enclosures; ``across`` which of :data:`BARRIERS` may be crossed, and :data:`UNKNOWN`
    where one of two is not recorded; ``together`` the days both should be awake (two weeks: common practice, no source),
    of those from ``today`` on where that is given.
    """

    weight: float = 1.0
    most_f: float | None = None
    uses: int = 1
    uses_of: Mapping[str, int] = {}
    apart: tuple[tuple[str, str], ...] = ()
    cross: tuple[tuple[str, str, int], ...] = ()
    forced: tuple[tuple[str, str], ...] = ()  # male, female
    forbidden: tuple[tuple[str, str], ...] = ()
    boxes: int | None = None
    across: frozenset[str] = frozenset()
    together: int = 14
    today: int | None = None


ANYTHING = Wishes()
"""No wishes beyond the barriers."""


def check(candidates: Sequence[Candidate], wishes: Wishes) -> Iterator[tuple[str, str]]:
    """Every wish that cannot be meant, as (message, hint)."""
    sex = {c.animal: c.sex for c in candidates}
    lines = {c.line for c in candidates if c.line}
    if len(sex) < len(candidates):
        for name in sex:
            if (times := sum(c.animal == name for c in candidates)) > 1:
                yield f"`{name}` is a candidate {times} times.", "Keep one."
    numbers = [
        ("the weight of F", wishes.weight),
        ("the highest F", wishes.most_f),
        ("the uses of a male", wishes.uses),
        ("the free boxes", wishes.boxes),
        ("the days together", wishes.together),
    ]
    numbers += [(f"the uses of `{name}`", uses) for name, uses in wishes.uses_of.items()]
    for what, number in numbers:
        if number is not None and not 0 <= number < 1e9:
            yield f"{what} cannot be {number:g}.", "Expected 0 or more."
    for barrier in sorted(wishes.across):
        if barrier not in (*BARRIERS, UNKNOWN):
            every = (*BARRIERS, UNKNOWN)
            yield f"`{barrier}` cannot be crossed, expected {', '.join(every)}.", nearest(barrier, every)
    for what, pairs in (("forced", wishes.forced), ("forbidden", wishes.forbidden)):
        for male, female in pairs:
            for name, wanted in ((male, "m"), (female, "f")):
                if name not in sex:
                    yield f"the {what} pair {male} × {female}: `{name}` is no candidate.", nearest(name, sex)
                elif sex[name] != wanted:
                    yield (
                        f"the {what} pair {male} × {female}: `{name}` is no {'fe' * (wanted == 'f')}male.",
                        "Male first.",
                    )
    for name in wishes.uses_of:
        if name not in sex:
            yield f"uses of a male: `{name}` is no candidate.", nearest(name, sex)
        elif sex[name] != "m":
            yield f"uses of a male: `{name}` is no male.", "A female is paired once in a plan."
    for line in dict.fromkeys(x for pair in (*wishes.apart, *(c[:2] for c in wishes.cross)) for x in pair):
        if line not in lines:
            yield f"no candidate is of the line `{line}`.", nearest(line, lines)
    for pair in dict.fromkeys(wishes.forced):
        if pair in wishes.forbidden:
            yield f"the pair {pair[0]} × {pair[1]} is both forced and forbidden.", "Keep one."
    for name in dict.fromkeys(f for _, f in wishes.forced):
        if (times := len({m for m, f in wishes.forced if f == name})) > 1:
            yield f"`{name}` is forced with {times} males.", "A female is paired once in a plan."
    for name in dict.fromkeys(m for m, _ in wishes.forced):
        times, allowed = (
            len({f for m, f in wishes.forced if m == name}),
            wishes.uses_of.get(name, wishes.uses),
        )
        if times > allowed:
            yield (
                f"`{name}` is forced with {times} females and may be used {allowed} times.",
                "Allow more uses.",
            )
    kept_apart = {frozenset(pair) for pair in wishes.apart}
    for a, b, wanted_pairs in wishes.cross:
        if wanted_pairs and frozenset((a, b)) in kept_apart:
            yield f"the lines {a} and {b} are both to be crossed and kept apart.", "Keep one."
        if wishes.boxes is not None and wanted_pairs > wishes.boxes:
            yield (
                f"{wanted_pairs} pairs of {a} and {b} are wanted and {wishes.boxes} boxes are free.",
                "Free more boxes.",
            )
    if wishes.boxes is not None and len(set(wishes.forced)) > wishes.boxes:
        yield (
            f"{len(set(wishes.forced))} pairs are forced and {wishes.boxes} boxes are free.",
            "Free more boxes.",
        )


def barred(male: Candidate, female: Candidate, f_high: float, wishes: Wishes) -> str:
    """Why two candidates may not be paired; empty if they may."""
    if (male.animal, female.animal) in wishes.forbidden:
        return "forbidden by you"
    for barrier, a, b in zip(
        BARRIERS,
        (male.species, male.subspecies, male.locality),
        (female.species, female.subspecies, female.locality),
        strict=True,
    ):
        if a == b or barrier in wishes.across:
            continue
        if a and b:
            return f"another {barrier} ({a}, {b})"
        # The same or another: nobody can tell, so it takes the keeper's word.
        if barrier == "species" or UNKNOWN not in wishes.across:
            return f"{barrier} not recorded ({male.animal if not a else female.animal})"
    if any({male.line, female.line} == {a, b} for a, b in wishes.apart):
        return "lines kept apart"
    if wishes.most_f is not None and f_high > wishes.most_f + 1e-12:
        return f"F above the limit (up to {f_high:.3f})"
    return ""


def notes_on(male: Candidate, female: Candidate) -> Iterator[str]:
    """What is not a reason against a pair and should still be known."""
    yield from (c.note for c in (male, female) if c.note)
    for barrier, a, b in (
        ("subspecies", male.subspecies, female.subspecies),
        ("locality", male.locality, female.locality),
    ):
        if bool(a) != bool(b):
            yield f"the {barrier} of {male.animal if not a else female.animal} is not recorded: the same or another, nobody can tell"
    if male.line and female.line and male.line != female.line:
        unknown = "" if male.locality or female.locality else "; of neither is it recorded where it is from"
        yield f"crosses the lines {male.line} and {female.line}{unknown}"


def awake_warning(male: Candidate, female: Candidate, days: int, today: int | None = None) -> str:
    """Whether the two will be awake together for so many days (from ``today`` on); empty if so, or if unknown."""
    if male.awake is None or female.awake is None:
        return ""
    common = min(male.awake.latest, female.awake.latest) - max(male.awake.earliest, female.awake.earliest) + 1
    if common >= days:
        return "" if today is None else _time_left(male, female, days, today)
    first, second = sorted((male, female), key=lambda c: (_span(c).latest, _span(c).earliest))
    spans = f"{first.animal} until {_day(_span(first).latest)}, {second.animal} from {_day(_span(second).earliest)}"
    if common <= 0:
        return f"not awake together: {spans}, {1 - common} days apart"
    return f"awake together for {common} days at most: {spans}"


def _time_left(male: Candidate, female: Candidate, days: int, today: int) -> str:
    """What to warn of where two would have been awake together long enough, had they met in time."""
    first = min(male, female, key=lambda c: _span(c).latest)
    last = _span(first).latest
    if last < today:
        return f"past the usual active life of its species: {first.animal}, since {_day(last)}"
    left = last - max(today, _span(male).earliest, _span(female).earliest) + 1
    if left >= days:
        return ""
    return f"awake together for {left} more days at most: {first.animal} until {_day(last)}"


def awake_words(male: Candidate, female: Candidate, days: int, today: int | None = None) -> str:
    """That the two are awake together long enough, and till when, or that nobody can tell; "" when they are not."""
    if male.awake is None or female.awake is None:
        return "not known whether they are awake together"
    if awake_warning(male, female, days, today):
        return ""
    return f"both awake until {_day(last_day_together(male, female))} at the longest"


def last_day_together(male: Candidate, female: Candidate) -> int:
    """The last day on which both may still be awake; their days must be known."""
    return min(_span(male).latest, _span(female).latest)


def _span(c: Candidate) -> Span:
    assert c.awake is not None
    return c.awake


def _day(day: int) -> str:
    return date.fromordinal(day).isoformat()


def out_of_step(candidates: Sequence[Candidate], days: int = 14, today: int | None = None) -> list[str]:
    """A warning for each line of which no male and female will be awake together for ``days`` (from ``today`` on).

    Resting animals count: it is their waking that is looked at. A line with one sex only, or
    with an animal whose days are not known, is passed over.
    """
    out = []
    for line in dict.fromkeys(c.line for c in candidates):
        males = [c for c in candidates if c.line == line and c.sex == "m"]
        females = [c for c in candidates if c.line == line and c.sex == "f"]
        if not males or not females or any(c.awake is None for c in (*males, *females)):
            continue
        if any(not awake_warning(m, f, days, today) for m in males for f in females):
            continue
        spans = [
            Span(min(_span(c).earliest for c in x), max(_span(c).latest for c in x)) for x in (males, females)
        ]
        shown = [f"{_day(s.earliest)} to {_day(s.latest)}" for s in spans]
        out.append(
            f"{line or 'no line'}: males awake {shown[0]}, females {shown[1]}, never {days} days together{'' if today is None else ' from today on'}"
        )
    return out
