"""What a book answers: shelf order, who is where, what is locked and due, visits in their order."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.husbandry.locks import ActiveLock
from rounds.records.entries import (
    AS_EXPECTED,
    NOTE,
    SKIPPED,
    Assign,
    CloseRound,
    Entry,
    OpenRound,
    OpenVisit,
    SetActionEntry,
    SetFlag,
)
from rounds.records.observations import NOTHING, Action, Flag, House, Occupant, Slot
from rounds.store import read
from rounds.store.apply_entries import apply
from rounds.store.book import Book, create
from rounds.store.ids import Ids
from rounds.store.read_house import _natural
from rounds.store.visit_search import BookArchive
from rounds.values.spans import Span
from tests.store.houses import DAY, HOUSE, NOON, Steady, fill, furnish, walk


def put(book: Book, *entries: Entry) -> None:
    with book.writing():
        apply(book, entries)


def one_visit(
    uid: bytes,
    enclosure: int,
    day: int,
    *cells: tuple[str, Any],
    at: int = NOON,
    keeper: str = "Ferrow",
    name: str = "",
) -> list[Entry]:
    """A round of one visit; the round's uid is the visit's, reversed."""
    out: list[Entry] = [
        OpenRound(uid[::-1], keeper, day, at, HOUSE.zone, name),
        OpenVisit(uid, uid[::-1], enclosure, 1, at),
    ]
    return [*out, *(Assign(uid, kind, 1, None, value, at, keeper) for kind, value in cells)]


def uid(n: int) -> bytes:
    return n.to_bytes(8, "big") + b"visit678"


# Shelf order


def place_all(book: Book, spots: list[tuple[str, int, int]]) -> None:
    with book.writing():
        for i, spot in enumerate(dict.fromkeys(spots), 1):
            book.run("INSERT INTO place (id, bay, shelf, slot) VALUES (?, ?, ?, ?)", (i, *spot))
        ids = {tuple(row[1:]): row[0] for row in book.rows("SELECT id, bay, shelf, slot FROM place")}
        for i, spot in enumerate(spots, 1):
            book.run(
                "INSERT INTO enclosure (code, number, stage, place, slot_order, species, note)"
                " VALUES (?, ?, 'larvae', ?, ?, '', '')",
                (f"TL-{i:03}", i, ids[spot], spots[:i].count(spot)),
            )


SPOTS = [
    ("B", 1, 1),
    ("A", 2, 1),
    ("A", 2, 2),
    ("A", 1, 2),
    ("A", 1, 1),
    ("A10", 1, 1),
    ("A2", 1, 1),
    ("A", 2, 2),
    ("A", 3, 1),
]


@pytest.mark.parametrize(
    ("order", "wanted"),
    [
        ("straight", ["A1-1", "A1-2", "A2-1", "A2-2", "A2-2", "A3-1", "A21-1", "A101-1", "B1-1"]),
        ("serpentine", ["A1-1", "A1-2", "A2-2", "A2-2", "A2-1", "A3-1", "A21-1", "A101-1", "B1-1"]),
    ],
)
def test_shelf_order(path: Path, order: str, wanted: list[str]) -> None:
    with create(path, House("Tarn", "UTC", order=order)) as book:
        place_all(book, SPOTS)
        with book.writing():
            book.run(
                "INSERT INTO enclosure (code, number, stage, slot_order, species, note) VALUES ('X', 99, 'prepared', 0, '', '')"
            )
        found = read.enclosures(book)
        assert [e.place.address for e in found if e.place] == wanted
        assert (found[-1].code, found[-1].place) == ("X", None)  # in no place: last
        assert [e.number for e in found if e.place and e.place.address == "A2-2"] == [
            3,
            8,
        ]  # as they stand in the slot
        assert [e.number for e in read.enclosures(book, ["B", "A10"])] == [6, 1]


@given(st.lists(st.from_regex(r"[A-Ca-c]?[0-9]{0,2}", fullmatch=True)))
def test_bays_sort_by_letters_and_numbers(bays: list[str]) -> None:
    plain = sorted({b for b in bays if b.isdigit()}, key=_natural)
    assert plain == sorted(plain, key=int) or len({int(b) for b in plain}) < len(plain)
    sorted(bays, key=_natural)  # any two compare


def test_who_is_inside(book: Book) -> None:
    with book.writing():
        for name in ("UMBER", "BRAMBLE"):
            book.run(
                "INSERT INTO line (name, species, origin, generation, note) VALUES (?, '', '', '', '')",
                (name,),
            )
        for n in ("10", "9", "03"):
            book.run(
                "INSERT INTO animal (line, number, sex, sexed_how, state, note) VALUES (1, ?, 'f', '', '', '')",
                (n,),
            )
        put_in = (
            "INSERT INTO content (enclosure, animal, line, males, females, unsexed, at_least, instar, until_earliest)"
            " VALUES (1, ?, ?, ?, ?, ?, ?, ?, ?)"
        )
        book.run(put_in, (None, 2, 4, 6, 0, 1, "", None))
        for animal in (1, 2, 3):
            book.run(put_in, (animal, None, 0, 0, 0, 0, "", DAY if animal == 3 else None))
        book.run(put_in, (None, 2, 0, 0, 14, 1, "L1", None))
    (e, *_) = read.enclosures(book)
    assert e.contents == (
        Occupant("UMBER", "9", "f"),
        Occupant("UMBER", "10", "f"),
        Occupant("BRAMBLE", "", "unknown", 4, 6, 0, True),
        Occupant("BRAMBLE", "", "unknown", 0, 0, 14, True, "L1"),
    )
    assert e.adults == 12
    assert e.place == Slot(1, "A", 1, 1)


# Locks and dues


def test_locks_hold_until_their_last_day_and_follow_the_animal(book: Book) -> None:
    with book.writing():
        book.run(
            "INSERT INTO line (name, species, origin, generation, note) VALUES ('UMBER', '', '', '', '')"
        )
        book.run(
            "INSERT INTO animal (line, number, sex, sexed_how, state, note) VALUES (1, '7', 'm', '', '', '')"
        )
        for enclosure, until in ((1, DAY), (2, None)):
            book.run(
                "INSERT INTO content (enclosure, animal, males, females, unsexed, at_least, instar, until_earliest)"
                " VALUES (?, 1, 0, 0, 0, 0, '', ?)",
                (enclosure, until),
            )
        add = (
            "INSERT INTO lock (enclosure, animal, forbids, from_day, until_earliest, until_latest, until_words, reason, lifted)"
            " VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
        )
        book.run(add, (1, None, "dig", DAY, DAY + 3, DAY + 5, "about a week", "fresh eggs", None))
        book.run(add, (None, 1, "open move wet", DAY, None, None, None, "in its cell", None))
        book.run(add, (3, None, "move", DAY, None, None, None, "settling", DAY + 2))
    week = ActiveLock(("dig",), Span(DAY + 3, DAY + 5, "about a week"), "fresh eggs")
    cell = ActiveLock(("open", "move", "wet"), None, "in its cell", "7")
    settling = ActiveLock(("move",), None, "settling")
    assert read.locks(book, DAY - 1) == {}
    assert read.locks(book, DAY) == {1: [week], 2: [cell], 3: [settling]}
    assert read.locks(book, DAY + 2) == {1: [week], 2: [cell]}
    assert read.locks(book, DAY + 5) == {1: [week], 2: [cell]}
    assert read.locks(book, DAY + 6) == {2: [cell]}


def test_dues_whose_window_is_open(book: Book) -> None:
    with book.writing():
        add = "INSERT INTO due (enclosure, what, earliest, likely, latest, words, why, done) VALUES (1, ?, ?, ?, ?, '', '', ?)"
        book.run(add, ("search", DAY - 2, None, DAY + 9, None))
        book.run(add, ("substrate", DAY, DAY + 1, DAY + 20, None))
        book.run(add, ("later", DAY + 8, None, DAY + 9, None))
        book.run(add, ("weigh-in", DAY - 9, None, DAY - 8, DAY - 8))
    assert [(d.what, d.likely, d.window) for d in read.dues(book, DAY + 7)[1]] == [
        ("substrate", DAY + 1, Span(DAY, DAY + 20)),
        ("search", None, Span(DAY - 2, DAY + 9)),
    ]


# Visits


def test_a_visit_with_all_it_can_hold(book: Book) -> None:
    confirmed = {"moisture": "right", "dead": (0, 2), "lid": True}
    cells = [
        ("jelly_gone", 3),
        ("shelf_temp", 24.5),
        ("on_back", True),
        ("smell", "sour"),
        (NOTE, "odd"),
        (AS_EXPECTED, confirmed),
    ]
    put(book, *one_visit(uid(1), 1, DAY, *cells))
    put(book, Assign(uid(1), "tunnels", 2, None, False, NOON, "Ferrow"))
    (seen,) = read.history(book, since_day=DAY)[1]
    assert seen.read == {
        "jelly_gone": 3,
        "shelf_temp": 24.5,
        "on_back": True,
        "smell": "sour",
        "tunnels": False,
    }
    assert seen.confirmed == confirmed
    assert (seen.note, seen.skipped, seen.depth, seen.keeper, seen.shelf, seen.day) == (
        "odd",
        "",
        2,
        "Ferrow",
        "A1",
        DAY,
    )
    assert (seen.uid, seen.enclosure, seen.at_ms) == (uid(1), 1, NOON)
    assert seen.looked


def test_an_empty_confirmation_is_not_the_absence_of_one(book: Book) -> None:
    put(book, *one_visit(uid(1), 1, DAY, (AS_EXPECTED, {})))
    put(book, *one_visit(uid(2), 1, DAY + 1))
    first, second = read.history(book, since_day=DAY)[1]
    assert (first.confirmed, second.confirmed) == ({}, {})
    assert first.confirmed is not NOTHING
    assert second.confirmed is NOTHING
    assert (first.looked, second.looked) == (True, False)


def test_history_is_by_round_day_and_sequence_whatever_the_clock_said(book: Book) -> None:
    """The clock stood in 1970 for a day and was set back during another."""
    put(book, *one_visit(uid(1), 1, DAY - 2, ("dead", 0), at=NOON))
    put(book, *one_visit(uid(2), 1, DAY - 1, ("dead", 1), at=5))
    put(book, *one_visit(uid(3), 1, DAY, ("dead", 2), at=NOON))
    put(book, *one_visit(uid(4), 1, DAY, ("dead", 3), at=NOON - 3_600_000, name="evening"))
    wanted = [uid(2), uid(3), uid(4)]
    assert [s.uid for s in read.history(book, since_day=DAY - 1)[1]] == wanted
    assert [s.uid for s in read.last_visits(book, 1, 3)] == wanted
    assert [s.uid for s in read.last_visits(book, 1, 9)] == [uid(1), *wanted]


def test_rounds_loaded_later_for_earlier_days_find_their_place(book: Book) -> None:
    put(book, *one_visit(uid(5), 1, DAY, ("dead", 0)))
    assert [s.uid for s in read.last_visits(book, 1, 2)] == [uid(5)], "read before, in the order it had then"
    put(book, *one_visit(uid(6), 1, DAY - 30, ("dead", 1)))
    assert [s.uid for s in read.last_visits(book, 1, 2)] == [uid(6), uid(5)]
    assert [s.uid for s in read.last_visits(book, 1, 1)] == [uid(5)]
    assert [s.uid for s in read.history(book, since_day=DAY - 30)[1]] == [uid(6), uid(5)]
    assert [s.uid for s in read.history(book, since_day=DAY - 29)[1]] == [uid(5)]


def test_history_of_some_enclosures_until_an_instant(book: Book) -> None:
    for n in range(6):
        put(book, *one_visit(uid(n), n % 3 + 1, DAY + n // 3, ("dead", n), at=NOON + n))
    assert {e: len(s) for e, s in read.history(book, since_day=DAY).items()} == {1: 2, 2: 2, 3: 2}
    assert {e: len(s) for e, s in read.history(book, since_day=DAY, until_ms=NOON + 3).items()} == {
        1: 2,
        2: 1,
        3: 1,
    }
    assert set(read.history(book, since_day=DAY, enclosures=[2, 3, 77])) == {2, 3}
    assert read.history(book, since_day=DAY, enclosures=[]) == {}
    assert set(read.history(book, since_day=DAY, enclosures=range(2, 2000))) == {
        2,
        3,
    }  # more than one IN (…) can hold
    assert read.history(book, since_day=DAY + 9) == {}


def test_corrections_are_the_newest_of_readings_and_then_all_keys_of_the_newest_notes(book: Book) -> None:
    """A note is corrected key by key: its keys must not crowd out the readings, nor these the note."""
    keys = [("note", "l"), ("note", "li"), ("note", "lid")]
    put(book, *one_visit(uid(1), 1, DAY, ("dead", 0), ("dead", 1), ("dead", 2), *keys))
    found = BookArchive(book).corrections(1)
    assert [
        (c.enclosure, c.day, c.change.visit, c.change.kind, c.change.old, c.change.new) for c in found
    ] == [
        (1, DAY, uid(1), "dead", 1, 2),
        (1, DAY, uid(1), "note", "li", "lid"),
        (1, DAY, uid(1), "note", "l", "li"),
    ]


def test_visits_of_a_round_are_by_sequence(book: Book) -> None:
    clock = Steady()
    entries = walk(Ids(clock), clock, DAY, [3, 1, 2], [("dead", 0)])
    put(book, *entries)
    found = read.visits_of_round(book, entries[0].uid)  # type: ignore[union-attr]
    assert [s.enclosure for s in found] == [3, 1, 2]
    assert read.visits_of_round(book, b"?" * 16) == []
    assert read.enclosure_of_visit(book, found[0].uid) == 3
    assert read.enclosure_of_visit(book, b"?" * 16) is None


def test_what_was_read_once_for_a_shelf(path: Path) -> None:
    with create(path, HOUSE) as book:
        furnish(book, 8)  # A1-1 to A1-4, A2-1 to A2-4
        put(book, *one_visit(uid(1), 1, DAY - 1, ("shelf_temp", 24.0), ("dead", 0)))
        put(book, *one_visit(uid(2), 2, DAY, ("shelf_temp", 25.5)))
        put(book, *one_visit(uid(3), 3, DAY, ("dead", 0)))
        put(book, *one_visit(uid(4), 5, DAY, ("shelf_temp", 23.0)))
        put(book, *one_visit(uid(5), 6, DAY, ("shelf_temp", None)))
        with book.writing():  # moved away since: what it said was about A1
            book.run("UPDATE enclosure SET place = 8 WHERE id = 2")
        found = read.shelf_history(book, ["shelf_temp"], DAY - 1)
        assert {s: [v.uid for v in visits] for s, visits in found.items()} == {
            "A1": [uid(1), uid(2)],
            "A2": [uid(4)],
        }
        assert [v.uid for v in read.shelf_visits(book, "A1", ["shelf_temp"], DAY)] == [uid(2)]
        assert read.shelf_visits(book, "D4", ["shelf_temp"], DAY) == []
        assert read.shelf_history(book, ["unheard_of"], DAY) == {}
        some = read.shelf_history(book, ["shelf_temp"], DAY - 1, [1, 5, 6])
        assert {s: [v.uid for v in visits] for s, visits in some.items()} == {"A1": [uid(1)], "A2": [uid(4)]}


# Rounds, flags, actions


def test_a_round_comes_back_whole(book: Book) -> None:
    put(book, OpenRound(uid(1), "Tamsel", DAY, NOON, "Europe/Berlin", "evening", ("A", "B, or C"), "f" * 16))
    found = read.round_of(book, "Tamsel", DAY, "evening")
    assert found is not None
    assert (found.uid, found.bays, found.fingerprint, found.zone) == (
        uid(1),
        ("A", "B, or C"),
        "f" * 16,
        "Europe/Berlin",
    )
    assert read.round_of(book, "Tamsel", DAY) is None
    assert read.round_of(book, "Ferrow", DAY, "evening") is None
    assert read.keepers(book) == ["Tamsel"]


def test_unfinished_rounds_and_whom_they_did_not_see(book: Book) -> None:
    put(book, *one_visit(uid(1), 1, DAY - 1, ("dead", 0)))
    put(
        book,
        OpenVisit(uid(7), uid(1)[::-1], 2, 2, NOON),
        Assign(uid(7), SKIPPED, 0, None, "asleep", NOON, "Ferrow"),
    )
    put(book, *one_visit(uid(2), 2, DAY, ("dead", 0)))
    put(book, *one_visit(uid(3), 2, DAY - 3), CloseRound(uid(3)[::-1], NOON, (1, 3)))
    with book.writing():
        book.run("UPDATE \"round\" SET source = 'loaded' WHERE uid = ?", (uid(3)[::-1],))
    assert read.unfinished_rounds(book, DAY) == [uid(1)[::-1]]
    assert read.unseen_of_round(book, uid(1)[::-1]) == (2, 3)
    with book.writing():
        book.run("UPDATE enclosure SET stage = 'empty' WHERE id = 3")
    assert read.unseen_of_round(book, uid(1)[::-1]) == (2,)
    assert read.unseen_of_round(book, b"?" * 16) == ()


def test_not_seen_of_a_day_is_what_no_round_of_it_saw(book: Book) -> None:
    put(book, *one_visit(uid(1), 1, DAY, ("dead", 0)), CloseRound(uid(1)[::-1], NOON, (2, 3)))
    assert read.not_seen(book, DAY) == [2, 3]
    put(book, *one_visit(uid(2), 2, DAY, ("dead", 0), name="evening"))
    put(book, *one_visit(uid(3), 3, DAY, (SKIPPED, "asleep"), name="night"))
    assert read.not_seen(book, DAY) == [3]
    assert read.not_seen(book, DAY + 1) == []


def test_flags_that_stand(book: Book) -> None:
    put(book, *one_visit(uid(1), 1, DAY), *one_visit(uid(2), 2, DAY), *one_visit(uid(3), 1, DAY + 1))
    water, sour = (
        Flag("standing-water", "now", "water stands", "drain it", "locked"),
        Flag("sour", "today", "sour", "air it"),
    )
    put(
        book,
        SetFlag(uid(1), sour, True, "f1"),
        SetFlag(uid(1), water, True, "f1"),
        SetFlag(uid(2), sour, True, "f1"),
    )
    put(book, SetFlag(uid(2), sour, False, "f2"), SetFlag(uid(3), sour, True, "f2"))
    assert read.flags_of_visit(book, uid(1)) == [sour, water]
    assert read.flags_of_visit(book, uid(2)) == []


def test_actions_of_a_day(book: Book) -> None:
    def act(n: int, **state: Any) -> Action:
        return Action(uid(n), 1, f"rule-{n}", "look", "r", "t", DAY, **state)

    put(
        book,
        *(
            SetActionEntry(a, b"", NOON, "Ferrow")
            for a in (
                act(1),
                act(2, state="off", until=DAY + 3, why="after the search"),
                act(3, state="done", closed=DAY + 1),
                act(4, state="withdrawn"),
                act(5, cause_gone=True),
            )
        ),
    )

    def open_on(day: int) -> list[str]:
        return [a.rule for a in read.open_actions(book, day).get(1, [])]

    assert open_on(DAY - 1) == []
    assert open_on(DAY) == ["rule-1", "rule-3", "rule-5"]
    assert open_on(DAY + 1) == ["rule-1", "rule-5"]
    assert open_on(DAY + 3) == ["rule-1", "rule-2", "rule-5"]
    back = read.open_actions(book, DAY + 3)[1][1]
    assert (back.state, back.until, back.why) == ("open", DAY + 3, "after the search")
    assert [a.rule for a in read.known_actions(book, DAY)[1]] == [f"rule-{n}" for n in range(1, 6)]


def test_a_fortnight_of_three_enclosures(book: Book) -> None:
    fill(book, 20, [1, 2, 3], [("dead", 0), ("moisture", "right")])
    found = read.history(book, since_day=DAY - 13)
    assert {e: [s.day for s in some] for e, some in found.items()} == {
        e: list(range(DAY - 13, DAY + 1)) for e in (1, 2, 3)
    }
