"""The books in the database are the books of the registry: value by value, act by act, undone or not."""

from __future__ import annotations

import shutil
from collections.abc import Collection, Iterator
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired
from rounds.problems import BookError
from rounds.records.column import Column
from rounds.records.entries import OpenRound, OpenVisit, RecordActEntry, UndoActEntry
from rounds.records.ledger import Add, Ledger, Set
from rounds.records.tables import TABLES, Due, Line
from rounds.store import ledger_store as books
from rounds.store import read, read_acts, recording
from rounds.store.apply_entries import apply
from rounds.store.book import Book, open_book
from rounds.store.cell_codec import Unsavable
from rounds.store.ids import Ids
from rounds.store.orm import pw
from rounds.values import spans
from rounds.values.spans import Span
from tests.acts import books as house
from tests.acts import random_acts
from tests.acts.books import TODAY
from tests.sampled import sampled
from tests.store.houses import HOUSE, NOON, with_books

START = house.house()
NEW = Ids(lambda: NOON).new


def every(ledger: Ledger) -> dict[tuple[str, int], dict[str, Any]]:
    """All rows, void ones too."""
    return {(name, id_): dict(record.values) for name in TABLES for id_, record in ledger.table(name).items()}


def same(one: Ledger, other: Ledger) -> bool:
    """Equal, and of equal types: 1 is not True here, nor 2.0 the same as 2."""
    return repr(sorted(_typed(one))) == repr(sorted(_typed(other)))


def _typed(ledger: Ledger) -> list[Any]:
    return [
        (*key, *((name, repr(v)) for name, v in sorted(row.items()))) for key, row in every(ledger).items()
    ]


@pytest.fixture(scope="module")
def template(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("template") / "tarn.book"
    with_books(path, START).close()
    return path


@pytest.fixture
def book(template: Path, path: Path) -> Iterator[Book]:
    path.parent.mkdir()
    shutil.copy(template, path)
    with open_book(path) as opened:
        yield opened


def entry(act: str, subject: str = "", sure: bool = False, **typed: str) -> RecordActEntry:
    fields = {name.rstrip("_"): text for name, text in typed.items()}
    return RecordActEntry(NEW(), act, subject, fields, TODAY, NOON, "Ferrow", sure=sure)


def taken(uid: bytes) -> UndoActEntry:
    return UndoActEntry(NEW(), uid, TODAY, NOON, "Tamsel")


# What is loaded is what was saved


def test_what_is_loaded_is_what_was_saved(book: Book) -> None:
    assert same(books.load(book), START)


def test_control_a_row_that_differs_in_one_value_is_found_out(book: Book) -> None:
    with book.writing():
        book.run("UPDATE animal SET first_feed_words = 'x' WHERE id = 1")
    assert not same(books.load(book), START)


TEXTS = st.text(st.characters(exclude_categories=("Cs",), exclude_characters="\0"), max_size=20)
DAYS = st.integers(spans.FIRST, spans.LAST)
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": TEXTS,
    "whole": st.integers(-(2**40), 2**40),
    "number": st.floats(allow_nan=False, allow_infinity=False),
    "yesno": st.booleans(),
    "day": DAYS | st.none(),
    "span": st.builds(lambda a, b, w: Span(min(a, b), max(a, b), w), DAYS, DAYS, TEXTS) | st.none(),
    "ref": st.none(),
}
TO_ONE = {("animal", "line"), ("content", "enclosure"), ("lock", "from_day")}


def _row(table: str, columns: tuple[Column[Any], ...]) -> st.SearchStrategy[dict[str, Any]]:
    cells = {c.name: st.just(1) if (table, c.name) in TO_ONE else VALUES[c.type] for c in columns}
    return st.fixed_dictionaries(cells | {"void": st.booleans()})


