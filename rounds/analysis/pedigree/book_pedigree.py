"""The pedigree of a house, read out of its books.

Individuals are named LINE/NUMBER as the keeper writes them. A brood whose animals have no
numbers stands in as a group, and so does a colony that nobody told apart. A father that is
only likely, or open, stays so: each male that may have been it, or somebody not recorded.
"""

from __future__ import annotations

from typing import NamedTuple

from rounds.acts.laying_history import site
from rounds.analysis.pedigree.pedigree_table import (
    GROUP,
    SOMEONE,
    Pedigree,
    PedigreeRow,
    Related,
    build,
)
from rounds.problems import Problem
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, code
from rounds.records.parentage import Parents, of_brood, parents


class Origin(NamedTuple):
    """Possible sires and the dam, by name, as a pedigree's row wants them."""

    sires: tuple[str, ...] = ()
    dam: str = ""


class _Books:
    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self.rows: dict[str, PedigreeRow] = {}
        self.broods: dict[int, Origin] = {}
        self.lines = {i: str(r["name"]) for i, r in ledger.rows("line")}
        self.names = {i: animal_name(ledger, i) for i, _ in ledger.rows("animal")}
        self.taken = frozenset(self.names.values())

    def read(self) -> list[PedigreeRow]:
        for i, row in self.ledger.rows("animal"):
            origin = self.of_animal(i)
            sex = row["sex"] if row["sex"] in ("m", "f") else ""
            self.rows[self.names[i]] = PedigreeRow(
                self.names[i], *origin, sex, self.lines.get(row["line"], "")
            )
        for _, row in self.ledger.rows("content", animal=None, until=None):
            if row["brood"] is not None:
                self.group_of_brood(row["brood"])
        return list(self.rows.values())

    def of_animal(self, animal: int) -> Origin:
        row = self.ledger.row("animal", animal)
        if row["brood"] is None or (row["sire"] is not None and row["dam"] is not None):
            return self.named(parents(self.ledger, animal))
        origin = self.of_brood(row["brood"])
        if row["sire"] is not None:
            origin = origin._replace(sires=(self.names[row["sire"]],))
        return origin._replace(dam=self.names[row["dam"]]) if row["dam"] is not None else origin

    def named(self, known: Parents) -> Origin:
        sires = tuple(sorted(self.names[s] for s in known.sires))
        if sires and not known.sure:
            sires = (*sires, SOMEONE)  # sperm of an earlier male may have been there
        return Origin(sires, self.names[known.dam] if known.dam is not None else "")

    def of_brood(self, brood: int) -> Origin:
        if brood not in self.broods:
            self.broods[brood] = Origin()  # a brood split from itself ends here
            row = self.ledger.row("brood", brood)
            known = of_brood(self.ledger, brood)
            if known.dam is not None or known.sires:
                self.broods[brood] = self.named(known)
            elif row["parent"] is not None:
                self.broods[brood] = self.of_brood(row["parent"])
            elif row["search"] is not None:
                self.broods[brood] = self.of_colony(row["search"])
        return self.broods[brood]

    def of_colony(self, search: int) -> Origin:
        """Laid by a group of adults that nobody told apart: the group is father and mother."""
        row = self.ledger.row("search", search)
        there = site(self.ledger, row["enclosure"], row["made"])
        if len(there.colonies) != 1 or there.mothers:
            return Origin()
        group = there.colonies[0].row
        if group["brood"] is not None:
            name = self.group_of_brood(group["brood"])
        else:
            line = self.lines.get(group["line"], "")
            name = self.free(f"{line} in {code(self.ledger, row['enclosure'])}".strip())
            self.rows.setdefault(name, PedigreeRow(name, sex=GROUP, line=line))
        return Origin((name,), name)

    def group_of_brood(self, brood: int) -> str:
        row = self.ledger.row("brood", brood)
        name = self.free(str(row["name"]))
        if name not in self.rows:
            self.rows[name] = PedigreeRow(name, sex=GROUP, line=self.lines.get(row["line"], ""))
            self.rows[name] = self.rows[name]._replace(**self.of_brood(brood)._asdict())
        return name

    def free(self, name: str) -> str:
        """A group's name that no animal has."""
        return f"group {name}" if name in self.taken else name


def rows(ledger: Ledger) -> list[PedigreeRow]:
    """Every animal of the books, and the groups that stand in for some."""
    return _Books(ledger).read()


def of_book(
    ledger: Ledger, file: str, related: Related = (), unrelated: bool = False
) -> tuple[Pedigree | None, list[Problem]]:
    """The books' pedigree and warnings, or None and every problem; ``file`` names the book in them.

    ``unrelated`` takes every animal without recorded parents as unrelated to all others, at
    the high end of F too.
    """
    found = rows(ledger)
    if unrelated:
        found = [r._replace(founder=not (r.sires or r.dam)) for r in found]
    return build(found, file, related=related)


def living(ledger: Ledger) -> list[int]:
    """Animals with a number that are alive, missing ones left out."""
    return [i for i, r in ledger.rows("animal", state="alive")]
