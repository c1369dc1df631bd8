"""How many keys an act takes at the box, letters and number pad alike, as the keys themselves.

    python -m tests.bench.act_keys

Every act is tried in three cases that differ, so that no order of fields is tuned to one. The
budgets are ours; ``tests/walk/test_act_keys.py`` holds them. Counted is every key from the box
on, until the walk says that the act is recorded; of a series the keys of one animal beside
the digits of its weight and of its box.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

from rounds.config import Config, read
from rounds.keys.menu_keys import keys_of_entry
from rounds.records.entries import ACT
from rounds.records.ledger import Draft, Ledger
from rounds.records.observations import House
from rounds.records.tables import Animal, Brood, Content, Enclosure, Line, Pairing, PairingMale, Place
from rounds.settings.layers import layers
from rounds.store.book import create
from rounds.store.ledger_store import make
from rounds.values.spans import Span
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.card_shown import card_key_for
from tests.endtoend.rack import MORNING, TODAY

LAYOUTS = ("letters", "numbers")


class KeyCase(NamedTuple):
    """One case: at a box, what is done. A step is a digit, ``act:ID``, a command of the walk or of a card."""

    box: str
    steps: str
    said: str
    told: str = ""
    """What the last act was told, as ``field=answer`` parted by blanks: what the keys were meant to say."""


class ActBudget(NamedTuple):
    name: str
    most: int
    cases: tuple[KeyCase, ...]


TABLE = """
search with counts: 9
LA-1 | act:search 1 3 at_least 1 4 record | complete, at least 3 eggs, 14 L1 | how=complete eggs=3+ l1=14
LA-2 | act:search 2 next_field 2 at_least 9 record | partial, at least 2 L1, 9 L2 | how=partial l1=2+ l2=9
LA-1 | act:search 1 next_field 7 next_field next_field 4 record | complete, 7 L1, 4 L3 | how=complete l1=7 l3=4

mating seen: 2
PA-1 | act:mating-seen | one pair
PA-2 | act:mating-seen | another
PA-3 | act:mating-seen | a female with two males, not seen which

to the laying box: 4
PA-1 | act:to-laying 1 record | the first prepared box | to=PR-1
PA-2 | act:to-laying 2 record | the second prepared box | to=PR-2
HO-1 | act:to-laying 1 record | a female on her own, no pairing | to=PR-1

split of 14 into tubs: 8
LV-14 | act:split record | 14 tubs, one each | tubs=14 prefix=LV evenly=yes
LV-14 | act:split 4 record | 4 tubs, spread evenly: 4, 4, 3, 3 | tubs=4 evenly=yes
LV-14 | act:split 7 record | 7 tubs of 2 | tubs=7 evenly=yes

weigh-in: 7
LV-14 | act:weigh-one 4 . 2 record | one of a group, 4.2 g | grams=4.2
LV-1 | act:weigh 3 1 . 5 record | a numbered larva, 31.5 g | grams=31.5
HO-1 | act:weigh 1 8 record | a grown female, 18 g | grams=18

emergence with sex: 4
CE-1 | act:emerged 1 record | a male | sex=m
CE-1 | act:emerged 2 record | a female | sex=f
RE-1 | act:emerged 2 record | a female, her box resting already | sex=f

emergence to first feeding box: 8
RE-1 | act:emerged 2 record act:move 1 record | emerged, a female; moved to feed | to=PR-1 stage=holding
RE-1 | act:emerged 1 record act:move 2 record | emerged, a male; the second box | to=PR-2 stage=holding
RE-2 | act:emerged 1 record act:first-feed record | emerged; fed in the box it is in