@given(st.fixed_dictionaries({name: _row(name, of.columns) for name, of in TABLES.items()}))
@settings(max_examples=sampled(10, 30), deadline=None)
def test_any_row_of_any_table_comes_back(
    tmp_path_factory: pytest.TempPathFactory, rows: dict[str, dict[str, Any]]
) -> None:
    path = tmp_path_factory.mktemp("any") / "tarn.book"
    # Minus nought is nought in SQLite's columns.
    rows = {t: {n: v + 0.0 if isinstance(v, float) else v for n, v in row.items()} for t, row in rows.items()}
    ledger = Ledger({name: {1: TABLES[name].from_values(1, dict(row))} for name, row in rows.items()})
    with with_books(path, ledger) as book:
        assert same(books.load(book), ledger)
        added = tuple(
            Add(table, 2, row | {"void": True}) for table, row in rows.items() if not TABLES[table].key
        )
        plan = registry.PlannedAct(registry.known("lock")._replace(on=""), 0, added)
        uid = NEW()
        with book.writing():
            assert books.save(book, plan, uid, {"note": rows["line"]["name"]}, TODAY, NOON)
        found = read_acts.of_uid(book, uid)
        assert found is not None
        assert found.changes == added
        assert found.given == {"note": rows["line"]["name"]}
        assert same(books.load(book), ledger.after(added))


# Acts


class Both:
    """The same acts in the pure ledger and in a book; every step compares the two.

    What the pure ledger refuses is tried in the book too, unless only acts that succeed are of interest.
    """

    def __init__(self, book: Book, random: Random, *, refusals: bool = True) -> None:
        self.book, self.random, self.refusals = book, random, refusals
        self.ledger = books.load(book)
        self.done: list[registry.Recorded] = []
        self.seen: set[str] = set()

    def attempt(self, name: str) -> None:
        act = registry.known(name)
        pick = self.random.choice
        subject = str(pick(random_acts.names(self.ledger, act.on) or ["nobody"])) if act.on else ""
        e = RecordActEntry(
            NEW(), name, subject, random_acts.typed(act, self.ledger, pick), TODAY, NOON, "Ferrow"
        )
        for sure in (False, True):
            e = e._replace(sure=sure)
            try:
                plan = registry.plan(name, subject, e.typed, self.ledger, TODAY, "Ferrow", sure=sure)
            except registry.BadAct as bad:
                if self.refusals:
                    wanted = bad.slips
                    with pytest.raises(registry.BadAct) as again:
                        recording.record(self.book, e)
                    assert again.value.slips == wanted
                return
            except ConfirmationRequired:
                if self.refusals:
                    with pytest.raises(ConfirmationRequired):
                        recording.record(self.book, e)
                continue
            found = recording.record(self.book, e)
            assert (found.changes, found.given, found.sure) == (plan.changes, e.typed, sure)
            self.ledger = self.ledger.after(plan.changes)
            self.done.append(found)
            self.seen.add(name)
            return

    def undo(self, at: int) -> bool:
        done = self.done[at]
        try:
            back = registry.take_back(done, self.done[at + 1 :], self.ledger)
        except registry.BadAct:
            with pytest.raises(registry.BadAct):
                recording.take_back(self.book, taken(done.uid))
            return False
        assert recording.take_back(self.book, taken(done.uid)).changes == back
        self.ledger = self.ledger.after(back)
        del self.done[at]
        return True

    def compare(self) -> None:
        assert same(books.load(self.book), self.ledger)


def both(
    book: Book,
    seed: int,
    steps: int,
    undo: float = 0.15,
    every_so_often: int = 1,
    start: Ledger = START,
    wanted: Collection[str] = (),
) -> Both:
    """Random acts and undos, compared as they go; then all of it taken back.

    Every second act is one of ``wanted`` that has not been seen, while there are any; when all of
    them have been seen, no more are tried. With acts that are wanted, refused ones are left out.
    """
    random = Random(seed)
    two = Both(book, random, refusals=not wanted)
    book.run("PRAGMA synchronous = OFF")  # no power cut here
    for step in range(steps):
        if two.done and random.random() < undo:
            two.undo(random.randrange(len(two.done)))
        else:
            left = set(wanted) - two.seen
            two.attempt(
                random.choice(sorted(left if left and random.random() < 0.5 else registry.all_acts()))
            )
        if step % every_so_often == 0:
            two.compare()
        if wanted and two.seen.issuperset(wanted):
            break
    two.compare()
    assert [a.uid for a in books.recorded(book)] == [a.uid for a in two.done]
    while two.done:
        assert two.undo(len(two.done) - 1)
    two.compare()
    assert books.load(book) == start, "undo of everything gives back the start"
    assert not book.rows("PRAGMA foreign_key_check")
    return two


