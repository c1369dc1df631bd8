"""Which animals of the books can breed now, and what hinders the others.

An animal whose readiness nobody recorded and nothing implies is not taken as ready. Days
follow from the books and the species file alone; without either they stay unknown.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from datetime import date

from rounds.acts import running_trials
from rounds.analysis.pairing.restrictions import Candidate
from rounds.due.planned_pairings import open_plans
from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.husbandry.species import Species
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, code

GROWN = ("eclosed", "emerged", "first_feed", "mature")
"""Columns of an animal any of which says that it is grown."""


def candidates(
    ledger: Ledger, species: Mapping[str, Species], today: int, left_out: Collection[int] = ()
) -> list[Candidate]:
    """Every grown animal that is alive or missing, with what hinders it from breeding today.

    ``left_out`` are animals the keeper will not breed from now. The species is the first two
    words of the line's Latin name; the rest is the subspecies unless one is recorded.
    """
    books = _Books(ledger, today)
    out = []
    for i, row in ledger.rows("animal"):
        if row["state"] not in ("alive", "missing") or all(row[c] is None for c in GROWN):
            continue
        line = ledger.row("line", row["line"])
        latin = str(line["species"]).split()
        known = species.get(str(line["species"])) or species.get(" ".join(latin[:2]))
        hindered = "left out by you" if i in left_out else books.hindered(i, row, known)
        out.append(
            Candidate(
                animal_name(ledger, i), str(row["sex"]), str(line["name"]), " ".join(latin[:2]),
                str(line["subspecies"] or " ".join(latin[2:])), str(line["locality"]), awake(row, known), hindered, books.note(i, row),
            )
        )  # fmt: skip
    return out


def awake(row: Row, species: Species | None) -> Span | None:
    """The days a grown animal is, or is likely, active; None where books and species do not tell.

    From its first feed (leaving the cell if that is not recorded, or hardening once rest is
    over) for as long as the species' active life at the most.
    """
    active = species.range("active_days") if species is not None else None
    start: Span | None = row["first_feed"] or row["emerged"]
    if start is None and row["eclosed"] is not None and species is not None:
        rest = species.range("rest_days")
        start = None if rest is None else row["eclosed"].plus(math.floor(rest.low), math.ceil(rest.high))
    if start is None or active is None or start.earliest <= FIRST or start.latest >= LAST:
        return None
    return Span(start.earliest, start.latest + math.ceil(active.high))


class _Books:
    """What hinders animals, looked up once."""

    def __init__(self, ledger: Ledger, today: int) -> None:
        self.ledger, self.today = ledger, today
        self.box = {
            r["animal"]: r["enclosure"]
            for _, r in ledger.rows("content", until=None) if r["animal"] is not None
        }  # fmt: skip
        self.lent = {r["animal"]: r for _, r in ledger.rows("loan", way="out", back=None)}
        self.paired: dict[int, str] = {}
        running = dict(ledger.rows("pairing", until=None))
        for _, r in running.items():
            self.paired[r["female"]] = str(r["name"])
        for _, r in ledger.rows("pairing_male", until=None):
            if r["pairing"] in running:
                self.paired[r["male"]] = str(running[r["pairing"]]["name"])
        self.planned: dict[int, str] = {}
        for _, r in open_plans(ledger):
            for one, other in ((r["female"], r["male"]), (r["male"], r["female"])):
                self.planned[one] = f"planned with {animal_name(ledger, other)} ({r['name']})"
        self.tried = running_trials.males(ledger)
        self.locked = [
            r for _, r in ledger.rows("lock", lifted=None)
            if r["from_day"] <= today and (r["until"] is None or r["until"].latest >= today)
            and "move" in str(r["forbids"]).split()
        ]  # fmt: skip

    def hindered(self, i: int, row: Row, species: Species | None) -> str:
        if row["state"] == "missing":
            return "whereabouts unknown"
        if i in self.lent:
            to = self.lent[i]["owner"]
            return f"on loan to {to}" if to else "on loan"
        if row["promised"]:
            return f"promised: {row['promised']}"
        if i not in self.box:
            return "in no enclosure"
        box = self.box[i]
        stage = str(self.ledger.row("enclosure", box)["stage"])
        lot = self.ledger.row("lot", row["lot"]) if row["lot"] is not None else None
        until = lot["quarantine_until"] if lot is not None else None
        if until is not None and until >= self.today:
            return f"in quarantine until {_day(until)}"
        if stage == "quarantine":
            return "in quarantine"
        if i in self.paired and row["sex"] != "m":
            return f"paired now ({self.paired[i]})"
        seat = running_trials.seat(self.ledger, i)
        if seat is not None or i in self.tried:
            return f"in the trial {seat.about['name'] if seat is not None else self.tried[i]}"
        if i in self.planned:
            return self.planned[i]
        if stage == "laying" and row["sex"] == "f":  # in one of stage pairing only an open pairing hinders
            return f"{stage} in {code(self.ledger, box)}"
        if stage in ("cell", "resting") or (row["first_feed"] is None and row["mature"] is None):
            return "resting, has not fed yet"
        if why := self.unripe(row, species):
            return why
        for lock in self.locked:
            if lock["animal"] == i or lock["enclosure"] == box:
                return f"must not be moved{'' if not lock['reason'] else ': ' + str(lock['reason'])}"
        return ""

    def note(self, i: int, row: Row) -> str:
        """A male with a female now is free again once they are parted: he can be planned for."""
        if i not in self.paired or row["sex"] != "m":
            return ""
        return f"{animal_name(self.ledger, i)} is paired now ({self.paired[i]}): free once they are parted"

    def unripe(self, row: Row, species: Species | None) -> str:
        """Why it is not certainly mature today."""
        mature: Span | None = row["mature"]
        if mature is not None and not mature.unknown:
            return "" if mature.latest <= self.today else f"not surely mature before {_day(mature.latest)}"
        days = species.range("mature_days") if species is not None else None
        if days is None or row["first_feed"] is None or row["first_feed"].latest >= LAST:
            return "not known whether it is mature: when it is, record `ready to breed` at its box"
        ready = row["first_feed"].latest + math.ceil(days.high)
        return "" if ready <= self.today else f"not surely mature before {_day(ready)}"


def _day(day: int) -> str:
    return date.fromordinal(day).isoformat() if FIRST < day < LAST else "nobody knows when"
