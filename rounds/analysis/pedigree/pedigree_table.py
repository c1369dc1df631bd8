"""Who comes from whom: rows checked into a pedigree that kinship can be computed from.

An animal is known by the text the keeper writes on its tub. A parent may be one animal, a
group (a brood or colony whose members are not told apart), or one of several possible
sires; a blank parent is unknown, which is never the same as unrelated. Everything wrong is
reported at once and then nothing is computed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from rounds.analysis.pedigree.founder_kinships import declared
from rounds.problems import Problem, RoundsError, nearest

UNKNOWN = -1
"""The index that stands for a parent nobody recorded."""

SOMEONE = "?"
"""Among several possible sires: "or a male that is not recorded"."""

GROUP = "group"
SEXES = {
    "m": "m",
    "f": "f",
    "male": "m",
    "female": "f",
    "group": GROUP,
    "unknown": "",
    "u": "",
    "?": "",
    "": "",
}
"""Words accepted for a sex, and what each means."""

BLANKS = frozenset(("0", ".", "-", "--", "*", "na", "n/a", "nan", "none", "null", "unknown", "unk"))
"""Texts that other tables write for an unknown parent; without a row of their own they are refused."""

WARNING = "Check this:"
"""How the message of a problem begins that does not stop the computing."""


class PedigreeRow(NamedTuple):
    """One animal as recorded.

    ``sires`` is empty (unknown), one name, or several possible names of which
    :data:`SOMEONE` may be one. ``founder`` says the animal is known to be unrelated to its
    line's other founders (wild caught at another place, say). ``number`` is the line in the
    file it came from, 0 if none.
    """

    animal: str
    sires: tuple[str, ...] = ()
    dam: str = ""
    sex: str = ""  # m, f, group, or empty for unknown
    line: str = ""
    founder: bool = False
    number: int = 0


class Pedigree(NamedTuple):
    """A checked pedigree of n animals, parents before their offspring.

    ``sire`` and ``dam`` hold indices or :data:`UNKNOWN`; for an animal in ``sires`` (several
    possible sires, :data:`UNKNOWN` among them for "someone else") ``sire`` is UNKNOWN.
    ``related`` holds declared kinships of founders, both indices sorted, ``(i, i)`` for a
    founder's kinship with itself. ``listed`` gives the animals in the order they were
    recorded, those only named as parents last.
    """

    names: tuple[str, ...]
    sire: list[int]
    dam: list[int]
    sex: list[str]
    line: list[str]
    at: dict[str, int]
    listed: tuple[int, ...]
    founders: frozenset[int] = frozenset()
    sires: dict[int, tuple[int, ...]] = {}  # noqa: RUF012 - never written to; a NamedTuple field is not shared state
    related: dict[tuple[int, int], float] = {}  # noqa: RUF012

    def parents(self, i: int) -> tuple[int, ...]:
        """Every animal that is, or may be, a parent of ``i``; unknown ones left out."""
        both = (*self.sires.get(i, (self.sire[i],)), self.dam[i])
        return tuple(p for p in both if p >= 0)

    def find(self, name: str) -> int:
        """The index of an animal; raises :class:`NoSuchAnimal`."""
        return self.find_all([name])[0]

    def find_all(self, names: Sequence[str]) -> list[int]:
        """The indices of animals; raises :class:`NoSuchAnimal` naming every one that is missing."""
        missing = [name for name in dict.fromkeys(names) if name not in self.at]
        if missing:
            raise NoSuchAnimal(missing, self.names)
        return [self.at[name] for name in names]


class NoSuchAnimal(RoundsError):
    """Animals asked about that are not in the pedigree: a line each, with the nearest name."""

    def __init__(self, missing: Sequence[str], known: Sequence[str]) -> None:
        self.missing = tuple(missing)
        lines = [f"`{name}` is not in the pedigree. {nearest(name, known)}".strip() for name in missing[:20]]
        if len(missing) > 20:
            lines.append(f"… and {len(missing) - 20} more.")
        super().__init__("\n".join(lines))


Column = Callable[[int, str], int]
"""Where in line ``number`` a field (animal, sire, dam, sex, line, founder) begins, from 1."""

Related = Iterable[tuple[str, str, float]]
"""Pairs of founders and their declared kinship (0.25 for full sibs)."""


def build(
    rows: Iterable[PedigreeRow], file: str = "", column: Column | None = None, related: Related = ()
) -> tuple[Pedigree | None, list[Problem]]:
    """Check rows in any order and put parents before offspring.

    Returns the pedigree and only warnings (their message starts with :data:`WARNING`), or
    None and every problem found, in file order.
    """
    return _Builder(list(rows), file, column).build(related)


def warnings(problems: Iterable[Problem]) -> list[Problem]:
    """Those problems that do not stop the computing."""
    return [p for p in problems if p.message.startswith(WARNING)]


class _Builder:
    def __init__(self, rows: list[PedigreeRow], file: str, column: Column | None) -> None:
        self.rows, self.file, self.column = rows, file, column
        self.problems: list[Problem] = []
        self.fatal = False
        self.index: dict[str, int] = {}
        self.row_of: dict[int, PedigreeRow] = {}

    def say(self, number: int, field: str, message: str, hint: str = "", fatal: bool = True) -> None:
        at = self.column(number, field) if self.column and number else 0
        self.fatal |= fatal
        message = message if fatal else f"{WARNING} {message}"
        self.problems.append(Problem(self.file, number, at, message, hint))

    def build(self, related: Related) -> tuple[Pedigree | None, list[Problem]]:
        self.take()
        n = len(self.index)
        names = list(self.index)
        sire, dam, sires = [UNKNOWN] * n, [UNKNOWN] * n, {}
        for i, row in self.row_of.items():
            if row.dam:
                dam[i] = self.index[row.dam]
            if len(row.sires) == 1 and row.sires[0] != SOMEONE:
                sire[i] = self.index[row.sires[0]]
            elif len(row.sires) > 1:
                sires[i] = tuple(UNKNOWN if s == SOMEONE else self.index[s] for s in dict.fromkeys(row.sires))
        self.check_roles()
        order = self.order(names, sire, dam, sires)
        found = declared(related, self.index, lambda i: sire[i] < 0 and dam[i] < 0 and i not in sires)
        for message, hint in found.wrong:
            self.say(0, "", f"declared related: {message}", hint)
        self.problems.sort()
        if self.fatal or order is None:
            return None, self.problems
        rows = [self.row_of.get(i) for i in range(n)]
        listed = [*self.row_of, *(i for i in range(n) if i not in self.row_of)]
        pedigree = Pedigree(
            tuple(names),
            sire,
            dam,
            [r.sex if r else "" for r in rows],
            [r.line if r else "" for r in rows],
            self.index,
            tuple(listed),
            frozenset(i for i, r in enumerate(rows) if r and r.founder),
            sires,
            found.kinships,
        )
        return (_renumbered(pedigree, order) if order != list(range(n)) else pedigree), self.problems

    def take(self) -> None:
        """Give every name an index (parents first where the file allows it); find repeats."""
        index, row_of = self.index, self.row_of
        for row in self.rows:
            if not row.animal:
                self.say(row.number, "animal", "the animal has no name.", "Write the number on its tub.")
                continue
            for s in row.sires:
                if s != SOMEONE:
                    index.setdefault(s, len(index))
            if row.dam:
                index.setdefault(row.dam, len(index))
            i = index.setdefault(row.animal, len(index))
            earlier = row_of.setdefault(i, row)
            if earlier is not row:
                self.repeated(row, earlier)
        spelt: dict[str, str] = {}
        for i, name in enumerate(index):
            other = spelt.setdefault(name.casefold().replace(" ", ""), name)
            if other != name and (i not in row_of or index[other] not in row_of):
                number = (
                    row_of[i].number
                    if i in row_of
                    else next(r.number for r in self.rows if name in (*r.sires, r.dam))
                )
                self.say(
                    number,
                    "animal",
                    f"`{name}` and `{other}` differ only in capitals or blanks.",
                    "If they are one animal, write it one way.",
                    fatal=False,
                )

        for name, i in index.items():
            if name.casefold() in BLANKS and i not in row_of:
                uses = [r for r in self.rows if name in (*r.sires, r.dam)]
                self.say(
                    uses[0].number,
                    "sire" if name in uses[0].sires else "dam",
                    f"`{name}` is named as a parent in {len(uses)} row{'s' * (len(uses) > 1)} and has no row of its own.",
                    "Leave the cell blank for an unknown parent.",
                )

    def repeated(self, row: PedigreeRow, earlier: PedigreeRow) -> None:
        where = f"line {earlier.number}" if earlier.number else "an earlier row"
        if (set(row.sires), row.dam) != (set(earlier.sires), earlier.dam):
            self.say(
                row.number,
                "animal",
                f"`{row.animal}` has two sets of parents: {_parents(row)} here, "
                f"{_parents(earlier)} in {where}.",
                "Keep the right one.",
            )
        elif row._replace(number=0) != earlier._replace(number=0):
            self.say(
                row.number,
                "animal",
                f"`{row.animal}` is given again, and differently from {where}.",
                "Keep one row.",
            )
        else:
            self.say(
                row.number,
                "animal",
                f"`{row.animal}` is given again as in {where}.",
                "Drop one.",
                fatal=False,
            )

    def check_roles(self) -> None:
        sired: dict[str, int] = {}
        borne: dict[str, int] = {}
        sex = {r.animal: r.sex for r in self.row_of.values()}
        for row in self.row_of.values():
            one = row.sires[0] if len(row.sires) == 1 else ""
            for s in row.sires:
                if sex.get(s) == "f":
                    self.say(
                        row.number, "sire", f"the sire `{s}` of `{row.animal}` is a female.", self.sexed(s)
                    )
            if sex.get(row.dam) == "m":
                self.say(
                    row.number,
                    "dam",
                    f"the dam `{row.dam}` of `{row.animal}` is a male.",
                    self.sexed(row.dam),
                )
            if one and one == row.dam:
                unknown = one.casefold() in BLANKS and self.index[one] not in self.row_of
                if sex.get(one) != GROUP and not unknown:  # an unknown parent is told of elsewhere
                    self.say(
                        row.number,
                        "dam",
                        f"`{row.animal}` has `{one}` as sire and as dam.",
                        "Beetles cannot; if it is a group, give it the sex `group`.",
                        fatal=False,
                    )
                continue
            for s in row.sires:
                sired.setdefault(s, row.number)
            if row.dam:
                borne.setdefault(row.dam, row.number)
        for name in sired.keys() & borne.keys():
            if sex.get(name, "") == "":
                number, other = max(sired[name], borne[name]), min(sired[name], borne[name])
                here, there = ("sire", "dam") if number == sired[name] else ("dam", "sire")
                self.say(
                    number,
                    here,
                    f"`{name}` is a {here} here and a {there} in line {other}.",
                    "One of them is wrong, or it is a group.",
                    fatal=False,
                )

    def sexed(self, name: str) -> str:
        number = self.row_of[self.index[name]].number
        return (
            f"It is sexed in line {number}; correct one of the two." if number else "Correct one of the two."
        )

    def order(
        self, names: list[str], sire: list[int], dam: list[int], sires: dict[int, tuple[int, ...]]
    ) -> list[int] | None:
        """Parents before offspring, else as recorded; None after reporting every loop."""
        n = len(names)
        if not sires and all(sire[i] < i and dam[i] < i for i in range(n)):
            return list(range(n))
        offspring: list[list[int]] = [[] for _ in range(n)]
        waiting = [0] * n
        for i in range(n):
            for p in {*sires.get(i, (sire[i],)), dam[i]}:
                if p >= 0:
                    offspring[p].append(i)
                    waiting[i] += 1
        order = [i for i in range(n) if not waiting[i]]
        for i in order:  # grows while it is walked
            for child in offspring[i]:
                waiting[child] -= 1
                if not waiting[child]:
                    order.append(child)
        if len(order) == n:
            return order
        self.loops(
            names, waiting, {i: [p for p in (*sires.get(i, (sire[i],)), dam[i]) if p >= 0] for i in range(n)}
        )
        return None

    def loops(self, names: list[str], waiting: list[int], parents: dict[int, list[int]]) -> None:
        seen: set[int] = set()
        for start in range(len(names)):
            path: list[int] = []
            i = start
            while waiting[i] and i not in seen:
                seen.add(i)
                path.append(i)
                # Every animal still waiting has a parent still waiting, so the walk always goes on.
                i = next(p for p in parents[i] if waiting[p])
            if i in path:
                ring = path[path.index(i) :]
                first = min(ring, key=lambda k: self.row_of[k].number)
                at = ring.index(first)
                ring = [*ring[at:], *ring[:at], first]
                shown = [names[k] for k in ring]
                if len(shown) > 9:
                    shown = [*shown[:4], f"… {len(shown) - 8} more …", *shown[-4:]]
                field = "sire" if ring[1] in [self.index.get(s) for s in self.row_of[first].sires] else "dam"
                self.say(
                    self.row_of[first].number,
                    field,
                    f"`{names[first]}` is its own ancestor: {' from '.join(shown)}.",
                    "One of these parents is wrong.",
                )


def _parents(row: PedigreeRow) -> str:
    sire = " or ".join(row.sires) or "unknown"
    return f"`{sire}` × `{row.dam or 'unknown'}`"


def _renumbered(p: Pedigree, order: list[int]) -> Pedigree:
    new = [0] * len(order)
    for k, i in enumerate(order):
        new[i] = k
    new.append(UNKNOWN)  # so that new[UNKNOWN] is UNKNOWN
    names = tuple(p.names[i] for i in order)
    return Pedigree(
        names,
        [new[p.sire[i]] for i in order],
        [new[p.dam[i]] for i in order],
        [p.sex[i] for i in order],
        [p.line[i] for i in order],
        {name: k for k, name in enumerate(names)},
        tuple(new[i] for i in p.listed),
        frozenset(new[i] for i in p.founders),
        {new[i]: tuple(new[s] for s in options) for i, options in p.sires.items()},
        {(min(new[i], new[j]), max(new[i], new[j])): k for (i, j), k in p.related.items()},
    )
