"""Who may be whose parent: possible fathers of a brood, how two animals are related, totals of a pairing.

A female stores sperm, so an earlier male may father later eggs, and two males together leave
the father open. Parents that nobody recorded are unknown, never "unrelated".
"""

from __future__ import annotations

from typing import NamedTuple

from rounds.husbandry.spans import FIRST, LAST, Span
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import PATERNITY

CLOSE = ("full sibs", "full or half sibs", "parent and child", "possibly parent and child")
"""Relations whose offspring may have F = 0.25, before any older inbreeding (textbook value)."""

SIBS = ("full sibs", "full or half sibs")


class Parents(NamedTuple):
    """A mother, the males that may be the father, and whether the father is certain."""

    dam: int | None
    sires: frozenset[int]
    sure: bool


class Past(NamedTuple):
    """Had a female mated before: ``unmated`` True or False, None when nobody can know; and why."""

    unmated: bool | None
    why: str


class OffspringTotal(NamedTuple):
    """Fewest and most; ``most`` is None where a count was "at least"."""

    fewest: int
    most: int | None


def weaker(one: str, other: str) -> str:
    """The less certain of two paternities ("" counts as certain)."""
    order = ("", *PATERNITY)
    return max(one, other, key=order.index)


def males_of(ledger: Ledger, pairing: int, by: Span | None = None) -> frozenset[int]:
    """The males of a pairing; with ``by``, those that were with her before that was over."""
    return frozenset(
        r["male"]
        for _, r in ledger.rows("pairing_male", pairing=pairing)
        if by is None or r["since"] is None or r["since"].earliest <= by.latest
    )


def of_brood(ledger: Ledger, brood: int) -> Parents:
    """The parents of a brood, as far as its pairing tells, or that of the brood it was split from."""
    row, seen = ledger.row("brood", brood), {brood}
    while row["pairing"] is None and row["parent"] is not None and row["parent"] not in seen:
        seen.add(row["parent"])
        row = ledger.row("brood", row["parent"])
    if row["pairing"] is None:
        return Parents(None, frozenset(), False)
    pairing = ledger.row("pairing", row["pairing"])
    sires = males_of(ledger, row["pairing"], row["found"])
    sure = len(sires) == 1 and (row["paternity"] or pairing["paternity"]) == "certain"
    return Parents(pairing["female"], sires, sure)


def parents(ledger: Ledger, animal: int) -> Parents:
    """The parents of an animal: recorded for it, or those of its brood."""
    row = ledger.row("animal", animal)
    known = Parents(None, frozenset(), False) if row["brood"] is None else of_brood(ledger, row["brood"])
    if row["dam"] is not None:
        known = known._replace(dam=row["dam"])
    if row["sire"] is not None:
        known = known._replace(sires=frozenset({row["sire"]}), sure=True)
    return known


def relation(ledger: Ledger, one: int, other: int) -> str:
    """``full sibs``, ``half sibs``, ``parent and child`` and the like, or "" when none is recorded."""
    mine, theirs = parents(ledger, one), parents(ledger, other)
    for child, parent in ((mine, other), (theirs, one)):
        if parent == child.dam or parent in child.sires:
            sure = parent == child.dam or child.sure
            return "parent and child" if sure else "possibly parent and child"
    shared = mine.sires & theirs.sires
    sure = mine.sure and theirs.sure
    if mine.dam is not None and mine.dam == theirs.dam:
        if shared and sure:
            return "full sibs"
        return "half sibs" if sure else "full or half sibs"
    if _first_brood(ledger, one) is not None and _first_brood(ledger, one) == _first_brood(ledger, other):
        return "full or half sibs"
    if shared:
        return "half sibs" if sure else "possibly half sibs"
    return ""


def _first_brood(ledger: Ledger, animal: int) -> int | None:
    """The brood an animal was first counted in."""
    brood: int | None = ledger.row("animal", animal)["brood"]
    seen = set()
    while brood is not None and brood not in seen:
        seen.add(brood)
        parent: int | None = ledger.row("brood", brood)["parent"]
        if parent is None:
            break
        brood = parent
    return brood


