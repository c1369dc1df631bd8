"""Acts on the walk: recorded by keys, seen at once, saved by the writer, taken back like any key."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest

from rounds.acts.offer import OfferField
from rounds.acts.registry import all_acts
from rounds.line_ui.read_out import question
from rounds.presenters.care_lines import at_hand
from rounds.presenters.walk_lines import lines
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Content, Enclosure, Mating, Pairing, Search
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from rounds.text.cleaning import day_words
from rounds.values.spans import Span
from rounds.walk.core import Walk
from rounds.walk.machine.act_modes import TURNS, ChoosingAct, ChoosingWhom, TellingField
from tests.endtoend import rack


@pytest.fixture
def walk(demo_book: Path, tmp_path: Path) -> Iterator[Walk]:
    """The walk over the demo, at an enclosure with one grown animal."""
    book = Path(shutil.copy(demo_book, tmp_path / "acts.sqlite"))
    opened = rack.opened(book, rack.config())
    stop = next(
        i
        for i, s in enumerate(opened.route.stops)
        if s.enclosure.stage == "holding"
        and len(s.enclosure.contents) == 1
        and s.enclosure.contents[0].animal
    )
    for key in ["g", *str(opened.route.stops[stop].enclosure.number), "enter"]:
        opened.press(key)
    yield opened
    opened.close(10)


def keys_for(walk: Walk, act: str) -> list[str]:
    """The keys that choose an act from the list."""
    at = [o.act for o in walk.desk.offers(walk.state.at)].index(act)
    return ["y", *["0"] * (at // 9), str(at % 9 + 1)]


def shown(walk: Walk) -> str:
    return "\n".join("".join(text for text, _ in line) for line in lines(walk, 80, 24))


def press(walk: Walk, keys: list[str]) -> None:
    for key in keys:
        walk.press(key)


def asked(walk: Walk) -> OfferField:
    """What the act being recorded turned out to need."""
    assert isinstance(walk.state.mode, TellingField)
    assert walk.state.mode.needed is not None
    return walk.state.mode.needed


def test_a_death_is_seen_at_once_saved_and_taken_back(walk: Walk) -> None:
    before = stored.load(walk.book)
    [content] = walk.route.stops[walk.state.at].enclosure.contents
    press(walk, keys_for(walk, "dead"))
    assert walk.state.mode.name == "field"  # the box is vacant now: what becomes of it?
    press(walk, ["1"])
    assert walk.state.message.startswith("recorded:")
    assert walk.route.stops[walk.state.at].enclosure.contents == ()
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        after = stored.load(book)
    [died] = [
        animal
        for animal in after.rows(Animal)
        if animal.state == "dead" and animal.died and animal.died.earliest == walk.day
    ]
    assert died.number == content.animal
    press(walk, ["u"])
    assert walk.route.stops[walk.state.at].enclosure.contents == (content,)
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == before


def go_to_stage(walk: Walk, stage: str) -> None:
    code = next(s.enclosure for s in walk.route.stops if s.enclosure.stage == stage)
    press(walk, ["g", *str(code.number), "enter"])


def test_a_search_is_not_recorded_before_it_is_told_what_was_found(walk: Walk) -> None:
    """Left out, the books would say that nothing was there; Enter alone says so."""
    go_to_stage(walk, "laying")
    press(walk, [*keys_for(walk, "search"), "2"])
    assert [f.name for f in next(o for o in walk.desk.offers(walk.state.at) if o.act == "search").fields] == [
        "how",
        "eggs",
        "l1",
        "l2",
        "l3",
    ]
    assert "alone it says 0" in shown(walk)
    press(walk, ["3", "enter", *"12+", "enter", "enter", "enter"])
    if walk.state.mode.name == "sure":  # it must not be dug yet
        press(walk, ["1"])
    assert walk.state.message.startswith("recorded: searched")
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        made = max(stored.load(book).rows(Search), key=lambda row: row.made.earliest)
    assert (made.eggs, made.l1, made.l2, made.l3, made.at_least) == (3, 12, 0, 0, True)


def test_a_box_left_vacant_is_emptied_once_it_is_said_that_it_was_looked_through(walk: Walk) -> None:
    press(walk, [*keys_for(walk, "dead"), "2"])
    assert asked(walk).name == "looked"
    assert "Look for eggs and larvae first" in walk.state.message
    assert walk.saving.put_up_to == 0
    press(walk, ["1"])
    assert walk.state.message.startswith("recorded: found dead")


def test_undo_reaches_an_act_after_the_walk_was_interrupted(walk: Walk) -> None:
    before = stored.load(walk.book)
    press(walk, [*keys_for(walk, "dead"), "1", "m", "2"])
    assert walk.close(10) is None
    again = rack.opened(walk.path, rack.config())
    press(again, ["u", "u"])
    assert again.drain(10)
    assert stored.load(again.book) == before
    assert again.close(10) is None


def test_an_act_is_refused_on_the_spot_and_nothing_is_written(walk: Walk) -> None:
    press(walk, [*keys_for(walk, "move-box"), *"Z9-9", "enter"])
    assert "there is no place" in walk.state.message
    assert walk.state.mode.name == "field", "it is asked again"
    assert walk.saving.put_up_to == 0


def test_every_act_of_the_walk_can_be_chosen_and_left(walk: Walk) -> None:
    """Whatever is offered can be opened, whatever it asks, and left without a trace."""
    for offer in walk.desk.offers(walk.state.at):
        if not offer.fields:
            continue
        press(walk, [*keys_for(walk, offer.act), "backspace", "backspace"])
        assert walk.state.mode.name == "walk", offer.act
        assert offer.act in all_acts()
    assert walk.saving.put_up_to == 0


def test_an_act_that_another_hand_made_impossible_is_told_and_shown(walk: Walk) -> None:
    """Two keepers record the same death; the second hears that it was not recorded."""
    offers_read = walk.desk.offers(walk.state.at)  # what this walk knows of the books
    assert offers_read
    other = rack.opened(walk.path, rack.config(), name="evening")
    press(
        other,
        ["g", *str(walk.route.stops[walk.state.at].enclosure.number), "enter", *keys_for(other, "dead"), "1"],
    )
    assert other.close(10) is None
    press(walk, [*keys_for(walk, "dead"), "1"])
    assert walk.drain(10)
    walk.take_refusals()
    assert walk.refusal.startswith("NOT recorded:")
    assert walk.state.steps == ()
    assert walk.route.stops[walk.state.at].enclosure.contents == ()  # as the other keeper left it
    with open_book(walk.path, readonly=True) as book:
        dead = [r for r in stored.load(book).rows(Animal) if r.died and r.died.earliest == walk.day]
    assert len(dead) == 1
    press(walk, ["?"])
    assert walk.refusal == ""


def test_a_set_up_is_ticked_by_digits_and_its_open_steps_stay_in_sight(walk: Walk) -> None:
    stop = next(i for i, s in enumerate(walk.route.stops) if s.enclosure.stage == "prepared")
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
    assert walk.desk.begun(stop) == ()
    press(walk, [*keys_for(walk, "tick"), "1"])
    assert walk.state.message.startswith("recorded:")
    [begun] = walk.desk.begun(stop)
    open_ = [line.step.id for line in begun.open]
    assert len(open_) == len(begun.lines) - 1
    shown = " ".join(item.text for item in at_hand(walk))
    assert f"1 of {len(begun.lines)} done. Open: " in shown
    press(walk, [*keys_for(walk, "tick"), "2"])  # not the next one, the one after it
    [begun] = walk.desk.begun(stop)
    assert [line.step.id for line in begun.open] == [open_[0], *open_[2:]]
    press(walk, ["u", "u"])
    assert walk.desk.begun(stop) == ()


def test_a_caution_is_said_once_and_is_in_no_keys_way(walk: Walk) -> None:
    caution = all_acts()["dead"].caution
    assert caution
    press(walk, [*keys_for(walk, "dead"), "1"])
    assert walk.state.message.endswith(caution)
    press(walk, ["u"])
    press(walk, [*keys_for(walk, "dead"), "1"])
    assert walk.state.message.startswith("recorded:")
    assert caution not in walk.state.message


def go(walk: Walk, stage: str) -> int:
    """Go to the first enclosure of a stage."""
    stop = next(i for i, s in enumerate(walk.route.stops) if s.enclosure.stage == stage)
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
    return stop


def test_acts_of_the_house_and_of_a_brood_are_recorded_at_an_enclosure_and_taken_back(walk: Walk) -> None:
    before = stored.load(walk.book)
    for act, keys in (
        ("box", [*"NEW-1", "enter"]),
        ("shelf", ["Z", "enter", "1", "enter", "3", "enter"]),
        ("line", [*"ASH", "enter", *"Eudicella smithi", "enter"]),
    ):
        press(walk, [*keys_for(walk, act), *keys])
        assert walk.state.message.startswith("recorded:"), (act, walk.state.message)
    stop = go(walk, "prepared")
    press(walk, [*keys_for(walk, "arrival"), *"Eudicella smithi", "enter", "3", "enter"])
    assert "which is in quarantine" in walk.state.message, "it would stand beside others: asked about once"
    press(walk, ["y"])
    here = walk.route.stops[stop].enclosure
    assert (here.stage, [c.unsexed for c in here.contents]) == ("quarantine", [3])  # into this box, unasked
    ash = [typed for typed, _ in next(o for o in walk.desk.offers(stop) if o.act == "animal").whom].index(
        "ASH"
    )
    press(walk, [*keys_for(walk, "animal"), *["0"] * (ash // 9), str(ash % 9 + 1), *"7a", "enter"])
    assert [c.animal for c in walk.route.stops[stop].enclosure.contents] == ["", "7a"]
    larvae = go(walk, "larvae")
    tubs = len(list(walk.acts.ledger.rows(Enclosure)))
    press(walk, keys_for(walk, "split"))
    press(walk, [*"NEW", "enter"])  # what the codes of the new tubs begin with
    assert walk.state.message.startswith("recorded:"), walk.state.message
    assert len(list(walk.acts.ledger.rows(Enclosure))) > tubs
    assert walk.route.stops[larvae].enclosure.contents == ()
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == walk.acts.ledger
    press(walk, ["u"] * 6)
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == before


def test_whom_an_act_concerns_is_chosen_among_any_number(walk: Walk) -> None:
    """More than nine live in one box: `0` turns to the rest of them, and round again."""
    stop = go(walk, "colony")
    for n in range(11):
        press(walk, [*keys_for(walk, "animal"), *f"c{n}", "enter"])
        if n < 10:  # adults and larvae are counted there: which is meant is asked
            press(walk, [str(asked(walk).words.index("adults") + 1)])
        assert walk.state.message.startswith("recorded:"), walk.state.message
    whom = next(o for o in walk.desk.offers(stop) if o.act == "parents").whom
    assert len(whom) == 11
    press(walk, [*keys_for(walk, "dead"), "0", "3"])
    assert (walk.state.mode.name, walk.state.message) == ("whom", "nobody under 3")
    press(walk, ["0", "0", "2"])
    assert walk.state.message.startswith(f"recorded: found dead ({whom[10][0]})")


def test_any_act_is_three_keys_away_wherever_one_stands(walk: Walk) -> None:
    """The record key, one key for a page, and a digit: at every enclosure of the demo, each act it offers."""
    turns = ("", "0", *TURNS)
    for stop in range(len(walk.route.stops)):
        press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
        for at, offer in enumerate(walk.desk.offers(stop)):
            keys = ["y", *filter(None, [turns[at // 9]]), str(at % 9 + 1)]
            assert len(keys) <= 3
            if not offer.fields and len(offer.whom) == 1:
                continue  # it would be recorded
            press(walk, keys)
            assert isinstance(walk.state.mode, ChoosingWhom | TellingField)
            assert walk.state.mode.draft.act == offer.act
            press(walk, ["backspace"])
            assert walk.state.mode.name == "walk"
    assert walk.saving.put_up_to == 0


def test_a_key_for_a_page_that_is_not_there_records_nothing(walk: Walk) -> None:
    press(walk, ["y", "*"])
    assert (walk.state.mode.name, walk.state.message) == (
        "walk",
        "nothing recorded; * only closed the list",
    )
    press(walk, ["y", ".", "+", "0", "0"])
    assert walk.state.mode == ChoosingAct(page=0)  # round again, from the last of five


def test_who_left_is_asked_by_digits_before_where_to(walk: Walk) -> None:
    """She, he or both: only then the enclosure of whoever it was."""
    stop = next(
        i
        for i, s in enumerate(walk.route.stops)
        if s.enclosure.stage == "pairing" and any(o.act == "parted" for o in walk.desk.offers(i))
    )
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
    to = next(s.enclosure for s in walk.route.stops if s.enclosure.stage == "holding")
    press(walk, keys_for(walk, "parted"))
    assert asked(walk).words == ("she", "he", "both")
    press(walk, ["2"])
    assert asked(walk).name == "males_to"
    press(walk, [*to.code, "enter"])
    assert walk.state.message.startswith("recorded: parted")
    assert walk.route.stops[stop].enclosure.stage == "holding"


def test_fresh_substrate_is_recorded_without_a_batch_and_a_new_batch_is_named(walk: Walk) -> None:
    press(walk, keys_for(walk, "rebed"))
    assert walk.state.mode.name == "field"
    press(walk, ["1", "enter"])
    assert walk.state.message.startswith("recorded: bedded afresh")
    assert "unknown-01" in walk.state.message
    press(walk, [*keys_for(walk, "substrate"), *"leaf", "enter"])
    assert walk.state.message.startswith("recorded: substrate mixed (M-")
    assert walk.drain(10)
    walk.take_refusals()
    assert walk.refusal == ""


def test_who_moves_in_is_not_compared_with_who_was_there_before(walk: Walk) -> None:
    """Expected, and what was odd last time, follow the animals; the box keeps its history and its water."""
    here = walk.state.at
    guest = next(
        i
        for i, s in enumerate(walk.route.stops)
        if i != here
        and s.enclosure.stage == "holding"
        and len(s.enclosure.contents) == 1
        and s.enclosure.contents[0].animal
    )
    odd = {"on_back": True, "moisture": "water", "jelly_gone": 7}
    last = walk.past.of(here)[-1]
    for kind, found in odd.items():
        walk.past.correct(here, last.uid, kind, found)
    walk.round.ask_again(here)

    def asked() -> dict[str, tuple[object, str]]:
        return {
            a.kind.id: (a.confirms, a.must) for a in walk.questions.asks(here, walk.questions.starts_at(here))
        }

    before = asked()
    assert before["on_back"][1] == before["moisture"][1] == "odd last time"
    assert before["jelly_gone"][0] not in (None, (0.0, 9.0))
    past = walk.past.of(here)
    code = walk.route.stops[here].enclosure.code
    [own] = [i.animal for i in walk.route.stops[here].enclosure.contents]

    press(walk, [*keys_for(walk, "dead"), "1"])
    press(walk, ["g", *str(walk.route.stops[guest].enclosure.number), "enter"])
    press(walk, [*keys_for(walk, "move"), *code, "enter"])
    assert walk.route.stops[here].enclosure.contents[0].animal != own, walk.state.message
    after = asked()
    assert after["moisture"][1] == "odd last time", "water stands whoever lives there"
    assert after["on_back"][1] == ""
    assert after["jelly_gone"][0] == (0.0, 9.0)
    assert walk.past.of(here) == past, "the box keeps its history"
    press(walk, ["g", *str(walk.route.stops[here].enclosure.number), "enter"])
    assert f"{day_words(past[-1].day)}*" in shown(walk), "and says that it is of others"
    assert "(other animals or another stage then)" in question(walk, brief=False)


def test_an_act_of_an_earlier_day_is_told_it_first_and_says_it(walk: Walk) -> None:
    [inmate] = walk.route.stops[walk.state.at].enclosure.contents
    press(walk, ["y", "/", "2", "enter"])
    assert "On 2026-02-28, record which?" in " ".join(" ".join(shown(walk).split()).split("  "))
    at = [o.act for o in walk.desk.offers(walk.state.at)].index("dead")
    press(walk, [*["0"] * (at // 9), str(at % 9 + 1), "1"])
    assert walk.state.message.startswith("recorded on 2026-02-28: ")
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        after = stored.load(book)
    assert [
        r.number
        for r in after.rows(Animal)
        if r.state == "dead" and r.died and r.died.earliest == r.died.latest == walk.day - 2
    ] == [inmate.animal]


def test_a_day_that_the_books_contradict_is_refused_and_nothing_is_written(walk: Walk) -> None:
    before = stored.load(walk.book)
    press(walk, ["y", "/", *"2019-01-01", "enter"])
    at = [o.act for o in walk.desk.offers(walk.state.at)].index("dead")
    press(walk, [*["0"] * (at // 9), str(at % 9 + 1), "1"])
    assert not walk.state.message.startswith("recorded")
    assert walk.drain(10)
    assert stored.load(walk.book) == before


# -- readings that state an act ------------------------------------------------------------------


def state_of(walk: Walk, animal: int) -> str:
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        return stored.load(book).row(Animal, animal).state


def alone_at(walk: Walk) -> int:
    ledger = stored.load(walk.book)
    box = walk.route.enclosure_of(walk.state.at)
    return next(
        c.animal
        for c in ledger.rows(Content, Content.enclosure.is_(box), Content.until.is_(None))
        if c.animal
    )


def test_found_dead_is_saved_as_the_death_and_taken_back_with_the_reading(walk: Walk) -> None:
    animal, at = alone_at(walk), walk.state.at
    press(walk, ["x", "1"])
    assert state_of(walk, animal) == "dead"
    assert walk.route.stops[at].enclosure.contents == ()
    assert not any(a.kind.id.startswith("jelly") for a in walk.desk.asks(at, walk.desk.starts_at(at)))
    assert [d.what for d in walk.route.stops[at].dues if "keep" in d.what]  # what becomes of the box is open
    press(walk, ["u"])
    assert state_of(walk, animal) == "alive"
    assert "dead" not in walk.state.looks[at].cells or walk.state.looks[at].cells["dead"] is None
    assert len(walk.route.stops[at].enclosure.contents) == 1


def test_a_death_typed_by_mistake_is_taken_back_with_the_number(walk: Walk) -> None:
    animal = alone_at(walk)
    press(walk, ["x", "1"])
    assert state_of(walk, animal) == "dead"
    press(walk, ["x", "0"])
    assert state_of(walk, animal) == "alive"
    press(walk, ["u"])  # the number is 1 again, and so it is dead
    assert state_of(walk, animal) == "dead"
    press(walk, ["u"])
    assert state_of(walk, animal) == "alive"


def test_a_death_read_before_an_interruption_is_taken_back_after_it(walk: Walk) -> None:
    animal, book, at = alone_at(walk), walk.path, walk.state.at
    press(walk, ["x", "1"])
    assert walk.close(10) is None
    again = rack.opened(book, rack.config())
    assert again.state.at == at
    press(again, ["u"])
    assert state_of(again, animal) == "alive"
    assert again.close(10) is None


def test_several_live_here_and_who_died_stays_open_until_it_is_said(walk: Walk) -> None:
    stop = next(
        i
        for i, s in enumerate(walk.route.stops)
        if s.enclosure.stage in ("pairing", "holding")
        and sum(bool(c.animal) for c in s.enclosure.contents) == 2
    )
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter", "x", "1"])
    assert "say who was found dead" in [d.what for d in walk.route.stops[stop].dues]
    assert walk.drain(10)
    ledger, box = stored.load(walk.book), walk.route.enclosure_of(stop)
    who = next(
        c.animal
        for c in ledger.rows(Content, Content.enclosure.is_(box), Content.until.is_(None))
        if c.animal
    )
    uid = walk.desk.acts.record(b"told", "dead", animal_name(ledger, who), {"rest": "keep"}, sure=True)
    assert box in uid
    assert not [w for w in walk.desk.acts.works(box) if w.kind == "who-died" and w.done is None]


def test_a_mating_seen_in_a_pairing_box_joins_the_pairing(walk: Walk) -> None:
    ledger = stored.load(walk.book)
    open_ = [p for p in ledger.rows(Pairing, Pairing.until.is_(None)) if p.enclosure is not None]
    pairing = next(p for p in open_ if sum(o.enclosure == p.enclosure for o in open_) == 1)
    stop = walk.route.stop_of(pairing.enclosure or 0)
    assert stop is not None
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter", "h", "1"])
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        seen = [m.pairing for m in stored.load(book).rows(Mating) if m.seen == Span(walk.day, walk.day)]
    assert seen == [pairing.id]
