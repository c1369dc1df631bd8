"""The table of life: random lives through every act contradict nothing, and each row of the table is needed."""

from __future__ import annotations

from random import Random

import pytest

from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired
from rounds.acts.offers import offers
from rounds.due.kinds import kind_of
from rounds.records.ledger import Ledger
from rounds.records.tables import Due, Enclosure
from rounds.values.spans import LAST
from tests.acts.books import TODAY, house
from tests.acts.life_invariants import SPECIES, VACANT, contradictions, everybody_left, here
from tests.acts.random_acts import names, typed
from tests.sampled import sampled

SETTINGS = registry.Settings(species=SPECIES)
ADULT = ("eclosed", "emerged", "first-feed", "mature")
SAID_BY_THE_KEEPER = ("stage",)
"""Acts by which a keeper says what a box is, whatever the record says: left out of random lives."""


class Life:
    """A house in which acts are drawn at random: at the boxes, from afar, and taken back."""

    def __init__(self, seed: int) -> None:
        self.random = Random(seed)
        self.ledger = house()
        self.done: list[tuple[str, str, dict[str, str], registry.Recorded]] = []

    def step(self) -> None:
        if self.done and self.random.random() < 0.08:
            self.ledger = self.ledger.after(registry.reversal(self.done.pop()[-1].changes))
            return
        if self.random.random() < 0.6:
            lived = [e.id for e in self.ledger.rows(Enclosure) if here(self.ledger, e.id)]
            listed = offers(self.ledger, self.random.choice(lived))
            offer = self.random.choice([offer for offer in listed if not offer.unfit])
            self.record(offer.act, self.random.choice(offer.whom)[0])
        else:
            every = sorted(registry.all_acts())
            rare = sorted(set(every) - {name for name, *_ in self.done})
            name = self.random.choice(rare if self.random.random() < 0.5 else every)
            on = registry.known(name).on
            self.record(name, self.random.choice(names(self.ledger, on) or ["nobody"]) if on else "")

    def record(self, name: str, subject: str) -> None:
        act = registry.known(name)
        told = typed(act, self.ledger, self.random.choice)
        if name in ADULT:
            told.pop("stage", None)
        if name in SAID_BY_THE_KEEPER:
            return
        if name == "quarantine-over":
            told["stage"] = "holding"
        try:
            try:
                plan = registry.plan(name, subject, told, self.ledger, TODAY, settings=SETTINGS)
            except ConfirmationRequired:
                plan = registry.plan(name, subject, told, self.ledger, TODAY, sure=True, settings=SETTINGS)
        except registry.BadAct:
            return
        before, self.ledger = self.ledger, self.ledger.after(plan.changes)
        self.done.append((name, subject, told, registry.Recorded(b"", name, plan.changes)))
        for box in self.ledger.rows(Enclosure):
            if not (everybody_left(self.ledger, box.id) and here(before, box.id)) or box.stage in VACANT:
                continue
            asks = [d for d in open_dues(self.ledger, box.id) if kind_of(d.what) == "vacant"]
            default = "keep" if name == "merge" else "later"
            assert bool(asks) == (told.get("rest", default) == "later"), (name, told, box.code)


def open_dues(ledger: Ledger, box: int) -> list[Due]:
    return [d for d in ledger.rows(Due) if d.enclosure == box and d.done is None and d.off_until != LAST]


@pytest.mark.parametrize("seed", range(sampled(3, 40)))
def test_random_lives_contradict_nothing(seed: int) -> None:
    """No lock, due work, page, list of whom to pair, or question may say what the record does not."""
    life = Life(seed)
    assert contradictions(life.ledger) == []
    for _ in range(sampled(100, 400)):
        life.step()
        wrong = contradictions(life.ledger)
        assert not wrong, (wrong, [(n, s, t) for n, s, t, _ in life.done][-4:])
