"""Any sequence of acts and undos keeps the books sound; the whole registry takes part."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from random import Random
from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from rounds.acts import groups, identity, leaving, registry
from rounds.records import fault_sentences
from rounds.records.invariants import faults
from rounds.records.ledger import Add, Ledger, Set
from rounds.records.tables import TABLES, Content, Line
from tests.acts.books import TODAY, counted_house, with_trial
from tests.acts.random_acts import NOT_EXERCISED, attempt, narrower
from tests.sampled import sampled

SMALL = counted_house()
START = with_trial(SMALL)
EVERY = sorted(set(registry.all_acts()) - set(NOT_EXERCISED))


def rows(ledger: Ledger) -> dict[tuple[str, int], dict[str, object]]:
    """Every row of the books as it is now, void ones too."""
    return {(t, i): dict(vars(record)) for t in TABLES for i, record in ledger.table(t).items()}


class Keeper:
    """The books, the acts recorded in them and not taken back, newest last."""

    def __init__(self, start: Ledger = START) -> None:
        self.ledger = start
        self.done: list[registry.Recorded] = []

    def apply(self, changes: tuple[registry.Change, ...]) -> None:
        for c in changes:
            if isinstance(c, Set) and (c.table, c.id) not in {
                (a.table, a.id) for a in changes if isinstance(a, Add)
            }:
                first = next(x for x in changes if isinstance(x, Set) and x[:3] == c[:3])
                assert self.ledger.table(c.table)[c.id].values[c.column] == first.before, (
                    "another act has changed that since"
                )
        before, self.ledger = rows(self.ledger), self.ledger.after(changes)
        after = rows(self.ledger)
        assert before.keys() <= after.keys(), "something was deleted"
        said = {(c.table, c.id, c.column) for c in changes if isinstance(c, Set)}
        new = {(c.table, c.id) for c in changes if isinstance(c, Add)}
        for row, now in after.items():
            if row in new or before[row] == now:
                continue
            for column, value in now.items():
                cell, was = (*row, column), before[row][column]
                assert was == value or cell in said, f"{cell} changed without saying so"
                kind = next((c.type for c in TABLES[row[0]].columns if c.name == column), "")
                if kind == "span" and narrower(was, value):  # type: ignore[arg-type]
                    assert cell in said, f"{cell} got narrower without an act"

    def undo(self, at: int) -> bool:
        done, later = self.done[at], self.done[at + 1 :]
        try:
            back = registry.take_back(done, later, self.ledger)
        except registry.BadAct:
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
    max_examples=sampled(12, 40),
    stateful_step_count=25,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large, HealthCheck.filter_too_much],
)
TestBooks = Books.TestCase


def walk(
    seed: int,
    steps: int,
    undo: float = 0.1,
    only: Iterable[str] = (),
    favour: Iterable[str] = (),
    start: Ledger = START,
) -> tuple[set[str], Keeper]:
    """A long seeded walk; the acts that came about in it, and the books at its end.

    ``only`` leaves out all other acts; ``favour`` are tried every other time.
    """
    random, keeper, seen = Random(seed), Keeper(start), set()
    names, rare = sorted(only or registry.all_acts()), sorted(favour)
    for uid in range(1, steps + 1):
        if keeper.done and random.random() < undo:
            keeper.undo(random.randrange(len(keeper.done)))
        else:
            name = random.choice(rare if rare and uid % 2 else names)
            tried = attempt(name, keeper.ledger, random.choice, uid)
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
    missing, listed = set(registry.all_acts()), set(NOT_EXERCISED)
    for seed in range(40):
        seen, keeper = walk(seed, 400, favour=missing)
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
        draft.add(Content(enclosure=1, animal=given.subject, line=1))

    broken = registry.Act("twice", "is in two places", "", "animal", (), twice)
    monkeypatch.setitem(registry.ACTS, "twice", broken)
    keeper = Keeper()
    keeper.apply(registry.plan("twice", "UMBER/1", {}, keeper.ledger, TODAY).changes)
    assert faults(keeper.ledger) == [fault_sentences.in_several_places("UMBER/1", 2)]


def test_the_walk_notices_a_change_that_is_not_in_the_plan() -> None:
    """The control of the cell by cell comparison: a Set that claims another column is caught."""
    keeper = Keeper()
    honest = registry.plan("marked", "UMBER/1", {"mark": "tag 4"}, START, TODAY).changes
    keeper.ledger = START.after(honest)

    class Sly(Ledger):
        def after(self, _changes):  # type: ignore[no-untyped-def]
            return START.after([Set("animal", 1, "died", None, START.row(Line, 1).opened)])

    sly = Sly()
    sly._tables = START._tables
    keeper.ledger = sly
    with pytest.raises(AssertionError, match="without saying so"):
        keeper.apply(honest)


SOME = (
    "animal",
    "move-some",
    "dead-some",
    "sexed-some",
    "given-away-some",
    "missing-some",
    "wandering",
    "cell",
)
KIN = ("parents", "animal", "sexed")


@pytest.mark.parametrize("only", [SOME, KIN], ids=["groups", "kinship"])
def test_long_walks_of_what_is_easily_got_wrong(only: tuple[str, ...]) -> None:
    for seed in range(4):
        _, keeper = walk(seed, 250, 0.2, only, start=SMALL)
        while keeper.done:
            assert keeper.undo(len(keeper.done) - 1)
        assert keeper.ledger == SMALL


def _unwritten(*args: Any, **_why: Any) -> None:
    """Takes some out of a group and does not write down what became of them."""
    groups.take_out(*args[:4])


def _one_too_many(draft: Any, like: Any, some: Any, box: int, when: Any) -> int:
    return groups.put_some(draft, like, some._replace(unsexed=some.unsexed + 1), box, when)


BROKEN: dict[str, tuple[object, str, Callable[..., Any], tuple[str, ...]]] = {
    "losses are not written down": (leaving, "take_out", _unwritten, SOME),
    "one too many arrives": (identity, "put_some", _one_too_many, ("move-some",)),
    "the dead stay where they were": (leaving, "leave", lambda *_: None, ("dead", "missing")),
    "descent is not looked at": (identity, "ancestors", lambda *_: set(), KIN),
    "sexes are not looked at": (identity, "sexes_stay_right", lambda *_: None, KIN),
    "undo asks nobody": (registry, "depending", lambda *_: [], ("marked", "stage", "move-box")),
}


@pytest.mark.parametrize("name", BROKEN)
def test_control_a_broken_act_is_noticed(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of these mistakes, made in the code on purpose, must be found by the same walks."""
    where, function, instead, only = BROKEN[name]
    monkeypatch.setattr(where, function, instead)

    def walks() -> None:
        for seed in range(12):
            walk(seed, 250, 0.2, only, start=SMALL)

    with pytest.raises(AssertionError):
        walks()
