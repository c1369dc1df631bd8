"""Make the demo's tables: ``python -m demo_data.make [FOLDER]``.

The same seed makes the same bytes. The tables beside this file are what it made; a test
makes them again and compares.
"""

from __future__ import annotations

import csv
import sys
from collections.abc import Iterable, Sequence
from datetime import date
from pathlib import Path

from demo_data import weather
from demo_data.chance import Chance
from demo_data.house import ADULTS, BAYS, BOXES, CELLS, EXTRA, KEEPERS, SHELVES, SLOTS, Box, founders
from demo_data.life import Life, since
from demo_data.params import LINES, SEED, T0
from demo_data.story import DIED, FIRST, LAST
from rounds.exchange.cells import guarded
from rounds.exchange.tables import BY_NAME

Rows = Iterable[Sequence[object]]


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def tables() -> dict[str, list[Sequence[object]]]:
    """Every table by name, rows in the columns' order of the registry."""
    first, last = date.fromisoformat(FIRST).toordinal(), date.fromisoformat(LAST).toordinal()
    shelves = [f"{b}{s}" for b in BAYS for s in SHELVES]
    degrees = weather.shelves(first, last, shelves)
    visits, readings = walks(first, last, degrees)
    mean = {s: sum(degrees[s, d] for d in range(first, last + 1)) / (last - first + 1) for s in shelves}
    return {
        "house": [("Tarn Lantern Beetle House", "Europe/Berlin", "04:00", "straight")],
        "keepers": [(k,) for k in KEEPERS],
        "places": [(b, s, n) for b in BAYS for s in SHELVES for n in SLOTS],
        "lines": [(n, sp.latin, origin, generation, "") for n, (sp, origin, generation) in LINES.items()],
        "animals": list(animals()),
        "enclosures": [
            (b.code, b.number, b.stage, b.since, b.place, "", LINES[b.line][0].latin, b.litres, b.note) for b in BOXES
        ],
        "contents": [row for b in BOXES for row in contents(b)],
        "locks": [row for b in BOXES for row in locks(b, mean[b.place[:2]])],
        "due": [row for b in BOXES for row in due(b, mean[b.place[:2]], last)],
        "visits": visits,
        "readings": readings,
    }  # fmt: skip


def animals() -> Rows:
    for b in (*founders(), *ADULTS, *CELLS):
        state = "dead" if (b.line, b.number) in DIED else b.state
        yield (
            b.line,
            b.number,
            b.sex,
            b.how,
            b.sire,
            b.dam,
            b.born,
            b.emerged,
            b.first_feed,
            b.mature,
            state,
            b.note,
        )


def contents(box: Box) -> Rows:
    if "." in box.who:
        males, females, unsexed = (int(n) for n in box.who.rstrip("+").split("."))
        least = "yes" if box.who.endswith("+") else ""
        yield (
            box.code,
            box.line,
            "",
            males or "",
            females or "",
            unsexed or "",
            least,
            box.instar,
            box.since,
        )
        if box.stage == "colony":
            yield (box.code, box.line, "", "", "", 40, "yes", "L3", "")
        return
    for line, number in [*((box.line, n) for n in box.animals), *EXTRA.get(box.place, [])]:
        if (line, number) not in DIED:
            yield (box.code, line, number, "", "", "", "", "", box.since)


def emergence(box: Box, temperature: float) -> tuple[int, int, int]:
    """Earliest, likely and latest day on which what lies in a cell comes up by itself."""
    species = LINES[box.line][0]
    days = (0.5 * species.wander + species.pupa) / (temperature - T0)
    at = since(box)
    return tuple(at + round(days * f + species.rest * r) for f, r in ((0.85, 0.7), (1, 1), (1.2, 1.4)))  # type: ignore[return-value]


