"""Several walks on one book: each shows what the others committed, and no key changes its meaning by it."""

from __future__ import annotations

import random
import sqlite3
from collections.abc import Iterator
from contextlib import ExitStack, closing
from pathlib import Path

import pytest

from rounds.config import for_acts
from rounds.records.entries import RecordActEntry
from rounds.records.observations import Visit
from rounds.records.tables import Enclosure
from rounds.store import recording
from rounds.store.book import open_book
from rounds.store.ids import Ids
from rounds.walk import others_news, others_words, together
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.taking_in import TakingIn
from tests.conftest import demo_of
from tests.endtoend.keys import some_keys
from tests.sampled import sampled
from tests.screens import house


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(house.DAY, tmp_path_factory)


class Keepers:
    """Walks of keepers on one book; each is opened with ``walk`` and closed at the end of the test."""

    def __init__(self, book: Path, stack: ExitStack) -> None:
        self.book, self._stack = book, stack

    def walk(self, keeper: str) -> Walk:
        walk = Walk(self.book, house.shipped(), keeper=keeper, day=house.DAY, clock=house.Clock())
        self._stack.callback(lambda: walk.close(10))
        return walk

    def rows(self, sql: str) -> list[tuple[object, ...]]:
        with closing(sqlite3.connect(self.book)) as db:
            return db.execute(sql).fetchall()


@pytest.fixture
def keepers(demo: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Keepers]:
    monkeypatch.setattr(together, "CALM", 0.0)  # nobody waits for a pause between two keys
    with ExitStack() as stack:
        yield Keepers(house.copied(demo, tmp_path), stack)


def screen(walk: Walk, width: int = 120) -> str:
    return "\n".join(house.screen(walk, width, 40))


def record(book: Path, act: str, subject: str, keeper: str = "Wren", **typed: str) -> None:
    with open_book(book) as opened:
        now = house.Clock()
        entry = RecordActEntry(Ids(now).new(), act, subject, typed, house.DAY, now(), keeper, sure=True)
        recording.record(opened, entry, lambda: for_acts(house.shipped()))


def test_what_another_reads_is_told_and_stands_in_todays_column(keepers: Keepers) -> None:
    mine, theirs = keepers.walk("Ferrow"), keepers.walk("Wren")
    stop, code = mine.state.at, mine.route.label(mine.state.at)
    assert not mine.look_about()
    house.press(theirs, "m", "2")
    assert mine.look_about()
    assert f"Wren at {code}: " in mine.news
    assert "right" in mine.news
    shown = screen(mine)
    assert "right · Wren" in shown  # today's column
    assert "TODAY Wren 0" in shown
    assert "HERE Wren is at this box too." in shown
    assert stop not in mine.round.visits, "what another saw is not seen by this round"
    assert mine.state.looks.get(stop) is None


def test_news_is_shown_however_much_of_it_came_before(keepers: Keepers) -> None:
    mine, theirs = keepers.walk("Ferrow"), keepers.walk("Wren")
    mine.look_about()
    for i in range(others_news.REMEMBERED + 2):
        house.press(theirs, "m", "2" if i % 2 else "3")
        assert mine.look_about(), f"piece of news {i + 1} was not shown"


def test_control_nothing_is_seen_by_who_does_not_look(keepers: Keepers) -> None:
    mine, theirs = keepers.walk("Ferrow"), keepers.walk("Wren")
    house.press(theirs, "m", "2")
    assert mine.news == ""
    assert "Wren" not in screen(mine)


def test_own_commits_are_no_news(keepers: Keepers) -> None:
    mine = keepers.walk("Ferrow")
    mine.look_about()
    for key in ("m", "3", "space", "space", "n", "x", "enter", "u", "space", "space"):
        house.press(mine, key)
        assert not mine.look_about() or not mine.news, key
    assert (mine.news, mine.unsettled) == ("", False)


def test_an_action_that_another_has_done_is_refused_when_it_is_done_here(keepers: Keepers) -> None:
    mine, theirs = keepers.walk("Ferrow"), keepers.walk("Wren")
    stop = next(i for i in range(mine.route.count()) if len(mine.desk.actions(i)) == 1)
    number = mine.route.stops[stop].enclosure.number
    house.go(mine, number)
    house.go(theirs, number)
    house.press(theirs, "d")
    mine.look_about()
    assert "done: " in mine.news
    assert len(mine.desk.actions(stop)) == 1, "what d means here does not change under the finger"
    house.press(mine, "d")
    mine.take_refusals()
    assert "by Wren" in mine.refusal
    [(state, keeper)] = keepers.rows(
        "SELECT a.state, k.name FROM action a JOIN action_change c ON c.action = a.id JOIN keeper k ON k.id = c.keeper"
        f" WHERE a.enclosure = {mine.route.stops[stop].enclosure.id} AND a.state = 'done' ORDER BY c.id DESC LIMIT 1"
    )
    assert (state, keeper) == ("done", "Wren")
    house.press(mine, "u")
    assert keepers.rows(f"SELECT count(*) FROM action WHERE state = 'done' AND closed = {house.DAY}") == [
        (1,)
    ]


