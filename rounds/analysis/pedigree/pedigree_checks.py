"""Rows of animals checked into a pedigree, parents before their offspring.

Everything wrong is reported at once and then nothing is computed; what only ought to be looked at is a warning.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from rounds.analysis.pedigree import pedigree_sentences as sentences
from rounds.analysis.pedigree.founder_kinships import declared
from rounds.analysis.pedigree.pedigree_table import GROUP, SOMEONE, UNKNOWN, Pedigree, PedigreeRow
from rounds.problems import Problem, Refusal

BLANKS = frozenset(("0", ".", "-", "--", "*", "na", "n/a", "nan", "none", "null", "unknown", "unk"))
"""Texts that other tables write for an unknown parent; without a row of their own they are refused."""

Column = Callable[[int, str], int]
"""Where in line ``number`` a field (animal, sire, dam, sex, line, founder) begins, from 1."""

Related = Iterable[tuple[str, str, float]]
"""Pairs of founders and their declared kinship (0.25 for full sibs)."""


def build(
    rows: Iterable[PedigreeRow], file: str = "", column: Column | None = None, related: Related = ()
) -> tuple[Pedigree | None, list[Problem]]:
    """Check rows in any order and put parents before offspring.

    Returns the pedigree and only warnings (see :func:`~pedigree_sentences.check_this`), or
    None and every problem found, in file order.
    """
    return _Builder(list(rows), file, column).build(related)


def taken_as_unrelated(p: Pedigree) -> Pedigree:
    """The pedigree with every animal without recorded parents declared a founder unrelated to all others."""
    parents = enumerate(zip(p.sire, p.dam, strict=True))
    alone = (i for i, (s, d) in parents if s < 0 and d < 0 and i not in p.sires)
    return p._replace(founders=frozenset(alone))


class _Builder:
    def __init__(self, rows: list[PedigreeRow], file: str, column: Column | None) -> None:
        self.rows, self.file, self.column = rows, file, column
        self.problems: list[Problem] = []
        self.fatal = False
        self.index: dict[str, int] = {}
        self.row_of: dict[int, PedigreeRow] = {}

    def refuse(self, number: int, field: str, refusal: Refusal) -> None:
        self.fatal = True
        self.say(number, field, refusal)

    def warn(self, number: int, field: str, refusal: Refusal) -> None:
        """Something to look at that does not stop the computing."""
        self.say(number, field, refusal._replace(message=sentences.check_this(refusal.message)))

    def say(self, number: int, field: str, refusal: Refusal) -> None:
        at = self.column(number, field) if self.column and number else 0
        self.problems.append(Problem(self.file, number, at, *refusal))

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
        for refusal in found.wrong:
            self.refuse(0, "", refusal._replace(message=sentences.declared(refusal.message)))
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
            {i: r.life for i, r in enumerate(rows) if r and r.life is not None},
            {i: r.state for i, r in enumerate(rows) if r and r.state},
            {i: r.doubt for i, r in enumerate(rows) if r and r.doubt},
        )
        return (_renumbered(pedigree, order) if order != list(range(n)) else pedigree), self.problems

    def take(self) -> None:
        """Give every name an index (parents first where the file allows it); find repeats."""
        index, row_of = self.index, self.row_of
        for row in self.rows:
            if not row.animal:
                self.refuse(row.number, "animal", sentences.NO_NAME)
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
                first = row_of[i] if i in row_of else next(self.naming(name))
                self.warn(first.number, "animal", sentences.written_two_ways(name, other))
        for name, i in index.items():
            if name.casefold() in BLANKS and i not in row_of:
                uses = [*self.naming(name)]
                field = "sire" if name in uses[0].sires else "dam"
                self.refuse(uses[0].number, field, sentences.unknown_as_parent(name, len(uses)))

    def naming(self, parent: str) -> Iterator[PedigreeRow]:
        """The rows that name an animal as a parent."""
        return (r for r in self.rows if parent in (*r.sires, r.dam))

    def repeated(self, row: PedigreeRow, earlier: PedigreeRow) -> None:
        where = sentences.line_of_file(earlier.number)
        if (set(row.sires), row.dam) != (set(earlier.sires), earlier.dam):
            here, there = (sentences.couple(r.sires, r.dam) for r in (row, earlier))
            said = sentences.two_sets_of_parents(row.animal, here, there, where)
            self.refuse(row.number, "animal", said)
        elif row._replace(number=0) != earlier._replace(number=0):
            self.refuse(row.number, "animal", sentences.given_differently(row.animal, where))
        else:
            self.warn(row.number, "animal", sentences.given_again(row.animal, where))

    def check_roles(self) -> None:
        sired: dict[str, int] = {}
        borne: dict[str, int] = {}
        sex = {r.animal: r.sex for r in self.row_of.values()}
        for row in self.row_of.values():
            one = row.sires[0] if len(row.sires) == 1 else ""
            for s in row.sires:
                if sex.get(s) == "f":
                    said = sentences.parent_of_wrong_sex("sire", s, row.animal, "female", self.sexed_in(s))
                    self.refuse(row.number, "sire", said)
            if sex.get(row.dam) == "m":
                sexed = self.sexed_in(row.dam)
                said = sentences.parent_of_wrong_sex("dam", row.dam, row.animal, "male", sexed)
                self.refuse(row.number, "dam", said)
            if one and one == row.dam:
                unknown = one.casefold() in BLANKS and self.index[one] not in self.row_of
                if sex.get(one) != GROUP and not unknown:  # an unknown parent is told of elsewhere
                    self.warn(row.number, "dam", sentences.both_parents(row.animal, one))
                continue
            for s in row.sires:
                sired.setdefault(s, row.number)
            if row.dam:
                borne.setdefault(row.dam, row.number)
        for name in sired.keys() & borne.keys():
            if sex.get(name, "") == "":
                number, other = max(sired[name], borne[name]), min(sired[name], borne[name])
                here, there = ("sire", "dam") if number == sired[name] else ("dam", "sire")
                self.warn(number, here, sentences.sire_and_dam(name, here, there, other))

    def sexed_in(self, name: str) -> int:
        """The line of the file that gives an animal's sex; 0 for none."""
        return self.row_of[self.index[name]].number

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
                field = "sire" if ring[1] in [self.index.get(s) for s in self.row_of[first].sires] else "dam"
                said = sentences.own_ancestor(names[first], tuple(names[k] for k in ring))
                self.refuse(self.row_of[first].number, field, said)


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
        {new[i]: life for i, life in p.lives.items()},
        {new[i]: state for i, state in p.states.items()},
        {new[i]: doubt for i, doubt in p.doubts.items()},
    )
