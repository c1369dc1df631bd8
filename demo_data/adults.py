"""Adults of the year before those of the last weeks: who they were, whom they were paired with.

The rack of the first day is that of the last, a year earlier, with other animals in it.
"""

from __future__ import annotations

from typing import NamedTuple

from demo_data.chance import Chance
from demo_data.params import LINES, SEED
from demo_data.register import Register, Who, day

OLDER = {
    "UMBER": dict(zip(("11", "12", "13", "14", "15", "16"), ["5", "6", "7", "8", "9", "10"], strict=True)),
    "KESTREL": dict(zip(("K11", "K12", "K13", "K14"), ["K5", "K6", "K7", "K8"], strict=True)),
    "LOCH": dict(zip(("011", "012", "013", "014", "015"), ["04", "05", "06", "07", "08"], strict=True)),
    "SORREL": dict(zip(("S-11", "S-12", "S-13", "S-14"), ["S-3", "S-4", "S-5", "S-6"], strict=True)),
    "TALLOW": dict(
        zip(("11", "12", "13", "14", "15", "16", "17"), ["3", "4", "5", "6", "7", "8", "9"], strict=True)
    ),
    "RUSH": dict(zip(("11", "12", "13", "14", "15", "16"), ["5", "6", "7", "8", "9", "10"], strict=True)),
}
"""Who stood a year earlier where these stand on the last day."""

LIFE = {
    "Mecynorhina torquata": 120,
    "Dicronorhina derbyana": 105,
    "Eudicella smithi": 110,
    "Pachnoda marginata": 130,
}
"""Days of active life, mean; an estimate."""

HOLDING = {
    "UMBER": "A1-1",
    "KESTREL": "A1-2",
    "LOCH": "A2-1",
    "SORREL": "A2-2",
    "TALLOW": "A3-1",
    "RUSH": "A3-2",
}
NEIGHBOURS = ("Nine Alders", "Moss Gate")


class Pair(NamedTuple):
    """A pairing: together in ``box`` from ``since``, then she lays in ``laying`` from ``lays`` until ``ends``."""

    name: str
    female: Who
    male: Who
    box: str
    since: str
    laying: str
    lays: str
    ends: str
    purpose: str = "cross"
    note: str = ""


SPRING = (
    Pair("P-01", ("UMBER", "8"), ("UMBER", "7"), "A1-3", "2025-03-01", "B3-2", "2025-03-19", "2025-05-27"),
    Pair(
        "P-02", ("KESTREL", "K8"), ("KESTREL", "K7"), "A1-4", "2025-02-15", "B3-1", "2025-03-06", "2025-05-25"
    ),
    Pair("P-03", ("LOCH", "05"), ("LOCH", "06"), "A2-3", "2025-02-20", "B2-1", "2025-03-14", "2025-05-26"),
    Pair(
        "P-04", ("SORREL", "S-4"), ("SORREL", "S-5"), "A2-4", "2025-02-14", "B2-2", "2025-03-10", "2025-05-24"
    ),
    Pair("P-05", ("RUSH", "8"), ("TALLOW", "6"), "A3-3", "2025-02-16", "B2-3", "2025-03-12", "2025-05-23"),
)
AUTUMN = (
    Pair("P-06", ("UMBER", "32"), ("UMBER", "31"), "A1-3", "2025-09-24", "B3-2", "2025-10-13", "2026-01-20"),
    Pair(
        "P-07",
        ("KESTREL", "K32"),
        ("KESTREL", "K31"),
        "A1-4",
        "2025-09-28",
        "B3-1",
        "2025-10-18",
        "2026-01-21",
    ),
    Pair(
        "P-08",
        ("SORREL", "S-32"),
        ("SORREL", "N5"),
        "A2-4",
        "2025-10-02",
        "B2-2",
        "2025-10-20",
        "2026-01-22",
        note="he is Nine Alders', who own a third of the larvae",
    ),
    Pair("P-09", ("LOCH", "032"), ("LOCH", "031"), "A2-3", "2025-10-01", "B2-1", "2025-10-19", "2026-01-19"),
    Pair(
        "P-10",
        ("TALLOW", "62"),
        ("TALLOW", "61"),
        "A3-3",
        "2025-09-27",
        "B2-3",
        "2025-10-15",
        "2026-01-21",
        "unplanned",
        "a slip: his number was misread, they are full sibs",
    ),
    Pair("P-11", ("RUSH", "62"), ("RUSH", "61"), "A1-2", "2025-09-20", "B2-4", "2025-10-08", "2026-01-18"),
)