def past(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> Past:
    """Whether a female had mated before ``when`` with anyone but ``males``."""
    row = ledger.row("animal", female)
    for pairing, r in ledger.rows("pairing", female=female):
        others = males_of(ledger, pairing) - males
        if others and (r["since"] is None or r["since"].earliest <= when.latest):
            return Past(False, f"she was with {_names(ledger, others)} in {r['name']}")
    met = _met(ledger, female, males, when)
    if met:
        return Past(False, f"she was in one enclosure with {met}")
    if row["doubt"]:
        return Past(None, "her record is doubtful")
    return _arrival(ledger, row)


def _arrival(ledger: Ledger, row: Row) -> Past:
    if row["lot"] is not None:
        lot = ledger.row("lot", row["lot"])
        grown: Span | None = row["eclosed"] or row["emerged"]
        if grown is not None and lot["arrived"] is not None and grown.earliest > lot["arrived"].latest:
            return Past(True, f"she came with {lot['name']} before she was grown")
        unmated = {"yes": False, "no": True}.get(lot["mated_before"])
        said = {True: "had not mated", False: "had mated", None: "may have mated"}[unmated]
        return Past(unmated, f"she {said} before she came with {lot['name']}")
    if row["brood"] is not None or row["dam"] is not None:
        return Past(True, "she was bred here and is not recorded with another male")
    return Past(None, "where she was before is not recorded")


def _met(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> str:
    """Grown males that shared an enclosure with a grown female before ``when`` was over."""
    grown: Span | None = ledger.row("animal", female)["eclosed"]
    for _, hers in ledger.rows("content", animal=female):
        for _, other in ledger.rows("content", enclosure=hers["enclosure"]):
            start = max(_start(hers), _start(other))
            end = min(_end(hers), _end(other), when.latest)
            if start >= end or other["instar"] or (grown is not None and grown.earliest > end):
                continue
            if other["animal"] is None:
                if other["males"] or other["unsexed"]:
                    return "a group of adults"
                continue
            row = ledger.row("animal", other["animal"])
            young = row["eclosed"] is not None and row["eclosed"].earliest > end
            if other["animal"] != female and other["animal"] not in males and row["sex"] != "f" and not young:
                return animal_name(ledger, other["animal"])
    return ""


def _start(row: Row) -> int:
    return int(row["since"].earliest) if row["since"] is not None else FIRST


def _end(row: Row) -> int:
    return int(row["until"].latest) if row["until"] is not None else LAST


def _names(ledger: Ledger, animals: frozenset[int]) -> str:
    return ", ".join(sorted(animal_name(ledger, a) for a in animals))


def paternity(ledger: Ledger, female: int, males: frozenset[int], when: Span) -> tuple[str, str]:
    """How sure the father of her eggs is (certain, likely, open), and why."""
    if not males:
        return "open", "no male is recorded"
    if len(males) > 1:
        return "open", f"{len(males)} males"
    known = past(ledger, female, males, when)
    return {True: "certain", False: "open", None: "likely"}[known.unmated], known.why


def offspring(ledger: Ledger, pairing: int) -> OffspringTotal:
    """How many eggs and larvae of a pairing were found, as a span.

    Those that an earlier search had counted and left in place may have been counted twice,
    which lowers the fewest. Raises KeyError when there is no such pairing.
    """
    ledger.row("pairing", pairing)
    found, searches, more = 0, set(), False
    for _, row in ledger.rows("brood", pairing=pairing, parent=None):
        found += row["males"] + row["females"] + row["unsexed"]
        more = more or bool(row["at_least"])
        searches.add(row["search"])
    twice = sum(ledger.row("search", s)["recount"] for s in searches if s is not None)
    return OffspringTotal(max(0, found - twice), None if more else found)
