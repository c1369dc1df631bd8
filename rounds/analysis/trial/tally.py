"""Counts of a trial out of the books: each sib or cross pairing, what was found, what came of it.

Eggs and larvae count from first sight. What the books cannot say for certain (labels mixed
up, an open father, a count of "at least", larvae still on their way) leaves the brood out,
with the reason in its row, and never silently.
"""

from __future__ import annotations

from rounds.acts.running_trials import ARM_NAMES as ARMS
from rounds.acts.running_trials import ENDPOINTS as WORDS
from rounds.analysis.trial import tally_sentences as sentences
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import offspring
from rounds.records.tables import (
    Animal,
    Batch,
    BatchUse,
    Brood,
    Content,
    Enclosure,
    Fewer,
    Line,
    Pairing,
    PairingMale,
    Search,
    Weight,
)
from rounds.values.spans import FIRST, LAST, UNKNOWN, Span

RANKS = {"eggs": 0, "L1": 1, "L2": 2, "L3": 3, "": 5}
ENDPOINTS = {word: rank for rank, word in enumerate(WORDS, 1)}
"""How far an animal must have come to count as survived; later is further."""

MOST_AWAY = 0.1
"""The largest share of a brood that may be given away before the endpoint (estimate): of more than that
nobody knows what became, and counting only the rest takes the dead for more than they are."""

_GROWN = (Animal.eclosed, Animal.emerged, Animal.first_feed, Animal.mature)


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
    boxes = {box.id: box.stage for box in ledger.rows(Enclosure)}
    out = []
    for pairing in ledger.rows(Pairing):
        arm = ARMS.get(pairing.purpose)
        began = pairing.since.earliest if pairing.since is not None else FIRST
        if arm is None or pairing.female is None or not asked.since <= began <= asked.until:
            continue
        if asked.species and _species(ledger, pairing.female) != asked.species:
            continue
        if not any(True for _ in ledger.rows(Search, Search.pairing.is_(pairing.id))):
            continue
        males = males_in(ledger, pairing.id)
        brood = _Family(ledger, pairing, asked, boxes).brood(arm, males)
        out.append((brood, pairing.female, males, pairing.id))
    return out


def of_pairing(ledger: Ledger, pairing: int, arm: str, asked: Asked) -> BroodCount:
    """The counts of one pairing, as a row of an arm."""
    boxes = {box.id: box.stage for box in ledger.rows(Enclosure)}
    family = _Family(ledger, ledger.row(Pairing, pairing), asked, boxes)
    return family.brood(arm, males_in(ledger, pairing))


def males_in(ledger: Ledger, pairing: int) -> tuple[int, ...]:
    members = ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
    return tuple(dict.fromkeys(member.male for member in members))


def _species(ledger: Ledger, animal: int) -> str:
    return ledger.row(Line, ledger.row(Animal, animal).line).species


