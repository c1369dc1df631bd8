"""Any sequence of acts and undos keeps the books sound; the whole registry takes part."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from rounds.husbandry import acts
from rounds.husbandry.ledger import TABLES, Add, Ledger, Set
from rounds.husbandry.sound import faults
from tests.husbandry.books import TODAY, house
from tests.husbandry.random_acts import NOT_EXERCISED, attempt, narrower

START = house()
EVERY = sorted(set(acts.all_acts()) - set(NOT_EXERCISED))


def cells(ledger: Ledger) -> dict[tuple[str, int, str], object]:
    """Every cell of the books, of void rows too."""
    return {(t, i, c): v for t in TABLES for i, row in ledger._tables[t].items() for c, v in row.items()}


class Keeper:
    """The books, the acts recorded in them and not taken back, newest last."""

    def __init__(self) -> None:
        self.ledger = START
        self.done: list[acts.Recorded] = []

    def apply(self, changes: tuple[acts.Change, ...]) -> None:
        before, self.ledger = cells(self.ledger), self.ledger.after(changes)
        after = cells(self.ledger)
        assert before.keys() <= after.keys(), "something was deleted"
        said = {(c.table, c.id, c.column) for c in changes if isinstance(c, Set)}
        new = {(c.table, c.id) for c in changes if isinstance(c, Add)}
        for cell, value in after.items():
            if cell[:2] in new:
                continue
            assert before[cell] == value or cell in said, f"{cell} changed without saying so"
            kind = next((c.type for c in TABLES[cell[0]].columns if c.name == cell[2]), "")
            if kind == "span" and narrower(before[cell], value):  # type: ignore[arg-type]
                assert cell in said, f"{cell} got narrower without an act"

    def undo(self, at: int) -> bool:
        done, later = self.done[at], self.done[at + 1 :]
        try:
            back = acts.take_back(done, later, self.ledger)
        except acts.BadAct:
            return False
        self.apply(back)
        del self.done[at]
        return True


class Books(RuleBasedStateMachine):
    """Random acts, random undos; what must hold is checked after each."""

    @initialize()
    def open(self) -> None:
        self.keeper = Keeper()
        self.uid = 0

    @rule(data=st.data(), name=st.sampled_from(EVERY))
    def record(self, data: st.DataObject, name: str) -> None:
        self.uid += 1
        tried = attempt(
            name, self.keeper.ledger, lambda options: data.draw(st.sampled_from(options)), self.uid
        )
        if tried.recorded is not None:
            self.keeper.apply(tried.recorded.changes)
            self.keeper.done.append(tried.recorded)

    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        if self.keeper.done:
            self.keeper.undo(data.draw(st.integers(0, len(self.keeper.done) - 1)))

    @invariant()
    def sound(self) -> None:
        assert faults(self.keeper.ledger) == []

    def teardown(self) -> None:
        while getattr(self, "keeper", None) and self.keeper.done:
            assert self.keeper.undo(len(self.keeper.done) - 1), "the newest act cannot be taken back"
        if getattr(self, "keeper", None):
            assert self.keeper.ledger == START


Books.TestCase.settings = settings(
    max_examples=40, stateful_step_count=25, deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)  # fmt: skip
TestBooks = Books.TestCase


def walk(seed: int, steps: int, undo: float = 0.1) -> tuple[set[str], Keeper]:
    """A long seeded walk; the acts that came about in it, and the books at its end."""
    random, keeper, seen = Random(seed), Keeper(), set()
    for uid in range(1, steps + 1):
        if keeper.done and random.random() < undo:
            keeper.undo(random.randrange(len(keeper.done)))
        else:
            tried = attempt(random.choice(sorted(acts.all_acts())), keeper.ledger, random.choice, uid)
            if tried.recorded is None:
                continue
            seen.add(tried.name)
            keeper.apply(tried.recorded.changes)
            keeper.done.append(tried.recorded)
        assert faults(keeper.ledger) == [], (seed, uid, keeper.done[-1:])
    return seen, keeper


@pytest.mark.long
def test_every_act_is_exercised_or_listed() -> None:
    """An act that no random keeper brings about must be listed by name; a listed one that comes about not."""
    missing, listed = set(acts.all_acts()), set(NOT_EXERCISED)
    for seed in range(40):
        seen, keeper = walk(seed, 400)
        missing -= seen
        while keeper.done:
            assert keeper.undo(len(keeper.done) - 1)
        assert keeper.ledger == START
        if missing <= listed:
            break
    assert missing - listed == set(), "neither exercised nor listed"
    assert listed - missing == set(), "listed, and exercised all the same"


def test_the_walk_notices_an_act_that_breaks_the_books(monkeypatch: pytest.MonkeyPatch) -> None:
    """The control: an act that leaves an animal in two places at once does not get past the checks."""

    def twice(draft, given) -> None:  # type: ignore[no-untyped-def]
        draft.add("content", enclosure=1, animal=given.subject, line=1)

    broken = acts.Act("twice", "is in two places", "", "animal", (), twice)
    monkeypatch.setitem(acts.ACTS, "twice", broken)
    keeper = Keeper()
    keeper.apply(acts.plan("twice", "UMBER/1", {}, keeper.ledger, TODAY).changes)
    assert faults(keeper.ledger) == ["UMBER/1 is in 2 places at once"]


def test_the_walk_notices_a_change_that_is_not_in_the_plan() -> None:
    """The control of the cell by cell comparison: a Set that claims another column is caught."""
    keeper = Keeper()
    honest = acts.plan("marked", "UMBER/1", {"mark": "tag 4"}, START, TODAY).changes
    keeper.ledger = START.after(honest)

    class Sly(Ledger):
        def after(self, _changes):  # type: ignore[no-untyped-def]
            return START.after([Set("animal", 1, "died", None, START.row("line", 1)["opened"])])

    sly = Sly()
    sly._tables = START._tables
    keeper.ledger = sly
    with pytest.raises(AssertionError, match="without saying so"):
        keeper.apply(honest)
