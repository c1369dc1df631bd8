"""One generation as a table of acts, and three ways to record it: letters, a number pad, and commands.

What a keeper presses is worked out by walking a book of the same content beside the program
(``KeysOf``), a key at a time; the program then gets the keys of a day in one go through its
terminal. Nothing but the table says what is to be told, so that what a card proposes, leaves
out or words otherwise than the command line is a difference of the two books.
"""

from __future__ import annotations

import csv
import json
import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import UTC, date, datetime
from itertools import groupby
from pathlib import Path
from typing import NamedTuple

from rounds.acts.card import WHOM, Card, CardField
from rounds.cli import run
from rounds.config import Config
from rounds.files.csv_tables import TABLES
from rounds.keys.menu_keys import keys_of_entry
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.act_modes import CARD_KEY
from rounds.walk.machine.card_mode import TellingCard
from rounds.walk.machine.card_shown import card_key_for, key_that_ends_a_text
from tests.bench.act_keys import keys_of


class Step(NamedTuple):
    """One thing that happens at a box on a day.

    ``told`` are the act's fields in the order they are told. ``sure``: the act is doubted, and
    meant. The act ``undo`` takes back the one before it; one in ``READ`` is stated by a reading.
    """

    day: str
    box: str
    act: str
    whom: str = ""
    told: tuple[tuple[str, str], ...] = ()
    sure: bool = False


READ = {"mated-here": "mating"}
"""Acts of the table that the walk records as a reading."""

TABLE = """
2026-03-01 | TL-01 | line | | name=UMBER; species=Mecynorhina torquata; generation=WF1 as it was told
2026-03-01 | TL-01 | arrival | | species=Mecynorhina torquata; count=1.1.0; name=Spring lot; from=Nine Alders; \
papers=P-7; origin=off the old ridge road; mated=no; line=UMBER; until=2026-03-31; into=TL-01
2026-03-01 | TL-01 | animal | UMBER | number=1; sex=m; counted=yes; lot=Spring lot; in=TL-01
2026-03-01 | TL-01 | animal | UMBER | number=2; sex=f; counted=yes; lot=Spring lot; in=TL-01
2026-03-01 | TL-01 | weigh | UMBER/1 | grams=20.5
2026-03-01 | TL-01 | undo
2026-03-01 | TL-01 | weigh | UMBER/1 | grams=10.5
2026-04-01 | TL-01 | quarantine-over | TL-01 | stage=holding
2026-04-01 | TL-01 | first-feed | UMBER/1
2026-04-01 | TL-01 | first-feed | UMBER/2 | on=about 2026-03-30
2026-04-15 | TL-01 | mature | UMBER/1
2026-04-15 | TL-01 | mature | UMBER/2
2026-04-15 | TL-02 | pair | TL-02 | female=UMBER/2; males=UMBER/1
2026-04-18 | TL-02 | mated-here | TL-02
2026-05-01 | TL-02 | to-laying | TL-02 | to=TL-03; rest=keep
2026-05-29 | TL-03 | search | TL-03 | how=complete; eggs=2; l1=6+
2026-05-29 | TL-03 | dead | UMBER/2 | seen=2026-05-27; cause=old age
2026-06-12 | TL-02 | missing | UMBER/1 | seen=2026-06-11; rest=keep
2026-06-12 | TL-02 | found | UMBER/1 | into=TL-02
2026-06-12 | TL-03 | split | P-01-02 | from=TL-03; tubs=6; evenly=yes; prefix=L; place=A1-7
2026-10-01 | L-01 | counted | L-01 | count=1; instar=L3
2026-10-01 | L-01 | animal | UMBER | number=11; brood=P-01-02; counted=yes; in=L-01
2026-10-01 | L-01 | weigh | UMBER/11 | grams=31.5; instar=L3
2026-10-01 | L-02 | counted | L-02 | count=1; instar=L3
2026-10-01 | L-02 | animal | UMBER | number=12; brood=P-01-02; counted=yes; in=L-02
2026-10-01 | L-02 | sexed | UMBER/12 | sex=f; how=spot
2026-10-01 | L-03 | weigh-one | L-03 | grams=29
2026-11-01 | L-01 | weigh | UMBER/11 | grams=3.3 | sure
2026-11-01 | L-01 | sexed | UMBER/11 | sex=m; how=spot
2026-11-01 | L-03 | dead-some | L-03 | count=1; seen=2026-10-30; cause=too dry; looked=yes; rest=prepare
2026-12-20 | L-01 | wandering | L-01 | on=2026-12-01
2026-12-20 | L-01 | cell | L-01
2026-12-20 | L-02 | wandering | L-02 | on=2026-12-01
2026-12-20 | L-02 | cell | L-02
2027-03-15 | L-01 | eclosed | UMBER/11 | on=before 2027-02-10
2027-03-15 | L-01 | emerged | UMBER/11
2027-03-15 | L-02 | eclosed | UMBER/12 | on=before 2027-02-10
2027-03-15 | L-02 | emerged | UMBER/12
2027-04-05 | L-01 | first-feed | UMBER/11 | on=2027-03-20
2027-04-05 | L-01 | mature | UMBER/11 | on=2027-04-02
2027-04-05 | L-02 | first-feed | UMBER/12 | on=2027-03-20
2027-04-05 | L-02 | mature | UMBER/12 | on=2027-04-02
2027-04-05 | L-01 | move | UMBER/11 | to=L-03; stage=holding; looked=yes; rest=empty
2027-04-05 | TL-04 | pair | TL-04 | female=UMBER/12; males=UMBER/11; purpose=sibs
"""
"""Day | box | act | whom it concerns | what it is told | sure. The generation of one invented pair."""