class _Family:
    """The broods of one pairing, those split from them, and everything that became of them."""

    def __init__(self, ledger: Ledger, pairing: Pairing, asked: Asked, boxes: dict[int, str]) -> None:
        self.ledger, self.pairing, self.asked, self.boxes = ledger, pairing, asked, boxes
        self.wanted = ENDPOINTS[asked.endpoint]
        self.broods = {brood.id for brood in ledger.rows(Brood, Brood.pairing.is_(pairing.id))}
        grown = True
        while grown:
            more = {r.id for r in ledger.rows(Brood) if r.parent in self.broods} - self.broods
            self.broods |= more
            grown = bool(more)
        self.reached = self.pending = self.away = self.missing = self.moved = 0
        self.doubts: dict[str, None] = {}
        self.at_least = False

    def brood(self, arm: str, males: tuple[int, ...]) -> BroodCount:
        found = offspring(self.ledger, self.pairing.id)
        self.groups()
        self.animals()
        self.left()
        for i in self.broods:
            self.doubt(self.ledger.row(Brood, i).doubt)
        eggs = (found.most if found.most is not None else found.fewest) - self.away
        alive = self.reached
        reasons = list(self.doubts)
        if self.pairing.paternity == "open":
            reasons.append(sentences.FATHER_OPEN)
        if found.most is None:
            reasons.append(sentences.counted_at_least(found.fewest))
        elif found.fewest != found.most:
            reasons.append(sentences.counted_between(found.fewest, found.most))
        late = {
            brood.instar
            for brood in self.ledger.rows(Brood, Brood.pairing.is_(self.pairing.id), Brood.parent.is_(None))
        }
        for instar in sorted(x for x in late if x and RANKS.get(x, 0) >= self.wanted):
            reasons.append(sentences.first_counted_as(instar))
        if self.at_least and found.most is not None:
            reasons.append(sentences.LIVING_AT_LEAST)
        if self.pending and not self.asked.closed:
            reasons.append(sentences.still_coming(self.pending))
        if self.away > MOST_AWAY * (eggs + self.away):
            reasons.append(sentences.too_many_given_away(self.away, eggs + self.away))
        if alive > eggs:
            reasons.append(sentences.more_came_than_counted(alive, eggs))
            eggs = alive
        notes = []
        if self.away:
            notes.append(sentences.given_away(self.away))
        if self.missing:
            notes.append(sentences.missing(self.missing))
        if self.pending and self.asked.closed:
            notes.append(sentences.too_late(self.pending))
        if self.moved:
            notes.append(sentences.grouped_later(self.moved))
        if self.pairing.paternity == "likely":
            notes.append(sentences.FATHER_LIKELY)
        names = "|".join(animal_name(self.ledger, m) for m in males)
        female = self.pairing.female
        return BroodCount(
            arm,
            animal_name(self.ledger, female) if female is not None else "",
            eggs,
            alive,
            names,
            None,
            self.batch(),
            self.age(female) if female is not None else None,
            self.age(males[0]) if len(males) == 1 else None,
            "; ".join(reasons),
            "; ".join(notes),
            larvae=min(eggs, self.larvae()),
        )

    def larvae(self) -> int:
        """How many had hatched when they were first counted."""
        first = self.ledger.rows(Brood, Brood.pairing.is_(self.pairing.id), Brood.parent.is_(None))
        return sum(brood.total for brood in first if RANKS.get(brood.instar, 0) and brood.instar)

    def doubt(self, text: str) -> None:
        if text:
            self.doubts[text] = None

    def count(self, rank: float, number: int, *, lost: bool = False) -> None:
        if rank >= self.wanted:
            self.reached += number
        elif not lost:
            self.pending += number

    def groups(self) -> None:
        """Those without numbers that are there now."""
        for group in self.ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None)):
            if group.brood in self.broods:
                self.doubt(group.doubt)
                self.at_least = self.at_least or group.at_least
                stage = self.boxes.get(group.enclosure, "")
                # No instar says adults, but not where only eggs or larvae are kept.
                young = not group.instar and stage in ("eggs", "larvae")
                rank = 0 if young else RANKS.get(group.instar, 0)
                if stage == "cell" and group.instar == "L3":  # smaller ones there are not in cells
                    rank = max(rank, ENDPOINTS["cell"])
                n = group.total
                if group.since is not None and group.since.earliest > self.asked.by:
                    self.moved += n
                self.count(rank, n)

    def animals(self) -> None:
        """Those that have numbers of their own."""
        for animal in self.ledger.rows(Animal):
            if animal.brood not in self.broods:
                continue
            self.doubt(animal.doubt)
            rank = self.rank(animal)
            if animal.state == "alive":
                self.count(rank, 1)
            elif rank >= self.wanted:
                self.reached += 1
            elif animal.state == "gone":
                self.away += 1
            elif animal.state == "missing":
                self.missing += 1

    def in_time(self, when: Span | None) -> bool:
        """Was it, or may it have been, by the last day?"""
        return when is not None and when.earliest <= self.asked.by

    def rank(self, animal: Animal) -> int:
        if any(self.in_time(animal.value(column)) for column in _GROWN):
            return 5
        if self.in_time(animal.cell):
            return 4
        seen = [
            RANKS.get(c.instar, 0)
            for c in self.ledger.rows(Content, Content.animal.is_(animal.id))
            if c.instar and (c.since is None or self.in_time(c.since))
        ]
        seen += [
            RANKS.get(w.instar, 0)
            for w in self.ledger.rows(Weight, Weight.animal.is_(animal.id))
            if w.instar and (w.made is None or self.in_time(w.made))
        ]
        if self.in_time(animal.wandering):
            seen.append(3)
        first = self.ledger.row(Brood, animal.brood).instar
        return max(seen, default=RANKS.get(first, 0) if first else 0)

    def left(self) -> None:
        """Those that left their groups without a number: dead, missing, given away."""
        for fewer in self.ledger.rows(Fewer):
            if fewer.brood not in self.broods or fewer.how in ("numbered", "counted again"):
                continue
            n = fewer.total
            if RANKS.get(fewer.instar, 0) >= self.wanted:
                self.reached += n
            elif fewer.how == "given away":
                self.away += n
            elif fewer.how == "missing":
                self.missing += n

    def batch(self) -> str:
        """The substrate the eggs were laid in, as far as it is recorded: all given from the pairing
        to the last search, or else the newest before."""
        began = self.pairing.since.earliest if self.pairing.since is not None else FIRST
        used: set[str] = set()
        last: dict[int, int] = {}
        for search in self.ledger.rows(Search, Search.pairing.is_(self.pairing.id)):
            made = search.made or UNKNOWN
            last[search.enclosure] = max(made.latest, last.get(search.enclosure, FIRST))
        for box, searched in last.items():
            given = [
                (use.given.latest, self.ledger.row(Batch, use.batch).name)
                for use in self.ledger.rows(BatchUse, BatchUse.enclosure.is_(box))
                if use.given is not None and use.given.earliest <= searched
            ]
            used |= {name for day, name in given if day >= began} or {max(given)[1]} if given else set()
        return "+".join(sorted(used))

    def age(self, animal: int) -> float | None:
        """Days from first feed (or leaving the cell) to being put together, the middle of what is known."""
        grown = self.ledger.row(Animal, animal)
        start, together = grown.first_feed or grown.emerged, self.pairing.since
        if start is None or together is None:
            return None
        fewest, most = together.days_since(start)
        return None if fewest is None or most is None or most < 0 else max(0.0, (fewest + most) / 2)
