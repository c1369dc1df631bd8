"""What the books say of one box for the right-hand column: who is in it and how old, and the last weights of a larva.

Pure: books, a box and a day in, plain values out.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.presenters import side_sentences
from rounds.records.ledger import Ledger
from rounds.records.record import Record
from rounds.records.tables import Animal, Brood, Content, Weight
from rounds.values.spans import FIRST, LAST, Span
from rounds.views import family_queries, page_words

STEPS = (
    Animal.emerged,
    Animal.eclosed,
    Animal.first_feed,
    Animal.mature,
    Animal.cell,
    Animal.wandering,
    Animal.born,
)
"""Steps of a life: the age of an adult is counted from when it came up, of others from the last step that is known."""
WEIGHTS = 4
"""Weighings of a larva that are shown: the last."""


class Living(NamedTuple):
    """An animal or a counted group, its age in words, and how many they are."""

    name: str
    age: str
    animals: int


class BoxFacts(NamedTuple):
    """``weights`` (g) are the last of the larva that is alone here, the newest last, and ``weighed`` when that was."""

    living: tuple[Living, ...] = ()
    weights: tuple[float, ...] = ()
    weighed: Span | None = None
    sex: str = "unknown"


NOTHING = BoxFacts()


def facts(ledger: Ledger, enclosure: int, day: int) -> BoxFacts:
    """Who is in a box on ``day``, and the weights of a larva where it holds just one."""
    here: Sequence[Content] = [
        c for c in records_by(ledger, Content, "enclosure").get(enclosure, ()) if c.until is None
    ]
    living = tuple(_living(ledger, content, day) for content in here)
    if len(here) != 1:
        return BoxFacts(living)
    (only,) = here
    if only.animal is not None:
        animal = ledger.row(Animal, only.animal)
        weights, sex = records_by(ledger, Weight, "animal").get(animal.id, ()), animal.sex
        if animal.grown:
            weights = ()
    else:
        single = only.total == 1 and not only.at_least
        weights = records_by(ledger, Weight, "content").get(only.id, ()) if single else ()
        sex = "m" if only.males else "f" if only.females else "unknown"
    known = [w for w in weights if w.grams is not None]
    known.sort(key=lambda w: w.made.latest if w.made is not None else FIRST)
    last = known[-WEIGHTS:]
    return BoxFacts(living, tuple(w.grams or 0.0 for w in last), last[-1].made if last else None, sex)


def _living(ledger: Ledger, content: Content, day: int) -> Living:
    if content.animal is not None:
        animal = ledger.row(Animal, content.animal)
        step = next((s for s in STEPS if animal.value(s) is not None), None)
        when = animal.value(step) if step is not None else None
        age = _age(step.name, when, day) if step is not None and when is not None else ""
        return Living(page_words.animal(ledger, content.animal), age or side_sentences.AGE_NOT_KNOWN, 1)
    brood = ledger.row(Brood, content.brood) if content.brood is not None else None
    dates = (
        ("born", brood.hatch if brood is not None else None),
        ("found", brood.found if brood is not None else None),
        ("here", content.since),
    )
    age = next((_age(step, when, day) for step, when in dates if when is not None and not when.unknown), "")
    return Living(
        family_queries.group_words(ledger, content), age or side_sentences.AGE_NOT_KNOWN, content.total
    )


def _age(step: str, when: Span, day: int) -> str:
    fewest = None if when.latest >= LAST else max(0, day - when.latest)
    most = None if when.earliest <= FIRST else max(0, day - when.earliest)
    return side_sentences.age(side_sentences.STEPS[step], fewest, most)


_INDEXES: dict[tuple[str, str], tuple[Mapping[int, Record], dict[Any, list[Any]]]] = {}
"""By table and column: the table as it was indexed, and its records by the value of the column."""


def records_by(ledger: Ledger, of: type[Any], column: str) -> Mapping[Any, Sequence[Any]]:
    """Records of a table by a column; made anew only where the table is another one than last time."""
    table = ledger.table(of.table)
    known = _INDEXES.get((of.table, column))
    if known is None or known[0] is not table:
        made: dict[Any, list[Any]] = {}
        for record in table.values():
            if not record.void:
                made.setdefault(record.__dict__[column], []).append(record)
        known = _INDEXES[(of.table, column)] = (table, made)
    return known[1]
