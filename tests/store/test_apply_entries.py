"""Entries are assignments: twice is once, and how they were grouped does not matter."""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.records.entries import (
    AS_EXPECTED,
    NOTE,
    SKIPPED,
    Assign,
    CloseRound,
    Entry,
    LeaveRound,
    OpenRound,
    OpenVisit,
    SetActionEntry,
    SetFlag,
    StandAt,
    UndoStep,
)
from rounds.records.observations import NOTHING, Action, Flag
from rounds.store import read
from rounds.store.apply_entries import apply
from rounds.store.book import Book, open_book
from rounds.store.cell_codec import Unsavable
from rounds.store.orm import pw
from tests.sampled import sampled
from tests.store.houses import DAY, NOON, held, new_house

ROUNDS = [bytes([1]) * 16, bytes([2]) * 16]
VISITS = [bytes([3, i]) * 8 for i in range(3)]
ACTIONS = [bytes([4, i]) * 8 for i in range(2)]
KEEPERS = st.sampled_from(["Ferrow", "Tamsel"])

CELLS: dict[str, list[Any]] = {
    "jelly_gone": [None, 0, 1, 2],
    "moisture": [None, "dry", "wet"],
    NOTE: [None, "", "smells", "smells odd"],
    AS_EXPECTED: [None, {"dead": [0, 0], "smell": "earthy"}],
}


@st.composite
def walks(draw: st.DrawFn) -> list[Entry]:
    """Entries as a walk could put them, and many it would not; every instant is its own."""
    at = iter(range(NOON, NOON + 1000))
    out: list[Entry] = [OpenRound(r, "Ferrow", DAY + i, next(at), "UTC") for i, r in enumerate(ROUNDS)]
    out += [OpenVisit(v, ROUNDS[i % 2], i + 1, i + 1, next(at)) for i, v in enumerate(VISITS)]
    for seq in range(draw(st.integers(1, 14))):
        round_, visit = draw(st.sampled_from(ROUNDS)), draw(st.sampled_from(VISITS))
        kind = draw(st.sampled_from(list(CELLS)))
        before, after = draw(st.sampled_from(CELLS[kind])), draw(st.sampled_from(CELLS[kind]))
        depth, flag = (
            draw(st.integers(0, 2)),
            Flag("wet-long", draw(st.sampled_from(["look", "now"])), "r", "t"),
        )
        action = Action(
            draw(st.sampled_from(ACTIONS)),
            1,
            "wet-long",
            "look",
            "r",
            "t",
            DAY,
            draw(st.sampled_from(["open", "done", "off"])),
        )
        out.append(
            draw(
                st.sampled_from(
                    [
                        Assign(visit, kind, depth, before, after, next(at), draw(KEEPERS), ""),
                        Assign(visit, kind, depth, before, after, next(at), draw(KEEPERS), "slip"),
                        SetFlag(visit, flag, draw(st.booleans()), "f1"),
                        SetActionEntry(action, draw(st.sampled_from([b"", visit])), next(at), draw(KEEPERS)),
                        UndoStep(round_, seq, visit, kind, depth, before, draw(st.booleans())),
                        StandAt(round_, draw(st.integers(1, 3))),
                        LeaveRound(round_, b"a start"),
                        CloseRound(round_, next(at), tuple(draw(st.sets(st.integers(1, 3))))),
                        OpenRound(round_, "Ferrow", DAY, next(at), "UTC", bays=("A",)),
                    ]
                )
            )
        )
    return out


@pytest.fixture(scope="module")
def empty() -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "empty.book"
        new_house(path).close()
        yield path


@contextmanager
def copied(empty: Path) -> Iterator[Book]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(shutil.copy(empty, folder))
        with open_book(path) as book:
            yield book


def put(book: Book, entries: Sequence[Entry]) -> None:
    with book.writing():
        apply(book, entries)


@given(walks())
@settings(max_examples=sampled(20, 60), deadline=None)
def test_twice_is_once(empty: Path, entries: list[Entry]) -> None:
    with copied(empty) as book:
        put(book, entries)
        once = held(book)
        put(book, entries)
        assert held(book) == once