death with suspected cause and last seen: 5
HO-1 | act:dead 1 1 record | the last one there: old age, alive yesterday | seen=2026-03-01 rest=keep
HO-2 | act:dead 3 3 record | too dry, alive three days ago | seen=2026-02-27 rest=keep
CE-1 | act:dead 6 9 record | stuck in its moult, seen nine days ago | seen=2026-02-21
"""
"""Each act with its budget, and below it its cases: box | steps | said | told."""


def budgets(table: str) -> Iterator[ActBudget]:
    """The budgets as they are written in a table."""
    for paragraph in table.strip().split("\n\n"):
        head, *cases = paragraph.splitlines()
        name, _, most = head.rpartition(": ")
        yield ActBudget(name, int(most), tuple(KeyCase(*case.split(" | ")) for case in cases))


BUDGETS = tuple(budgets(TABLE))

SERIES = KeyCase("LV-14", "act:weigh-one 4 . 2 next_field next_field next_field 1 record", "the first")
NEXT_OF_SERIES = (
    KeyCase("", "3 . 9 record", "the next of the same group: 1 key and its digits"),
    KeyCase("", "4 . 4 record", "and the next"),
)


def day(ago: int) -> Span:
    return Span(TODAY - ago, TODAY - ago)


def house() -> Draft:
    """A small house with a box for every act, and a shelf with room."""
    draft = Draft(Ledger())
    line = draft.add(Line(name="UMBER", species="Mecynorhina torquata"))
    places = iter([draft.add(Place(bay="A", shelf=s, slot=n)) for s in range(1, 6) for n in range(1, 9)])
    number = iter(range(1, 99))

    def box(code: str, stage: str) -> int:
        return draft.add(
            Enclosure(code=code, number=next(number), stage=stage, stage_since=day(90), place=next(places))
        )

    def animal(at: int, sex: str, *, grown: bool = True) -> int:
        fed = day(60) if grown else None
        one = draft.add(
            Animal(
                line=line,
                number=str(next(number)),
                sex=sex,
                emerged=day(70) if grown else None,
                first_feed=fed,
                mature=fed,
            )
        )
        draft.add(Content(enclosure=at, animal=one, line=line, since=day(90)))
        return one

    for code in ("LA-1", "LA-2"):
        animal(box(code, "laying"), "f")
    for code, males in (("PA-1", 1), ("PA-2", 1), ("PA-3", 2)):
        at = box(code, "pairing")
        female = animal(at, "f")
        pair = draft.add(Pairing(name=f"P-{code}", female=female, enclosure=at, since=day(10)))
        for _ in range(males):
            draft.add(PairingMale(pairing=pair, male=animal(at, "m"), since=day(10)))
    for code, sex in (("HO-1", "f"), ("HO-2", "m")):
        animal(box(code, "holding"), sex)
    brood = draft.add(Brood(name="P-09-01", line=line, unsexed=14, found=day(30), instar="L1"))
    draft.add(
        Content(
            enclosure=box("LV-14", "larvae"), line=line, brood=brood, unsexed=14, instar="L2", since=day(30)
        )
    )
    animal(box("LV-1", "larvae"), "unknown", grown=False)
    for code, stage in (("CE-1", "cell"), ("RE-1", "resting"), ("RE-2", "resting")):
        animal(box(code, stage), "unknown", grown=False)
    for n in (1, 2):
        box(f"PR-{n}", "prepared")
    return draft


def book(to: Path) -> Path:
    """The house as a book."""
    with create(to, House("Nine Alders", "UTC")) as made, made.writing():
        for change in house().changes:
            make(made, change)
    return to


@contextmanager
def walking(path: Path, layout: str, config: Config) -> Iterator[Walk]:
    walk = Walk(path, config.with_keys(layout), day=TODAY, clock=lambda: MORNING)
    try:
        yield walk
    finally:
        assert walk.close(30) is None


def keys_of(walk: Walk, step: str) -> tuple[str, ...]:
    """The keys of a step as the walk stands now."""
    if step.startswith("act:"):
        at = [o.act for o in walk.desk.offers(walk.state.at)].index(step.removeprefix("act:"))
        record = steps.key_for(walk.desk, "record")
        return (*keys_of_entry(record, walk.desk.commands), *["0"] * (at // 9), str(at % 9 + 1))
    if step in walk.desk.card_keys.values():
        return (card_key_for(walk.desk, step),)
    return (step,)


def pressed(walk: Walk, case: KeyCase) -> tuple[list[str], int]:
    """The keys of a case as they were pressed, and how many acts came of it."""
    if case.box:
        go = steps.key_for(walk.desk, "go")
        stop = walk.route.find(case.box)
        assert stop is not None, case.box
        number = str(walk.route.stops[stop].enclosure.number)
        for key in (*keys_of_entry(go, walk.desk.commands), *number, "enter"):
            walk.press(key)
    keys: list[str] = []
    before = acts_of(walk)
    for step in case.steps.split():
        for key in keys_of(walk, step):
            keys.append(key)
            walk.press(key)
    return keys, acts_of(walk) - before


def acts_of(walk: Walk) -> int:
    """How many acts this round has recorded."""
    return sum(step.kind == ACT for step in walk.state.steps)


def as_meant(walk: Walk, case: KeyCase) -> bool:
    """Was the last act told what the keys were meant to say?"""
    given = walk.acts.books.recorded[-1].given
    return all(given.get(f) == answer for f, _, answer in (t.partition("=") for t in case.told.split()))


def tried(config: Config, folder: Path) -> Iterator[tuple[ActBudget, KeyCase, str, list[str], str]]:
    """Every case with each layout in a book of its own: its keys, and what is wrong with it ("" for nothing)."""
    made = book(folder / "house.sqlite")
    for layout in LAYOUTS:
        for budget in BUDGETS:
            for case in budget.cases:
                fresh = Path(shutil.copy(made, folder / "tried.sqlite"))
                with walking(fresh, layout, config) as walk:
                    keys, acts = pressed(walk, case)
                    wrong = "" if len(keys) <= budget.most else "OVER"
                    if acts < case.steps.count("act:"):
                        wrong = f"NOT RECORDED: {walk.state.message}"
                    elif not as_meant(walk, case):
                        wrong = f"TOLD OTHERWISE: {dict(walk.acts.books.recorded[-1].given)}"
                    yield budget, case, layout, keys, wrong
                for left in folder.glob("tried.sqlite*"):
                    left.unlink()


def main() -> None:
    config = read(layers(None)[:1])
    with tempfile.TemporaryDirectory(prefix="rounds-keys-") as folder:
        for budget, case, layout, keys, wrong in tried(config, Path(folder)):
            of = f"{len(keys):2} of {budget.most:2}"
            print(f"{layout:8} {budget.name:42} {of}  {' '.join(keys):28} {case.said}  {wrong}".rstrip())


if __name__ == "__main__":
    main()