def test_an_act_of_another_is_shown_everywhere_but_moves_nothing(keepers: Keepers) -> None:
    mine = keepers.walk("Ferrow")
    elsewhere = next(
        i
        for i, s in enumerate(mine.route.stops)
        if i and s.enclosure.stage == "holding" and s.enclosure.place
    )
    box = mine.route.stops[elsewhere].enclosure
    mine.desk.acts.offers(box.id)  # the books are at hand
    mine.look_about()
    record(keepers.book, "lock", box.code, forbids="move", until="2026-04-01", reason="cracked lid")
    at = mine.state
    assert mine.look_about()
    assert box.code in mine.news
    assert mine.state[:4] == at[:4]
    assert mine.books.ledger.row(Enclosure, box.id).code == box.code
    assert "cracked lid" in [lock.reason for lock in mine.route.stops[elsewhere].locks]


def test_an_open_list_keeps_its_digits_until_it_is_closed(keepers: Keepers) -> None:
    mine = keepers.walk("Ferrow")
    stop = next(i for i, s in enumerate(mine.route.stops) if s.enclosure.stage == "holding")
    house.go(mine, mine.route.stops[stop].enclosure.number)
    house.press(mine, "y")
    mine.look_about()
    before, due = mine.state.mode.prompt(mine.state, mine.desk), mine.desk.due_here(stop)
    code = mine.route.label(stop)
    record(keepers.book, "look-again", code, about="mites", because="a few", **{"in": "+0"})
    assert mine.look_about()
    assert code in mine.news
    assert (mine.state.mode.prompt(mine.state, mine.desk), mine.desk.due_here(stop)) == (before, due)
    house.press(mine, "backspace")
    mine.look_about()
    assert mine.desk.due_here(stop) != due, "the new work is due here now"


def test_one_keeper_at_two_terminals_has_one_round_and_one_visit_a_box(keepers: Keepers) -> None:
    one, two = keepers.walk("Ferrow"), keepers.walk("Ferrow")  # neither has opened the round
    for key in ("m", "2", "space", "space", "m", "2", "space", "space"):
        one.press(key)
        two.press(key)
    assert one.drain(10)
    assert two.drain(10)
    rounds = keepers.rows(f'SELECT count(*) FROM "round" WHERE day = {house.DAY}')
    assert rounds == [(1,)]
    assert keepers.rows("SELECT count(*) FROM visit GROUP BY round, enclosure HAVING count(*) > 1") == []
    assert keepers.rows("SELECT count(*) FROM visit GROUP BY round, seq HAVING count(*) > 1") == []
    assert keepers.rows("SELECT seq FROM step GROUP BY round, seq HAVING count(DISTINCT walk) > 1") == []
    assert keepers.rows("SELECT count(DISTINCT walk) FROM step") == [(2,)]


def test_the_second_terminal_says_that_it_joined_and_both_see_the_cells_of_the_other(
    keepers: Keepers,
) -> None:
    one = keepers.walk("Ferrow")
    house.press(one, "m", "2", "space")
    two = keepers.walk("Ferrow")
    assert two.news.startswith("joined your round of today, 1 of 60")
    house.press(two, "g", *str(two.route.stops[5].enclosure.number), "enter", "m", "3")
    assert one.look_about()
    assert "your other terminal" in one.news
    assert one.round.looked(5)
    assert one.state.looks[5].cells["moisture"] == two.state.looks[5].cells["moisture"]
    assert one.round.flags(5) == two.round.flags(5)


def test_who_goes_on_after_leaving_joins_nobody(keepers: Keepers) -> None:
    """The same terminal after quit: nobody else is in the round, and its steps are there to be taken back."""
    one = keepers.walk("Ferrow")
    house.press(one, "m", "2", "space")
    assert one.close(10) is None
    again = keepers.walk("Ferrow")
    assert again.news == ""
    assert again.round.visited == 1
    house.press(again, "u")
    assert again.state.message.startswith("taken back"), again.state.message
    house.press(again, "m", "3")
    third = keepers.walk("Ferrow")
    assert third.news.startswith("joined your round of today"), "the second goes on"


