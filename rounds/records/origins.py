"""Who has something in common: the enclosures of a substrate batch, the descendants of an arrival."""

from __future__ import annotations

from rounds.named_tuple import NamedTuple
from rounds.records import parentage_sentences
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import Animal, BatchUse, Brood, Content, Line, Pairing, PairingMale
from rounds.values.spans import Span


class Use(NamedTuple):
    """Substrate of a batch that went into an enclosure (a row id)."""

    enclosure: int
    given: Span | None
    litres: float | None


def enclosures_of(ledger: Ledger, batch: int) -> list[Use]:
    """Every enclosure that got substrate of a batch, in the order it was given."""
    found = [Use(u.enclosure, u.given, u.litres) for u in ledger.rows(BatchUse, BatchUse.batch.is_(batch))]
    return sorted(found, key=lambda u: u.given.earliest if u.given else 0)


class Descendant(NamedTuple):
    """An animal or a group that comes from an arrival.

    ``animal`` or ``content`` is its row id. ``generation`` 0 came with the arrival or founded
    its line. ``certain`` is False when any step on the way rests on an open paternity or on
    a line without recorded parents. ``came`` is True for what came with the arrival itself.
    """

    animal: int | None
    content: int | None
    generation: int
    certain: bool
    through: str
    came: bool = False


def descendants(ledger: Ledger, lot: int) -> list[Descendant]:
    """All that certainly or possibly comes from an arrival, by generation; gone and dead ones too.

    An animal is found by its papers (its lot), by a parent, by the pairing of its brood, or
    by its line when that was founded from the arrival and none of its parents is recorded.
    """
    lines = {line.id for line in ledger.rows(Line, Line.lot.is_(lot))}
    found: dict[int, Descendant] = {}
    wave: list[int] = []

    def come(animal: int, generation: int, through: str, *, certain: bool, came: bool = False) -> None:
        known = found.get(animal)
        if known is None or (certain and not known.certain):
            found[animal] = Descendant(
                animal, None, known.generation if known else generation, certain, through, came
            )
            wave.append(animal)  # also when it only became certain: its young did too

    for animal in ledger.rows(Animal):
        if animal.lot == lot:
            come(animal.id, 0, parentage_sentences.CAME_WITH_IT, certain=True, came=True)
        elif animal.line in lines and not (animal.sire or animal.dam or animal.brood):
            come(animal.id, 0, parentage_sentences.OF_ITS_LINE, certain=False)
    young, names = _young(ledger), _names(ledger)
    broods: dict[int, tuple[int, bool, str]] = {}
    while wave:
        parent = wave.pop(0)
        here = found[parent]
        for child, certain in young.get(parent, ()):
            come(
                child,
                here.generation + 1,
                parentage_sentences.young_of(names[parent]),
                certain=certain and here.certain,
            )
        for brood, certain in _broods(ledger, parent):
            sure = certain and here.certain
            if brood not in broods or (sure and not broods[brood][1]):
                broods[brood] = (here.generation + 1, sure, parentage_sentences.young_of(names[parent]))
                for animal in ledger.rows(Animal, Animal.brood.is_(brood)):
                    come(
                        animal.id,
                        here.generation + 1,
                        parentage_sentences.young_of(names[parent]),
                        certain=sure,
                    )
    groups = []
    for content in ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None)):
        if content.lot == lot:
            groups.append(
                Descendant(
                    None, content.id, 0, certain=True, through=parentage_sentences.CAME_WITH_IT, came=True
                )
            )
        elif content.brood is not None and content.brood in broods:
            generation, sure, through = broods[content.brood]
            groups.append(Descendant(None, content.id, generation, sure, through))
    return sorted(
        [*found.values(), *groups], key=lambda d: (d.generation, d.animal is None, d.animal or d.content or 0)
    )


def _names(ledger: Ledger) -> dict[int, str]:
    return {animal.id: name_of(ledger, animal) for animal in ledger.rows(Animal)}


def _young(ledger: Ledger) -> dict[int, list[tuple[int, bool]]]:
    """Children by recorded parent."""
    out: dict[int, list[tuple[int, bool]]] = {}
    for animal in ledger.rows(Animal):
        for parent in {animal.sire, animal.dam}:
            if parent is not None:
                out.setdefault(parent, []).append((animal.id, True))
    return out


def _broods(ledger: Ledger, parent: int) -> list[tuple[int, bool]]:
    """Broods of pairings an animal took part in, with those split from them; was it certainly a parent?"""
    out: list[tuple[int, bool]] = []
    for pairing in ledger.rows(Pairing):
        males = {partner.male for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing.id))}
        if parent == pairing.female:
            sure = True
        elif parent in males:
            sure = len(males) == 1 and pairing.paternity == "certain"
        else:
            continue
        ask = [row.id for row in ledger.rows(Brood, Brood.pairing.is_(pairing.id))]
        seen: set[int] = set()
        while ask:
            brood = ask.pop()
            if brood not in seen:
                seen.add(brood)
                out.append((brood, sure))
                ask += [row.id for row in ledger.rows(Brood, Brood.parent.is_(brood))]
    return out
