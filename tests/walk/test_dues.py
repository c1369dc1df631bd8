"""Due work on the walk: shown when it is there, recorded by keys that mean the same before and after."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from rounds.acts.due_acts import SEARCHES, labels
from rounds.acts.registry import all_acts
from rounds.husbandry.stages import STAGES
from rounds.keys.menu_keys import keys_of_entry
from rounds.presenters import care_lines, help_lines, summary_lines
from rounds.records import enclosure_view
from rounds.records.ledger import Set
from rounds.records.observations import Action
from rounds.records.round_summary import Need
from rounds.records.tables import Content, Due
from rounds.records.whereabouts import inside
from rounds.rules.rule import OFFERED_STEPS, OTHERWISE
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from rounds.walk import due_background, walk_sentences
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.card_mode import TellingCard
from tests.endtoend import rack
from tests.walk.machine.desk import LETTERS, PAD

CONFIG = rack.config()


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    """The demo with an own request at an enclosure where nothing else is due or open."""
    path = Path(shutil.copy(demo_book, tmp_path / "dues.sqlite"))
    walk = rack.opened(path, CONFIG)
    quiet = next(
        s.enclosure
        for i, s in enumerate(walk.route.stops)
        if not walk.acts.works(s.enclosure.id) and not walk.desk.actions(i) and s.enclosure.stage != "empty"
    )
    assert walk.close(10) is None
    with open_book(path) as opened, opened.writing():
        opened.run(
            "INSERT INTO due (enclosure, what, earliest, latest, why, asked) VALUES (?, 'weigh the tub', ?, ?, 'it felt light', 1)",
            (quiet.id, rack.TODAY - 1, rack.TODAY + 1),
        )
    return path


@pytest.fixture
def walk(book: Path) -> Iterator[Walk]:
    opened = rack.opened(book, CONFIG)
    yield opened
    opened.close(10)


def settle(walk: Walk) -> None:
    """Everything that is worked out beside the keys is there and shown."""
    if walk.dues.finder is None:
        walk.look_up_dues()
    assert walk.dues.finder is not None
    assert walk.dues.finder.wait(30)
    walk.take_dues()


def press(walk: Walk, *keys: str) -> None:
    for key in keys:
        walk.press(key)


def go(walk: Walk, stop: int) -> None:
    press(walk, "g", *str(walk.route.stops[stop].enclosure.number), "enter")
    assert walk.state.at == stop


def requested(walk: Walk) -> int:
    return next(i for i, s in enumerate(walk.route.stops) if any(d.what == "weigh the tub" for d in s.dues))


def computed(walk: Walk) -> int:
    """A stop with work that no row of the book holds, and no open action."""
    return next(
        i
        for i, s in enumerate(walk.route.stops)
        if not walk.desk.actions(i) and s.dues and all(d.id == 0 for d in s.dues)
    )


def test_stored_work_is_shown_at_once_and_computed_work_when_it_is_there(walk: Walk) -> None:
    with open_book(walk.path, readonly=True) as book:
        ledger = stored.load(book)
    assert all(s.dues == () or s.dues[0].id for s in walk.route.stops), "nothing is computed at a start"
    settle(walk)
    expected = due_background.find(ledger, CONFIG, walk.day, walk.day + 7)
    assert {s.enclosure.id: s.dues for s in walk.route.stops if s.dues} == dict(expected.dues)
    assert any(d.id == 0 for s in walk.route.stops for d in s.dues)
    assert walk.dues.said == ""


def test_work_is_told_where_something_is_due_and_nowhere_else_with_the_act_that_does_it(walk: Walk) -> None:
    found = set()
    for i, s in enumerate(walk.route.stops):
        due = [
            w
            for w in walk.acts.works(s.enclosure.id)
            if w.begins() <= walk.day + 7 and not w.put_off(walk.day)
        ]
        here = walk.desk.due_here(i)
        assert len(here) == len(due)
        fitting = {o.act for o in walk.desk.offers(i) if not o.unfit}
        assert {d.act for d in here if d.act} <= fitting
        found |= {bool(d.act) for d in here}
        assert not {"due-done", "due-off"} & {o.act for o in walk.desk.offers(i)}
    assert found == {True, False}


def test_due_work_that_an_act_does_opens_its_card(walk: Walk) -> None:
    settle(walk)
    stop, [due] = next(
        (i, here)
        for i in range(walk.route.count())
        if not walk.desk.actions(i) and len(here := walk.desk.due_here(i)) == 1 and here[0].act
    )
    go(walk, stop)
    press(walk, "d")
    assert isinstance(walk.state.mode, TellingCard)
    assert walk.state.mode.draft.act == due.act


def test_work_that_says_how_much_is_changed_has_it_on_its_card(walk: Walk) -> None:
    """Two thirds are to be changed, so "all" must not stand there: neither of due work nor of a rule's step."""
    settle(walk)
    stop, at = next(
        (i, [d.name for d in here].index(due.name) + 1)
        for i in range(walk.route.count())
        if not walk.desk.actions(i) and len(here := walk.desk.due_here(i)) < 10
        for due in here
        if due.act == "rebed" and "two thirds" in due.name
    )
    go(walk, stop)
    press(walk, "d", *([str(at)] if len(walk.desk.due_here(stop)) > 1 else []))
    assert isinstance(walk.state.mode, TellingCard)
    assert walk.state.mode.draft.answers == (("part", "two thirds"),)
    rule = next(r for r in CONFIG.rules if "Change two thirds" in str(r.do))
    box = walk.route.enclosure_of(stop)
    walk.desk.watch.set(Action(b"frass".ljust(16, b"0"), box, rule.id, "look", "frass", "", walk.day - 1))
    assert [(s.act, s.told) for s in walk.desk.promised(stop)] == [("rebed", (("part", "two thirds"),))]


