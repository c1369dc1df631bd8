"""Who stands where in the invented house on the day the demo begins.

The rack is written down, not drawn at random, so that a story can be told of it. Numbers
of animals are as their keepers write them: padded in one line, plain in another, and the
same number may be met in two lines.
"""

from __future__ import annotations

from typing import NamedTuple

BAYS, SHELVES, SLOTS = "ABCD", range(1, 5), range(1, 5)
KEEPERS = ("Ferrow", "Tamsel")  # weekday mornings, weekends


class Beetle(NamedTuple):
    """An animal that has a number; spans as they are typed."""

    line: str
    number: str
    sex: str
    how: str = "as adult"
    sire: str = ""
    dam: str = ""
    born: str = ""
    emerged: str = ""
    first_feed: str = ""
    mature: str = ""
    state: str = "alive"
    note: str = ""


def founders() -> list[Beetle]:
    """Animals of earlier years, none of them alive."""
    gone = []
    for line, males, females, pad in (
        ("UMBER", 2, 2, ""),
        ("KESTREL", 2, 2, "K"),
        ("LOCH", 1, 2, "0"),
        ("SORREL", 1, 1, "S-"),
        ("TALLOW", 1, 1, ""),
        ("RUSH", 2, 2, ""),
    ):
        for n in range(1, males + females + 1):
            sex = "m" if n <= males else "f"
            gone.append(Beetle(line, f"{pad}{n}", sex, born="unknown", emerged="2024", state="dead"))
    return gone


def _adult(
    line: str, number: str, sex: str, sire: str, dam: str, emerged: str, fed: str, mature: str, **more: str
) -> Beetle:
    return Beetle(
        line,
        number,
        sex,
        "as adult",
        f"{line}/{sire}" if sire else "",
        f"{line}/{dam}" if dam else "",
        emerged=emerged,
        first_feed=fed,
        mature=mature,
        **more,
    )


