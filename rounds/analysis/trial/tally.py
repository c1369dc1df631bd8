"""Counts of a trial out of the books: each sib or cross pairing, what was found, what came of it.

Eggs and larvae count from first sight. What the books cannot say for certain (labels mixed
up, an open father, a count of "at least", larvae still on their way) leaves the brood out,
with the reason in its row, and never silently.
"""

from __future__ import annotations

from typing import NamedTuple

from rounds.acts.running_trials import ARM_NAMES as ARMS
from rounds.acts.running_trials import ENDPOINTS as WORDS
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import offspring

RANKS = {"eggs": 0, "L1": 1, "L2": 2, "L3": 3, "": 5}
ENDPOINTS = {word: rank for rank, word in enumerate(WORDS, 1)}
"""How far an animal must have come to count as survived; later is further."""

COMING = "are not there yet"
"""How the reason ends that leaves out a brood of which some may still come as far."""

MOST_AWAY = 0.1
"""The largest share of a brood that may be given away before the endpoint (estimate): of more than that
nobody knows what became, and counting only the rest takes the dead for more than they are."""

_GROWN = ("eclosed", "emerged", "first_feed", "mature")


class Asked(NamedTuple):
    """Which pairings, and what counts. ``closed``: who has not come so far by now never will.

    ``by`` is the last day on which anybody counts as having come so far.
    """

    endpoint: str
    closed: bool = False
    species: str = ""
    since: int = FIRST
    until: int = LAST
    by: int = LAST


def tally(ledger: Ledger, asked: Asked) -> list[tuple[BroodCount, int, tuple[int, ...], int]]:
    """A row of counts for each pairing of the trial, with its female, its males and itself by id.

    Pairings count that began in the days asked for and were searched since.
    """
    boxes = {i: str(r["stage"]) for i, r in ledger.rows("enclosure")}
    out = []
    for i, row in ledger.rows("pairing"):
        arm = ARMS.get(str(row["purpose"]))
        began = row["since"].earliest if row["since"] is not None else FIRST
        if arm is None or row["female"] is None or not asked.since <= began <= asked.until:
            continue
        if asked.species and _species(ledger, row["female"]) != asked.species:
            continue
        if not any(True for _ in ledger.rows("search", pairing=i)):
            continue
        males = males_in(ledger, i)
        out.append((_Family(ledger, i, asked, boxes).brood(arm, row, males), row["female"], males, i))
    return out


def of_pairing(ledger: Ledger, pairing: int, arm: str, asked: Asked) -> BroodCount:
    """The counts of one pairing, as a row of an arm."""
    boxes = {i: str(r["stage"]) for i, r in ledger.rows("enclosure")}
    row = ledger.row("pairing", pairing)
    return _Family(ledger, pairing, asked, boxes).brood(arm, row, males_in(ledger, pairing))


def males_in(ledger: Ledger, pairing: int) -> tuple[int, ...]:
    return tuple(dict.fromkeys(r["male"] for _, r in ledger.rows("pairing_male", pairing=pairing)))


def _species(ledger: Ledger, animal: int) -> str:
    return str(ledger.row("line", ledger.row("animal", animal)["line"])["species"])