@pytest.mark.parametrize("seed", range(3))
def test_acts_through_the_book_are_the_acts_of_the_pure_ledger(book: Book, seed: int) -> None:
    assert both(book, seed, 60).seen


@pytest.mark.long
def test_every_act_of_the_registry_goes_through_the_book(tmp_path: Path) -> None:
    start = house.with_trial(house.counted_house())  # else no trial is ever changed or closed
    template = tmp_path / "full.book"
    with_books(template, start).close()
    missing = set(registry.all_acts()) - set(random_acts.NOT_EXERCISED)
    for seed in range(100, 160):
        path = tmp_path / f"{seed}.book"
        shutil.copy(template, path)
        with open_book(path) as book:
            missing -= both(book, seed, 250, undo=0.05, every_so_often=25, start=start, wanted=missing).seen
        if not missing:
            break
    assert missing == set()


def test_control_a_book_that_forgets_one_change_of_an_act_is_found_out(
    book: Book, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = books.make

    def forgetful(book: Book, change: Any) -> None:
        if not (isinstance(change, Set) and change.column == "place"):
            plain(book, change)

    monkeypatch.setattr(books, "make", forgetful)
    two = Both(book, Random(1))
    plan = registry.plan("swap-boxes", "T-01", {"with": "T-02"}, two.ledger, TODAY)
    recording.record(book, entry("swap-boxes", "T-01", with_="T-02"))
    two.ledger = two.ledger.after(plan.changes)
    with pytest.raises(AssertionError):
        two.compare()


def test_recording_again_under_the_same_uid_does_nothing(book: Book) -> None:
    e = entry("swap-boxes", "T-01", with_="T-02")
    first = recording.record(book, e)
    after = books.load(book)
    assert recording.record(book, e) == first
    undo = taken(e.uid)
    assert recording.take_back(book, undo) == recording.take_back(book, undo)
    assert recording.record(book, e).undone  # it stays taken back
    assert same(books.load(book), START)
    assert not same(after, START)
    assert len(read.acts(book)) == 2


def test_a_plan_from_books_that_have_changed_is_refused_and_leaves_nothing(book: Book) -> None:
    stale = registry.plan("swap-boxes", "T-01", {"with": "T-02"}, books.load(book), TODAY)
    recording.record(book, entry("move-box", "T-02", to="A4-3"))
    before = every(books.load(book))
    with pytest.raises(Unsavable, match=r"place of enclosure [12] is not what"), book.writing():
        books.save(book, stale, NEW(), {}, TODAY, NOON)
    assert every(books.load(book)) == before
    assert len(read.acts(book)) == 1


def test_a_name_is_unique_among_the_rows_that_count(book: Book) -> None:
    line = START.row(Line, 1)
    with pytest.raises(pw.IntegrityError), book.writing():
        books.make(book, Add("line", 90, line.values))
    with book.writing():
        books.make(book, Add("line", 90, line.changed(Line.void, True).values))


def test_the_reasons_for_refusing_reach_the_caller_and_nothing_is_written(book: Book) -> None:
    with pytest.raises(registry.BadAct) as bad:
        recording.record(book, entry("move-box", "T-99", too="A1-1", to="Z1-1"))
    assert [s.field for s in bad.value.slips] == ["enclosure", "too", "to"]
    assert read.acts(book) == []
    assert same(books.load(book), START)


# Taking back


def test_the_newest_is_taken_back_when_none_is_named(book: Book) -> None:
    first = recording.record(book, entry("move-box", "T-01", to="A4-4"))
    second = recording.record(book, entry("look-again", "T-02", about="mites", because="some"))
    assert recording.take_back(book, taken(b"")).undoes == second.id
    assert recording.take_back(book, taken(b"")).undoes == first.id
    with pytest.raises(registry.BadAct, match="nothing to take back"):
        recording.take_back(book, taken(b""))
    assert same(books.load(book), START) or books.load(book) == START


def test_an_act_that_others_rest_on_names_them(book: Book) -> None:
    first = recording.record(book, entry("move-box", "T-01", to="A4-4"))
    second = recording.record(book, entry("move-box", "T-01", to="A4-3"))
    third = recording.record(book, entry("swap-boxes", "T-01", with_="T-02"))
    before = every(books.load(book))
    with pytest.raises(registry.BadAct) as bad:
        recording.take_back(book, taken(first.uid))
    assert [str(s) for s in bad.value.slips] == [
        f"act: `{a.id} {a.name} T-01` rests on `{first.id} move-box T-01`."
        " Undo it first, the newest before the others."
        for a in (third, second)
    ]
    assert every(books.load(book)) == before
    for a in (third, second, first):
        recording.take_back(book, taken(a.uid))
    assert same(books.load(book), START)


def test_what_was_taken_back_or_takes_back_is_not_taken_back(book: Book) -> None:
    done = recording.record(book, entry("move-box", "T-01", to="A4-4"))
    undo = recording.take_back(book, taken(done.uid))
    for uid, said in (
        (done.uid, "was taken back before"),
        (undo.uid, "took an act back itself"),
        (b"?" * 16, "nothing"),
    ):
        with pytest.raises(registry.BadAct, match=said):
            recording.take_back(book, taken(uid))
    assert [(a.name, a.undone, a.undoes) for a in read.acts(book)] == [
        ("move-box", True, 0),
        ("undo", False, done.id),
    ]


def test_an_enclosure_that_was_visited_since_stays(book: Book) -> None:
    made = recording.record(book, entry("box", code="T-99"))
    box = house.ref(books.load(book), "enclosure", "T-99")
    round_, visit = b"r" * 16, b"v" * 16
    with book.writing():
        apply(book, [OpenRound(round_, "Ferrow", TODAY, NOON, "UTC"), OpenVisit(visit, round_, box, 1, NOON)])
    with pytest.raises(registry.BadAct, match="stays: T-99 was visited since"):
        recording.take_back(book, taken(made.uid))
    assert not read.acts(book)[-1].undone
    other = recording.record(book, entry("box", code="T-98"))
    assert recording.take_back(book, taken(other.uid)).undoes == other.id


def test_nothing_is_deleted_by_taking_back(book: Book) -> None:
    done = recording.record(book, entry("look-again", "T-02", about="mites", because="some"))
    (added,) = done.changes
    assert isinstance(added, Add)
    recording.take_back(book, taken(done.uid))
    assert books.load(book).row(Due, added.id).void
    assert books.load(book).row(Due, added.id).why == "some"
    found = read_acts.of_uid(book, done.uid)
    assert found is not None
    assert found.changes == done.changes


# Histories


def test_histories_of_an_enclosure_and_of_an_animal(book: Book) -> None:
    box, umber = house.ref(START, "enclosure", "T-01"), house.ref(START, "animal", "UMBER/1")
    moved = recording.record(book, entry("move-box", "T-01", to="A4-4"))
    swapped = recording.record(book, entry("swap-boxes", "T-02", with_="T-01"))
    other = recording.record(book, entry("look-again", "T-03", about="mites", because="some"))
    marked = recording.record(book, entry("marked", "UMBER/1", mark="tag 4")._replace(day=TODAY + 1))
    undo = recording.take_back(book, taken(swapped.uid))
    assert [a.id for a in read.acts(book)] == [moved.id, swapped.id, other.id, marked.id, undo.id]
    assert [a.id for a in read.acts(book, enclosure=box)] == [moved.id, swapped.id, undo.id]
    assert [a.id for a in read.acts(book, animal=umber)] == [marked.id]
    assert [a.id for a in read.acts(book, since=TODAY + 1)] == [marked.id]
    assert [a.id for a in read.acts(book, limit=2)] == [marked.id, undo.id]
    assert read.acts(book, enclosure=box, animal=umber) == []
    died = recording.record(book, entry("dead", "UMBER/1", sure=True, rest="keep"))
    assert [a.id for a in read.acts(book, enclosure=box)][-1] == died.id  # it ended a content of the box
    assert read_acts.of_uid(book, other.uid) == other
    assert read_acts.of_uid(book, b"?" * 16) is None


def test_an_act_is_kept_with_who_when_and_what_was_typed(book: Book) -> None:
    e = entry("look-again", "T-02", sure=True, about="mites, größer", because="so", in_="+3")
    found = recording.record(book, e)
    assert (found.uid, found.name, found.table, found.subject) == (e.uid, "look-again", "enclosure", 2)
    assert (found.given, found.day, found.at_ms, found.keeper) == (e.typed, TODAY, NOON, "Ferrow")
    assert (found.visit, found.sure, found.undone) == (b"", True, False)
    assert "Ferrow" in read.keepers(book)


def test_an_act_of_a_visit_that_is_not_there_is_not_recorded(book: Book) -> None:
    with pytest.raises(BookError, match=r"a visit .* that is not in the book"):
        recording.record(book, entry("move-box", "T-01", to="A4-4")._replace(visit=b"v" * 16))
    assert read.acts(book) == []


def test_an_old_act_gets_the_defaults_of_columns_that_came_later(book: Book) -> None:
    done = recording.record(book, entry("look-again", "T-02", about="mites", because="some"))
    with book.writing():
        book.run("UPDATE act_change SET after = json_remove(after, '$.off_until', '$.animal')")
    found = read_acts.of_uid(book, done.uid)
    assert found is not None
    assert found.changes == done.changes
    recording.take_back(book, taken(done.uid))


# What is read leaves out what counts no more


def test_void_rows_are_seen_nowhere(book: Book) -> None:
    seen = (read.enclosures(book), read.locks(book, TODAY), read.dues(book, TODAY + 99))
    ids = [house.ref(START, "enclosure", c) for c in ("T-01", "T-04", "T-10")]
    with book.writing():
        for table in ("content", "lock", "due"):
            book.run(f"UPDATE {table} SET void = TRUE")
        book.run("UPDATE enclosure SET void = TRUE WHERE id = ?", (ids[0],))
    assert seen[0][0].contents
    assert seen[1].keys() == {ids[1], ids[2]}
    assert seen[2].keys() == {ids[2]}
    assert [e.id for e in read.enclosures(book)] == [e.id for e in seen[0] if e.id != ids[0]]
    assert not any(e.contents for e in read.enclosures(book))
    assert read.locks(book, TODAY) == {}
    assert read.dues(book, TODAY + 99) == {}


def test_what_the_book_shows_is_what_the_ledger_shows(book: Book) -> None:
    """The walk shows an enclosure from the ledger after an act; it must not look different before."""
    from rounds.records import enclosure_view

    recording.record(book, entry("lock", "T-05", forbids="dig,wet", reason="eggs", until="2026-05-21"))
    recording.record(book, entry("look-again", "T-05", about="mites", because="some", in_="+3"))
    back = Due(animal=house.ref(START, "animal", "UMBER/1"), what="loan back", earliest=TODAY, latest=None)
    weigh = Due(enclosure=2, what="weigh", earliest=TODAY, latest=None, off_until=TODAY + 4)
    with book.writing():
        books.make(book, Add("due", 60, back.values))
        books.make(book, Add("due", 61, weigh.values))
    ledger = books.load(book)
    assert {d.what for d in read.dues(book, TODAY + 4).get(1, ())} == {"loan back"}
    for e in read.enclosures(book):
        shown = enclosure_view.enclosure(ledger, e.id)
        assert e._replace(contents=()) == shown._replace(contents=())
        assert sorted(e.contents) == sorted(shown.contents)
        for day in (TODAY, TODAY + 3, TODAY + 4, TODAY + 30):
            assert tuple(read.locks(book, day).get(e.id, ())) == enclosure_view.locks(ledger, e.id, day)
            assert sorted(read.dues(book, day).get(e.id, ())) == sorted(
                enclosure_view.dues(ledger, e.id, day)
            )


def test_dues_put_off_and_dues_of_animals(book: Book) -> None:
    umber = house.ref(START, "animal", "UMBER/1")
    added = (
        Due(enclosure=2, what="weigh", earliest=TODAY, latest=TODAY + 5, off_until=TODAY + 2),
        Due(animal=umber, what="loan back", earliest=TODAY, latest=None),
        Due(enclosure=3, what="for good", earliest=TODAY, latest=TODAY + 5, off_until=spans.LAST),
    )
    with book.writing():
        for id_, due in enumerate(added, 50):
            books.make(book, Add("due", id_, due.values))
    assert {e: [d.what for d in some] for e, some in read.dues(book, TODAY).items()} == {1: ["loan back"]}
    assert [d.what for d in read.dues(book, TODAY + 2)[2]] == ["weigh"]
    (back,) = read.dues(book, TODAY)[1]
    assert (back.animal, back.window) == ("UMBER/1", Span(TODAY, spans.LAST))


def test_the_house_of_the_tests_is_the_one_books_are_made_for(book: Book) -> None:
    assert read.house(book) == HOUSE