ADULTS = [
    _adult("UMBER", "11", "m", "1", "3", "2025-11-20", "2025-12-18", "about 2025-12-30"),
    _adult("UMBER", "12", "f", "1", "3", "2025-11-29", "2025-12-27", "about 2026-01-08"),
    _adult("UMBER", "13", "m", "2", "4", "2025-12-04", "2026-01-02", "2026-01-14"),
    _adult("UMBER", "14", "f", "2", "4", "November 2025", "2025-12-20", "about 2026-01-02"),
    _adult("UMBER", "15", "f", "1", "3", "2025-12-10", "2026-01-09", "2026-01-21"),
    _adult("UMBER", "16", "m", "2", "4", "2026-01-16", "", "", note="left in its box until it comes up"),
    _adult("UMBER", "17", "f", "1", "3", "2025-12-08", "2026-01-05", "2026-01-17"),
    _adult("KESTREL", "K11", "m", "K1", "K3", "2025-09-20", "2025-10-20", "about 2025-11-01"),
    _adult("KESTREL", "K12", "f", "K2", "K4", "2025-11-18", "2025-12-15", "2025-12-27"),
    _adult("KESTREL", "K13", "m", "", "", "before 2025-12-01", "2026-01-05", "about 2026-01-17"),
    _adult("KESTREL", "K14", "f", "", "", "before 2025-12-01", "2025-12-28", "about 2026-01-09"),
    _adult("KESTREL", "K15", "f", "K1", "K3", "2025-12-11", "2026-01-07", "2026-01-19"),
    _adult("KESTREL", "K20", "f", "", "", "unknown", "2026-02-12", "", note="mated before it came: unknown"),
    _adult("LOCH", "011", "m", "01", "02", "2025-10-22", "2025-11-14", "2025-11-26"),
    _adult("LOCH", "012", "f", "01", "03", "2025-12-02", "2025-12-24", "about 2026-01-05"),
    _adult("LOCH", "013", "m", "01", "02", "2025-12-06", "2025-12-29", "2026-01-10"),
    _adult("LOCH", "014", "f", "01", "03", "2025-11-25", "2025-12-19", "2025-12-31"),
    _adult("LOCH", "015", "f", "01", "02", "2026-01-21", "", ""),
    _adult("LOCH", "016", "f", "01", "03", "2025-12-14", "2026-01-06", "2026-01-18"),
    _adult("SORREL", "S-11", "m", "S-1", "S-2", "2025-12-11", "2026-01-03", "2026-01-15"),
    _adult("SORREL", "S-12", "f", "S-1", "S-2", "2025-12-05", "2025-12-28", "about 2026-01-09"),
    _adult("SORREL", "S-13", "m", "S-1", "S-2", "2025-11-30", "2025-12-22", "2026-01-03"),
    _adult("SORREL", "S-14", "f", "S-1", "S-2", "2025-11-21", "2025-12-13", "2025-12-25"),
    _adult("SORREL", "S-15", "f", "S-1", "S-2", "2025-12-13", "2026-01-05", "2026-01-17"),
    _adult("SORREL", "N7", "m", "", "", "unknown", "2026-01-28", "", note="on loan from Nine Alders"),
    _adult("TALLOW", "11", "f", "1", "2", "2025-12-09", "2026-01-05", "2026-01-17"),
    _adult("TALLOW", "12", "f", "1", "2", "2025-12-12", "2026-01-07", "about 2026-01-19"),
    _adult("TALLOW", "13", "f", "1", "2", "2025-12-12", "2026-01-08", "about 2026-01-20"),
    _adult("TALLOW", "14", "m", "1", "2", "2025-11-28", "2025-12-24", "2026-01-05"),
    _adult("TALLOW", "15", "f", "1", "2", "2025-11-15", "2025-12-12", "2025-12-24"),
    _adult("TALLOW", "16", "f", "1", "2", "2025-11-17", "2025-12-14", "2025-12-26"),
    _adult("TALLOW", "17", "m", "1", "2", "2026-01-23", "", ""),
    _adult("RUSH", "11", "f", "1", "3", "2025-12-01", "2025-12-29", "2026-01-10"),
    _adult("RUSH", "12", "f", "2", "4", "2025-11-26", "2025-12-23", "2026-01-04"),
    _adult("RUSH", "13", "f", "1", "3", "2025-11-08", "2025-12-04", "about 2025-12-16"),
    _adult("RUSH", "14", "f", "2", "4", "2025-12-03", "2025-12-30", "2026-01-11"),
    _adult("RUSH", "15", "f", "2", "4", "2025-11-19", "2025-12-16", "2025-12-28"),
    _adult("RUSH", "16", "f", "1", "3", "2026-01-19", "", ""),
    _adult("RUSH", "17", "m", "1", "3", "2025-12-13", "2026-01-09", "2026-01-21"),
]

CELLS = [  # in their cells; sexed late, or not at all
    Beetle("UMBER", "21", "m", "by the spot, as larva", "UMBER/1", "UMBER/3", "spring 2025"),
    Beetle("UMBER", "27", "f", "by the spot, as larva", "UMBER/1", "UMBER/3", "spring 2025"),
    Beetle("KESTREL", "K21", "m", "by weight, a guess", "KESTREL/K1", "KESTREL/K3", "before 2025-06-15"),
    Beetle("LOCH", "021", "unknown", "", "LOCH/01", "LOCH/02", "between 2025-05-20 and 2025-06-17"),
    Beetle("TALLOW", "21", "m", "by the spot, as larva", "TALLOW/1", "TALLOW/2", "about 2025-06-20"),
    Beetle("RUSH", "21", "f", "by the spot, as larva", "RUSH/2", "RUSH/4", "summer 2025"),
]


class Box(NamedTuple):
    """An enclosure as the demo begins. ``who``: numbers of animals, or a group ``m.f.u``, ``+`` for at least."""

    place: str
    number: int
    stage: str
    since: str
    line: str
    who: str
    litres: float
    instar: str = ""
    note: str = ""

    @property
    def code(self) -> str:
        return f"TL-{self.number:03}"

    @property
    def animals(self) -> list[str]:
        return [] if "." in self.who else self.who.split()

    @property
    def shelf(self) -> int:
        return int(self.place[1])


