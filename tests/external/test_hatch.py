"""Hatch spans against stage durations that were published: the hatch of those animals lies within.

Each row gives the numbers printed in the paper named beside it. Where a paper prints a range
or a mean with its deviation, the shortest and longest are those (two deviations each side,
which leaves out fewer than one animal in twenty); where it prints a mean alone, the animal
of mean length is the one that is followed.
"""

from __future__ import annotations

import itertools
import math
from datetime import date
from typing import NamedTuple

import pytest

from rounds.husbandry.hatching import FOUND, Times, hatch
from rounds.values.spans import Span

DAY0 = date(2026, 3, 1).toordinal()


class Row(NamedTuple):
    """Shortest and longest days of egg, L1, L2; None where the paper prints no such number."""

    source: str
    egg: tuple[float, float] | None
    l1: tuple[float, float] | None
    l2: tuple[float, float] | None


def mean(days: float) -> tuple[float, float]:
    return days, days


def around(days: float, deviation: float) -> tuple[float, float]:
    return days - 2 * deviation, days + 2 * deviation


ROWS = {
    "Gymnetis rufilateris": Row(
        "Rodrigues et al. 2016, Biota Neotropica 16(3):e20140176", mean(15.5), mean(13.5), mean(30.6)
    ),
    "Chiloloba orientalis": Row(
        "Biology of Chiloloba orientalis, 2012, Journal of Insect Science 12:127",
        mean(15.2),
        mean(22.7),
        mean(54.3),
    ),
    "Pachnoda interrupta, 25 °C": Row(
        "Feleke 2017, International Journal of Applied Research 3(11); larva given as a whole",
        (8, 13),
        None,
        None,
    ),
    "Pachnoda interrupta, field": Row(
        "Dejen & Merene 2014, doi 10.4236/ae.2014.21002; larva given as a whole", (4, 22), None, None
    ),
    "Cyclocephala putrida": Row("Biota Neotropica, article 1754", mean(16.0), mean(16.0), mean(48.3)),
    "Oryctes agamemnon": Row(
        "Soltani, Chaieb & Ben Hamouda 2008, Journal of Insect Science 8:61, at 23 ± 2 °C",
        around(14.3, 1.4),
        around(33.1, 2.7),
        around(63.9, 6.6),
    ),
    "Oryctes rhinoceros, 26 °C": Row(
        "Zhong et al. 2013, Acta Entomologica Sinica 56(2):167-172; larva given as a whole",
        mean(8.88),
        None,
        None,
    ),
    "Oryctes rhinoceros, compiled": Row(
        "compiled from the Global Invasive Species Database", (8, 12), (10, 21), (12, 21)
    ),
    "Oryctes monoceros": Row(
        "Ukeh, Usua & Umoetok 2003, Global Journal of Agricultural Sciences 2; larva given as a whole",
        mean(11),
        None,
        None,
    ),
    "Holotrichia nagpurensis": Row(
        "Rani et al. 2021, International Journal of Agricultural and Applied Sciences 2(1):57-60",
        mean(12.96),
        mean(17.66),
        mean(35.14),
    ),
}


def times(row: Row) -> Times:
    return Times(row.egg, row.l1, row.l2)


def spread(range_: tuple[float, float]) -> list[float]:
    """The shortest, the longest and some between."""
    low, high = range_
    return [low] if low == high else [low + (high - low) * k / 4 for k in range(5)]


def found_at(stages: tuple[float, ...], age: float) -> str:
    for name, length in zip(FOUND, stages, strict=False):
        if age < length:
            return name
        age -= length
    return "L3"


@pytest.mark.parametrize("species", [s for s, r in ROWS.items() if r.l1 and r.l2])
def test_the_published_animals_hatched_within_the_span(species: str) -> None:
    """Laid on any of the first 30 days, searched for on any of the 120 days after that."""
    row = ROWS[species]
    assert row.egg
    assert row.l1
    assert row.l2
    seen = set()
    for stages in itertools.product(spread(row.egg), spread(row.l1), spread(row.l2)):
        for laid, search in itertools.product((0, 1, 13, 30), range(0, 150, 3)):
            if search < laid:
                continue
            found = found_at(stages, search - laid)
            seen.add(found)
            span, doubt = hatch(found, Span(DAY0 + search, DAY0 + search), Span(DAY0, DAY0), times(row))
            hatched = DAY0 + laid + stages[0]
            assert not doubt
            assert span.earliest <= math.floor(hatched) <= span.latest, (stages, laid, search, found)
    assert seen == set(FOUND)


