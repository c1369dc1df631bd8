"""Who was taken for whom while the labels of two boxes were swapped.

Between the two dates a box was known by the other's label. What was written of "T-01" on those
days is about the box T-02 and whoever was in it: animals, a counted group, their pairings.
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import label_sentences as sentences
from rounds.acts.act import ActRefused
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import Animal, Brood, Content, Line, Pairing
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, Span

FIELD = "were"


class Days(NamedTuple):
    """The days, both included, on which the labels were swapped."""

    first: int
    last: int

    def holds(self, when: Span | int | None) -> bool:
        """Is it certainly on one of those days?"""
        if when is None:
            return False
        if isinstance(when, int):
            return self.first <= when <= self.last
        return self.first <= when.earliest and when.latest <= self.last

    def touches(self, when: Span | int | None) -> bool:
        """May it be on one of those days, and on another?"""
        if not isinstance(when, Span) or self.holds(when):
            return False
        return when.earliest <= self.last and when.latest >= self.first

    def begins_in(self, since: Span | int | None) -> bool:
        """Did something that lasts begin while the labels were swapped? On the first day it began before."""
        begun = since if since is None or isinstance(since, int) else since.earliest
        return begun is not None and self.holds(since) and begun > self.first


class Counterparts(NamedTuple):
    """Each row and the one it was taken for, both ways; ``alone`` are those without one.

    ``contents`` are the stays of the animals and the groups that stood there when the days began.
    ``pairing_at`` is the pairing of the female in each box (None: in none).
    """

    days: Days
    boxes: dict[int, int]
    animals: dict[int, int]
    contents: dict[int, int]
    pairings: dict[int, int]
    pairing_at: dict[int, int | None]
    alone: frozenset[tuple[str, int]]

    def other(self, table: str, id_: int | None) -> int | None:
        """The row that this one was taken for, or itself."""
        if id_ is None:
            return None
        found = {
            "enclosure": self.boxes,
            "animal": self.animals,
            "content": self.contents,
            "pairing": self.pairings,
        }.get(table, {})
        return found.get(id_, id_)


def counterparts(ledger: Ledger, box: int, other: int, days: Days) -> Counterparts:
    """Raises ActRefused where nobody stood in one of the boxes, or the species tell them apart."""
    stood = {b: list(_stood(ledger, b, days)) for b in (box, other)}
    for b, here in stood.items():
        if not here:
            raise ActRefused.at(FIELD, sentences.held_nobody(code(ledger, b), day_and_year(days.first)))
    if not _same_species(ledger, stood[box], stood[other]):
        raise ActRefused.at(FIELD, sentences.other_species(code(ledger, box), code(ledger, other)))
    matched = list(_matched(ledger, stood[box], stood[other]))
    contents = {a.id: b.id for pair in matched for a, b in (pair, pair[::-1])}
    animals = {
        a.animal: b.animal
        for pair in matched
        for a, b in (pair, pair[::-1])
        if a.animal is not None and b.animal is not None
    }
    at: dict[int, int | None] = {}
    pairings: dict[int, int] = {}
    for one, two in matched:
        mine, theirs = _pairing(ledger, one.animal, days), _pairing(ledger, two.animal, days)
        if mine is None and theirs is None:
            continue
        at[box], at[other] = mine, theirs
        if mine is not None and theirs is not None:
            pairings |= {mine: theirs, theirs: mine}
    alone = {
        (table, id_)
        for content in (*stood[box], *stood[other])
        if content.id not in contents
        for table, id_ in (("content", content.id), ("animal", content.animal))
        if id_ is not None
    }
    alone |= {("pairing", p) for p in at.values() if p is not None and p not in pairings}
    return Counterparts(days, {box: other, other: box}, animals, contents, pairings, at, frozenset(alone))


def _stood(ledger: Ledger, box: int, days: Days) -> Iterator[Content]:
    """Those who were in a box when the days began, or came into it on the first of them."""
    for content in ledger.rows(Content, Content.enclosure.is_(box)):
        came = content.since is None or content.since.earliest <= days.first
        if came and (content.until is None or content.until.latest > days.first):
            yield content


def _same_species(ledger: Ledger, mine: list[Content], theirs: list[Content]) -> bool:
    kinds = [{_species(ledger, content) for content in some} - {""} for some in (mine, theirs)]
    return not all(kinds) or bool(kinds[0] & kinds[1])


def _species(ledger: Ledger, content: Content) -> str:
    line = content.line
    if content.animal is not None:
        line = ledger.row(Animal, content.animal).line
    elif line is None and content.brood is not None:
        line = ledger.row(Brood, content.brood).line
    return ledger.row(Line, line).species if line is not None else ""


def _matched(ledger: Ledger, mine: list[Content], theirs: list[Content]) -> Iterator[tuple[Content, Content]]:
    """Those of whom only one in each box can be meant: a single group, a single animal, or the only one of its sex."""
    groups = [[content for content in some if content.animal is None] for some in (mine, theirs)]
    if len(groups[0]) == len(groups[1]) == 1:
        yield groups[0][0], groups[1][0]
    singles = [[content for content in some if content.animal is not None] for some in (mine, theirs)]
    if len(singles[0]) == len(singles[1]) == 1:
        yield singles[0][0], singles[1][0]
        return
    for sex in ("m", "f", "unknown"):
        of_sex = [[c for c in some if ledger.row(Animal, c.animal).sex == sex] for some in singles]
        if len(of_sex[0]) == len(of_sex[1]) == 1:
            yield of_sex[0][0], of_sex[1][0]


def _pairing(ledger: Ledger, animal: int | None, days: Days) -> int | None:
    """The newest pairing of a female that had begun when the days began."""
    if animal is None:
        return None
    hers = [
        (pairing.since.earliest if pairing.since is not None else FIRST, pairing.id)
        for pairing in ledger.rows(Pairing, Pairing.female.is_(animal))
        if pairing.since is None or pairing.since.earliest <= days.first
    ]
    return max(hers)[1] if hers else None


def name_of_content(ledger: Ledger, content: int) -> str:
    """The animal, or the brood or the box of a group."""
    row = ledger.row(Content, content)
    if row.animal is not None:
        return animal_name(ledger, row.animal)
    return ledger.row(Brood, row.brood).name if row.brood is not None else code(ledger, row.enclosure)


def alone(ledger: Ledger, pairs: Counterparts, table: str, id_: int) -> ActRefused:
    """Something was recorded of one that nobody in the other box can have been taken for."""
    if table == "pairing":
        box = next(box for box, pairing in pairs.pairing_at.items() if pairing == id_)
        who = ledger.row(Pairing, id_).name
    else:
        stays = (ledger.row(Content, i) for t, i in pairs.alone if t == "content")
        stay = next(c for c in stays if id_ in (c.id if table == "content" else c.animal,))
        box = stay.enclosure if stay.enclosure in pairs.boxes else next(iter(pairs.boxes))
        who = name_of_content(ledger, stay.id)
    return ActRefused.at(FIELD, sentences.no_counterpart(who, code(ledger, pairs.boxes[box])))
