"""What came since, by whichever hand; and what two hands at once must not do to each other."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from rounds.records.entries import (
    NOTE,
    Assign,
    CloseRound,
    Entry,
    OpenRound,
    OpenVisit,
    SetActionEntry,
    StandAt,
    UndoStep,
)
from rounds.records.observations import Action
from rounds.store import changes_since, read
from rounds.store.apply_entries import OTHER_START, EntryRefused, apply
from rounds.store.book import Book, open_book
from rounds.store.ids import action_id, round_id, visit_id
from rounds.store.read_rounds import NewestRows
from tests.store.houses import DAY, NOON

ROUND, OTHERS = round_id(b"b", "Ferrow", DAY, ""), round_id(b"b", "Wren", DAY, "")
ONE, TWO = b"1" * 16, b"2" * 16
"""Two starts of the program."""
OPENED: list[Entry] = [
    OpenRound(ROUND, "Ferrow", DAY, NOON, "UTC"),
    OpenRound(OTHERS, "Wren", DAY, NOON, "UTC"),
]


def put(book: Book, *entries: Entry) -> None:
    with book.writing():
        apply(book, entries)


def visit(round_: bytes, enclosure: int, seq: int = 1) -> OpenVisit:
    return OpenVisit(visit_id(round_, enclosure), round_, enclosure, seq, NOON)


def step(seq: int, subject: bytes, walk: bytes, kind: str = "dead") -> UndoStep:
    return UndoStep(ROUND, seq, subject, kind, 0, None, walk=walk)


def test_ids_are_those_of_what_they_name() -> None:
    assert round_id(b"b", "Ferrow", DAY, "") == ROUND != OTHERS
    others = (
        round_id(b"c", "Ferrow", DAY, ""),
        round_id(b"b", "Ferrow", DAY + 1, ""),
        round_id(b"b", "Ferrow", DAY, "e"),
    )
    assert len({ROUND, OTHERS, *others, visit_id(ROUND, 1), visit_id(ROUND, 2), visit_id(OTHERS, 1)}) == 8
    assert action_id(1, "wet", DAY) == action_id(1, "wet", DAY) != action_id(1, "wet", DAY + 1)
    assert {(i[6] >> 4, i[8] >> 6, len(i)) for i in (ROUND, visit_id(ROUND, 1))} == {(8, 2, 16)}  # RFC 9562


def test_the_version_changes_with_the_commits_of_others_and_not_while_nobody_writes(book: Book) -> None:
    with open_book(book.path) as other:
        before = changes_since.version(book)
        assert changes_since.version(book) == before
        put(other, *OPENED)
        assert changes_since.version(book) != before


def test_all_that_came_is_read_once(book: Book) -> None:
    put(book, *OPENED, visit(ROUND, 1))
    start = read.newest_rows(book)
    mine, theirs = visit_id(ROUND, 1), visit_id(OTHERS, 2)
    action = Action(action_id(2, "wet", DAY), 2, "wet", "look", "wet", "dry it", DAY)
    put(
        book,
        visit(OTHERS, 2),
        Assign(theirs, "moisture", 0, None, "wet", NOON, "Wren"),
        Assign(mine, "dead", 0, None, 1, NOON, "Ferrow"),
        step(1, mine, ONE),
        step(1, theirs, TWO)._replace(round=OTHERS),
        SetActionEntry(action, theirs, NOON, "Wren"),
        StandAt(OTHERS, 3),
    )
    found = changes_since.since(book, start, DAY, ROUND, ONE)
    assert found is not None
    seen = [(s.round, s.visit.enclosure, dict(s.visit.read)) for s in found.visits]
    assert seen == [(ROUND, 1, {"dead": 1}), (OTHERS, 2, {"moisture": "wet"})]
    assert [(a.action, a.keeper) for a in found.actions] == [(action, "Wren")]
    assert {(s.keeper, s.enclosure) for s in found.standing} == {("Ferrow", None), ("Wren", 3)}
    assert found.other_start is False
    again = changes_since.since(book, found.newest, DAY, ROUND, ONE)
    assert again is not None
    assert (again.visits, again.actions, again.acts) == ((), (), ())


def test_another_start_in_the_own_round_is_known_by_its_steps(book: Book) -> None:
    put(book, *OPENED, visit(ROUND, 1), step(1, visit_id(ROUND, 1), TWO))
    found = changes_since.since(book, NewestRows(), DAY, ROUND, ONE)
    assert found is not None
    assert found.other_start


def test_steps_after_a_round_was_closed_are_seen_though_their_numbers_come_again(book: Book) -> None:
    put(book, *OPENED, visit(ROUND, 1), *(step(n, visit_id(ROUND, 1), ONE) for n in range(1, 9)))
    start = read.newest_rows(book)
    put(book, CloseRound(ROUND, NOON, ()), Assign(visit_id(ROUND, 1), NOTE, 0, None, "x", NOON, "Ferrow"))
    put(book, step(1, visit_id(ROUND, 1), TWO, NOTE))
    found = changes_since.since(book, start, DAY, ROUND, ONE)
    assert found is not None
    assert [s.visit.note for s in found.visits] == ["x"]


@pytest.mark.parametrize("order", [(ONE, TWO), (TWO, ONE)])
def test_a_number_of_a_step_belongs_to_one_start(book: Book, order: Sequence[bytes]) -> None:
    put(book, *OPENED, visit(ROUND, 1))
    box = visit_id(ROUND, 1)
    entries = [step(n, box, walk, kind) for n in (1, 2) for walk in order for kind in ("dead", NOTE)]
    for _ in range(2):  # written again it is the same
        put(book, *entries, step(1, box, TWO)._replace(undone=True))
    rows = book.rows("SELECT seq, walk, kind, undone FROM step ORDER BY seq, kind")
    first, second = order
    assert [(seq, bytes(w), k) for seq, w, k, _ in rows] == [
        *((n, first, k) for n in (1, 2) for k in ("dead", NOTE)),
        *((n + OTHER_START, second, k) for n in (1, 2) for k in ("dead", NOTE)),
    ]
    assert [(bytes(w), k) for _, w, k, undone in rows if undone] == [(TWO, "dead")]


def test_two_terminals_open_one_visit_and_number_theirs_in_one_row(book: Book) -> None:
    put(
        book,
        *OPENED,
        visit(ROUND, 1, 1),
        visit(ROUND, 1, 1),
        visit(ROUND, 2, 1),
        visit(OTHERS, 1, 1),
        visit(ROUND, 3, 2),
    )
    rows = book.rows(
        "SELECT enclosure, seq FROM visit WHERE round = (SELECT id FROM round WHERE uid = ?)", (ROUND,)
    )
    assert rows == [(1, 1), (2, 2), (3, 3)]


ACTION = Action(action_id(1, "wet", DAY), 1, "wet", "look", "it is wet", "dry it", DAY)


def test_a_decision_about_what_another_has_decided_is_refused_and_says_by_whom(book: Book) -> None:
    put(book, *OPENED, SetActionEntry(ACTION, b"", NOON, "Ferrow", by_rule=True))
    done = SetActionEntry(ACTION._replace(state="done", closed=DAY), b"", NOON + 1, "Wren", "open")
    put(book, done)
    put(book, done)  # sent twice it is one
    late = SetActionEntry(
        ACTION._replace(state="off", until=DAY + 2, why="later"), b"", NOON + 2, "Ferrow", "open"
    )
    for entry in (late, done._replace(keeper="Ferrow", at_ms=NOON + 3)):
        with pytest.raises(EntryRefused, match="done already, by Wren: it is wet"):
            put(book, entry)
    assert book.rows("SELECT state, until FROM action") == [("done", None)]


def test_a_rule_never_reopens_what_a_keeper_has_decided(book: Book) -> None:
    put(book, *OPENED, SetActionEntry(ACTION, b"", NOON, "Ferrow", by_rule=True))
    put(book, SetActionEntry(ACTION._replace(state="done", closed=DAY), b"", NOON + 1, "Wren", "open"))
    put(book, SetActionEntry(ACTION._replace(cause_gone=True), b"", NOON + 2, "Ferrow", by_rule=True))
    assert book.rows("SELECT state, closed, cause_gone FROM action") == [("done", DAY, 1)]
