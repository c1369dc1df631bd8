"""Make the demo's tables: ``python -m demo_data.make [FOLDER]``.

The same seed makes the same bytes. The tables beside this file are what it made; a test
makes them again and compares.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterator
from datetime import date
from pathlib import Path

from demo_data import bookkeeping, breeding, finals, weather
from demo_data.chance import Chance
from demo_data.house import BAYS, BOXES, KEEPERS, SHELVES, SLOTS, Box
from demo_data.life import Life, Look, since
from demo_data.nursery import TRIAL_FROM
from demo_data.params import FIRST_SEARCH, LINES, SEED, T0
from demo_data.register import END, START, TURN, Register
from demo_data.register import day as ordinal
from demo_data.story import HOLIDAY
from demo_data.year import YearLife
from rounds.files.cells_out import guarded
from rounds.files.csv_tables import BY_NAME
from rounds.husbandry.lock_sentences import LEFT_ALONE

TRIAL_ENDS = ordinal("2025-12-18")
TRIAL_SHELVES = {"B4-2": "B1-1", "B4-3": "B1-3", "B4-4": "C1-1", "D1-1": "C1-3"}


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def tables() -> dict[str, list[dict[str, object]]]:
    """Every table by name, each row by the columns that say something."""
    r = told()
    shelves = [f"{b}{s}" for b in BAYS for s in SHELVES]
    degrees = weather.shelves(START, TURN - 1, shelves, "year") | weather.shelves(TURN, END, shelves)
    mean = {s: sum(degrees[s, d] for d in range(TURN, END + 1)) / (END - TURN + 1) for s in shelves}
    visits, readings = walks(r, degrees)
    due_ = [row for b in BOXES for row in due(b, mean[b.place[:2]], END)]
    locks_ = [row for b in BOXES for row in locks(b, mean[b.place[:2]])]
    return {
        "house": [
            {
                "name": "Tarn Lantern Beetle House",
                "zone": "Europe/Berlin",
                "day_starts": "04:00",
                "order": "straight",
            }
        ],
        "keepers": [{"keeper": k} for k in KEEPERS],
        "places": [{"bay": b, "shelf": s, "slot": n} for b in BAYS for s in SHELVES for n in SLOTS],
        "lines": [
            {"line": n, "species": sp.latin, "origin": origin, "generation": generation}
            for n, (sp, origin, generation) in LINES.items()
        ],
        "enclosures": [
            {
                "code": b.code,
                "number": b.number,
                "stage": b.stage,
                "stage_since": b.since,
                "place": b.place,
                "species": LINES[b.line][0].latin,
                "litres": b.litres,
                "note": b.note,
            }
            for b in BOXES
        ],
        **bookkeeping.tables(r, locks_, due_),
        "visits": visits,
        "readings": readings,
    }


def told() -> Register:
    """The whole year in the books."""
    r = Register()
    finals.loan(r)
    breeding.the_year(r)
    finals.settle(r)
    r.vacate()
    return r


def emergence(box: Box, temperature: float) -> tuple[int, int, int]:
    """Earliest, likely and latest day on which what lies in a cell comes up by itself."""
    species = LINES[box.line][0]
    days = (0.5 * species.wander + species.pupa) / (temperature - T0)
    at = since(box)
    return tuple(at + round(days * f + species.rest * r) for f, r in ((0.85, 0.7), (1, 1), (1.2, 1.4)))  # type: ignore[return-value]


def locks(box: Box, temperature: float) -> Iterator[dict[str, object]]:
    at = since(box)

    def row(forbids: str, until: str, reason: str) -> dict[str, object]:
        return {"enclosure": box.code, "forbids": forbids, "from": iso(at), "until": until, "reason": reason}

    if box.stage == "cell":
        low, _, high = emergence(box, temperature)
        yield row("open move wet", f"{iso(low)} to {iso(high)}", "in its cell until it comes up")
    elif box.stage == "laying":
        # It ends the day before the search window of :func:`due` opens.
        yield row("dig", iso(at + FIRST_SEARCH[0] - 1), LEFT_ALONE)
    elif box.stage == "eggs":
        yield row("dig move", f"about {iso(at + 24)}", "eggs fail when they are turned")
    elif box.stage == "resting":
        yield row("dig open", f"about {iso(at + 30)}", "resting, comes up by itself")


def due(box: Box, temperature: float, last: int) -> Iterator[dict[str, object]]:
    at, chance = since(box), Chance(SEED, "due", box.code)

    def row(what: str, low: int, likely: int, high: int, why: str) -> dict[str, object]:
        return {
            "enclosure": box.code,
            "what": what,
            "earliest": iso(low),
            "likely": iso(likely),
            "latest": iso(high),
            "why": why,
        }

    if box.stage == "laying":
        yield row("first search", *(at + days for days in FIRST_SEARCH), "28 days after she went in")
    elif box.stage == "pairing":
        yield row(
            "move the female to a laying box",
            at + 14,
            at + 18,
            at + 21,
            "14 to 21 days together, common practice",
        )
    elif box.stage == "cell":
        low, likely, high = emergence(box, temperature)
        yield row("expect it to come up", low, likely, high, "cell closed, degree-days of its shelf")
    elif box.stage == "quarantine":
        yield row("end of quarantine", at + 30, at + 30, at + 37, "30 days apart")
    elif box.stage == "larvae" and box.instar == "L3":
        next_ = last + chance.between(-4, 24)
        yield row("change two thirds of the substrate", next_ - 5, next_, next_ + 7, "every 28 to 42 days")
    elif box.stage == "eggs":
        yield row("look for hatched larvae", at + 14, at + 18, at + 24, "egg time of the species")


Rows = list[dict[str, object]]


def walks(r: Register, degrees: dict[tuple[str, int], float]) -> tuple[Rows, Rows]:
    """Visits and readings of every day, in the order of the rack."""
    visits: Rows = []
    readings: Rows = []
    boxes = sorted(BOXES, key=lambda b: b.place)
    year, weeks = [YearLife(b, r) for b in boxes], [Life(b) for b in boxes]
    for day in range(START, END + 1):
        pace = Chance(SEED, "pace", day)
        keeper = KEEPERS[date.fromordinal(day).weekday() >= 5]
        if HOLIDAY[0] <= iso(day) <= HOLIDAY[1]:
            keeper = KEEPERS[1]
        clock = (7 * 60 + 20) * 60 + pace.between(0, 1500)
        measured: set[str] = set()
        seq = 0
        lives = weeks if day >= TURN else sorted(year, key=lambda life: stands(life.box, day))
        for life in lives:
            if day < life.first:
                continue
            if day < TURN and life.stage(day) == "empty":
                continue
            place = stands(life.box, day) if day < TURN else life.box.place
            shelf = place[:2]
            look = life.day(day, degrees[shelf, day])
            if day < TURN and (n := r.found_dead.get((life.box.place, day))):
                look.read["dead"] = str(min(n, 9))
                look.expected.pop("dead", None)
            if look.read.get("mating") == "yes" and look.depth == "lid":
                r.mating(life.box.place, day)
            seq += 1
            clock += pace.between(7, 30)
            id_ = f"{date.fromordinal(day):%y%m%d}-{seq:02}"
            at = f"{iso(day)}T{clock // 3600:02}:{clock // 60 % 60:02}:{clock % 60:02}"
            visits.append(
                {
                    "visit": id_,
                    "at": at,
                    "keeper": keeper,
                    "enclosure": life.box.code,
                    "seq": seq,
                    "place": place if place != life.box.place else "",
                    "skipped": look.skipped,
                    "note": look.note,
                }
            )
            if look.skipped:
                continue
            if shelf not in measured:
                measured.add(shelf)
                readings.append(_reading(id_, "shelf_temp", look, f"{degrees[shelf, day]:.1f}", "read"))
            readings += [_reading(id_, k, look, v, "read") for k, v in look.read.items()]
            readings += [_reading(id_, k, look, v, "expected") for k, v in look.expected.items()]
    return visits, readings


def _reading(visit: str, reading: str, look: Look, value: str, how: str) -> dict[str, object]:
    return {"visit": visit, "reading": reading, "depth": look.depth, "value": value, "how": how}


def stands(box: Box, day: int) -> str:
    """Where a box stood: four of the trial's trays stood on its two shelves, behind others."""
    if TRIAL_FROM <= day < TRIAL_ENDS:
        return TRIAL_SHELVES.get(box.place, box.place)
    return box.place


def write(folder: Path) -> None:
    """Write every table into ``folder``; columns that no row fills are left out."""
    for name, rows in tables().items():
        columns = [c.name for c in BY_NAME[name].columns if any(row.get(c.name, "") != "" for row in rows)]
        unknown = {k for row in rows for k in row} - {c.name for c in BY_NAME[name].columns}
        assert not unknown, (name, unknown)
        with (folder / BY_NAME[name].file).open("w", encoding="utf-8", newline="") as f:
            writer = csv.writer(f, lineterminator="\n")
            writer.writerow(columns)
            writer.writerows([guarded(str(row.get(c, ""))) for c in columns] for row in rows)


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
