"""Planned pairings: which are open, where they are met on a round, and what stands in their way.

A plan is no fact: nobody is moved by it, and nothing that is found out later is refused
because of it. What stands in its way is said, so that it can be waited for or given up.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any

from rounds.due.due_index import by
from rounds.due.kinds import kind_of
from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.husbandry.spans import FIRST, LAST, Span, text
from rounds.records.column import Row
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code

OPEN_TO = ("prepared", "empty", "holding", "pairing", "laying", "colony")
"""Stages of an enclosure in which animals can be put together."""

KIND = "planned-pairing"
"""The kind of due work by which a round offers them."""


def open_plans(ledger: Ledger, **columns: int) -> Iterator[tuple[int, Row]]:
    """Plans that were neither made nor given up, by rising id."""
    return ledger.rows("plan", pairing=None, dropped=None, **columns)


def homes(ledger: Ledger) -> dict[int, int]:
    """The enclosure each animal with a number is in now."""
    return {
        r["animal"]: r["enclosure"] for _, r in ledger.rows("content", until=None) if r["animal"] is not None
    }


def met_at(row: Row, where: Mapping[int, int]) -> int | None:
    """The enclosure where a round comes upon a plan: hers, else the box it is meant for, else his."""
    for found in (where.get(row["female"]), row["enclosure"], where.get(row["male"])):
        if found is not None:
            return int(found)
    return None


def here(ledger: Ledger, enclosure: int) -> list[Row]:
    """Open plans of a female in this enclosure, or meant for it, whose animals are both in the house."""
    found = [r for _, r in open_plans(ledger)]
    if not found:
        return []
    where = homes(ledger)
    return [
        r for r in found
        if enclosure in (where.get(r["female"]), r["enclosure"])
        and r["female"] in where and r["male"] in where
    ]  # fmt: skip


def meant_for(row: Row, where: Mapping[int, int]) -> int | None:
    """The enclosure the two are to be put together in: the one that was chosen, else hers."""
    chosen: int | None = row["enclosure"] if row["enclosure"] is not None else where.get(row["female"])
    return chosen


def window(row: Row) -> Span:
    """From its first day (the day it was chosen unless given) to its last; without one the end is open."""
    first = row["earliest"] if row["earliest"] is not None else row["chosen"]
    first = FIRST if first is None else first
    return Span(first, LAST if row["latest"] is None else max(first, row["latest"]))


def plan_made(draft: Draft, pairing: int, female: int, males: Collection[int]) -> None:
    """Her open plan with one of these males was carried out as this pairing."""
    for i, row in list(open_plans(draft.ledger, female=female)):
        if row["male"] in males:
            draft.set("plan", i, "pairing", pairing)
            _close(draft, female, f"made: {draft.ledger.row('pairing', pairing)['name']}")


def plan_dropped(draft: Draft, plan: int, day: int, why: str) -> None:
    """It is given up."""
    draft.set("plan", plan, "dropped", day)
    draft.set("plan", plan, "dropped_why", why)
    _close(draft, draft.ledger.row("plan", plan)["female"], why)


def _close(draft: Draft, female: int, why: str) -> None:
    """What was put off or ticked was for this plan; put off for good it is not taken for her next one's."""
    for i, row in list(draft.ledger.rows("due", animal=female)):
        if kind_of(row["what"]) == KIND and row["off_until"] != LAST:
            draft.set("due", i, "off_until", LAST)
            draft.set("due", i, "off_why", why)


def both(ledger: Ledger, row: Row) -> str:
    """``UMBER/5 × KESTREL/2``: male first, as crosses are written."""
    return f"{animal_name(ledger, row['male'])} × {animal_name(ledger, row['female'])}"


def said(ledger: Ledger, row: Row) -> str:
    """``UMBER/5 × KESTREL/2 (PLAN-01) into TL-011``, and why, for where it is due."""
    into = f" into {code(ledger, row['enclosure'])}" if row["enclosure"] is not None else ""
    why = f"; {row['why']}" if row["why"] else ""
    return f"{both(ledger, row)} ({row['name']}){into}{why}"


