"""Ready answers of a card: what is usually answered, so that a digit can give it.

Each is told as it would be typed; any other text stays an answer too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from rounds.acts import card_sentences as sentences
from rounds.acts.card import CardAnswer
from rounds.acts.card_check import DAYS, looks_back
from rounds.acts.fields import NOT_KNOWN, Field
from rounds.acts.groups import counted, groups, said
from rounds.acts.laying import LAY_IN
from rounds.acts.pairing_checks import wrong_female, wrong_male
from rounds.due.planned_pairings import OPEN_TO
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import (
    TABLES,
    Animal,
    Batch,
    Content,
    Enclosure,
    Line,
    Lot,
    Pairing,
    PairingMale,
    Place,
)
from rounds.records.whereabouts import inside, species_of
from rounds.text.cleaning import day_of_week
from rounds.values.spans import iso

MOST = 45
"""Answers offered for one field: five pages of nine."""
FEW = 9
"""Animals to pair are offered while one digit can choose from them: in a large house they are typed."""
SHOWN = {"m": sentences.MALE, "f": sentences.FEMALE, "unknown": sentences.NOT_KNOWN}

FREE = ("prepared", "empty")
FEEDING = (*FREE, "holding")
STAGES_OF: Mapping[tuple[str, str], tuple[str, ...]] = {
    ("to-laying", "to"): LAY_IN,
    ("male-out", "to"): FEEDING,
    ("parted", "female_to"): FEEDING,
    ("parted", "males_to"): FEEDING,
    ("move", "to"): (*FEEDING, "resting", "quarantine", "colony", "larvae"),
    ("move-some", "to"): (*FREE, "larvae", "colony", "holding"),
    ("wandering", "into"): FREE,
    ("cell", "into"): FREE,
    ("split", "into"): FREE,
    ("split-some", "into"): FREE,
    ("merge", "from"): ("larvae", "eggs"),
    ("plan-made", "in"): OPEN_TO,
    ("plan-pair", "box"): OPEN_TO,
}
"""In which stages a box is likely to be meant, the likeliest first; of other fields any box in use may be."""


OF_ADULTS = ("holding", "pairing", "laying")
"""Stages in which a numbered animal that was not counted as a larva is a beetle."""


def answers(ledger: Ledger, enclosure: int, act: str, field: Field, today: int) -> tuple[CardAnswer, ...]:
    """The usual answers of a field of an act that is recorded at an enclosure."""
    if field.type in ("word", "stage", "yesno"):
        words = {"word": field.words, "stage": STAGES, "yesno": ("yes", "no")}[field.type]
        return tuple(CardAnswer(w, SHOWN.get(w, w) if field.name == "sex" else w) for w in words)
    if field.type in DAYS:
        return _days(field, today)
    if field.name == "cause":
        return plain_answers(sentences.CAUSES)
    if field.type == "counts":
        return _counts(ledger, enclosure, act, field)
    if field.type == "ref":
        return _rows(ledger, enclosure, act, field)
    return ()


def plain_answers(texts: Iterable[str]) -> tuple[CardAnswer, ...]:
    """Answers that are shown as they are typed."""
    return tuple(CardAnswer(t, t) for t in texts)


def _days(field: Field, today: int) -> tuple[CardAnswer, ...]:
    """The nine days before today or after it: the digit is how many days it is away."""
    back = looks_back(field)
    near = sentences.YESTERDAY if back else sentences.TOMORROW
    days = [(n, max(1, today - n) if back else today + n) for n in range(1, 10)]
    return tuple(CardAnswer(iso(day), near if n == 1 else day_of_week(day)) for n, day in days)


def _counts(ledger: Ledger, enclosure: int, act: str, field: Field) -> tuple[CardAnswer, ...]:
    if act == "search":
        return (
            CardAnswer("0", sentences.NONE_FOUND),
            CardAnswer(REST_OF_THEM, sentences.NONE_FOUND_AND_NO_OTHERS),
        )
    there = groups(ledger, enclosure)
    if field.name != "count" or len(there) != 1 or there[0].at_least:
        return ()
    every = said(counted(there[0]))
    return (CardAnswer(every, sentences.all_there(every)),)


REST_OF_THEM = "0 of all that are open"
"""What a card's answer stands for that says of each count not told yet that none were found."""


