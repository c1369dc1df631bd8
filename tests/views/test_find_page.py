"""Find: whole names first, words in any order, pairs with their matings, acts and notes as they come."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Mating, Pairing, PairingMale
from rounds.store.book import open_book
from rounds.store.visit_search import BookArchive
from rounds.views import find_sentences, named_records, search_index
from rounds.views.page import Link, OpenPage, Page
from rounds.views.search_index import Named, NameIndex, wanted
from rounds.views.sources import Found, Tell
from rounds.walk.core import Walk
from tests.screens import house
from tests.views.conftest import settled


def looked_for(walk: Walk, text: str) -> Page:
    """The page once these letters were typed and everything is found."""
    walk.state = walk.state._replace(pages=())
    house.press(walk, "/", *("space" if c == " " else c for c in text))
    settled(walk)
    return walk.pages.page(walk.state.pages[-1])


def names(page: Page) -> list[tuple[str, str]]:
    return [(row.cells[0], row.cells[1]) for row in page.parts[0].rows]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("tl-014", ("box", "TL-014")),
        ("TL-014", ("box", "TL-014")),
        ("b3-1", ("box", "TL-014")),
        ("14", ("box", "TL-014")),
        ("umber 3", ("animal", "UMBER 3")),
        ("3 umber", ("animal", "UMBER 3")),
        ("UMBER/13", ("animal", "UMBER 13")),
        ("p-12", ("pairing", "P-12")),
        ("umber-03", ("brood", "UMBER-03")),
    ],
)
def test_the_best_match_comes_first(walk: Walk, typed: str, first: tuple[str, str]) -> None:
    assert names(looked_for(walk, typed))[0] == first


def test_two_animals_give_their_pairing_and_every_mating_that_was_seen(walk: Walk) -> None:
    ledger = walk.acts.ledger
    for pairing in ledger.rows(Pairing):
        males = [his.male for his in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing.id))]
        if not males or pairing.female is None:
            continue
        pair = [animal_name(ledger, animal) for animal in (pairing.female, males[0])]
        found = looked_for(walk, " ".join(pair)).parts[0].rows
        mine = [r for r in found if r.link == Link("pairing", pairing.id)]
        seen = list(ledger.rows(Mating, Mating.pairing.is_(pairing.id)))
        assert [r.cells[0] for r in mine].count("pairing") == 1
        assert [r.cells[0] for r in mine].count("mating") == len(seen)
        said = next(r.cells[2] for r in mine if r.cells[0] == "pairing")
        assert ("no mating seen" in said) is (not seen)


def test_acts_that_mention_both_are_found_and_lead_to_their_page(walk: Walk) -> None:
    house.go(walk, 3)
    house.press(walk, "y", "act:mating-seen")
    page = looked_for(walk, "umber 13 umber 14")
    acts = page.parts[1].rows
    assert [r.cells[1] for r in acts] == ["mating seen"]
    assert acts[0].link is not None
    assert acts[0].link.kind == "pairing"
    house.press(walk, *["backspace"] * 20, "left")
    walk.state = walk.state._replace(pages=())
    house.press(walk, "u")
    assert "taken back" in looked_for(walk, "umber 13 umber 14").parts[1].rows[0].cells[2]


def test_words_of_notes_come_in_below_the_newest_first(walk: Walk) -> None:
    page = looked_for(walk, "water corner")
    rows = page.parts[2].rows
    assert rows
    assert all("water" in r.cells[2].casefold() and "corner" in r.cells[2].casefold() for r in rows)
    assert page.wait == ""


def test_a_note_just_typed_is_found(walk: Walk) -> None:
    house.go(walk, 20)
    house.press(walk, "n", *"zinc lid", "enter")
    assert [r.cells[1] for r in looked_for(walk, "zinc").parts[2].rows] == ["TL-020"]


def test_nothing_of_a_name_is_also_said(walk: Walk) -> None:
    page = looked_for(walk, "qqqq")
    assert all(not p.rows for p in page.parts)
    assert [p.empty for p in page.parts] == ["no name with all of this in it", "no act", "none"]


def test_enter_opens_what_was_found_and_back_comes_back_to_it(walk: Walk) -> None:
    house.press(walk, "/", *"p-12", "enter")
    assert walk.state.pages[-1].link.kind == "pairing"
    house.press(walk, "b")
    assert walk.state.pages[-1] == OpenPage(Link("find"), 0, "p-12")
    house.press(walk, *["backspace"] * 9)
    assert walk.state.pages == (OpenPage(Link("find")),), "one press too many leads nowhere"
    assert walk.state.message == "nothing is typed; left goes back"
    house.press(walk, "left")
    assert not walk.state.pages


def test_looked_for_again_it_opens_empty(walk: Walk) -> None:
    house.press(walk, "/", *"p-12", "enter", "/")
    assert walk.state.pages[-1] == OpenPage(Link("find"))
    house.press(walk, *"umber", "enter", "b")
    assert walk.state.pages[-1].query == "umber", "going back comes back to what was found"


def test_on_a_pad_minus_leaves_and_belongs_to_what_is_typed(walk: Walk) -> None:
    walk.desk.commands = walk.config.with_keys("numbers").commands
    house.press(walk, "/", "0", "4", "1", "-", "*", "*", "*")
    assert (walk.state.pages[-1].query, walk.state.message) == ("", "nothing is typed; - goes back")
    house.press(walk, "-")
    assert not walk.state.pages


def test_a_key_never_waits_for_a_slow_archive(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    """Letters echo and names are there while the archive has not answered; an older asking is given up."""
    go, given_up = threading.Event(), []

    def slow(self: BookArchive, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        assert go.wait(30)
        if not tell("halfway", []):
            given_up.append(" ".join(words))
        return []

    monkeypatch.setattr(BookArchive, "find", slow)
    house.press(walk, "/")
    for i, letter in enumerate("kestrel", 1):
        house.press(walk, letter)
        shown = house.screen(walk, 80, 24)
        assert f"look for: {'kestrel'[:i]}_" in shown[1]
    assert any("KESTREL" in line for line in shown)
    assert f"{find_sentences.LOOKING_FOR}:" in shown[1]
    assert walk.pages.page(walk.state.pages[-1]).parts[2].empty == find_sentences.STILL_LOOKING
    go.set()
    settled(walk)
    assert f"{find_sentences.LOOKING_FOR}:" not in house.screen(walk, 80, 24)[1]
    assert "kestrel" not in given_up


def test_what_was_found_so_far_is_shown_before_the_end(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    told, go = threading.Event(), threading.Event()
    real = BookArchive.find

    def halting(self: BookArchive, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        found = real(self, words, most, lambda said, so_far=(): True)
        if list(words) != ["water"]:  # asked for a letter ago
            return found
        tell("looked through 20,000 of 40,000 visits", found[:1])
        told.set()
        assert go.wait(30)
        return found

    monkeypatch.setattr(BookArchive, "find", halting)
    house.press(walk, "/", *"water")
    house.screen(walk, 80, 24)
    assert told.wait(30)
    walk.take_found()
    page = walk.pages.page(walk.state.pages[-1])
    assert len(page.parts[2].rows) == 1
    assert "20,000 of 40,000" in page.wait
    go.set()
    settled(walk)
    assert len(walk.pages.page(walk.state.pages[-1]).parts[2].rows) > 1


# The archive against going through every visit


def test_the_archive_finds_what_going_through_all_notes_does(book: Path) -> None:
    with house.walking(book) as walk:
        house.go(walk, 5)
        house.press(walk, "n", *"WATER rests", "enter")
    with open_book(book, readonly=True) as opened:
        from rounds.store import read

        every = [v for some in read.history(opened, since_day=1).values() for v in some if v.note]
        assert len(every) >= 20
        for words in (["water"], ["water", "rests"], ["the"], ["no such word"], ["e", "a", "t"]):
            meant = {v.uid for v in every if all(w in v.note.casefold() for w in words)}
            found = BookArchive(opened).find(words, 10_000, lambda said, so_far=(): True)
            assert {f.seen.uid for f in found} == meant
            assert [f.seen.day for f in found] == sorted((f.seen.day for f in found), reverse=True)


def test_the_archive_stops_when_nobody_wants_it_any_more(book: Path) -> None:
    said: list[str] = []

    def tell(words: str, so_far: Any = None, /) -> bool:
        said.append(words)
        return False

    with open_book(book, readonly=True) as opened:
        assert BookArchive(opened).find(["e"], 10_000, tell) == []
    assert len(said) == 1


# The index


word = st.text(st.sampled_from("ab1-"), min_size=1, max_size=3)
text = st.lists(word, max_size=4).map(" ".join)
index = st.lists(
    st.builds(Named, st.just("k"), text, text, *[st.none()] * 2, *[st.just("")] * 3), max_size=30
)


@given(index, st.lists(word, min_size=1, max_size=3))
def test_all_that_hold_every_word_are_found_and_no_other(every: list[Named], words: list[str]) -> None:
    found = NameIndex(every).find(words, most=1000)
    held = [n for n in every if all(w in f" {n.name} " or w in f" {n.kind} {n.about} " for w in words)]
    assert sorted(map(id, found)) == sorted(map(id, held))


@given(index, word)
def test_a_whole_word_is_never_behind_a_part_of_one(every: list[Named], asked: str) -> None:
    def worth(n: Named) -> int:
        ways = (asked in n.name.split(), any(x.startswith(asked) for x in n.name.split()), asked in n.name)
        return next((i for i, way in enumerate(ways) if way), len(ways))

    found = [worth(n) for n in NameIndex(every).find([asked], most=1000)]
    assert found == sorted(found)


@given(index, word)
def test_of_too_many_the_best_are_kept(every: list[Named], asked: str) -> None:
    made = NameIndex(every)
    assert made.find([asked], most=3) == made.find([asked], most=1000)[:3]


def test_case_and_the_sign_between_line_and_number_do_not_matter() -> None:
    assert wanted("  Umber/3  ") == wanted("UMBER 3") == ["umber", "3"]


@pytest.mark.parametrize(
    ("held", "typed"),
    [
        ("Größe", "grosse"),
        ("Größe", "GRO\u0308SSE"),
        ("Äthiop", "athiop"),
        ("Zoë", "zoe"),
        ("ﬁne", "fine"),
        ("Ærø", "æro"),
    ],
)
def test_accents_and_how_they_were_typed_do_not_matter(held: str, typed: str) -> None:
    every = [Named("line", "x", f"from {held}"), Named("line", "grass", "other")]
    if held == "Ærø":  # letters of their own are no accents
        assert NameIndex(every).find(wanted(typed)) == []
    else:
        assert NameIndex(every).find(wanted(typed)) == every[:1]
    assert NameIndex(every).find(wanted(held)) == every[:1]


def test_accents_do_not_matter_in_notes_either(walk: Walk) -> None:
    house.press(walk, "n", *"schöne Größe", "enter")
    assert walk.drain(30)
    for typed in ("grosse", "Größe", "schone grösse"):
        assert [row.cells[2] for row in looked_for(walk, typed).parts[-1].rows] == ["schöne Größe"]
    assert looked_for(walk, "grasse").parts[-1].rows == []


def test_names_are_ready_before_the_first_letter(walk: Walk, monkeypatch: pytest.MonkeyPatch) -> None:
    """They are gone through beside the keys from the opening of the page on: no letter has to wait for it."""
    page = looked_for(walk, "")
    assert page.typed

    def never(every: Sequence[Named]) -> NameIndex:
        raise AssertionError("a letter had to wait")

    monkeypatch.setattr(named_records, "NameIndex", never)
    monkeypatch.setattr(search_index, "_Words", never)
    assert names(looked_for(walk, "tl-014"))[0] == ("box", "TL-014")


def test_one_letter_says_that_acts_and_notes_take_two(walk: Walk) -> None:
    last = looked_for(walk, "k").parts[-1]
    assert (last.title, last.empty) == ("acts, and notes of visits", "from two letters on")
    assert looked_for(walk, "ki").parts[-1].title == find_sentences.VISIT_NOTES


def test_a_sentence_that_finds_nothing_is_told_to_use_fewer_words(walk: Walk) -> None:
    [part] = looked_for(walk, "did we ever see this pair mate").parts
    assert part.title == "nothing found"
    assert part.empty == find_sentences.FEWER_WORDS
    assert [p.title for p in looked_for(walk, "zzzz").parts] == ["names", "acts", "notes of visits"]


def test_of_equally_good_matches_the_living_come_first(walk: Walk) -> None:
    ledger = walk.pages.lookup.ledger
    found = [row.link for row in looked_for(walk, "umber").parts[0].rows]
    alive = [
        ledger.row(Animal, int(link.id)).state == "alive" for link in found if link and link.kind == "animal"
    ]
    assert any(alive)
    assert alive == sorted(alive, reverse=True)
