"""A planned pairing on the walk: offered the next morning, made with two keys, put off, given up, taken back."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.acts import registry
from rounds.acts.fields import ref
from rounds.presenters.care_lines import due_words
from rounds.records.tables import Content, Pairing
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from rounds.store.ids import Ids
from rounds.walk.core import Walk
from tests.endtoend import rack

CONFIG = rack.config()
SHE, HE = "UMBER/15", "KESTREL/K11"


def record(path: Path, act: str, subject: str, day: int, **typed: str) -> None:
    with open_book(path) as book, book.writing():
        plan = registry.plan(act, subject, typed, stored.load(book), day, "Ferrow", sure=True)
        stored.save(book, plan, Ids().new(), typed, day, rack.MORNING - 86_400_000, "Ferrow", sure=True)


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    """The demo; the evening before, a pairing was chosen."""
    path = Path(shutil.copy(demo_book, tmp_path / "plans.sqlite"))
    record(path, "plan-pair", SHE, rack.TODAY - 1, **{"with": HE, "because": "the lowest F", "until": "+20"})
    return path


@pytest.fixture
def walk(book: Path) -> Iterator[Walk]:
    opened = rack.opened(book, CONFIG)
    opened.look_up_dues()
    settle(opened)
    yield opened
    opened.close(10)


def settle(walk: Walk) -> None:
    assert walk.dues.finder is not None
    assert walk.dues.finder.wait(30)
    walk.take_dues()


def stop_of(walk: Walk, animal: str = SHE) -> int:
    ledger = walk.acts.ledger
    here = Content.animal.is_(ref("animal", animal, ledger)), Content.until.is_(None)
    [stay] = ledger.rows(Content, *here)
    return next(i for i, s in enumerate(walk.route.stops) if s.enclosure.id == stay.enclosure)


def press(walk: Walk, *keys: str) -> None:
    for key in keys:
        walk.press(key)


def go(walk: Walk, stop: int) -> None:
    press(walk, "g", *str(walk.route.stops[stop].enclosure.number), "enter")
    assert walk.state.at == stop


def make(walk: Walk) -> str:
    """The digit of the act."""
    acts_ = [o.act for o in walk.desk.offers(walk.state.at)]
    return str(acts_.index("plan-made") + 1)


def shown(walk: Walk, stop: int) -> list[str]:
    return [due_words(d) for d in walk.route.stops[stop].dues if d.what == "planned pairing"]


def test_the_round_says_what_is_planned_and_why(walk: Walk) -> None:
    [said] = shown(walk, stop_of(walk))
    assert said.startswith(f"planned pairing ({SHE})")
    assert f"{HE} × {SHE} (PLAN-01); the lowest F" in said
    assert "has to wait" not in said


def test_it_is_made_on_its_card_after_its_cautions(walk: Walk) -> None:
    stop, before = stop_of(walk), walk.acts.ledger
    go(walk, stop)
    press(walk, "y", make(walk))
    assert walk.state.mode.name == "card"
    press(walk, "enter")
    assert walk.state.message.startswith("recorded: planned pairing made"), walk.state.message
    assert shown(walk, stop) == []
    assert stop_of(walk, HE) == stop
    assert next(o for o in walk.desk.offers(stop) if o.act == "plan-made").unfit
    assert walk.drain(10)
    assert len(stored_pairings(walk)) == sum(1 for _ in before.rows(Pairing)) + 1
    press(walk, "u")
    assert walk.acts.ledger == before
    assert len(shown(walk, stop)) == 1
    assert walk.drain(10)
    assert len(stored_pairings(walk)) == sum(1 for _ in before.rows(Pairing))


def stored_pairings(walk: Walk) -> list[int]:
    with open_book(walk.path, readonly=True) as book:
        return [pairing.id for pairing in stored.load(book).rows(Pairing)]


def test_put_off_it_is_gone_until_then(walk: Walk) -> None:
    stop = stop_of(walk)
    go(walk, stop)
    words = [d.name for d in walk.desk.due_here(stop)]
    which = [str(words.index("planned pairing") + 1)] if len(words) > 1 else []
    press(walk, "p", *which, "3", *"rain", "enter")
    assert shown(walk, stop) == [], walk.state.message
    assert [d.name for d in walk.desk.due_here(stop)] == [w for w in words if w != "planned pairing"]
    press(walk, "u")
    assert len(shown(walk, stop)) == 1
    assert [d.name for d in walk.desk.due_here(stop)] == words


def test_a_plan_that_is_given_up_is_not_offered(book: Path) -> None:
    record(book, "plan-drop", "PLAN-01", rack.TODAY, because="he limps")
    walk = rack.opened(book, CONFIG)
    walk.look_up_dues()
    settle(walk)
    assert shown(walk, stop_of(walk)) == []
    assert next(o for o in walk.desk.offers(stop_of(walk)) if o.act == "plan-made").unfit
    assert walk.close(10) is None


def test_a_lock_withholds_it_and_says_so(book: Path) -> None:
    walk = rack.opened(book, CONFIG)
    box = walk.route.stops[stop_of(walk, HE)].enclosure.code
    assert walk.close(10) is None
    record(book, "lock", box, rack.TODAY, forbids="move", reason="he limps")
    again = rack.opened(book, CONFIG)
    again.look_up_dues()
    settle(again)
    [said] = shown(again, stop_of(again))
    assert f"has to wait: {box} is locked, do not move (he limps)." in said
    go(again, stop_of(again))
    press(again, "y", make(again), "enter")
    assert again.state.mode.name == "sure", "what was done all the same is recorded, after a question"
    assert "he limps" in again.state.message
    assert again.close(10) is None


def test_another_f_withholds_it_until_it_is_confirmed(demo_book: Path, tmp_path: Path) -> None:
    """Parents were found out since: due work, the box and the page say so, and ``d`` asks."""
    path = Path(shutil.copy(demo_book, tmp_path / "again.sqlite"))
    record(path, "plan-pair", SHE, rack.TODAY - 1, **{"with": HE, "because": "F 0.000; the oldest"})
    walk = rack.opened(path, CONFIG)
    walk.look_up_dues()
    settle(walk)
    stop = stop_of(walk)
    assert "has to wait" not in shown(walk, stop)[0], "nothing has changed yet"
    assert "plan-confirm" not in [d.act for d in walk.desk.due_here(stop)]
    assert walk.close(10) is None
    record(path, "parents", HE, rack.TODAY, sire="UMBER/1")
    again = rack.opened(path, CONFIG)
    go(again, stop)
    ahead = [d for d in again.desk.due_here(stop) if d.name == "planned pairing"]
    assert [d.act for d in ahead] == ["plan-confirm"], "before it is worked out beside the keys, too"
    again.look_up_dues()
    settle(again)
    [said] = shown(again, stop)
    assert "has to wait: F was 0, is now 0.125" in said
    press(again, "right", "6")
    rows = [row.cells for part in again.pages.page(again.state.pages[-1]).parts for row in part.rows]
    assert any(cells[1].startswith("has to wait: F was 0, is now 0.125") for cells in rows)
    press(again, "b")
    names = [d.name for d in again.desk.due_here(stop)]
    press(again, "d", *([str(names.index("planned pairing") + 1)] if len(names) > 1 else []))
    assert again.state.mode.name == "sure"
    assert "F was 0, is now 0.125" in again.state.message
    press(again, "1")
    assert again.state.message.startswith("recorded: plan confirmed"), again.state.message
    settle(again)
    assert "has to wait" not in shown(again, stop)[0]
    assert [d.act for d in again.desk.due_here(stop) if d.name == "planned pairing"] == ["plan-made"]
    press(again, "u")
    settle(again)
    assert "has to wait: F was" in shown(again, stop)[0]
    # Carried out all the same it is asked about.
    press(again, "y", make(again), "enter")
    assert again.state.mode.name == "sure"
    assert "F was 0" in again.state.message
    assert again.close(10) is None


def test_typed_ahead_it_ends_as_slowly_typed(book: Path, tmp_path: Path) -> None:
    slow = Path(shutil.copy(book, tmp_path / "slow.sqlite"))
    fast = rack.opened(book, CONFIG)
    stop = stop_of(fast)
    keys = ["g", *str(fast.route.stops[stop].enclosure.number), "enter", "y"]
    go(fast, stop)
    keys += [make(fast), "1", "u", "space"]
    assert fast.close(10) is None
    for path in (book, slow):
        assert path.exists()
    one = rack.opened(book, CONFIG)
    for key in keys:
        one.press(key)
    assert one.close(30) is None
    rack.typed_slowly(slow, keys, CONFIG)
    assert rack.content(book)["pairing"] == rack.content(slow)["pairing"]
    assert rack.content(book)["plan"] == rack.content(slow)["plan"]
    assert len(rack.content(book)["act"]) == len(rack.content(slow)["act"])