class Hindrances:
    """What stands in the way of plans, looked up once for all of them."""

    def __init__(self, ledger: Ledger, where: Mapping[int, int] | None = None) -> None:
        self.ledger = ledger
        self.where = homes(ledger) if where is None else where
        self.boxes, self.animals = by(ledger, "lock", "enclosure"), by(ledger, "lock", "animal")
        self.lent = {r["animal"]: str(r["owner"]) for _, r in ledger.rows("loan", way="out", back=None)}
        running = dict(ledger.rows("pairing", until=None))
        self.females = {r["female"]: r for r in running.values()}
        self.males: dict[int, list[Row]] = {}
        for _, r in ledger.rows("pairing_male", until=None):
            if r["pairing"] in running:
                self.males.setdefault(r["male"], []).append(running[r["pairing"]])

    def of(self, row: Row, day: int) -> str:
        """Why a plan cannot be carried out on a day, the plainest reason first; "" when it can."""
        box = meant_for(row, self.where)
        for animal, sex in ((row["female"], "f"), (row["male"], "m")):
            if found := self._absent(animal) or self._not_it(animal, sex):
                return found
        for animal in (row["female"], row["male"]):
            if found := self._apart(animal, day) or self._taken(animal, box):
                return found
        if box is not None and self._stage(box) not in OPEN_TO:
            return f"{code(self.ledger, box)} is in stage {self._stage(box)}"
        return self._locked(row, box, day)

    def _absent(self, animal: int) -> str:
        name, state = animal_name(self.ledger, animal), self.ledger.row("animal", animal)["state"]
        if animal in self.lent:
            return f"{name} is lent to {self.lent[animal]}" if self.lent[animal] else f"{name} is lent out"
        found = {"dead": "is dead", "gone": "has left the house", "missing": "is missing"}.get(state, "")
        if not found and animal not in self.where:
            found = "is in no enclosure"
        return f"{name} {found}" if found else ""

    def _not_it(self, animal: int, sex: str) -> str:
        now = self.ledger.row("animal", animal)["sex"]
        if now in (sex, "unknown"):
            return ""
        return f"{animal_name(self.ledger, animal)} is a {'male' if now == 'm' else 'female'} by now"

    def _apart(self, animal: int, day: int) -> str:
        name, row = animal_name(self.ledger, animal), self.ledger.row("animal", animal)
        until = self.ledger.row("lot", row["lot"])["quarantine_until"] if row["lot"] is not None else None
        if until is not None and until >= day:
            return f"{name} is in quarantine until {text(Span(until, until))}"
        in_it = self._stage(self.where[animal]) == "quarantine"
        return f"{name} is in quarantine" if in_it else ""

    def _taken(self, animal: int, box: int | None) -> str:
        name = animal_name(self.ledger, animal)
        if animal in self.females:
            return f"{name} is in {self.females[animal]['name']} now"
        # One male may serve two females that stand in one enclosure.
        elsewhere = [p for p in self.males.get(animal, []) if p["enclosure"] != box]
        return f"{name} is in {elsewhere[0]['name']} now" if elsewhere else ""

    def _locked(self, row: Row, box: int | None, day: int) -> str:
        hers, his = self.where[row["female"]], self.where[row["male"]]
        needs: dict[int, set[str]] = {b: {"open"} for b in (hers, his, box) if b is not None}
        for animal, home in ((row["female"], hers), (row["male"], his)):
            if home != box:
                needs[home].add("move")
                if lock := self._forbidding(_set(self.animals.get(animal, ()), day), {"open", "move"}):
                    return f"{animal_name(self.ledger, animal)}: {lock}"
        for at, what in needs.items():
            in_force = locks.in_force(self._stage(at), _set(self.boxes.get(at, ()), day), day)
            if lock := self._forbidding(in_force, what):
                return f"{code(self.ledger, at)}: {lock}"
        return ""

    def _forbidding(self, held: Any, whats: set[str]) -> str:
        for what in sorted(whats):
            lock = locks.forbidding(held, what)
            if lock is not None:
                return f"do not {what}{locks.until(lock)} ({lock.reason})"
        return ""

    def _stage(self, box: int) -> str:
        return str(self.ledger.row("enclosure", box)["stage"])


def _set(rows: Any, day: int) -> tuple[ActiveLock, ...]:
    return tuple(
        ActiveLock(tuple(str(r["forbids"]).split()), r["until"], r["reason"] or "")
        for _, r in rows
        if locks.holds(day, r["until"], r["from_day"], r["lifted"])
    )