@pytest.mark.parametrize("species", [s for s, r in ROWS.items() if not r.l1])
def test_without_times_of_the_instars_only_the_egg_narrows(species: str) -> None:
    row = ROWS[species]
    assert row.egg
    made = Span(DAY0 + 60, DAY0 + 60)
    for found in FOUND[1:]:
        assert hatch(found, made, Span(DAY0, DAY0), times(row)).span == Span(
            DAY0 + math.floor(row.egg[0]), DAY0 + 60
        )
    eggs = hatch("eggs", made, Span(DAY0, DAY0), times(row)).span
    assert eggs == Span(DAY0 + 60, DAY0 + 60 + math.ceil(row.egg[1]))


@pytest.mark.parametrize(
    ("species", "found", "search", "earliest", "latest"),
    [
        # Gymnetis: 15.5 days in the egg; L2 is reached 13.5 and L3 44.1 days after hatching.
        ("Gymnetis rufilateris", "L1", 28, 15, 28),
        ("Gymnetis rufilateris", "L2", 56, 15, 43),
        ("Gymnetis rufilateris", "L3", 84, 15, 40),
        # Chiloloba: 15.2 days; L3 77.0 days after hatching. At 12 weeks there can be no L3 yet
        # (15.2 + 77.0 = 92.2), so 16 weeks.
        ("Chiloloba orientalis", "L3", 112, 15, 35),
        # Oryctes agamemnon, shortest by two deviations: egg 11.5, L1 27.7, L2 50.7 days.
        ("Oryctes agamemnon", "L2", 56, 11, 29),
        ("Oryctes agamemnon", "L3", 112, 11, 34),
        # Oryctes rhinoceros, compiled: egg 8, L1 10, L2 12 days at the shortest.
        ("Oryctes rhinoceros, compiled", "L2", 28, 8, 18),
        ("Oryctes rhinoceros, compiled", "L3", 42, 8, 20),
        # Holotrichia: 12.96 days; L3 52.8 days after hatching.
        ("Holotrichia nagpurensis", "L3", 70, 12, 18),
        ("Cyclocephala putrida", "L2", 35, 16, 19),
        ("Pachnoda interrupta, field", "L2", 28, 4, 28),
    ],
)
def test_spans_worked_out_by_hand(species: str, found: str, search: int, earliest: int, latest: int) -> None:
    """The female came in on day 0, the substrate was searched on day ``search``; both exact."""
    got = hatch(found, Span(DAY0 + search, DAY0 + search), Span(DAY0, DAY0), times(ROWS[species]))
    assert (got.span.earliest - DAY0, got.span.latest - DAY0, got.doubt) == (earliest, latest, "")


@pytest.mark.parametrize(
    ("species", "found", "day"), [("Chiloloba orientalis", "L3", 84), ("Gymnetis rufilateris", "L2", 21)]
)
def test_what_the_paper_rules_out_is_doubted(species: str, found: str, day: int) -> None:
    got = hatch(found, Span(DAY0 + day, DAY0 + day), Span(DAY0, DAY0), times(ROWS[species]))
    assert "sooner than" in got.doubt
    assert got.span == Span(DAY0, DAY0 + day)


def test_control_another_species_times_miss_the_published_hatch() -> None:
    """Were the table of one species used for another, the check above would fail."""
    slow, fast = ROWS["Cyclocephala putrida"], ROWS["Oryctes rhinoceros, compiled"]
    made, since = Span(DAY0 + 20, DAY0 + 20), Span(DAY0, DAY0)
    hatched = DAY0 + 8  # laid on day 0, the shortest egg of Oryctes; on day 20 it is L2
    assert found_at((8, 10, 12), 20) == "L2"
    right, wrong = hatch("L2", made, since, times(fast)), hatch("L2", made, since, times(slow))
    assert right.span.earliest <= hatched <= right.span.latest
    assert wrong.doubt
    assert not (wrong.span.earliest > DAY0 and wrong.span.earliest <= hatched)
    late = hatch("L1", made, since, times(slow))
    assert hatched < late.span.earliest


def test_every_row_names_its_source_and_ranges_run_forward() -> None:
    for species, row in ROWS.items():
        assert row.source, species
        for days in row[1:]:
            assert days is None or 0 < days[0] <= days[1]