@given(walks(), st.lists(st.integers(1, 5), min_size=20, max_size=20))
@settings(max_examples=sampled(20, 60), deadline=None)
def test_grouping_does_not_matter(empty: Path, entries: list[Entry], sizes: list[int]) -> None:
    with copied(empty) as one, copied(empty) as other:
        for entry in entries:
            put(one, [entry])
        rest = list(entries)
        for size in sizes:
            put(other, rest[:size])
            del rest[:size]
        put(other, rest)
        assert held(one) == held(other)


@given(walks(), st.integers(0, 20))
@settings(max_examples=sampled(25, 80), deadline=None)
def test_a_tail_written_again_after_all_changes_nothing(
    empty: Path, entries: list[Entry], start: int
) -> None:
    """What happens when an answer was lost: the writer tries again from some entry on."""
    with copied(empty) as book:
        put(book, entries)
        once = held(book)
        put(book, entries[start:])
        assert held(book) == once


def test_the_comparison_sees_a_difference(book: Book) -> None:
    """Control: two books that differ in one cell do not compare equal."""
    put(book, _opened())
    before = held(book)
    put(book, [Assign(VISITS[0], "dead", 1, None, 0, NOON, "Ferrow")])
    assert held(book) != before


def _opened() -> list[Entry]:
    return [OpenRound(ROUNDS[0], "Ferrow", DAY, NOON, "UTC"), OpenVisit(VISITS[0], ROUNDS[0], 1, 1, NOON)]


def assign(
    kind: str, before: Any, after: Any, at: int = NOON, keeper: str = "Ferrow", why: str = ""
) -> Assign:
    return Assign(VISITS[0], kind, 1, before, after, at, keeper, why)


def test_a_correction_keeps_the_old_value_who_when_and_why(book: Book) -> None:
    put(book, [*_opened(), assign("dead", None, 1), assign("dead", 1, 0, NOON + 5, "Tamsel", "it moved")])
    (change,) = read.changes(book, VISITS[0])
    assert (change.kind, change.old, change.new) == ("dead", 1, 0)
    assert (change.keeper, change.at_ms, change.why) == ("Tamsel", NOON + 5, "it moved")
    assert read.last_visits(book, 1, 1)[0].read == {"dead": 0}


def test_taking_back_leaves_the_cell_empty_and_a_trace(book: Book) -> None:
    put(book, [*_opened(), assign("moisture", None, "wet"), assign("moisture", "wet", None, NOON + 1)])
    (seen,) = read.last_visits(book, 1, 1)
    assert (seen.read, seen.looked) == ({}, False)
    assert [(c.old, c.new) for c in read.changes(book, VISITS[0])] == [("wet", None)]
    assert book.row("SELECT number, text FROM cell WHERE reading = 'moisture'") == (None, None)


def test_a_value_the_walk_did_not_know_of_is_not_lost(book: Book) -> None:
    """Another keeper wrote 4 meanwhile: it is overwritten, but it stays in the trace."""
    put(book, [*_opened(), assign("dead", None, 4, keeper="Tamsel"), assign("dead", None, 2, NOON + 1)])
    assert [(c.old, c.new) for c in read.changes(book, VISITS[0])] == [(4, 2)]


def test_another_value_stays_in_the_trace_even_if_the_new_one_was_there_before(book: Book) -> None:
    first = [
        assign("dead", None, 1),
        assign("dead", 1, None, NOON + 1),
        assign("dead", None, 2, NOON + 2, "Tamsel"),
    ]
    put(book, [*_opened(), *first, assign("dead", None, 1, NOON + 3)])
    assert [(c.old, c.new) for c in read.changes(book, VISITS[0])] == [(1, None), (2, 1)]


def test_an_entry_that_met_another_value_leaves_the_same_trace_when_it_comes_again(book: Book) -> None:
    stale = assign("dead", 0, None, NOON + 1)
    put(book, [*_opened(), assign("dead", None, 1), stale])
    wanted = [(1, None), (0, None)]
    assert [(c.old, c.new) for c in read.changes(book, VISITS[0])] == wanted
    put(book, [stale])
    assert [(c.old, c.new) for c in read.changes(book, VISITS[0])] == wanted