def locks(box: Box, temperature: float) -> Rows:
    at = since(box)
    if box.stage == "cell":
        low, _, high = emergence(box, temperature)
        yield (
            box.code,
            "",
            "open move wet",
            iso(at),
            f"{iso(low)} to {iso(high)}",
            "in its cell until it comes up",
        )
    elif box.stage == "laying":
        yield (box.code, "", "dig", iso(at), iso(at + 28), "first search four weeks after she went in")
    elif box.stage == "eggs":
        yield (box.code, "", "dig move", iso(at), f"about {iso(at + 24)}", "eggs fail when they are turned")
    elif box.stage == "resting":
        yield (box.code, "", "dig open", iso(at), f"about {iso(at + 30)}", "resting, comes up by itself")


def due(box: Box, temperature: float, last: int) -> Rows:
    at, chance = since(box), Chance(SEED, "due", box.code)

    def row(what: str, low: int, likely: int, high: int, why: str) -> Sequence[object]:
        return (box.code, what, iso(low), iso(likely), iso(high), why)

    if box.stage == "laying":
        yield row("first search", at + 26, at + 28, at + 35, "she went in four weeks before")
    elif box.stage == "pairing":
        yield row(
            "move the female to a laying enclosure", at + 14, at + 18, at + 21, "two to three weeks together"
        )
    elif box.stage == "cell":
        yield row(
            "expect it to come up", *emergence(box, temperature), "cell closed, degree-days of its shelf"
        )
    elif box.stage == "quarantine":
        yield row("end of quarantine", at + 30, at + 30, at + 37, "30 days apart")
    elif box.stage == "larvae" and box.instar == "L3":
        next_ = last + chance.between(-4, 24)
        yield row(
            "change two thirds of the substrate", next_ - 5, next_, next_ + 7, "every four to six weeks"
        )
    elif box.stage == "eggs":
        yield row("look for hatched larvae", at + 14, at + 18, at + 24, "egg time of the species")


def walks(
    first: int, last: int, degrees: dict[tuple[str, int], float]
) -> tuple[list[Sequence[object]], list[Sequence[object]]]:
    """Visits and readings of every day, in the order of the rack."""
    visits: list[Sequence[object]] = []
    readings: list[Sequence[object]] = []
    lives = [Life(b) for b in sorted(BOXES, key=lambda b: b.place)]
    for day in range(first, last + 1):
        pace = Chance(SEED, "pace", day)
        keeper = KEEPERS[date.fromordinal(day).weekday() >= 5]
        clock = (7 * 60 + 20) * 60 + pace.between(0, 1500)
        measured: set[str] = set()
        seq = 0
        for life in lives:
            if day < life.first:
                continue
            shelf = life.box.place[:2]
            look = life.day(day, degrees[shelf, day])
            seq += 1
            clock += pace.between(7, 30)
            id_ = f"{date.fromordinal(day):%y%m%d}-{seq:02}"
            at = f"{iso(day)}T{clock // 3600:02}:{clock // 60 % 60:02}:{clock % 60:02}"
            visits.append((id_, at, keeper, life.box.code, seq, "", "", look.skipped, look.note))
            if look.skipped:
                continue
            if shelf not in measured:
                measured.add(shelf)
                readings.append((id_, "shelf_temp", look.depth, f"{degrees[shelf, day]:.1f}", "read"))
            readings += [(id_, r, look.depth, v, "read") for r, v in look.read.items()]
            readings += [(id_, r, look.depth, v, "expected") for r, v in look.expected.items()]
    return visits, readings


def write(folder: Path) -> None:
    """Write every table into ``folder``; columns that no row fills are left out."""
    for name, rows in tables().items():
        columns = [c.name for c in BY_NAME[name].columns]
        kept = [i for i in range(len(columns)) if any(row[i] != "" for row in rows)]
        with (folder / BY_NAME[name].file).open("w", encoding="utf-8", newline="") as f:
            writer = csv.writer(f, lineterminator="\n")
            writer.writerow([columns[i] for i in kept])
            writer.writerows([guarded(str(row[i])) for i in kept] for row in rows)


if __name__ == "__main__":
    write(Path(sys.argv[1]) if len(sys.argv) > 1 else Path(__file__).parent)