def test_done_and_put_off_lead_to_the_work_that_is_due(walk: Walk) -> None:
    stop = requested(walk)
    go(walk, stop)
    press(walk, "d")
    assert walk.state.message.startswith("recorded: due work done")
    assert walk.route.stops[stop].dues == ()
    press(walk, "d")
    assert "no action is open here, and nothing is due" in walk.state.message
    press(walk, "u")
    assert [d.what for d in walk.route.stops[stop].dues] == ["weigh the tub"]
    press(walk, "p", "3", *"rain", "enter")
    assert walk.state.message.startswith("recorded: due work put off")
    assert walk.route.stops[stop].dues == ()
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        [due] = stored.load(book).rows(Due, Due.what.is_("weigh the tub"))
    assert (due.done, due.off_until, due.off_why) == (None, walk.day + 3, "rain")


def test_an_open_action_goes_before_the_work_that_is_due(walk: Walk) -> None:
    stop = next(i for i in range(walk.route.count()) if len(walk.desk.actions(i)) == 1)
    go(walk, stop)
    press(walk, "d")
    assert walk.state.message.startswith("done:")


def test_computed_work_is_recorded_as_typed_and_by_the_writer_alike(walk: Walk) -> None:
    settle(walk)
    stop = computed(walk)
    go(walk, stop)
    press(walk, "p")
    if walk.state.mode.name == "work":
        press(walk, "1")
    press(walk, "3", *"rain", "enter")
    if walk.state.mode.name == "sure":
        press(walk, "1")
    assert walk.state.message.startswith("recorded"), walk.state.message
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == walk.acts.ledger
    assert walk.saving.said == ""


def test_after_an_act_its_work_follows_at_once_and_again_with_everything(walk: Walk) -> None:
    settle(walk)
    stop = requested(walk)
    go(walk, stop)
    press(walk, "d")
    at_once = walk.route.stops[stop].dues
    settle(walk)
    assert walk.route.stops[stop].dues == at_once == ()
    assert {i: s.dues for i, s in enumerate(walk.route.stops)} == {
        i: walk.acts.dues(s.enclosure.id) for i, s in enumerate(walk.route.stops)
    }


# Keys mean the same whether the work is there or not

