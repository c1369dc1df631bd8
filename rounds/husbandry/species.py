"""What is known of a species, value by value with its source: the shape of that data.

The values come from ``config/species/*.yaml`` (parsed in :mod:`rounds.husbandry.species_file`).
A value that is not there is unknown: nothing is forecast or flagged from it, and no other
species stands in for it.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.hatching import Times
from rounds.husbandry.stages import INSTARS, STAGES
from rounds.named_tuple import NamedTuple

PLAIN_SOURCES = ("common practice, no source", "from memory", "estimate")
"""What may stand as a source where there is no paper, standard or institution to name."""

OWN_RECORDS = "own records"
"""The source of what a house found out by itself: it stands in no file."""

MOISTURE = ("dry", "right", "wet")
"""How damp a stage should be, as it is read at a visit."""

FORECAST = frozenset(
    (
        "egg_days",
        "l1_days",
        "l2_days",
        "l3_days",
        "larva_days",
        "wandering_days",
        "pupa_days",
        "cell_days",
        "rest_days",
        "mature_days",
        "active_days",
    )
)
"""The presets that forecasts rest on. A file marked ``thin`` still lists them, but gives none of them away."""

LEGAL_STATUS = ("barred", "protected", "permit")
"""What a rule of law does to a species: it may not come in, it is protected, or it needs a permit first."""


class Preset(NamedTuple):
    """One value a species file may give.

    ``kind`` is "range" (two numbers in ``unit``, between ``low`` and ``high``) or "words"
    (some of ``words``). With ``by`` it is given per stage, instar or sex. ``whole`` ranges
    may be a single number (``instars: [3, 3]``); every other range must have a width.
    """

    name: str
    kind: str
    about: str
    unit: str = ""
    low: float = 0
    high: float = 0
    words: tuple[str, ...] = ()
    by: tuple[str, ...] = ()
    whole: bool = False


def _days(name: str, about: str, high: float = 400) -> Preset:
    return Preset(name, "range", about, "days", 0, high)


_BY_STAGE = (*STAGES, *INSTARS)

PRESETS: dict[str, Preset] = {
    p.name: p
    for p in (
        Preset("kept", "words", "how larvae are kept", words=("single", "group", "colony")),
        Preset("cannibal", "words", "whether larvae eat each other", words=("yes", "no", "crowded")),
        Preset(
            "protein", "words", "whether larvae need protein", words=("needed", "helpful", "optional", "none")
        ),
        Preset("temperature", "range", "where it is kept", "°C", 0, 45, by=_BY_STAGE),
        Preset("moisture", "words", "how damp it is kept, the aim first", words=MOISTURE, by=_BY_STAGE),
        _days("egg_days", "from laid to hatched"),
        _days("l1_days", "from hatched to L2"),
        _days("l2_days", "from L2 to L3"),
        _days("l3_days", "from L3 to wandering", 1500),
        _days("larva_days", "from hatched to wandering", 2000),
        Preset("instars", "range", "how many larval instars", "", 2, 9, whole=True),
        _days("wandering_days", "from wandering to a closed cell"),
        _days("pupa_days", "the pupa itself"),
        _days("cell_days", "from a closed cell to leaving it, rest included"),
        _days("rest_days", "from eclosed to leaving the cell"),
        _days("generation_days", "from egg to active adult", 2500),
        _days("mature_days", "from the first feed to being ready to breed"),
        _days("active_days", "an active adult's life", 1000),
        _days("together_days", "how long a pair is left together"),
        _days("first_search_days", "from the female going in to the first search"),
        _days("next_search_days", "from one search to the next"),
        _days("rebed_days", "from filling a laying box to changing all its substrate"),
        _days("substrate_days", "from one change of larval substrate to the next"),
        _days("weighing_days", "from one weigh-in of L3 to the next"),
        _days("leftovers_days", "from giving protein to taking out what is left", 30),
        _days("quarantine_days", "from arrival to the end of quarantine"),
        _days("prepared_days", "how long a prepared box is watched for heat and souring"),
        Preset("lay_depth_cm", "range", "depth of laying substrate", "cm", 1, 100),
        Preset("lay_firm_cm", "range", "of that, pressed firm at the bottom", "cm", 0, 50),
        Preset("lay_litres", "range", "size of a laying box", "l", 0.1, 1000),
        Preset("larva_litres", "range", "room for one larva", "l", 0.01, 100, by=("larvae", *INSTARS)),
        Preset("eggs_per_female", "range", "eggs in a life", "", 0, 2000),
        Preset("peak_grams", "range", "heaviest larva", "g", 0.1, 500, by=("m", "f", "unknown")),
        Preset("head_mm", "range", "width of the head capsule", "mm", 0.1, 40, by=INSTARS),
    )
}
"""Every value a species file may give, in the order in which they are listed."""


class SpeciesRange(NamedTuple):
    """Lowest and highest usual value, the likeliest where somebody knows it, and who says so."""

    low: float
    high: float
    likely: float | None
    source: str
    note: str = ""

    def __str__(self) -> str:
        return f"{self.low:g} to {self.high:g}"


class Words(NamedTuple):
    """Words that hold, the first before the others, and who says so."""

    words: tuple[str, ...]
    source: str
    note: str = ""


class LegalEntry(NamedTuple):
    """One rule of law about a species: where it holds, what it says, and who to ask.

    ``looked_up`` is the day (ISO) on which the authority's own words were read; law changes,
    so the authority decides and not this file.
    """

    where: str
    status: str
    says: str
    authority: str
    looked_up: str


class Species(NamedTuple):
    """One species. ``ranges`` and ``texts`` are by preset name, or ``name/by`` where it has one.

    ``thin``: fewer than three of its values are published, so nothing is forecast from it.
    ``durations_at``: the temperature (°C) its durations were found or estimated at, where that is one.
    """

    name: str
    english: str = ""
    ranges: Mapping[str, SpeciesRange] = {}
    texts: Mapping[str, Words] = {}
    thin: bool = False
    legal: tuple[LegalEntry, ...] = ()
    durations_at: float | None = None

    def range(self, preset: str, *by: str) -> SpeciesRange | None:
        """The range of a preset: for the first of ``by`` that has one, or None.

        A thin file gives no range that a forecast could be made from. Raises KeyError for a
        preset that does not exist, so that a slip is not "unknown".
        """
        if PRESETS[preset].kind != "range":
            raise KeyError(f"{preset} holds no range")
        if self.thin and preset in FORECAST:
            return None
        return next((self.ranges[k] for k in _keys(preset, by) if k in self.ranges), None)

    def words(self, preset: str, *by: str) -> tuple[str, ...]:
        """The words of a preset, the aim first; none when they are unknown. KeyError as above."""
        if PRESETS[preset].kind != "words":
            raise KeyError(f"{preset} holds no words")
        return next((self.texts[k].words for k in _keys(preset, by) if k in self.texts), ())

    def larva_days(self) -> SpeciesRange | None:
        """Hatched to wandering: as given, or the three instars added up where all are given."""
        given = self.range("larva_days")
        if given is not None:
            return given
        parts = [self.range(f"{i.lower()}_days") for i in INSTARS]
        known = [p for p in parts if p is not None]
        instars = self.range("instars")
        if len(known) < len(parts) or (instars is not None and (instars.low, instars.high) != (3, 3)):
            return None
        likely = None if any(p.likely is None for p in known) else sum(p.likely or 0 for p in known)
        return SpeciesRange(
            sum(p.low for p in known),
            sum(p.high for p in known),
            likely,
            "; ".join(dict.fromkeys(p.source for p in known)),
            "L1, L2 and L3 added up",
        )


def is_published(source: str) -> bool:
    """Does a source name a work, with its author and year?"""
    return source not in PLAIN_SOURCES


def published(species: Species) -> int:
    """How many values of a species name a published work."""
    sources = [one.source for one in species.ranges.values()] + [one.source for one in species.texts.values()]
    return sum(map(is_published, sources))


def _keys(preset: str, by: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(f"{preset}/{b}" for b in by) if PRESETS[preset].by else (preset,)


def times(species: Species | None) -> Times | None:
    """Shortest and longest days of egg, L1 and L2, as hatch spans want them; None for no species."""
    if species is None:
        return None
    egg, l1, l2 = (species.range(n) for n in ("egg_days", "l1_days", "l2_days"))
    pairs = [(r.low, r.high) if r is not None else None for r in (egg, l1, l2)]
    return Times(*pairs)