def _rows(ledger: Ledger, enclosure: int, act: str, field: Field) -> tuple[CardAnswer, ...]:
    found = BY_TABLE.get(field.of)
    return found(ledger, enclosure, act, field)[:MOST] if found else ()


def _boxes(ledger: Ledger, enclosure: int, act: str, field: Field) -> tuple[CardAnswer, ...]:
    """Boxes in the likely stages, those on this shelf first; for her laying box also the one she is in."""
    wanted = STAGES_OF.get((act, field.name))
    here = ledger.row(Enclosure, enclosure)
    place = ledger.row(Place, here.place) if here.place is not None else None
    kind = species_of(ledger, enclosure)
    found: list[tuple[tuple[int, ...], Enclosure, str]] = []
    for box in ledger.rows(Enclosure):
        if box.id == enclosure and (act, field.name) != ("to-laying", "to"):
            continue
        if wanted is not None and box.stage not in wanted:
            continue
        at = ledger.row(Place, box.place) if box.place is not None else None
        near = int(place is None or at is None or (at.bay, at.shelf) != (place.bay, place.shelf))
        other = int(bool(box.species and kind and box.species != kind))
        rank = wanted.index(box.stage) if wanted is not None else 0
        apart = (at.bay, at.shelf, at.slot) if at is not None else ("~", 0, 0)
        order = (other, int(box.id == enclosure), rank, near, *(ord(c) for c in apart[0]), *apart[1:])
        found.append((order, box, at.address if at is not None else ""))
    found.sort(key=lambda f: (f[0], f[1].code))
    return tuple(
        CardAnswer(box.code, sentences.box_in_stage(box.code, box.stage, where))
        for _, box, where in found[:MOST]
    )


def _animals(ledger: Ledger, enclosure: int, act: str, field: Field) -> tuple[CardAnswer, ...]:
    if act in ("pair", "male-in"):
        return grown(ledger, enclosure, "f" if field.name == "female" else "m")
    if act == "mating-seen" or (act, field.name) == ("male-out", "male"):
        return _males_of_pairings(ledger, enclosure)
    sex = {"female": "f", "male": "m", "sire": "m", "dam": "f"}.get(field.name, "")
    if field.name in ("sire", "dam"):
        return ()
    here = (ledger.row(Animal, c.animal) for c in inside(ledger, enclosure) if c.animal is not None)
    return tuple(
        CardAnswer(animal_name(ledger, one.id), _shown(ledger, one))
        for one in here
        if not sex or one.sex in (sex, "unknown")
    )


def _shown(ledger: Ledger, one: Animal) -> str:
    sex = {"m": " m", "f": " f"}.get(one.sex, "")
    return f"{ledger.row(Line, one.line).name} {one.number}{sex}"


def _males_of_pairings(ledger: Ledger, enclosure: int) -> tuple[CardAnswer, ...]:
    open_ = [p.id for p in ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(enclosure))]
    males = dict.fromkeys(
        row.male
        for pairing in open_
        for row in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing), PairingMale.until.is_(None))
    )
    return tuple(CardAnswer(animal_name(ledger, m), _shown(ledger, ledger.row(Animal, m))) for m in males)


def _came_grown(ledger: Ledger, stay: Content) -> bool:
    """Is one an adult by where it lives, of whose adult life no day was recorded? It came so from another house."""
    return not stay.instar and ledger.row(Enclosure, stay.enclosure).stage in OF_ADULTS