def test_undo_takes_back_what_this_terminal_did_last(keepers: Keepers) -> None:
    one, two = keepers.walk("Ferrow"), keepers.walk("Ferrow")
    house.press(one, "m", "2")
    house.press(two, "g", *str(two.route.stops[5].enclosure.number), "enter", "m", "3")
    one.look_about()
    two.look_about()
    house.press(one, "u")
    two.look_about()
    assert two.state.looks[5].cells["moisture"] is not None
    assert two.state.looks[0].cells.get("moisture") is None
    assert [s.stop for s in two.state.steps] == [5]
    three = keepers.walk("Ferrow")  # joins; it cannot know yet whether the others go on
    house.press(two, "d") if two.desk.actions(5) else house.press(two, "n", "x", "enter")
    three.look_about()
    assert three.state.steps == (), "another terminal goes on: what it did is not taken back from here"


def meaning(walk: Walk) -> tuple[object, ...]:
    """What the next key means: the place, the asked row, and every answer that is offered with its key."""
    state = walk.state
    rows = steps.rows(state, walk.desk)
    here = [] if walk.over else [(a.uid, a.state) for a in walk.desk.actions(state.at)]
    pages = [(page.link, page.query, page.cursor, walk.desk.page(page)) for page in state.pages]
    listed = walk.desk.listed() if walk.over else ()
    asked = rows[state.cursor].kind.id if state.cursor < len(rows) else None
    prompt = state.mode.prompt(state, walk.desk) if state.mode.name != "walk" else None
    row = listed[state.cursor] if walk.over and state.cursor < len(listed) else None
    return state.at, state.mode, asked, prompt, here, pages, row and (row[0], row[1] and row[1].uid)


def burst(keepers: Keepers, seed: int, partner: str) -> None:
    """Random keys, and between any two of them those of ``partner``, whose worst are at the very box; and acts."""
    draw = random.Random(seed)
    mine, theirs = keepers.walk("Ferrow"), keepers.walk(partner)
    if seed % 2:
        mine.desk.acts.offers(mine.route.enclosure_of(0))  # the books are at hand
    seen = 0
    theirs_keys = iter(some_keys(random.Random(seed + 1000), 400))
    for key in some_keys(draw, 80):
        mine.press(key)
        if draw.random() < 0.4:
            for _ in range(draw.randint(1, 4)):
                theirs.press(next(theirs_keys))
            house.press(theirs, "enter", *["backspace"] * 9)
            here = None if mine.over else mine.route.stops[mine.state.at].enclosure
            if here is not None and theirs.state.mode.name == "walk" and draw.random() < 0.7:
                house.go(theirs, here.number)
                house.press(theirs, draw.choice("dm"), draw.choice("13"))
            if here is not None and draw.random() < 0.2:
                forbids = draw.choice(("open", "dig", "move"))
                record(keepers.book, "lock", here.code, forbids=forbids, until="2026-04-01", reason="a crack")
        if draw.random() < 0.5:
            assert mine.drain(10)
            before = meaning(mine)
            seen += mine.look_about()
            assert meaning(mine) == before, "a key has another meaning now"
            theirs.look_about()
    assert seen, "nothing was seen, nothing was tried"
    assert keepers.rows("SELECT count(*) FROM visit GROUP BY round, enclosure HAVING count(*) > 1") == []


@pytest.mark.parametrize("seed", range(sampled(1, 40)))
@pytest.mark.parametrize("partner", ["Wren", "Ferrow"])
def test_no_key_changes_its_meaning_by_what_others_commit(keepers: Keepers, seed: int, partner: str) -> None:
    """``Ferrow`` is the same keeper, at another terminal."""
    burst(keepers, seed, partner)


def test_control_keys_change_their_meaning_where_all_is_taken_in_at_once(
    keepers: Keepers, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(TakingIn, "_held", lambda _: (None, None))
    monkeypatch.setattr(TakingIn, "settled", lambda _: True)
    with pytest.raises(AssertionError, match="a key has another meaning now"):
        burst(keepers, 0, "Wren")


def test_all_is_as_usual_only_where_nothing_else_was_read() -> None:
    kinds = house.shipped().vocabulary.kinds
    looked = Visit(b"v" * 16, 1, house.DAY, 0, {}, {"mites": "none"})
    assert others_words.all_words(looked, kinds, ()) == "all as usual"
    odd = looked._replace(read={"on_back": True})
    assert others_words.all_words(odd, kinds, ()) == "on its back yes, the rest as usual"


def test_who_left_a_box_is_not_said_to_be_there(keepers: Keepers) -> None:
    """A partner who quits stands nowhere any more, however lately it was."""
    mine, theirs = keepers.walk("Ferrow"), keepers.walk("Wren")
    mine.look_about()
    house.press(theirs, "m", "2")
    assert theirs.drain(10)
    assert mine.look_about()
    assert mine.others_here(theirs.state.at) == ("Wren",)
    theirs.close(10)
    assert mine.look_about()
    assert mine.others_here(theirs.state.at) == ()