KEYS = (
    "d",
    "d",
    "1",
    "p",
    "1",
    "+",
    "2",
    "enter",
    "w",
    "enter",
    "y",
    "1",
    "1",
    "1",
    "u",
    "space",
    "m",
    "2",
    "y",
    "2",
    "1",
    "+",
    "4",
    "enter",
    "a",
    "enter",
    "space",
    "d",
    "u",
    "n",
    "o",
    "k",
    "enter",
    "y",
    "1",
    "1",
    "backspace",
    "space",
)


def recorded(walk: Walk) -> Any:
    """What a round leaves in its book."""
    assert walk.close(30) is None
    with open_book(walk.path, readonly=True) as book:
        ledger = stored.load(book)
        done = [(a.name, a.subject, dict(a.given), a.sure, a.undone) for a in stored.recorded(book)]
    cells = {k: json.loads(v) if k[1] == "as_expected" else v for k, v in rack.cells_today(walk.path).items()}
    return ledger, done, cells


def test_typed_keys_end_in_the_same_book_whenever_the_work_comes(book: Path, tmp_path: Path) -> None:
    found = {}
    for when in ("never", "first", "in the middle", "late", "broken"):
        walk = rack.opened(Path(shutil.copy(book, tmp_path / f"{when}.sqlite")), CONFIG)
        if when == "first":
            settle(walk)
        with pytest.MonkeyPatch.context() as patch:
            if when == "broken":
                patch.setattr(due_background, "find", lambda *_: 1 / 0)
                settle(walk)
            go(walk, requested(walk))
            for n in range(4):
                for i, key in enumerate(KEYS):
                    walk.press(key)
                    if (when == "in the middle" and i % 7 == n) or (when == "late" and n == 3):
                        settle(walk)
                press(walk, *["backspace"] * 60, *"****")  # out of whatever is half typed, and off a card
                go(walk, min(walk.route.count() - 1, 3 + 11 * n))
        found[when] = recorded(walk)
    assert found["never"][1], "nothing was recorded: the keys prove nothing"
    for when, content in found.items():
        assert content == found["never"], when


def test_keys_that_depended_on_the_arrival_would_be_found(book: Path, tmp_path: Path) -> None:
    """The control: a walk that offers due work from what has arrived ends in another book."""
    found = []
    for early in (False, True):
        walk = rack.opened(Path(shutil.copy(book, tmp_path / f"control{early}.sqlite")), CONFIG)
        due_here = walk.acts.due_here
        walk.acts.due_here = lambda e, walk=walk, due_here=due_here: (  # type: ignore[method-assign]
            due_here(e) if walk.dues.carry else ()
        )
        if early:
            settle(walk)
            walk.dues.carry = walk.dues.carry or {0: {}}
        go(walk, requested(walk))
        press(walk, *KEYS)
        found.append(recorded(walk))
    assert found[0] != found[1]


# What is said