def grown(ledger: Ledger, enclosure: int, sex: str) -> tuple[CardAnswer, ...]:
    """Grown animals of a sex that can be paired here, those in this enclosure first.

    Of its species where that is known. None when they are more than a digit can choose from.
    """
    kind = species_of(ledger, enclosure)
    found = []
    for at in ledger.rows(Content, Content.until.is_(None)):
        animal = ledger.row(Animal, at.animal) if at.animal is not None else None
        if animal is None or animal.sex != sex or not (animal.grown or _came_grown(ledger, at)):
            continue
        if not kind or ledger.row(Line, animal.line).species == kind:
            found.append((at.enclosure != enclosure, animal.id))
        if len(found) > 4 * FEW:  # a large house: not worth looking closer
            return ()
    names = tuple(
        animal_name(ledger, a)
        for _, a in sorted(found)
        if not (wrong_female(ledger, a) if sex == "f" else wrong_male(ledger, a, 0, enclosure))
    )
    return plain_answers(names) if len(names) <= FEW else ()


def batches(ledger: Ledger, *_: object) -> tuple[CardAnswer, ...]:
    """That it is not known, then the batches of which something is, the newest first."""
    known = [str(batch.name) for batch in ledger.rows(Batch) if batch.recipe or batch.made is not None]
    return plain_answers((NOT_KNOWN, *reversed(known)))


def _lots(ledger: Ledger, *_: object) -> tuple[CardAnswer, ...]:
    """Arrivals, the newest first."""
    return plain_answers(lot.name for lot in reversed(list(ledger.rows(Lot))))


def _places(ledger: Ledger, enclosure: int, *_: object) -> tuple[CardAnswer, ...]:
    return plain_answers(free_slots(ledger, enclosure, MOST))


def free_slots(ledger: Ledger, enclosure: int, most: int) -> tuple[str, ...]:
    """Addresses of slots where nothing stands: those after the enclosure's own first, then from the beginning.

    None of them beside a box in quarantine: nothing is proposed that is asked about.
    """
    boxes = [box for box in ledger.rows(Enclosure) if box.place is not None]
    taken = {box.place for box in boxes}
    apart = [ledger.row(Place, box.place) for box in boxes if box.stage == "quarantine" and box.place]
    every = sorted(ledger.rows(Place), key=lambda p: (p.bay, p.shelf, p.slot))
    own = ledger.row(Enclosure, enclosure).place
    at = next((i for i, p in enumerate(every) if p.id == own), -1)

    def fits(place: Place) -> bool:
        beside = (q for q in apart if (q.bay, q.shelf) == (place.bay, place.shelf))
        return place.id not in taken and all(abs(q.slot - place.slot) > 1 for q in beside)

    return tuple(p.address for p in (*every[at + 1 :], *every[: at + 1]) if fits(p))[:most]


def _pairings(ledger: Ledger, enclosure: int, act: str, _: Field) -> tuple[CardAnswer, ...]:
    """Pairings that stand here; for a search also those of the females that are here."""
    here = {c.animal for c in inside(ledger, enclosure) if c.animal is not None}
    found = [
        p.name
        for p in ledger.rows(Pairing)
        if (p.enclosure == enclosure and p.until is None) or (act == "search" and p.female in here)
    ]
    return plain_answers(dict.fromkeys(found))


def _of_groups(column: str) -> Callable[[Ledger, int, str, Field], tuple[CardAnswer, ...]]:
    def named(ledger: Ledger, enclosure: int, _act: str, field: Field) -> tuple[CardAnswer, ...]:
        table = TABLES[field.of]
        ids = [content.line if column == "line" else content.brood for content in groups(ledger, enclosure)]
        name = table.column(table.key[0])
        return plain_answers(
            dict.fromkeys(str(ledger.row(table, i).value(name)) for i in ids if i is not None)
        )

    return named


BY_TABLE: Mapping[str, Callable[[Ledger, int, str, Field], tuple[CardAnswer, ...]]] = {
    "enclosure": _boxes,
    "animal": _animals,
    "batch": batches,
    "lot": _lots,
    "place": _places,
    "pairing": _pairings,
    "line": _of_groups("line"),
    "brood": _of_groups("brood"),
}