class _Family:
    """The broods of one pairing, those split from them, and everything that became of them."""

    def __init__(self, ledger: Ledger, pairing: int, asked: Asked, boxes: dict[int, str]) -> None:
        self.ledger, self.pairing, self.asked, self.boxes = ledger, pairing, asked, boxes
        self.wanted = ENDPOINTS[asked.endpoint]
        self.broods = {i for i, _ in ledger.rows("brood", pairing=pairing)}
        grown = True
        while grown:
            more = {i for i, r in ledger.rows("brood") if r["parent"] in self.broods} - self.broods
            self.broods |= more
            grown = bool(more)
        self.reached = self.pending = self.away = self.missing = self.moved = 0
        self.doubts: dict[str, None] = {}
        self.at_least = False

    def brood(self, arm: str, row: Row, males: tuple[int, ...]) -> BroodCount:
        found = offspring(self.ledger, self.pairing)
        self.groups()
        self.animals()
        self.left()
        for i in self.broods:
            self.doubt(self.ledger.row("brood", i)["doubt"])
        eggs = (found.most if found.most is not None else found.fewest) - self.away
        alive = self.reached
        reasons = list(self.doubts)
        if row["paternity"] == "open":
            reasons.append("the father is open")
        if found.most is None:
            reasons.append(f"counted as at least {found.fewest}")
        elif found.fewest != found.most:
            reasons.append(f"{found.fewest} to {found.most} eggs, some may have been counted twice")
        late = {str(r["instar"]) for _, r in self.ledger.rows("brood", pairing=self.pairing, parent=None)}
        for instar in sorted(x for x in late if x and RANKS.get(x, 0) >= self.wanted):
            reasons.append(f"first counted as {instar}, so what was lost before is not known")
        if self.at_least and found.most is not None:
            reasons.append("what lives was counted as at least so many")
        if self.pending and not self.asked.closed:
            reasons.append(f"{self.pending} {COMING}")
        if self.away > MOST_AWAY * (eggs + self.away):
            reasons.append(
                f"{self.away} of {eggs + self.away} were given away before: nobody knows how many would have come so far"
            )
        if alive > eggs:
            reasons.append(f"{alive} came of {eggs} counted: some were not counted at first sight")
            eggs = alive
        notes = []
        if self.away:
            notes.append(f"{self.away} given away before that, not counted")
        if self.missing:
            notes.append(f"{self.missing} missing, counted as lost")
        if self.pending and self.asked.closed:
            notes.append(f"{self.pending} not there by the last day, counted as lost")
        if self.moved:
            notes.append(
                f"{self.moved} are in groups made up after the last day, counted as far as they are now"
            )
        if row["paternity"] == "likely":
            notes.append("the father is likely, not certain")
        names = "|".join(animal_name(self.ledger, m) for m in males)
        return BroodCount(
            arm, animal_name(self.ledger, row["female"]), eggs, alive, names, None, self.batch(row),
            self.age(row, row["female"]), self.age(row, males[0]) if len(males) == 1 else None,
            "; ".join(reasons), "; ".join(notes),
        )  # fmt: skip

    def doubt(self, text: object) -> None:
        if text:
            self.doubts[str(text)] = None

    def count(self, rank: float, number: int, lost: bool = False) -> None:
        if rank >= self.wanted:
            self.reached += number
        elif not lost:
            self.pending += number

    def groups(self) -> None:
        """Those without numbers that are there now."""
        for _, r in self.ledger.rows("content", animal=None, until=None):
            if r["brood"] in self.broods:
                self.doubt(r["doubt"])
                self.at_least = self.at_least or bool(r["at_least"])
                stage = self.boxes.get(r["enclosure"], "")
                # No instar says adults, but not where only eggs or larvae are kept.
                young = not r["instar"] and stage in ("eggs", "larvae")
                rank = 0 if young else RANKS.get(str(r["instar"]), 0)
                if stage == "cell" and r["instar"] == "L3":  # smaller ones there are not in cells
                    rank = max(rank, ENDPOINTS["cell"])
                n = r["males"] + r["females"] + r["unsexed"]
                if r["since"] is not None and r["since"].earliest > self.asked.by:
                    self.moved += n
                self.count(rank, n)

    def animals(self) -> None:
        """Those that have numbers of their own."""
        for i, r in self.ledger.rows("animal"):
            if r["brood"] not in self.broods:
                continue
            self.doubt(r["doubt"])
            rank = self.rank(i, r)
            if r["state"] == "alive":
                self.count(rank, 1)
            elif rank >= self.wanted:
                self.reached += 1
            elif r["state"] == "gone":
                self.away += 1
            elif r["state"] == "missing":
                self.missing += 1

    def in_time(self, when: Span | None) -> bool:
        """Was it, or may it have been, by the last day?"""
        return when is not None and when.earliest <= self.asked.by

    def rank(self, animal: int, r: Row) -> int:
        if any(self.in_time(r[c]) for c in _GROWN):
            return 5
        if self.in_time(r["cell"]):
            return 4
        seen = [
            RANKS.get(str(c["instar"]), 0)
            for _, c in self.ledger.rows("content", animal=animal)
            if c["instar"] and (c["since"] is None or self.in_time(c["since"]))
        ]
        seen += [
            RANKS.get(str(w["instar"]), 0)
            for _, w in self.ledger.rows("weight", animal=animal)
            if w["instar"] and (w["made"] is None or self.in_time(w["made"]))
        ]
        if self.in_time(r["wandering"]):
            seen.append(3)
        first = self.ledger.row("brood", r["brood"])["instar"]
        return max(seen, default=RANKS.get(str(first), 0) if first else 0)

    def left(self) -> None:
        """Those that left their groups without a number: dead, missing, given away."""
        for _, r in self.ledger.rows("fewer"):
            if r["brood"] not in self.broods or r["how"] in ("numbered", "counted again"):
                continue
            n = r["males"] + r["females"] + r["unsexed"]
            if RANKS.get(str(r["instar"]), 0) >= self.wanted:
                self.reached += n
            elif r["how"] == "given away":
                self.away += n
            elif r["how"] == "missing":
                self.missing += n

    def batch(self, row: Row) -> str:
        """The substrate the eggs were laid in, as far as it is recorded: all given from the pairing
        to the last search, or else the newest before."""
        began = row["since"].earliest if row["since"] is not None else FIRST
        used: set[str] = set()
        last: dict[int, int] = {}
        for _, r in self.ledger.rows("search", pairing=self.pairing):
            last[r["enclosure"]] = max(r["made"].latest, last.get(r["enclosure"], FIRST))
        for box, searched in last.items():
            given = [
                (r["given"].latest, str(self.ledger.row("batch", r["batch"])["name"]))
                for _, r in self.ledger.rows("batch_use", enclosure=box)
                if r["given"] is not None and r["given"].earliest <= searched
            ]
            used |= {name for day, name in given if day >= began} or {max(given)[1]} if given else set()
        return "+".join(sorted(used))

    def age(self, row: Row, animal: int) -> float | None:
        """Days from first feed (or leaving the cell) to being put together, the middle of what is known."""
        r = self.ledger.row("animal", animal)
        start = r["first_feed"] or r["emerged"]
        if start is None or row["since"] is None:
            return None
        fewest, most = row["since"].days_since(start)
        return None if fewest is None or most is None or most < 0 else max(0.0, (fewest + most) / 2)