def test_a_failure_is_said_at_the_enclosure_and_the_stored_work_stays(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = [s.dues for s in walk.route.stops]
    monkeypatch.setattr(due_background, "find", lambda *_: 1 / 0)
    settle(walk)
    assert [s.dues for s in walk.route.stops] == before
    go(walk, requested(walk))
    said = [i.text for i in care_lines.at_hand(walk)]
    assert any("could not be worked out" in x and "division by zero" in x for x in said)
    assert any("weigh the tub" in x for x in said)


def test_a_failure_at_one_enclosure_keeps_nobody_from_recording(
    walk: Walk, monkeypatch: pytest.MonkeyPatch
) -> None:
    stop = requested(walk)
    id_ = walk.route.stops[stop].enclosure.id
    monkeypatch.setattr("rounds.walk.act_queries.due_acts.open_at", lambda *_: 1 / 0)
    go(walk, stop)
    press(walk, "d")
    assert "nothing is due" in walk.state.message
    at = [o.act for o in walk.desk.offers(stop)].index("look-again")
    press(walk, "y", *"0" * (at // 9), str(at % 9 + 1), *"mites", "enter", "3", *"seen", "enter")
    assert walk.state.message.startswith("recorded"), walk.state.message
    assert walk.route.stops[stop].dues == enclosure_view.dues(walk.acts.ledger, id_, walk.day + 7)
    assert "could not be worked out" in walk.dues.said


def test_the_summary_lists_what_was_due_and_not_done_and_what_set_ups_need(walk: Walk) -> None:
    settle(walk)
    undone = walk.dues.undone()
    assert all(d.planned() <= walk.day for _, d in undone)
    stop = requested(walk)
    assert (stop, "weigh the tub") in [(i, d.what) for i, d in undone]
    assert any(
        x.startswith(walk.route.label(stop)) and "weigh the tub" in x for x in summary_lines.due_texts(walk)
    )
    walk.dues.carry = {walk.route.stops[0].enclosure.id: {"substrate": 7.5}}
    with_set_up = sum(c.amount for c in walk.round.carry() if c.what == "substrate")
    walk.dues.carry = {}
    without = sum(c.amount for c in walk.round.carry() if c.what == "substrate")
    assert with_set_up == without + 7.5
    go(walk, stop)
    press(walk, "p", "3", *"rain", "enter")
    assert "weigh the tub" not in [d.what for _, d in walk.dues.undone()], "put off: not in the list"


def test_what_due_work_needs_is_carried_until_it_is_done(walk: Walk) -> None:
    """Substrate to be changed at a box: named with what it rests on, and gone with the work."""
    assert not [c for c in walk.round.carry() if c.what == "substrate"], (
        "the control: nothing of it is known before it is worked out"
    )
    settle(walk)
    label = next(c.codes[0] for c in walk.round.carry() if c.what == "substrate" and c.codes)
    stop = next(i for i in range(walk.route.count()) if walk.route.label(i) == label)
    [said] = [x for c in walk.round.carry() for x in c.why if x.startswith(f"{label}: ")]
    assert " l it holds, if it is full; " in said
    press(walk, "v")
    assert any(f"· {said}" in "".join(t for t, _ in line) for line in help_lines.lines(walk, 400, 400))
    walk.dues.needs = {walk.route.stops[stop].enclosure.id: (Need("substrate", 1, 2, "beech", "felt"),)}
    assert [(c.amount, c.most, c.mix, c.why) for c in walk.round.carry() if c.what == "substrate"] == [
        (1, 2, "beech", (f"{label}: felt",))
    ]


def test_work_at_an_enclosure_is_named_as_its_act_asks_for_it(walk: Walk) -> None:
    for i, s in enumerate(walk.route.stops):
        if walk.desk.due_here(i):
            named = labels(walk.acts.ledger, walk.acts.works(s.enclosure.id))
            card = walk.desk.card(i, "due-done", s.enclosure.code, ())
            work = card.field("work")
            assert work is not None
            assert {a.typed for a in work.answers} <= set(named)


def test_work_for_an_animal_is_recorded_where_the_animal_is(book: Path) -> None:
    """Its row names no enclosure; what is shown at the enclosure follows all the same, also after an interruption."""
    walk = rack.opened(book, CONFIG)
    stop, animal = next(
        (i, here[0])
        for i, s in enumerate(walk.route.stops)
        if not walk.acts.works(s.enclosure.id) and not walk.desk.actions(i)
        if (here := [c.animal for c in inside(walk.acts.ledger, s.enclosure.id) if c.animal is not None])
    )
    assert walk.close(10) is None
    with open_book(book) as opened, opened.writing():
        opened.run(
            "INSERT INTO due (animal, what, earliest, latest, why, asked) VALUES (?, 'look at its claws', ?, ?, 'it limped', 1)",
            (animal, rack.TODAY - 1, rack.TODAY + 1),
        )
    walk = rack.opened(book, CONFIG)
    settle(walk)
    [work] = walk.acts.works(walk.route.stops[stop].enclosure.id)
    assert work.animal == animal
    before = walk.route.stops[stop].dues
    assert before
    go(walk, stop)
    press(walk, "p", "9", *"rain", "enter")
    assert walk.state.message.startswith("recorded"), walk.state.message
    assert walk.route.stops[stop].dues == ()
    assert walk.close(10) is None
    again = rack.opened(walk.path, CONFIG)
    press(again, "u")
    settle(again)
    assert again.route.stops[stop].dues == before
    assert again.close(10) is None


def laying(walk: Walk) -> int:
    """A stop with a female that lays, nothing open, and a search that is still days off."""
    for i, s in enumerate(walk.route.stops):
        works = walk.acts.works(s.enclosure.id) if s.enclosure.stage == "laying" else []
        searches = [w for w in works if w.kind in SEARCHES and w.planned(walk.day) > walk.day + 2]
        if searches and not walk.desk.actions(i):
            return i
    raise AssertionError("the demo has such a box")


@pytest.mark.parametrize("layout", ["letters", "numbers"])
def test_water_at_the_base_brings_the_next_search_forward_by_a_key(book: Path, layout: str) -> None:
    walk = rack.opened(book, CONFIG._replace(commands=dict(LETTERS if layout == "letters" else PAD)))
    box = laying(walk)
    key = {c: k for k, c in reversed(list(walk.desk.commands.items()))}
    press(walk, *keys_of_entry(key["go"], walk.desk.commands))
    press(walk, *str(walk.route.stops[box].enclosure.number), "enter")
    rows = [a.kind.id for a in steps.rows(walk.state, walk.desk)]
    press(walk, *["2" if k == "jelly_gone" else key["reading_down"] for k in rows[: rows.index("moisture")]])
    press(walk, "4")
    assert "standing-water" in [a.rule for a in walk.desk.actions(box)]
    [step] = walk.desk.promised(box)
    assert (step.title, step.headline) == ("bring the next search forward", "Water stands at the base")
    press(walk, key["record"], "enter")
    assert walk.state.mode.name == "card", walk.state.message
    press(walk, "enter")
    assert walk.state.message.startswith("recorded"), walk.state.message
    [search] = [w for w in walk.acts.works(walk.route.enclosure_of(box)) if w.kind in SEARCHES]
    assert search.window[:2] == (walk.day + 1, walk.day + 1)
    assert "Water stands at the base" in search.why
    assert walk.desk.promised(box) == (), "what was done is offered no more"
    press(walk, *keys_of_entry(key["undo"], walk.desk.commands))
    assert walk.desk.promised(box) == (step,)
    assert walk.close(10) is None


def test_every_step_that_a_shipped_rule_offers_fits_its_stage() -> None:
    """What a text promises is an act of that stage, and its words are known."""
    for rule in CONFIG.rules:
        for stage, todo in rule.do.items():
            for name in todo.offers:
                step = OFFERED_STEPS[name]
                stages = rule.stages or frozenset(STAGES)
                served = {stage} if stage != OTHERWISE else stages - rule.do.keys()
                for act in (all_acts()[a] for a in (step.act, step.instead) if a):
                    assert not act.stages or served <= set(act.stages), (rule.id, stage, name)
                assert name in walk_sentences.STEPS_OF_RULES


@pytest.mark.parametrize("of_a_brood", [True, False])
def test_a_tub_for_each_divides_a_brood_and_larvae_that_are_none(book: Path, *, of_a_brood: bool) -> None:
    """Larvae that came from elsewhere are a counted group of no brood: another act divides it."""
    walk = rack.opened(book, CONFIG)

    def fits(act: str, stop: int) -> bool:
        return any(o.act == act and not o.unfit for o in walk.desk.offers(stop))

    stop = next(
        i
        for i, s in enumerate(walk.route.stops)
        if s.enclosure.stage == "larvae" and fits("split", i) and not fits("split-some", i)
    )
    box = walk.route.enclosure_of(stop)
    if not of_a_brood:
        groups = [c for c in inside(walk.acts.ledger, box) if c.brood is not None]
        walk.acts.books.change([Set(Content.table, c.id, Content.brood.name, c.brood, None) for c in groups])
    rule = next(r for r in CONFIG.rules if any("tub-each" in todo.offers for todo in r.do.values()))
    walk.desk.watch.set(Action(b"tubs".ljust(16, b"0"), box, rule.id, "today", "together", "", walk.day - 1))
    assert [s.act for s in walk.desk.promised(stop)] == ["split" if of_a_brood else "split-some"]
    assert walk.close(10) is None
