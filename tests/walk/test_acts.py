"""Acts on the walk: recorded by keys, seen at once, saved by the writer, taken back like any key."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest

from rounds.acts.card import WHOM
from rounds.acts.fields import ref
from rounds.acts.registry import all_acts
from rounds.cli import run
from rounds.husbandry import cautions
from rounds.line_ui.read_out import question
from rounds.presenters.care_lines import at_hand
from rounds.presenters.walk_lines import lines
from rounds.records.naming import animal_name
from rounds.records.observations import Action
from rounds.records.tables import Animal, Content, Enclosure, Mating, Pairing, Search, Weight
from rounds.store import ledger_store as stored
from rounds.store import read
from rounds.store.book import open_book
from rounds.text.cleaning import day_words
from rounds.values.spans import Span, iso
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.act_modes import TURNS, ChoosingAct, card_of
from rounds.walk.machine.card_mode import TellingCard
from tests.endtoend import rack
from tests.walk.machine.desk import PAD


@pytest.fixture
def book(demo_book: Path, tmp_path: Path) -> Path:
    return Path(shutil.copy(demo_book, tmp_path / "acts.sqlite"))


@pytest.fixture
def walk(book: Path) -> Iterator[Walk]:
    """The walk over the demo, at an enclosure with one grown animal."""
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


def card(walk: Walk) -> TellingCard:
    """The card that is being filled in."""
    assert isinstance(walk.state.mode, TellingCard), walk.state.message
    return walk.state.mode


def asked(walk: Walk) -> str:
    """The field of its cursor."""
    return card(walk).at


def tell(walk: Walk, **answers: str) -> None:
    """Move to each field of the card and type its answer, or choose it by its digit where it is listed."""
    for field, answer in answers.items():
        for _ in card(walk).order:
            if asked(walk) == field:
                break
            walk.press("space")
        mode = card(walk)
        one = mode.field(card_of(walk.state, walk.desk, mode.draft))
        listed = [a.typed for a in one.answers]
        if mode.lists(one) and answer in listed:
            press(walk, [*["0"] * (listed.index(answer) // 9), str(listed.index(answer) % 9 + 1)])
        else:
            press(walk, [*(["."] if mode.lists(one) and answer[0].isdigit() else []), *answer])
            press(walk, ["=" if one.kind == "text" else "space"])


def test_a_death_is_seen_at_once_saved_and_taken_back(walk: Walk) -> None:
    before = stored.load(walk.book)
    [content] = walk.route.stops[walk.state.at].enclosure.contents
    press(walk, keys_for(walk, "dead"))
    assert "box after      keep  proposed" in shown(walk)  # the box is vacant now: what becomes of it
    press(walk, ["enter"])
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


def test_a_search_tells_what_was_found_and_leaves_unknown_what_nobody_was_asked(walk: Walk) -> None:
    go_to_stage(walk, "laying")
    press(walk, [*keys_for(walk, "search"), "2"])
    assert card(walk).order[:5] == ("how", "eggs", "l1", "l2", "l3")
    press(walk, ["3", "space", *"12+", "0", "enter"])
    if walk.state.mode.name == "sure":  # it must not be dug yet
        press(walk, ["1"])
    assert walk.state.message.startswith("recorded: searched")
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        made = max(stored.load(book).rows(Search), key=lambda row: row.made.earliest)
    assert (made.eggs, made.l1, made.l2, made.l3, made.at_least) == (3, 12, 0, None, True)


def test_nothing_found_is_told_with_one_answer(walk: Walk) -> None:
    go_to_stage(walk, "laying")
    press(walk, [*keys_for(walk, "search"), "1", ".", "2"])
    assert dict(card(walk).draft.answers) == {
        "how": "complete",
        **dict.fromkeys(("eggs", "l1", "l2", "l3"), "0"),
    }


def test_a_wrong_answer_is_told_at_once_and_all_others_stand(walk: Walk) -> None:
    press(walk, [*keys_for(walk, "move-box"), *"Z9-9", "enter"])
    assert "there is no place" in walk.state.message
    assert (asked(walk), card(walk).buffer) == ("to", "Z9-9"), "it is there to be mended"
    assert walk.saving.put_up_to == 0
    press(walk, [*keys_of_erasing(4), "1"])
    assert "to" in dict(card(walk).draft.answers)


def keys_of_erasing(signs: int) -> list[str]:
    return ["backspace"] * signs


def test_a_box_left_vacant_is_emptied_once_it_is_said_that_it_was_looked_through(walk: Walk) -> None:
    press(walk, keys_for(walk, "dead"))
    tell(walk, rest="empty")
    press(walk, ["enter"])
    assert asked(walk) == "looked"
    assert "Was it looked through" in walk.state.message
    assert walk.saving.put_up_to == 0
    press(walk, ["1", "enter"])
    assert walk.state.message.startswith("recorded: found dead")


def test_undo_reaches_an_act_after_the_walk_was_interrupted(walk: Walk) -> None:
    before = stored.load(walk.book)
    press(walk, [*keys_for(walk, "dead"), "enter", "m", "2"])
    assert walk.close(10) is None
    again = rack.opened(walk.path, rack.config())
    press(again, ["u", "u"])
    assert again.drain(10)
    assert stored.load(again.book) == before
    assert again.close(10) is None


def test_every_act_of_the_walk_can_be_chosen_and_left(walk: Walk) -> None:
    """Whatever is offered can be opened, whatever it asks, and left without a trace."""
    for offer in walk.desk.offers(walk.state.at):
        if offer.unfit:
            continue
        press(walk, ["y", "/", *keys_for(walk, offer.act)[1:]])
        assert walk.state.mode.name == "card", offer.act
        press(walk, ["backspace"])
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
        [
            "g",
            *str(walk.route.stops[walk.state.at].enclosure.number),
            "enter",
            *keys_for(other, "dead"),
            "enter",
        ],
    )
    assert other.close(10) is None
    press(walk, [*keys_for(walk, "dead"), "enter"])
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
    press(walk, [*keys_for(walk, "tick"), "1", "enter"])
    assert walk.state.message.startswith("recorded:")
    [begun] = walk.desk.begun(stop)
    open_ = [line.step.id for line in begun.open]
    assert len(open_) == len(begun.lines) - 1
    shown = " ".join(item.text for item in at_hand(walk))
    assert f"1 of {len(begun.lines)} checklist steps done. Open: " in shown
    press(walk, [*keys_for(walk, "tick"), "2", "enter"])  # not the next one, the one after it
    [begun] = walk.desk.begun(stop)
    assert [line.step.id for line in begun.open] == [open_[0], *open_[2:]]
    press(walk, ["u", "u"])
    assert walk.desk.begun(stop) == ()


def test_a_caution_stands_on_the_card_before_the_act_is_recorded(walk: Walk) -> None:
    headlines = [c.headline for c in cautions.of_act("dead")]
    assert headlines
    press(walk, keys_for(walk, "dead"))
    said = " ".join(shown(walk).replace("!", " ").split())
    whole = " ".join(all_acts()["dead"].caution.split())
    assert whole in said or all(h in said for h in headlines)
    press(walk, ["enter"])
    assert whole not in walk.state.message


def go(walk: Walk, stage: str) -> int:
    """Go to the first enclosure of a stage."""
    stop = next(i for i, s in enumerate(walk.route.stops) if s.enclosure.stage == stage)
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
    return stop


def test_acts_of_the_house_and_of_a_brood_are_recorded_at_an_enclosure_and_taken_back(walk: Walk) -> None:
    before = stored.load(walk.book)
    for act, told in (
        ("box", {"code": "NEW-1"}),
        ("shelf", {"bay": "Z", "shelf": "1", "slots": "3"}),
        ("line", {"name": "ASH", "species": "Eudicella smithi"}),
    ):
        press(walk, keys_for(walk, act))
        tell(walk, **told)
        press(walk, ["enter"])
        assert walk.state.message.startswith("recorded:"), (act, walk.state.message)
    stop = go(walk, "prepared")
    press(walk, keys_for(walk, "arrival"))
    tell(walk, species="Eudicella smithi", count="3")
    press(walk, ["enter"])
    assert "which is in quarantine" in walk.state.message, "it would stand beside others: asked about once"
    press(walk, ["1"])
    here = walk.route.stops[stop].enclosure
    assert (here.stage, [c.unsexed for c in here.contents]) == ("quarantine", [3])  # into this box, unasked
    ash = [typed for typed, _ in next(o for o in walk.desk.offers(stop) if o.act == "animal").whom].index(
        "ASH"
    )
    press(walk, [*keys_for(walk, "animal"), *["0"] * (ash // 9), str(ash % 9 + 1)])
    tell(walk, number="7a")
    press(walk, ["enter"])
    assert [c.animal for c in walk.route.stops[stop].enclosure.contents] == ["", "7a"]
    larvae = go(walk, "larvae")
    tubs = len(list(walk.acts.ledger.rows(Enclosure)))
    press(walk, keys_for(walk, "split"))
    tell(walk, prefix="NEW")  # what the codes of the new tubs begin with
    press(walk, ["enter"])
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
        press(walk, keys_for(walk, "animal"))
        tell(walk, number=f"c{n}")
        press(walk, ["enter"])
        if n < 10:  # adults and larvae are counted there: which is meant is asked
            tell(walk, age="adults")
            press(walk, ["enter"])
        assert walk.state.message.startswith("recorded:"), walk.state.message
    whom = next(o for o in walk.desk.offers(stop) if o.act == "parents").whom
    assert len(whom) == 11
    press(walk, [*keys_for(walk, "dead"), "0", "3"])
    assert (walk.state.mode.name, walk.state.message) == ("card", "no answer under 3")
    press(walk, ["0", "0", "2", "enter"])
    assert walk.state.message.startswith(f"recorded: found dead ({whom[10][0]})")


def test_an_act_is_three_keys_away_wherever_one_stands(walk: Walk) -> None:
    """The record key, one key for a page, and a digit: at every enclosure, each act of the first six pages."""
    turns = ("", "0", *TURNS)
    for stop in range(len(walk.route.stops)):
        press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
        listed = walk.desk.offers(stop)
        assert len(listed) <= 9 * len(turns) + 1, "one act may stand behind them, a key further"
        for at, offer in enumerate(listed[: 9 * len(turns)]):
            press(walk, ["y", *filter(None, [turns[at // 9]]), "/", str(at % 9 + 1)])
            if offer.unfit:
                assert (walk.state.mode.name, offer.unfit in walk.state.message) == ("acts", True)
            else:
                assert card(walk).draft.act == offer.act
            press(walk, ["backspace"])
            assert walk.state.mode.name == "walk"
    assert walk.saving.put_up_to == 0


def test_a_key_for_a_page_that_is_not_there_records_nothing(walk: Walk) -> None:
    press(walk, ["y", "%"])
    said = "nothing recorded; % only closed the list"
    assert (walk.state.mode.name, walk.state.message) == ("walk", said)
    pages = -(-len(walk.desk.offers(walk.state.at)) // 9)
    press(walk, ["y", *["0"] * pages])
    assert walk.state.mode == ChoosingAct(page=0), "round again"
    assert f"1 of {pages}" in shown(walk)


def test_who_left_is_asked_by_digits_before_where_to(walk: Walk) -> None:
    """She, he or both: only then the enclosure of whoever it was."""
    stop = next(
        i
        for i, s in enumerate(walk.route.stops)
        if s.enclosure.stage == "pairing"
        and any(o.act == "parted" and not o.unfit for o in walk.desk.offers(i))
    )
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])
    to = next(s.enclosure for s in walk.route.stops if s.enclosure.stage == "holding")
    press(walk, keys_for(walk, "parted"))
    assert asked(walk) == "who"
    press(walk, ["2"])
    tell(walk, males_to=to.code)
    press(walk, ["enter"])
    while walk.state.mode.name == "sure":
        press(walk, ["y"])
    assert walk.state.message.startswith("recorded: parted")
    assert walk.route.stops[stop].enclosure.stage == "holding"


def test_fresh_substrate_is_recorded_without_a_batch_and_a_new_batch_is_named(walk: Walk) -> None:
    press(walk, keys_for(walk, "rebed"))
    assert asked(walk) == "batch"
    press(walk, ["1", "enter"])
    assert walk.state.message.startswith("recorded: substrate changed")
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

    press(walk, [*keys_for(walk, "dead"), "enter"])
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


def test_an_act_of_an_earlier_day_is_told_it_on_its_card_and_says_it(walk: Walk) -> None:
    [inmate] = walk.route.stops[walk.state.at].enclosure.contents
    press(walk, keys_for(walk, "dead"))
    tell(walk, on=iso(walk.day - 2))
    assert "day            Sat 28 Feb" in shown(walk)
    press(walk, ["enter"])
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
    press(walk, keys_for(walk, "dead"))
    tell(walk, on="2019-01-01")
    press(walk, ["enter"])
    assert not walk.state.message.startswith("recorded")
    assert walk.drain(10)
    assert stored.load(walk.book) == before


def test_an_older_act_of_the_box_is_corrected_there(walk: Walk) -> None:
    """Recorded again on its card in the place of the first, also by a later start of the program."""
    here = walk.state.at
    press(walk, keys_for(walk, "weigh"))
    tell(walk, grams="18")
    press(walk, ["enter"])
    while walk.state.mode.name == "sure":
        press(walk, ["y"])
    first = [(w.grams, w.animal) for w in walk.acts.ledger.rows(Weight)][-1]
    assert first[0] == 18
    press(walk, ["c"])
    at = len(walk.past.earlier(here)) + 1
    assert "weighed" in shown(walk)
    press(walk, [str(at), "1"])
    assert dict(card(walk).draft.answers)["grams"] == "18"
    tell(walk, grams="19")
    press(walk, ["enter"])
    while walk.state.mode.name == "sure":
        press(walk, ["y"])
    assert walk.state.message.startswith("recorded"), walk.state.message
    weighed = [w.grams for w in walk.acts.ledger.rows(Weight) if w.animal == first[1]]
    assert 18 not in weighed
    assert weighed[-1] == 19
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == walk.acts.ledger


def test_an_older_act_says_which_day_it_was_for(walk: Walk) -> None:
    """A search told four days late stands under the day it was told, with the day it was."""
    yesterday = date.fromordinal(walk.day - 1)
    press(walk, keys_for(walk, "weigh"))
    tell(walk, grams="18", on=yesterday.isoformat())
    press(walk, ["enter"])
    while walk.state.mode.name == "sure":
        press(walk, ["y"])
    press(walk, ["c"])
    assert f", for {yesterday.day} {yesterday:%b}: weighed" in shown(walk)


def test_an_older_act_of_the_box_is_taken_back_there(walk: Walk) -> None:
    before = walk.acts.ledger
    here = walk.state.at
    press(walk, [*keys_for(walk, "dead"), "enter", "c", str(len(walk.past.earlier(here)) + 1), "2"])
    assert walk.state.message.startswith("taken back: ")
    assert walk.acts.ledger == before
    assert walk.state.steps == (), "it is no step of the round any more"
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert stored.load(book) == before


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


def test_an_action_about_those_who_have_left_ends_with_them_and_is_open_again_after_undo(walk: Walk) -> None:
    box, day = walk.route.enclosure_of(walk.state.at), walk.day
    about_her = Action(
        b"food".ljust(16, b"0"), box, "on-its-back", "today", "it lay on its back", "", day - 1
    )
    about_the_box = Action(b"lid".ljust(16, b"0"), box, "lid-open", "today", "the lid was open", "", day - 1)
    rules = {rule.id for rule in walk.desk.config.rules}
    assert {about_her.rule, about_the_box.rule} <= rules
    for action in (about_her, about_the_box):
        walk.desk.watch.set(action)
    press(walk, ["x", "1"])
    assert about_her.rule not in [a.rule for a in walk.desk.watch.open_at(box)]
    assert about_the_box.rule in [a.rule for a in walk.desk.watch.open_at(box)]
    press(walk, ["u"])
    assert about_her.rule in [a.rule for a in walk.desk.watch.open_at(box)]


def test_a_species_is_chosen_searched_by_a_part_of_its_name_or_asked_about(walk: Walk) -> None:
    press(walk, keys_for(walk, "line"))
    tell(walk, name="ASH")
    field = card_of(walk.state, walk.desk, card(walk).draft).field("species")
    assert field is not None
    assert {a.typed for a in field.answers} >= set(walk.desk.config.species), "kept here or not"
    while asked(walk) != "species":
        press(walk, ["space"])
    press(walk, [*"torqu", "="])
    assert dict(card(walk).draft.answers)["species"] == "Mecynorhina torquata"
    press(walk, ["-", *"a", "="])
    assert "type more of it" in walk.state.message or len(walk.desk.config.species) < 2
    press(walk, ["*", ".", *"11.1.0", "enter"])
    assert walk.state.mode.name == "sure"
    assert "11.1.0 is kept nowhere here" in walk.state.message


def test_a_day_is_typed_as_on_paper_though_a_digit_chooses_one(walk: Walk) -> None:
    press(walk, keys_for(walk, "line"))
    press(walk, ["space"] * 12)  # round all fields: none of them is left by it
    while asked(walk) != "on":
        press(walk, ["space"])
    ready = card_of(walk.state, walk.desk, card(walk).draft).field("on")
    assert ready is not None
    press(walk, ["1"])
    assert dict(card(walk).draft.answers)["on"] == ready.answers[0].typed
    assert asked(walk) == "on", "nothing typed next can answer another question unseen"
    day = date.fromordinal(walk.day - 17)
    sign = f"{day.day} {day:%b}"
    press(walk, ["*", *("space" if c == " " else c for c in f"{sign:0>6}"), "="])
    assert dict(card(walk).draft.answers)["on"].startswith(f"{sign:0>6}".lower())
    assert str(day.year) in dict(card(walk).draft.answers)["on"]


# Who was not found, and turns up


def missing_at(walk: Walk, box: int) -> list[str]:
    """Every open action there about some that were not found."""
    return [a.rule for a in walk.desk.watch.open_at(box) if a.rule == "missing"]


def three_at(walk: Walk) -> tuple[int, list[str]]:
    """Stand at a box with three numbered animals: its id, and what they are called."""
    stop = box_of(walk, 3)
    stand_at(walk, stop)
    box = walk.route.enclosure_of(stop)
    return box, [typed for typed, _ in next(o for o in walk.acts.offers(box) if o.act == "missing").whom]


def tell_of(walk: Walk, act: str, name: str) -> None:
    """Record an act of one animal where the walk stands."""
    offer = next(o for o in walk.desk.offers(walk.state.at) if o.act == act)
    press(walk, keys_for(walk, act))
    if len(offer.whom) > 1:
        tell(walk, **{WHOM: name})
    press(walk, ["enter"])
    if walk.state.message.startswith("recorded:"):
        return
    press(walk, ["1"])  # what is still to be done there is asked about
    assert walk.state.message.startswith("recorded:"), walk.state.message


def test_who_was_not_found_is_to_be_looked_for_until_the_last_of_them_turns_up(walk: Walk) -> None:
    box, names = three_at(walk)
    stop = walk.state.at
    press(walk, ["z", "2"])
    assert missing_at(walk, box) == ["missing"]
    press(walk, ["1", "space"])  # who one of them is; the other stays unsaid
    tell_of(walk, "found", names[0])
    assert state_of(walk, ref("animal", names[0], walk.acts.ledger)) == "alive"
    assert missing_at(walk, box) == ["missing"], "another is missing, and nobody said who"
    stand_at(walk, stop)
    tell_of(walk, "missing", names[1])
    tell_of(walk, "found", names[1])
    assert missing_at(walk, box) == []
    assert walk.drain(10)
    with open_book(walk.path, readonly=True) as book:
        assert not [a for a in read.open_actions(book, walk.day).get(box, ()) if a.rule == "missing"]
    press(walk, ["u"])
    assert missing_at(walk, box) == ["missing"], "that it was found was taken back"


@pytest.mark.parametrize("way", ["by command", "in a later walk"])
def test_what_ended_with_an_act_is_open_again_when_it_is_taken_back_later(walk: Walk, way: str) -> None:
    box, names = three_at(walk)
    stop = walk.state.at
    press(walk, ["z", "1", "1", "space"])
    tell_of(walk, "found", names[0])
    assert walk.close(10) is None

    def open_there() -> list[str]:
        with open_book(walk.path, readonly=True) as book:
            return [a.rule for a in read.open_actions(book, walk.day).get(box, ())]

    assert "missing" not in open_there()
    if way == "by command":
        assert run(["--book", str(walk.path), "--today", iso(walk.day), "record", "undo"]) == 0
    else:
        again = rack.opened(walk.path, walk.desk.config)
        stand_at(again, stop)
        press(again, ["u"])
        assert again.close(10) is None
    assert "missing" in open_there()


def test_one_that_was_missing_for_long_turns_up_and_the_other_is_still_looked_for(walk: Walk) -> None:
    box, names = three_at(walk)
    press(walk, keys_for(walk, "missing"))
    tell(walk, **{WHOM: names[0]}, on=iso(walk.day - 9))
    press(walk, ["enter", "z", "1", "1", "1"])
    assert missing_at(walk, box) == ["missing"]
    tell_of(walk, "found", names[0])
    assert missing_at(walk, box) == ["missing"]
    tell_of(walk, "found", names[1])
    assert missing_at(walk, box) == []


# What a reading left to be said is the next row


def row_at_cursor(walk: Walk) -> str:
    shown = steps.rows(walk.state, walk.desk)
    return shown[walk.state.cursor].kind.id if walk.state.cursor < len(shown) else ""


def box_of(walk: Walk, animals: int) -> int:
    """A stop with so many animals, all of them numbered, where nothing is left to be said."""
    return next(
        i
        for i, s in enumerate(walk.route.stops)
        if s.enclosure.stage in ("pairing", "holding")
        and len(s.enclosure.contents) == animals
        and all(c.animal for c in s.enclosure.contents)
    )


def stand_at(walk: Walk, stop: int) -> None:
    press(walk, ["g", *str(walk.route.stops[stop].enclosure.number), "enter"])


def test_who_was_found_dead_and_when_it_was_last_seen_are_the_next_rows(walk: Walk) -> None:
    stop = box_of(walk, 3)
    stand_at(walk, stop)
    press(walk, ["x", "1"])
    assert row_at_cursor(walk) == "say:who-died", "the reading is saved, and this is asked"
    assert walk.drain(10)
    whom = walk.acts.offers(walk.route.enclosure_of(stop))
    names = [typed for typed, _ in next(o for o in whom if o.act == "dead").whom]
    press(walk, ["2"])
    assert row_at_cursor(walk) == "say:seen"
    animal = ref("animal", names[1], walk.acts.ledger)
    assert state_of(walk, animal) == "dead", "recorded at once, whatever comes next"
    press(walk, ["3"])
    one = walk.acts.ledger.row(Animal, animal)
    assert (one.last_seen, one.died) == (walk.day - 3, Span(walk.day - 3, walk.day))
    assert not row_at_cursor(walk).startswith("say:")
    assert not [d for d in walk.route.stops[stop].dues if d.what.startswith("say ")]
    assert walk.drain(10)
    press(walk, ["u"])
    assert state_of(walk, animal) == "alive"
    assert [d for d in walk.route.stops[stop].dues if d.what.startswith("say ")], (
        "and it has to be said again"
    )


def test_of_the_only_one_there_it_is_asked_when_it_was_last_seen_alive(walk: Walk) -> None:
    stop = box_of(walk, 1)
    stand_at(walk, stop)
    press(walk, ["x", "1"])
    assert row_at_cursor(walk) == "say:seen"
    press(walk, ["2"])
    [animal] = [a for a in walk.acts.ledger.rows(Animal) if a.last_seen == walk.day - 2]
    assert (animal.state, animal.died) == ("dead", Span(walk.day - 2, walk.day))
    press(walk, ["u"])
    assert "what was said beside found dead" in walk.state.message
    one = walk.acts.ledger.row(Animal, animal.id)
    assert (one.state, one.died) == ("dead", Span(walk.day, walk.day)), "when it was seen is taken back alone"
    press(walk, ["u"])
    assert state_of(walk, animal.id) == "alive"


def test_two_that_are_missing_are_asked_for_one_after_the_other(walk: Walk) -> None:
    stand_at(walk, box_of(walk, 3))
    press(walk, ["z", "2"])
    asked = []
    for key in ("1", "1", "1", "1"):
        asked.append(row_at_cursor(walk))
        press(walk, [key])
    assert asked == ["say:who-is-missing", "say:seen"] * 2
    assert len([a for a in walk.acts.ledger.rows(Animal) if a.last_seen == walk.day - 1]) == 2


def test_a_row_that_was_left_unanswered_holds_nobody_back_and_is_there_at_the_next_look(book: Path) -> None:
    walk = rack.opened(book, rack.config())
    stop = box_of(walk, 3)
    stand_at(walk, stop)
    press(walk, ["2", "x", "1", "space"])
    assert walk.state.at == stop + 1, "the key that goes on goes on"
    assert walk.close(10) is None
    tomorrow = Walk(book, rack.config(), day=rack.TODAY + 1, clock=lambda: rack.MORNING + 86_400_000)
    tomorrow.look_up_dues()
    assert tomorrow.dues.finder is not None
    assert tomorrow.dues.finder.wait(30)
    tomorrow.take_dues()
    stand_at(tomorrow, stop)
    assert "say:who-died" in [a.kind.id for a in steps.rows(tomorrow.state, tomorrow.desk)]
    press(tomorrow, ["2"])
    assert not row_at_cursor(tomorrow).startswith("say:"), (
        "what was there before takes no key of today's rows"
    )
    assert tomorrow.close(10) is None


def test_with_a_number_pad_the_same_digits_say_it(book: Path) -> None:
    walk = rack.opened(book, rack.config()._replace(commands=dict(PAD)))
    stop = box_of(walk, 3)
    press(walk, ["/", "3", *str(walk.route.stops[stop].enclosure.number), "enter"])
    at = [kind.id for kind in steps.others(walk.state, walk.desk)].index("dead")
    press(walk, ["/", "0", "1", *["0"] * (at // 9), str(at % 9 + 1), "1"])
    assert row_at_cursor(walk) == "say:who-died"
    press(walk, ["1"])
    assert row_at_cursor(walk) == "say:seen"
    press(walk, ["1"])
    assert [a.state for a in walk.acts.ledger.rows(Animal) if a.last_seen == walk.day - 1] == ["dead"]
    assert walk.close(10) is None