FIRST_LAYING = {
    "B2-1": "2025-03-12",
    "B2-2": "2025-03-08",
    "B2-3": "2025-03-10",
    "B2-4": "2025-05-04",
    "B3-1": "2025-03-04",
    "B3-2": "2025-03-16",
    "B3-3": "2025-05-06",
    "B4-1": "2025-05-12",
}
"""When the female who laid in a box as the year began was found dead there."""


def lifespan(line: str, chance: Chance) -> int:
    """Days of active life: about the mean of the species, a third up or down."""
    return round(LIFE[LINES[line][0].latin] * min(1.6, max(0.4, 1 + 0.3 * chance.normal())))


def older(line: str, number: str) -> Who:
    """The animal that stood a year earlier where this one stands."""
    return line, OLDER[line][number]


def kin(
    r: Register, who: Who, sex: str, emerged: int, feeds: int, parents: tuple[str, str] = ("", "")
) -> None:
    """An adult with the four days of its coming of age (first feed, and maturity twelve days later)."""
    sire, dam = parents
    r.animal(
        who,
        sex,
        feeds,
        sexed_how="as adult",
        sexed_sure="certain",
        sire=f"{who[0]}/{sire}" if sire else "",
        dam=f"{who[0]}/{dam}" if dam else "",
        emerged=emerged,
        first_feed=feeds,
        mature=feeds + 12,
    )


def summer(r: Register) -> None:
    """Those who came up in summer and were paired in autumn."""
    for pair in AUTUMN:
        for who, sex in ((pair.female, "f"), (pair.male, "m")):
            if who[1] == "N5":
                continue
            chance = Chance(SEED, "summer", *who)
            feeds = day(pair.since) - 20 - chance.between(0, 12)
            kin(r, who, sex, feeds - chance.between(18, 30), feeds)
            r.put(who, HOLDING[who[0]], feeds)


def trial_pairs() -> list[Pair]:
    """Six pairs of full sibs, six of two lines, side by side."""
    boxes = ("A1-3", "B2-1", "A1-4", "B2-2", "A2-3", "B2-3", "A2-4", "B2-4", "B3-1", "B3-2", "B3-3", "B4-1")
    out = []
    for n, place in enumerate(boxes):
        sibs = n % 2 == 0
        female = ("TALLOW", str(39 + n // 2)) if sibs else ("RUSH", str(31 + n // 2))
        male = ("TALLOW", str((31 if sibs else 51) + n // 2))
        arm = "full sibs" if sibs else "TALLOW with RUSH"
        out.append(
            Pair(
                f"T-{n + 1:02}",
                female,
                male,
                place,
                "2025-06-02",
                place,
                "2025-06-19",
                "2025-08-24",
                "sibs" if sibs else "cross",
                f"trial, {arm}; it closes on 2026-02-28",
            )
        )
    return out


def trial_adults(r: Register) -> None:
    for pair in trial_pairs():
        for who, sex in ((pair.female, "f"), (pair.male, "m")):
            chance = Chance(SEED, "trial", *who)
            feeds = day("2025-05-12") + chance.between(0, 8)
            kin(
                r,
                who,
                sex,
                feeds - chance.between(20, 28),
                feeds,
                ("1", "2") if who[0] == "TALLOW" else ("2", "4"),
            )
            # Until the trial the sexes fed apart.
            r.put(who, "A3-3" if who[0] == "TALLOW" and sex == "m" else HOLDING[who[0]], feeds)