BOXES = [
    Box("A1-1", 7, "holding", "2026-01-10", "UMBER", "11", 8),
    Box("A1-2", 12, "holding", "2025-10-20", "KESTREL", "K11", 8),
    Box("A1-3", 3, "pairing", "2026-02-18", "UMBER", "13 14", 12),
    Box("A1-4", 15, "pairing", "2026-02-15", "KESTREL", "K13 K14", 12),
    Box("A2-1", 8, "holding", "2025-11-28", "LOCH", "011", 6),
    Box("A2-2", 21, "holding", "about 2026-01-05", "SORREL", "S-11", 6),
    Box("A2-3", 5, "pairing", "2026-02-20", "LOCH", "013 012", 8),
    Box("A2-4", 6, "pairing", "2026-02-14", "SORREL", "S-13 S-12", 8),
    Box("A3-1", 17, "holding", "2026-01-09", "TALLOW", "11 12 13", 6),
    Box("A3-2", 18, "holding", "2026-01-02", "RUSH", "11 12 13", 6),
    Box("A3-3", 9, "pairing", "2026-02-16", "TALLOW", "14", 6),
    Box("A3-4", 33, "cell", "2026-01-12", "UMBER", "21", 3, note="cell against the back wall"),
    Box("A4-1", 40, "resting", "2026-01-16", "UMBER", "16", 3),
    Box("A4-2", 41, "resting", "2026-01-21", "LOCH", "015", 2),
    Box("A4-3", 42, "resting", "2026-01-23", "TALLOW", "17", 2),
    Box("A4-4", 43, "resting", "2026-01-19", "RUSH", "16", 2),
    Box("B1-1", 22, "larvae", "2026-01-06", "UMBER", "0.0.1", 0.2, "L1"),
    Box("B1-2", 23, "larvae", "2026-01-06", "UMBER", "0.0.1", 0.2, "L1"),
    Box("B1-3", 24, "larvae", "about 2026-01-08", "KESTREL", "0.0.1", 0.2, "L2"),
    Box("B1-4", 25, "larvae", "2026-01-14", "LOCH", "0.0.9+", 10, "L2"),
    Box("B2-1", 1, "laying", "2026-01-31", "LOCH", "014", 20),
    Box("B2-2", 2, "laying", "2026-02-04", "SORREL", "S-14", 20),
    Box("B2-3", 11, "laying", "2026-02-09", "TALLOW", "15", 12),
    Box("B2-4", 13, "laying", "2026-02-01", "RUSH", "15", 12),
    Box("B3-1", 14, "laying", "2026-02-05", "KESTREL", "K12", 30, note="the pressed layer is 8 cm"),
    Box("B3-2", 4, "laying", "2026-02-12", "UMBER", "12", 30),
    Box("B3-3", 16, "laying", "2026-02-06", "TALLOW", "16", 12),
    Box("B3-4", 60, "colony", "autumn 2025", "BRAMBLE", "4.6.0", 37, note="larvae of all sizes below"),
    Box("B4-1", 10, "laying", "2026-02-10", "UMBER", "15", 30),
    Box("B4-2", 50, "eggs", "2026-02-11", "UMBER", "0.0.6+", 1.5),
    Box("B4-3", 51, "eggs", "2026-02-14", "SORREL", "0.0.8", 1.5),
    Box("B4-4", 52, "eggs", "2026-02-17", "RUSH", "0.0.5+", 1.5),
    Box("C1-1", 53, "eggs", "2026-02-08", "TALLOW", "0.0.7", 1.5),
    Box("C1-2", 26, "larvae", "January 2026", "TALLOW", "0.0.1", 0.2, "L1"),
    Box("C1-3", 27, "larvae", "January 2026", "RUSH", "0.0.1", 0.2, "L2"),
    Box("C1-4", 28, "larvae", "2025-12-29", "RUSH", "0.0.1", 0.2, "L2"),
    Box("C2-1", 19, "larvae", "2025-11-16", "LOCH", "0.0.7+", 15, "L3"),
    Box("C2-2", 20, "larvae", "2025-11-16", "SORREL", "0.0.8+", 15, "L3"),
    Box("C2-3", 29, "holding", "2026-01-20", "UMBER", "17", 8, note="females, apart until they are paired"),
    Box("C2-4", 30, "larvae", "2025-11-08", "UMBER", "0.1.0", 3, "L3"),
    Box("C3-1", 31, "larvae", "2025-10-30", "UMBER", "1.0.0", 3, "L3"),
    Box("C3-2", 32, "larvae", "2025-12-06", "KESTREL", "0.1.0", 3, "L3", "protein given on Sundays"),
    Box("C3-3", 34, "larvae", "2025-12-13", "KESTREL", "0.0.1", 3, "L3"),
    Box("C3-4", 35, "larvae", "about 2025-12-20", "KESTREL", "1.0.0", 3, "L3"),
    Box("C4-1", 36, "larvae", "2025-12-19", "TALLOW", "0.0.1", 1, "L3"),
    Box("C4-2", 37, "larvae", "2025-12-19", "TALLOW", "1.0.0", 1, "L3"),
    Box("C4-3", 38, "larvae", "2025-12-28", "RUSH", "0.1.0", 1, "L3"),
    Box("C4-4", 39, "holding", "2026-01-18", "RUSH", "17", 4, note="the only male of his line"),
    Box("D1-1", 44, "larvae", "2026-01-18", "SORREL", "0.0.12+", 10, "L2"),
    Box("D1-2", 45, "holding", "2026-01-24", "LOCH", "016", 10, note="females, apart until they are paired"),
    Box("D1-3", 46, "larvae", "2025-10-12", "TALLOW", "1.0.0", 1, "L3"),
    Box("D1-4", 47, "larvae", "2025-10-12", "TALLOW", "0.1.0", 1, "L3"),
    Box("D2-1", 48, "cell", "2026-01-05", "UMBER", "27", 3),
    Box("D2-2", 49, "cell", "2026-01-20", "KESTREL", "K21", 3),
    Box("D2-3", 54, "cell", "2026-01-09", "LOCH", "021", 2),
    Box("D2-4", 55, "cell", "about 2026-01-22", "TALLOW", "21", 1.5),
    Box("D3-1", 56, "cell", "2026-02-03", "RUSH", "21", 1.5),
    Box("D3-2", 57, "prepared", "2026-02-24", "TALLOW", "", 12, note="laid up for the next female"),
    Box("D4-1", 58, "quarantine", "2026-01-28", "SORREL", "N7", 6, note="from Nine Alders, own tools"),
    Box("D4-2", 59, "quarantine", "2026-02-12", "KESTREL", "K20", 6, note="from Moss Gate, own tools"),
]
EXTRA = {"A3-3": [("RUSH", "14")], "C2-3": [("KESTREL", "K15")], "D1-2": [("SORREL", "S-15")]}
"""Animals of a second line in a box: the partner in a cross, or females that wait together."""

A_YEAR_BEFORE = {
    "B3-1": Box("B3-1", 14, "laying", "2026-02-02", "KESTREL", "K12", 30),
    "C2-3": Box("C2-3", 29, "larvae", "between 2025-10-20 and 2025-11-10", "UMBER", "1.0.0", 8, "L3"),
    "C4-4": Box("C4-4", 39, "larvae", "2025-12-28", "RUSH", "0.0.1", 4, "L3"),
    "D1-2": Box("D1-2", 45, "larvae", "2026-01-24", "SORREL", "0.0.10", 10, "L1"),
}
"""What stood in these boxes a year before the last day, where it was something else or came on another day.

Its days are written a year late, like those of all the others.
"""

BEFORE = {
    "A1-3": "holding",
    "A1-4": "holding",
    "A2-3": "holding",
    "A2-4": "holding",
    "A3-3": "holding",
    "B2-1": "pairing",
    "B2-2": "pairing",
    "B2-3": "pairing",
    "B2-4": "pairing",
    "B3-1": "pairing",
    "B3-2": "pairing",
    "B3-3": "pairing",
    "B4-1": "pairing",
}
"""What such a box was until its stage began; the others stood empty or held the same."""