def steps_of(table: str) -> tuple[Step, ...]:
    return tuple(_step([p.strip() for p in line.split("|")]) for line in table.strip().splitlines())


def _step(parts: Sequence[str]) -> Step:
    day, box, act, whom, told, sure = (*parts, *[""] * (6 - len(parts)))
    fields = [f.partition("=") for f in told.split("; ") if f]
    return Step(day, box, act, whom, tuple((n, t) for n, _, t in fields), sure == "sure")


def by_day(generation: Iterable[Step]) -> Iterator[tuple[str, list[Step]]]:
    return ((day, list(some)) for day, some in groupby(generation, key=lambda s: s.day))


def rack(book: Path) -> Path:
    """A new house: one shelf, and four prepared boxes on it."""
    asked(book, "2026-03-01", "new", str(book), "--house", "Tarn Lantern", "--zone", "Europe/Berlin")
    asked(book, "2026-03-01", "record", "shelf", "bay=A", "shelf=1", "slots=9")
    for n in range(1, 5):
        told = (f"code=TL-0{n}", f"place=A1-{n}", "litres=12", "stage=prepared")
        asked(book, "2026-03-01", "record", "box", *told)
    return book


# By commands


def asked(book: Path, day: str, *words: str) -> None:
    which = () if words[0] == "new" else ("--book", str(book), "--today", day)
    assert run([*which, *words]) == 0, words


def record(book: Path, generation: Iterable[Step]) -> None:
    """Every step with ``rounds record``."""
    for step in generation:
        if step.act == "undo":
            asked(book, step.day, "record", "undo")
            continue
        told = [f"{name}={text}" for name, text in step.told]
        sure = ["--sure"] if step.sure else []
        asked(book, step.day, "record", step.act, *([step.whom] if step.whom else []), *told, *sure)


# By keys