def test_one_reading_has_one_cell_whatever_the_depth_and_sort(book: Book) -> None:
    put(book, [*_opened(), assign("moisture", None, "wet"), assign("moisture", "wet", 3, NOON + 1)])
    put(book, [Assign(VISITS[0], "moisture", 2, 3, "dry", NOON + 2, "Ferrow")])
    assert book.rows("SELECT depth, number, text FROM cell") == [(2, None, "dry")]
    (seen,) = read.last_visits(book, 1, 1)
    assert (seen.read, seen.depth) == ({"moisture": "dry"}, 2)


def test_a_note_typed_on_leaves_one_remark(book: Book) -> None:
    put(book, _opened())
    for n, text in enumerate(["s", "sme", "smells"]):
        put(book, [assign(NOTE, None if not n else "before", text, NOON + n)])
    assert book.rows("SELECT text FROM remark") == [("smells",)]
    assert read.last_visits(book, 1, 1)[0].note == "smells"


def test_a_round_resumed_is_open_and_a_closed_one_has_no_steps(book: Book) -> None:
    step = UndoStep(ROUNDS[0], 1, VISITS[0], "dead", 1, None)
    put(book, [*_opened(), step, CloseRound(ROUNDS[0], NOON + 9, (2, 3))])
    assert read.steps_of(book, ROUNDS[0]) == []
    assert book.rows("SELECT enclosure FROM not_seen") == [(2,), (3,)]
    put(book, [OpenRound(ROUNDS[0], "Ferrow", DAY, NOON + 20, "UTC")])
    found = read.round_of(book, "Ferrow", DAY)
    assert found is not None
    assert (found.closed_ms, found.opened_ms) == (None, NOON)
    assert book.rows("SELECT * FROM not_seen") == []


def test_one_key_may_have_several_steps(book: Book) -> None:
    steps = [UndoStep(ROUNDS[0], 1, VISITS[0], kind, 1, {"a": [1, 2]}) for kind in ("dead", AS_EXPECTED, "")]
    put(book, [*_opened(), *steps, steps[0]._replace(undone=True)])
    assert read.steps_of(book, ROUNDS[0]) == [steps[0]._replace(undone=True), *steps[1:]]


def test_every_state_of_an_action_stays_in_its_trace(book: Book) -> None:
    action = Action(ACTIONS[0], 1, "wet-long", "look", "wet for 4 days", "let it dry", DAY)
    states = [
        action,
        action._replace(state="off", until=DAY + 3, why="after the search"),
        action._replace(state="done", closed=DAY),
    ]
    put(book, [*_opened(), *(SetActionEntry(a, VISITS[0], NOON + i, "Ferrow") for i, a in enumerate(states))])
    assert len(book.rows("SELECT * FROM action_change")) == 3
    assert read.open_actions(book, DAY + 9) == {}


def test_a_place_moved_later_does_not_move_the_visit(book: Book) -> None:
    put(book, [*_opened(), assign("dead", None, 0)])
    with book.writing():
        book.run("UPDATE enclosure SET place = NULL WHERE id = 1")
    assert read.last_visits(book, 1, 1)[0].shelf == "A1"


@pytest.mark.parametrize(
    ("entry", "error"),
    [
        (OpenVisit(VISITS[0], b"?" * 16, 1, 1, NOON), Unsavable),
        (Assign(b"?" * 16, "dead", 1, None, 1, NOON, "Ferrow"), Unsavable),
        (assign(NOTE, None, "a\0b"), Unsavable),
        (assign("dead", None, float("nan")), Unsavable),
        (OpenVisit(VISITS[1], ROUNDS[0], 999, 1, NOON), pw.IntegrityError),
        (OpenRound(ROUNDS[1], "", DAY, NOON, "UTC"), Unsavable),
    ],
)
def test_what_can_never_be_written_is_refused_whole(book: Book, entry: Entry, error: type[Exception]) -> None:
    put(book, _opened())
    before = held(book)
    with pytest.raises(error):
        put(book, [assign("smell", None, "sour"), entry])
    assert held(book) == before


def test_a_skip_is_not_a_look(book: Book) -> None:
    put(book, [*_opened(), assign(SKIPPED, None, "asleep")])
    (seen,) = read.last_visits(book, 1, 1)
    assert (seen.skipped, seen.looked, seen.confirmed is NOTHING) == ("asleep", False, True)
