"""The pedigree of a house, read out of its books.

Individuals are named LINE/NUMBER as the keeper writes them. A brood whose animals have no
numbers stands in as a group, and so does a colony that nobody told apart. A father that is
only likely, or open, stays so: each male that may have been it, or somebody not recorded.
"""

from __future__ import annotations

from rounds.acts.laying_history import site
from rounds.analysis.pedigree.book_lives import BookLives
from rounds.analysis.pedigree.pedigree_checks import Related, build, taken_as_unrelated
from rounds.analysis.pedigree.pedigree_sentences import group_called_as_animal, line_in_box
from rounds.analysis.pedigree.pedigree_table import GROUP, SOMEONE, Life, Pedigree, PedigreeRow
from rounds.named_tuple import NamedTuple
from rounds.problems import Problem
from rounds.records.label_doubts import doubt_of_brood, doubted, labels_mixed_up
from rounds.records.ledger import Ledger
from rounds.records.naming import code, name_of
from rounds.records.parentage import Parents, of_brood, parents
from rounds.records.tables import Animal, Brood, Content, Line, Search
from rounds.values.spans import UNKNOWN


class Origin(NamedTuple):
    """Possible sires and the dam, by name, as a pedigree's row wants them."""

    sires: tuple[str, ...] = ()
    dam: str = ""


class _Books:
    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.rows: dict[str, PedigreeRow] = {}
        self.broods: dict[int, Origin] = {}
        self.lines = {line.id: line.name for line in ledger.rows(Line)}
        self.names = {animal.id: name_of(ledger, animal) for animal in ledger.rows(Animal)}
        self.taken = frozenset(self.names.values())
        self.lives = BookLives(ledger)
        self.mixed_up = labels_mixed_up(ledger)
        self.doubted = doubted(ledger, self.mixed_up)

    def read(self) -> list[PedigreeRow]:
        for animal in self.ledger.rows(Animal):
            name, origin = self.names[animal.id], self.of_animal(animal)
            sex = animal.sex if animal.sex in ("m", "f") else ""
            self.rows[name] = PedigreeRow(
                name,
                *origin,
                sex,
                self.line(animal.line),
                life=self.lives.of_animal(animal),
                state=animal.state,
                doubt=self.doubted.get(animal.id, ""),
            )
        for group in self.ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None)):
            if group.brood is not None:
                self.group_of_brood(group.brood)
        return list(self.rows.values())

    def line(self, id_: int | None) -> str:
        """The name of a line; "" for none."""
        return self.lines.get(id_, "") if id_ is not None else ""

    def of_animal(self, animal: Animal) -> Origin:
        if animal.brood is None or (animal.sire is not None and animal.dam is not None):
            return self.named(parents(self.ledger, animal.id))
        origin = self.of_brood(animal.brood)
        if animal.sire is not None:
            origin = origin._replace(sires=(self.names[animal.sire],))
        return origin._replace(dam=self.names[animal.dam]) if animal.dam is not None else origin

    def named(self, known: Parents) -> Origin:
        sires = tuple(sorted(self.names[s] for s in known.sires))
        if sires and not known.sure:
            sires = (*sires, SOMEONE)  # sperm of an earlier male may have been there
        return Origin(sires, self.names[known.dam] if known.dam is not None else "")

    def of_brood(self, brood: int) -> Origin:
        if brood not in self.broods:
            self.broods[brood] = Origin()  # a brood split from itself ends here
            found = self.ledger.row(Brood, brood)
            known = of_brood(self.ledger, brood)
            if known.dam is not None or known.sires:
                self.broods[brood] = self.named(known)
            elif found.parent is not None:
                self.broods[brood] = self.of_brood(found.parent)
            elif found.search is not None:
                self.broods[brood] = self.of_colony(found.search)
        return self.broods[brood]

    def of_colony(self, search: int) -> Origin:
        """Laid by a group of adults that nobody told apart: the group is father and mother."""
        made = self.ledger.row(Search, search)
        there = site(self.ledger, made.enclosure, made.made or UNKNOWN)
        if len(there.colonies) != 1 or there.mothers:
            return Origin()
        group = there.colonies[0]
        if group.brood is not None:
            name = self.group_of_brood(group.brood)
        else:
            line = self.line(group.line)
            name = self.free(line_in_box(line, code(self.ledger, made.enclosure)))
            life = Life(outside=group.lot is not None)
            self.rows.setdefault(name, PedigreeRow(name, sex=GROUP, line=line, life=life))
        return Origin((name,), name)

    def group_of_brood(self, brood: int) -> str:
        found = self.ledger.row(Brood, brood)
        name = self.free(found.name)
        if name not in self.rows:
            life, doubt = self.lives.of_brood(brood), doubt_of_brood(self.ledger, brood, self.mixed_up)
            line = self.line(found.line)
            self.rows[name] = PedigreeRow(name, sex=GROUP, line=line, life=life, doubt=doubt)
            self.rows[name] = self.rows[name]._replace(**self.of_brood(brood)._asdict())
        return name

    def free(self, name: str) -> str:
        """A group's name that no animal has."""
        return group_called_as_animal(name) if name in self.taken else name


def rows(ledger: Ledger) -> list[PedigreeRow]:
    """Every animal of the books, and the groups that stand in for some."""
    return _Books(ledger).read()


def of_book(
    ledger: Ledger, file: str, related: Related = (), *, unrelated: bool = False
) -> tuple[Pedigree | None, list[Problem]]:
    """The books' pedigree and warnings, or None and every problem; ``file`` names the book in them.

    ``unrelated`` takes every animal without recorded parents as unrelated to all others, at
    at most too.
    """
    p, problems = build(rows(ledger), file, related=related)
    return taken_as_unrelated(p) if p is not None and unrelated else p, problems


def living(ledger: Ledger) -> list[int]:
    """Animals with a number that are alive, missing ones left out."""
    return [r.id for r in ledger.rows(Animal, Animal.state.is_("alive"))]
