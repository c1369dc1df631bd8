"""The counts of a sib trial: read, checked, and made into broods that stand for themselves.

The female with her brood is the unit. Eggs of one female are alike (same mother, same
father, same tub), so counting each as a trial of its own makes differences out of nothing.
What cannot stand for one arm alone drops out, and is listed with the reason.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from rounds.analysis.trial import count_sentences as sentences
from rounds.analysis.trial.count_table import CountColumn, read
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem

COLUMNS = (
    CountColumn("arm", "text", "which arm: sib, outcross", required=True),
    CountColumn("female", "text", "the mother", required=True),
    CountColumn("eggs", "whole", "how many were counted at first sight", required=True, high=100_000),
    CountColumn("alive", "whole", "how many of them reached the endpoint", required=True, high=100_000),
    CountColumn("larvae", "whole", "how many of those were larvae already", high=100_000),
    CountColumn("male", "text", "the father; several with | between them"),
    CountColumn("f", "number", "F of the offspring", high=1),
    CountColumn("batch", "text", "the substrate batch"),
    CountColumn("female_age", "number", "the female's age when she was set up, days", high=3000),
    CountColumn("male_age", "number", "the male's age, days", high=3000),
    CountColumn("left_out", "text", "why this brood does not count (relabelled, tub lost …)"),
    CountColumn("note", "text", "anything else"),
)
"""Columns of a table of counts."""

REFERENCES = ("outcross", "cross", "outbred", "control", "unrelated", "rest")
"""Names of arms that are taken as the one compared with, unless told."""

SIBS = ("sib", "sibs", "inbred")
"""Names of arms that are taken as full sib matings, F = 0.25, unless told."""


class BroodCount(NamedTuple):
    """One row of counts; ``number`` is its line in the file.

    ``eggs`` is all that were counted at first sight; so many of them were ``larvae`` by then, if that is known.
    """

    arm: str
    female: str
    eggs: int
    alive: int
    male: str = ""
    f: float | None = None
    batch: str = ""
    female_age: float | None = None
    male_age: float | None = None
    left_out: str = ""
    note: str = ""
    number: int = 0
    larvae: int | None = None

    @property
    def males(self) -> tuple[str, ...]:
        return tuple(m.strip() for m in self.male.split("|") if m.strip() and m.strip() != "?")


class Unit(NamedTuple):
    """What counts once: a female's broods, or those of all females that shared a male."""

    arm: str
    name: str
    eggs: int
    alive: int
    f: float | None = None

    @property
    def share(self) -> float:
        return self.alive / self.eggs


class Units(NamedTuple):
    """Units by arm, the arm compared with first; what dropped out and why; what was put together."""

    arms: dict[str, list[Unit]]
    dropped: list[tuple[BroodCount, str]]
    merged: list[str]


def counts(lines: Iterable[str], file: str) -> tuple[list[BroodCount], list[Problem]]:
    """Read a table of counts from opened text; with any problem the list is empty."""
    table = read(lines, file, COLUMNS, sentences.COUNTS)
    problems = list(table.problems)
    broods = []
    for line in table.rows:
        brood = BroodCount(number=line.number, **line.values)
        if brood.alive > brood.eggs:
            said = sentences.more_alive_than_eggs(brood.alive, brood.eggs)
            problems.append(Problem(file, line.number, line.starts.get("alive", 0), *said))
        broods.append(brood)
    if not table.problems:  # rows that could not be read may be the other arm
        problems += _arms(broods, file)
    return ([], sorted(problems)) if problems else (broods, [])


def _arms(broods: Sequence[BroodCount], file: str) -> list[Problem]:
    names = dict.fromkeys(b.arm for b in broods)
    folded: dict[str, str] = {}
    out = []
    for name in names:
        other = folded.setdefault(name.casefold(), name)
        if other != name:
            number = next(b.number for b in broods if b.arm == name)
            out.append(Problem(file, number, 0, *sentences.arms_alike(other, name)))
    if len(folded) == 1:
        out.append(Problem(file, 0, 0, *sentences.one_arm(next(iter(names)))))
    if len(folded) > 2:
        out.append(Problem(file, 0, 0, *sentences.many_arms(len(folded), tuple(names))))
    return out


def reference_of(broods: Sequence[BroodCount], asked: str = "") -> str:
    """The arm compared with: as asked, by its name, by the lower F, else the first."""
    arms = list(dict.fromkeys(b.arm for b in broods))
    if asked:
        return next((a for a in arms if a.casefold() == asked.casefold()), "")
    named = [a for a in arms if a.casefold() in REFERENCES]
    if not named:  # `sib` against an arm of any other name
        named = [a for a in arms if a.casefold() not in SIBS]
    if len(named) == 1:
        return named[0]
    known = {a: [b.f for b in broods if b.arm == a and b.f is not None] for a in arms}
    if all(known.values()):
        return min(arms, key=lambda a: sum(known[a]) / len(known[a]))
    return arms[0]


def units(broods: Sequence[BroodCount], reference: str) -> Units:
    """Sort out what may be compared. Nothing is dropped without a reason in ``dropped``."""
    dropped: list[tuple[BroodCount, str]] = []
    left: list[BroodCount] = []
    both_f = _in_both(broods, lambda b: (b.female,))
    both_m = _in_both(broods, lambda b: b.males)
    for b in broods:
        shared = next((m for m in b.males if m in both_m), "")
        if b.left_out:
            reason = b.left_out
        elif b.female in both_f:
            reason = sentences.female_in_both(b.female)
        elif shared:
            reason = sentences.male_in_both(shared)
        elif not b.eggs:
            reason = sentences.NO_EGGS
        else:
            left.append(b)
            continue
        dropped.append((b, reason))
    arms: dict[str, list[Unit]] = {reference: []}
    merged = []
    for members in _joined(left):
        first = members[0]
        eggs, alive = sum(b.eggs for b in members), sum(b.alive for b in members)
        known = [(b.f, b.eggs) for b in members if b.f is not None]
        f = sum(x * n for x, n in known) / sum(n for _, n in known) if known else None
        females = list(dict.fromkeys(b.female for b in members))
        if len(females) > 1:
            males = tuple(dict.fromkeys(m for b in members for m in b.males))
            merged.append(sentences.shared_male(first.arm, tuple(females), males))
        elif len(members) > 1:
            merged.append(sentences.same_female(first.arm, len(members), first.female))
        arms.setdefault(first.arm, []).append(Unit(first.arm, "+".join(females), eggs, alive, f))
    for b in broods:
        arms.setdefault(b.arm, [])
    return Units(arms, dropped, merged)


def _in_both(broods: Sequence[BroodCount], whom: Callable[[BroodCount], tuple[str, ...]]) -> set[str]:
    where: dict[str, set[str]] = {}
    for b in broods:
        for name in whom(b):
            where.setdefault(name, set()).add(b.arm)
    return {name for name, arms in where.items() if len(arms) > 1}


def _joined(broods: Sequence[BroodCount]) -> list[list[BroodCount]]:
    """Broods put together that share a female or a male, in the order they were given."""
    group: list[list[BroodCount]] = []
    of: dict[tuple[str, str], list[BroodCount]] = {}
    for b in broods:
        keys = [("f", b.female), *(("m", m) for m in b.males)]
        mine = next((of[k] for k in keys if k in of), None)
        if mine is None:
            mine = []
            group.append(mine)
        mine.append(b)
        for k in keys:
            other = of.get(k)
            if other is not None and other is not mine:
                mine += other
                group.remove(other)
                for key, members in of.items():
                    if members is other:
                        of[key] = mine
            of[k] = mine
    return group
