"""Species files against what was published: the number in the file is the number in the paper.

Sources stand beside each row. Where a paper gives a mean alone, the file's `likely` is that
mean and its range is marked an estimate; where it gives a range or a deviation, the file's
range is that. Rows without a paper are marked `common practice, no source`, as in the files.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from rounds.husbandry.hatching import since_hatching
from rounds.husbandry.species import SpeciesRange, times
from tests.husbandry.test_species import shipped

SPECIES = shipped()

GYMNETIS = "Rodrigues et al. 2016, Biota Neotropica 16(3)"
CHILOLOBA = "Biology of Chiloloba orientalis 2012, Journal of Insect Science 12:127"
AGAMEMNON = "Soltani, Chaieb and Ben Hamouda 2008, Journal of Insect Science 8:61"
RHINOCEROS = "Zhong et al. 2013, Acta Entomologica Sinica 56(2)"
MONOCEROS = "Ukeh, Usua and Umoetok 2003"

MEANS = [  # days at one temperature, as printed
    ("Gymnetis rufilateris", "egg_days", 15.5, GYMNETIS),
    ("Gymnetis rufilateris", "l1_days", 13.5, GYMNETIS),
    ("Gymnetis rufilateris", "l2_days", 30.6, GYMNETIS),
    ("Gymnetis rufilateris", "l3_days", 113.1, GYMNETIS),
    ("Gymnetis rufilateris", "pupa_days", 12.8, GYMNETIS),
    ("Gymnetis rufilateris", "generation_days", 186.8, GYMNETIS),
    ("Chiloloba orientalis", "egg_days", 15.2, CHILOLOBA),
    ("Chiloloba orientalis", "l1_days", 22.7, CHILOLOBA),
    ("Chiloloba orientalis", "l2_days", 54.3, CHILOLOBA),
    ("Chiloloba orientalis", "l3_days", 46.6, CHILOLOBA),
    ("Chiloloba orientalis", "pupa_days", 14.7, CHILOLOBA),
    ("Chiloloba orientalis", "active_days", 9.4, CHILOLOBA),
    ("Oryctes rhinoceros", "egg_days", 8.88, RHINOCEROS),
    ("Oryctes rhinoceros", "larva_days", 156.8, RHINOCEROS),
    ("Oryctes rhinoceros", "pupa_days", 33.75, RHINOCEROS),
    ("Oryctes monoceros", "egg_days", 11, MONOCEROS),
    ("Oryctes monoceros", "larva_days", 75.6, MONOCEROS),
    ("Oryctes monoceros", "pupa_days", 15.5, MONOCEROS),
    ("Oryctes monoceros", "active_days", 51.6, MONOCEROS),
    ("Pachnoda interrupta", "pupa_days", 18.3, "Dejen and Merene 2014, doi 10.4236/ae.2014.21002"),
]

DEVIATIONS = [  # mean and standard deviation, days at 23 °C
    ("egg_days", 14.3, 1.4),
    ("l1_days", 33.1, 2.7),
    ("l2_days", 63.9, 6.6),
    ("l3_days", 118.3, 13.4),
    ("pupa_days", 24.1, 3.0),
    ("active_days", 65.3, 9.5),
]

RANGES = [  # lowest, highest and mean as printed
    (
        "Pachnoda interrupta",
        "egg_days",
        8,
        13,
        9.63,
        "Feleke 2017, International Journal of Applied Research 3(11)",
    ),
    (
        "Pachnoda interrupta",
        "larva_days",
        42,
        73,
        59.1,
        "Feleke 2017, International Journal of Applied Research 3(11)",
    ),
    (
        "Protaetia brevitarsis",
        "larva_days",
        64.8,
        164,
        None,
        "Moon et al. 2018, Korean Journal of Applied Entomology 57(4)",
    ),
]


def value(species: str, preset: str, *by: str) -> SpeciesRange:
    found = SPECIES[species].range(preset, *by)
    assert found is not None
    return found


@pytest.mark.parametrize(("species", "preset", "mean", "source"), MEANS)
def test_a_published_mean_is_the_likely_value(species: str, preset: str, mean: float, source: str) -> None:
    found = value(species, preset)
    assert found.likely == mean
    assert found.low < mean < found.high
    assert found.source == source
    assert "estimate" in found.note  # the paper's own spread was not seen


@pytest.mark.parametrize(("preset", "mean", "deviation"), DEVIATIONS)
def test_a_published_deviation_gives_the_range(preset: str, mean: float, deviation: float) -> None:
    found = value("Oryctes agamemnon", preset)
    assert found.source == AGAMEMNON
    assert found.likely == mean
    assert found.low == pytest.approx(mean - 2 * deviation, abs=0.051)
    assert found.high == pytest.approx(mean + 2 * deviation, abs=0.051)


@pytest.mark.parametrize(("species", "preset", "low", "high", "likely", "source"), RANGES)
def test_a_published_range_is_the_range(
    species: str, preset: str, low: float, high: float, likely: float | None, source: str
) -> None:
    assert value(species, preset)[:4] == (low, high, likely, source)


@pytest.mark.parametrize(
    ("species", "means", "to_death"),
    [
        (
            "Oryctes rhinoceros",
            (8.88, 156.8, 9.45, 33.75),
            326,
        ),  # Zhong et al. 2013: egg, larva, pre-pupa, pupa
        ("Oryctes monoceros", (11, 75.6, 15.5), 145),  # Ukeh, Usua and Umoetok 2003: egg, larva, pupa
    ],
)
def test_a_generation_is_the_sum_of_its_published_stages(
    species: str, means: tuple[float, ...], to_death: float
) -> None:
    """What these papers call a generation takes in the life of the adult; the file's ends with its emergence."""
    found = value(species, "generation_days")
    assert found.likely == pytest.approx(sum(means), abs=0.5)
    assert found.high < to_death
    assert found.source == "estimate"


def test_instars_by_head_width_do_not_overlap_within_a_species() -> None:
    """L1, L2 and L3 of Trypoxylus dichotomus are told apart by the head: 3.1, 5.8, 11.3 mm
    (common practice, no source). The ratios, 1.87 and 1.95, are arithmetic."""
    bands = [value("Trypoxylus dichotomus", "head_mm", i) for i in ("L1", "L2", "L3")]
    assert [b.likely for b in bands] == [3.1, 5.8, 11.3]
    assert all(a.high < b.low for a, b in pairwise(bands))
    ratios = [round((b.likely or 0) / (a.likely or 1), 2) for a, b in pairwise(bands)]
    assert ratios == [1.87, 1.95]


def test_a_generation_holds_its_parts() -> None:
    """Egg, instars and pupa of Gymnetis rufilateris add up to the egg-to-adult time printed beside
    them: 185.5 of 186.8 days (Rodrigues et al. 2016)."""
    parts = ("egg_days", "l1_days", "l2_days", "l3_days", "pupa_days")
    total = sum(value("Gymnetis rufilateris", p).likely or 0 for p in parts)
    assert total == pytest.approx(185.5)
    assert total == pytest.approx(value("Gymnetis rufilateris", "generation_days").likely, abs=1.5)


def test_shortest_times_to_an_instar_are_below_every_published_mean() -> None:
    """A hatch span may only be too wide: what is taken for shortest must not exceed a mean."""
    found = times(SPECIES["Oryctes agamemnon"])
    assert found is not None
    assert since_hatching("L3", found) <= 33.1 + 63.9  # Soltani, Chaieb and Ben Hamouda 2008
    assert since_hatching("L2", found) <= 33.1
