"""Whom to pair: ranked beside the keys, looked at closely, chosen by one key, offered at the rack tomorrow."""

from __future__ import annotations

import threading
from pathlib import Path
from typing import Any

import pytest

from rounds.analysis.pairing.book_pairings import rank
from rounds.due import planned_pairings
from rounds.screens.board import compose
from rounds.store import ledger_store as stored
from rounds.store.book import open_book
from rounds.views import match_page, match_sentences
from rounds.views.page import Link, ListRow, OpenPage, Page
from rounds.views.sources import Slow
from rounds.walk.core import Walk
from tests.screens import house
from tests.views.conftest import ready, settled


def to_match(walk: Walk) -> Page:
    house.press(walk, "right", "7")
    settled(walk)
    return walk.pages.page(OpenPage(Link("match")))


def pairs(page: Page) -> list[ListRow]:
    part = next(p for p in page.parts if p.title == match_sentences.CAN_BE_MADE)
    return list(part.rows)


def test_the_list_is_the_ranking_of_the_books(walk: Walk) -> None:
    found = pairs(to_match(walk))
    ranked = rank(walk.acts.ledger, walk.config.species, walk.day)
    assert found
    assert [(r.cells[1], r.cells[2]) for r in found] == [(x.pair.female, x.pair.male) for x in ranked]
    for species in {x.species for x in ranked}:
        highs = [x.pair.f.high for x in ranked if x.species == species]
        assert highs == sorted(highs)  # by what it is at most: unknown parents are never a reward
    for r, x in zip(found, ranked, strict=True):
        assert r.cells[5] == "; ".join(x.pair.brief)
        crossed = [w for w in x.pair.warnings if w not in x.pair.brief]
        assert all(w.startswith("crosses the lines") for w in crossed), "what to mind is never left out"


def test_everybody_grown_is_offered_or_said_why_not(walk: Walk) -> None:
    page = to_match(walk)
    offered = {name for r in pairs(page) for name in r.cells[1:3]}
    out = next(p for p in page.parts if p.title == "not now")
    assert {r.cells[0] for r in out.rows}.isdisjoint(offered)
    assert all(r.cells[1] for r in out.rows)
    assert all(r.link is not None and r.link.kind == "animal" for r in out.rows)


def test_a_pair_is_looked_at_closely(walk: Walk) -> None:
    row = pairs(to_match(walk))[0]
    house.press(walk, "enter")
    settled(walk)
    settled(walk)
    page = walk.pages.page(walk.state.pages[-1])
    assert walk.state.pages[-1].link == row.link
    titles = [p.title for p in page.parts]
    assert titles[0] == "choose"
    assert {"why, and what to mind", "others for her", "others for him", "ancestors of both"} <= set(titles)
    tree = next(p for p in page.parts if p.title == match_sentences.ANCESTORS)
    assert any(row.cells[1] in r.cells[0] for r in tree.rows)
    assert any(row.cells[2] in r.cells[0] for r in tree.rows)
    text = "\n".join(house.screen(walk, 80, 24))
    assert row.cells[3] in text


def test_choosing_plans_it_moves_nobody_and_tomorrow_offers_it(book: Path) -> None:
    with house.walking(book) as walk:
        ready(walk)
        row = pairs(to_match(walk))[0]
        before = planned_pairings.homes(walk.acts.ledger)
        house.press(walk, "y")
        assert "planned" in walk.state.message
        assert walk.state.pages  # still on the list, to choose another
        assert planned_pairings.homes(walk.acts.ledger) == before
        settled(walk)
        after = walk.pages.page(OpenPage(Link("match")))
        assert after.parts[0].title == "planned"
        assert all((r.cells[1], r.cells[2]) != row.cells[1:3] for r in pairs(after))
        stop = walk.route.stop_of(row.enclosure or 0)
        assert stop is not None
    with open_book(book, readonly=True) as opened:
        (planned,) = planned_pairings.open_plans(stored.load(opened))
    assert planned.pairing is None
    assert "F " in planned.why
    with house.walking(book, day=house.DAY + 1) as tomorrow:
        ready(tomorrow)
        house.go(tomorrow, tomorrow.route.stops[stop].enclosure.number)
        assert any("planned pairing" in d.what for d in tomorrow.route.stops[stop].dues)
        assert "plan-made" in [o.act for o in tomorrow.desk.offers(stop)]


def test_a_choice_is_taken_back_by_one_key(walk: Walk) -> None:
    to_match(walk)
    house.press(walk, "y")
    assert list(planned_pairings.open_plans(walk.acts.ledger))
    house.press(walk, "u")
    assert not list(planned_pairings.open_plans(walk.acts.ledger))


class Later:
    """What pages ask, with nothing worked out yet."""

    def __init__(self, walk: Walk) -> None:
        self._of = walk.pages.lookup

    def __getattr__(self, name: str) -> Any:
        return getattr(self._of, name)

    def slow(self, name: str, key: str, work: Any) -> Slow:
        return Slow(None, "kinship: 12 of 300 animals")


def test_while_it_is_worked_out_the_page_says_how_far_it_is(walk: Walk) -> None:
    page = match_page.build(OpenPage(Link("match")), Later(walk))
    assert "12 of 300" in page.wait
    assert not any(p.title == match_sentences.CAN_BE_MADE for p in page.parts)


def test_no_key_waits_for_the_ranking(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    """The thread is held back until the keys are through; a key that waited for it would never be."""
    gate = threading.Event()

    def held(*args: Any, **more: Any) -> Any:
        assert gate.wait(30)
        return rank(*args, **more)

    monkeypatch.setattr("rounds.analysis.pairing.book_pairings.rank", held)
    house.press(walk, "right", "7")
    for key in ("down", "b", "b", "2", "u"):
        walk.press(key)
        compose(walk, 80, 24)
    assert not gate.is_set()
    gate.set()
    assert walk.pages.lookup.behind.wait(30)


@pytest.mark.parametrize("size", house.SIZES, ids=str)
def test_both_pages_fit_their_screens(walk: Walk, size: tuple[int, int]) -> None:
    to_match(walk)
    for keys in ((), ("enter",)):
        house.press(walk, *keys)
        settled(walk)
        settled(walk)
        lines = house.screen(walk, *size)
        assert len(lines) == size[1]
        assert all(len(line) == size[0] for line in lines)