class KeysOf:
    """A walk of one day over a book of its own, which finds the keys of each step by pressing them."""

    def __init__(self, book: Path, config: Config, day: str) -> None:
        on = date.fromisoformat(day)
        morning = int(datetime(on.year, on.month, on.day, 7, 30, tzinfo=UTC).timestamp() * 1000)
        self.walk = Walk(book, config, day=on.toordinal(), clock=lambda: morning)
        self.keys: list[str] = []

    def day(self, some: Iterable[Step]) -> list[str]:
        """All keys of a day, from the first enclosure to leaving."""
        for step in some:
            self.step(step)
        self.command("quit")
        assert self.walk.close(30.0) is None
        return self.keys

    def step(self, step: Step) -> None:
        self.goto(step.box)
        before = len(self.walk.state.steps)
        if step.act == "undo":
            self.command("undo")
            assert len(self.walk.state.steps) < before, self.walk.state.message
            return
        if step.act in READ:
            self.reading(READ[step.act])
        else:
            self.act(step)
        assert len(self.walk.state.steps) > before, (step, self.walk.state.message)
        assert self.walk.state.mode.name == "walk", (step, self.walk.state.message)

    def press(self, *keys: str) -> None:
        for key in keys:
            self.keys.append(key)
            self.walk.press(key)

    def text(self, text: str) -> None:
        self.press(*("space" if sign == " " else sign for sign in text))

    def command(self, id_: str) -> None:
        """A command of the walk, or of the menu of a layout that has one."""
        self.press(*self._walk_keys(id_))

    def _walk_keys(self, id_: str) -> tuple[str, ...]:
        desk = self.walk.desk
        return keys_of_entry(steps.key_for(desk, id_), desk.commands)

    def goto(self, code: str) -> None:
        stop = self.walk.route.find(code)
        assert stop is not None, code
        if stop == self.walk.state.at:
            return
        self.command("go")
        self.press(*str(self.walk.route.stops[stop].enclosure.number), "enter")
        assert self.walk.state.at == stop, self.walk.state.message

    def reading(self, id_: str) -> None:
        """A tick that is yes, of a reading the stage is not asked."""
        at = [kind.id for kind in steps.others(self.walk.state, self.walk.desk)].index(id_)
        self.command("other")
        self.press(*["0"] * (at // 9), str(at % 9 + 1), "1")

    def act(self, step: Step) -> None:
        act = keys_of(self.walk, f"act:{step.act}")
        if step.told and not self._opens(step):
            record = self._walk_keys("record")
            act = (*record, CARD_KEY, *act[len(record) :])
        self.press(*act)
        if isinstance(self.walk.state.mode, TellingCard):
            self.card(step)

    def _opens(self, step: Step) -> bool:
        """Does the act open its card of itself?"""
        desk, at = self.walk.desk, self.walk.state.at
        offer = next(o for o in desk.offers(at) if o.act == step.act)
        card = desk.card(at, step.act, offer.only, offer.given)
        waiting = (f for f in card.fields if f.needed or f.asked)
        return bool(card.caution) or any(f.name != WHOM or not offer.only for f in waiting)

    def card(self, step: Step) -> None:
        """Tell a card what the table says, but for what it takes for granted."""
        first = ((WHOM, step.whom),) if step.whom else ()
        for name, text in (*first, *step.told):
            card, mode = self._card()
            field = card.field(name)
            if field is None or mode.draft.whom == text == step.whom:
                continue  # given by the box, or the one there is
            if dict(card.told(mode.draft.answers)).get(name) != text:
                self._answer(field, text)
        self.press(card_key_for(self.walk.desk, "record"))
        if self.walk.state.mode.name == "sure":
            assert step.sure, self.walk.state.message
            self.press("1")

    def _card(self) -> tuple[Card, TellingCard]:
        mode = self.walk.state.mode
        assert isinstance(mode, TellingCard), self.walk.state.message
        draft = mode.draft
        at = self.walk.state.at
        return self.walk.desk.card(at, draft.act, draft.whom, draft.answers, draft.instead), mode

    def _at(self, name: str) -> None:
        """Move the cursor to a field, up or down."""
        for _ in range(20):
            card, mode = self._card()
            order, here = [f.name for f in mode.fields(card)], mode.field(card).name
            if here == name:
                return
            down = order.index(name) > order.index(here)
            self.press(card_key_for(self.walk.desk, "next_field" if down else "previous_field"))
        raise AssertionError(f"no field {name} on the card")

    def _answer(self, field: CardField, text: str) -> None:
        self._at(field.name)
        ready = [answer.typed for answer in field.answers]
        _, mode = self._card()
        if text in ready and mode.lists(field):
            at = ready.index(text)
            self.press(*["0"] * (at // 9), str(at % 9 + 1))
            return
        desk = self.walk.desk
        if mode.lists(field):
            self.press(card_key_for(desk, "choose"))
        self.text(text.removesuffix("+"))
        ends = card_key_for(desk, "at_least" if text.endswith("+") else "next_field")
        self.press(key_that_ends_a_text(desk) if field.kind == "text" else ends)
        assert dict(self._card()[1].draft.answers).get(field.name) == text, self.walk.state.message


# Two books compared


WALKED = (
    "rounds",
    "visits",
    "readings",
    "not_seen",
    "changes",
    "flags",
    "actions",
    "action_changes",
    "steps",
)
"""Tables of looking at boxes: a round fills them, and no act does."""
_HEX = re.compile(r"[0-9a-f]{8}-?(?:[0-9a-f]{4}-?){3}[0-9a-f]{12}")

Written = dict[str, list[dict[str, str]]]
"""The rows of every table, each by column."""


def written(book: Path, folder: Path, *, acts_alone: bool = False) -> Written:
    """``rounds write`` of a book, without entry times and with ids replaced by the order they come in.

    ``acts_alone``: without what only a round makes, and at which of its visits an act was recorded.
    """
    asked(book, "2027-04-05", "write", str(folder))
    order: dict[str, int] = {}
    out: Written = {}
    for table in TABLES:
        if acts_alone and table.name in WALKED:
            continue
        left_out = {c.name for c in table.columns if c.type == "time" or (acts_alone and c.name == "visit")}
        with (folder / table.file).open(encoding="utf-8", newline="") as file:
            out[table.name] = [
                {
                    name: _HEX.sub(lambda id_: f"id {order.setdefault(id_[0], len(order))}", cell)
                    for name, cell in row.items()
                    if name not in left_out
                }
                for row in csv.DictReader(file)
            ]
    return out


def first_difference(one: Written, other: Written) -> str:
    """Where two books differ first, by table, row and column; "" when they are equal."""
    assert one.keys() == other.keys()
    for table, mine in one.items():
        theirs = other[table]
        for at, (row, their_row) in enumerate(zip(mine, theirs, strict=False), 1):
            for column, cell in row.items():
                if not _same(cell, their_row[column]):
                    return f"{table}, row {at}, {column}: {cell!r}, {their_row[column]!r}"
        if len(mine) != len(theirs):
            longer = max(mine, theirs, key=len)
            at = min(len(mine), len(theirs))
            return f"{table}: {len(mine)} rows, {len(theirs)}; the first that is one too many: {longer[at]}"
    return ""


def _same(cell: str, other: str) -> bool:
    """Equal, too, as JSON whose fields stand in another order."""
    return cell == other or (cell[:1] == other[:1] == "{" and json.loads(cell) == json.loads(other))
