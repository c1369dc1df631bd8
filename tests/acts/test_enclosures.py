"""Enclosures: their places, stages, locks, work asked for, and labels that were mixed up."""

from __future__ import annotations

import pytest

from rounds.acts import (
    effects_sentences,
    enclosure_sentences,
    label_sentences,
    movement_sentences,
    shared_act_sentences,
)
from rounds.records.ledger import Draft
from rounds.records.tables import Animal, Brood, Content, Due, Lock, Search
from tests.acts.books import TODAY, asked, day, house, record, ref, refused, row, span

BOOKS = house()


def at(ledger, box: str) -> int:  # type: ignore[no-untyped-def]
    return int(row(ledger, "enclosure", box).place)


def test_a_box_moves_and_two_change_places() -> None:
    books = record(BOOKS, "move-box", "T-01", to="d4-4")
    assert at(books, "T-01") == ref(books, "place", "D4-4")
    books = record(BOOKS, "swap-boxes", "1", with_="T-02")
    assert (at(books, "T-01"), at(books, "T-02")) == (at(BOOKS, "T-02"), at(BOOKS, "T-01"))


def test_what_a_lock_or_the_stage_forbids_is_asked_about_since_it_was_done() -> None:
    assert shared_act_sentences.reason_until("quarantine", "5 Jun 2026") in str(
        asked(BOOKS, "move-box", "T-10", to="D1-1")
    )
    assert "a broken cell" in str(asked(BOOKS, "move-box", "T-07", to="D1-1"))
    assert shared_act_sentences.was_it_all_the_same(
        "T-07", "moved", ["a broken cell is not built twice"]
    ) in str(asked(BOOKS, "swap-boxes", "T-01", with_="T-07"))
    lifted = record(BOOKS, "lift", "T-10", forbids="move")
    apart = movement_sentences.quarantine_box_moved("T-10")
    assert str(asked(lifted, "move-box", "T-10", to="D1-1")) == shared_act_sentences.is_that_right([apart])
    # A lock that is over asks nothing, one that forbids something else neither.
    over = record(BOOKS, "lock", "T-01", forbids="move", reason="just fed", until="2026-05-27")
    record(over, "move-box", "T-01", to="D1-1", today=day("2026-06-06"))
    record(BOOKS, "move-box", "T-04", to="D1-1")


def test_a_stage_is_changed_once_and_never_around_the_look_for_eggs() -> None:
    books = record(BOOKS, "stage", "T-14", stage="wandering", on="2026-05-16")
    assert (row(books, "enclosure", "T-14").stage, row(books, "enclosure", "T-14").stage_since) == (
        "wandering",
        span("2026-05-16"),
    )
    prepared = record(BOOKS, "stage", "T-12", stage="prepared")
    record(prepared, "stage", "T-12", stage="empty")
    left = record(BOOKS, "dead", "UMBER/4", rest="keep")
    assert enclosure_sentences.was_in_use("T-04").hint in str(
        refused(left, "stage", "T-04", stage="empty")["stage"]
    )
    assert enclosure_sentences.was_in_use("T-04").hint in str(
        refused(left, "stage", "T-04", stage="prepared")["stage"]
    )


def test_locks_are_set_and_lifted() -> None:
    books = record(BOOKS, "lock", "T-05", forbids="dig, move", until="before 2026-07-18", reason="moulting")
    (lock,) = list(books.rows(Lock, Lock.enclosure.is_(5)))
    assert (lock.forbids, lock.until, lock.reason, lock.from_day) == (
        "dig move",
        span("before 2026-07-18"),
        "moulting",
        TODAY,
    )
    today = record(BOOKS, "lock", "T-05", forbids="dig", until="today", reason="they settle")
    assert [lock.until.latest for lock in today.rows(Lock, Lock.enclosure.is_(5)) if lock.until] == [TODAY]
    books = record(books, "lift", "T-05", forbids="dig")
    assert [r.lifted for r in books.rows(Lock, Lock.enclosure.is_(5))] == [TODAY]
    assert enclosure_sentences.no_such_lock("dig").message in str(
        refused(books, "lift", "T-05", forbids="dig")["forbids"]
    )


def test_look_again() -> None:
    books = record(BOOKS, "look-again", "T-05", about="smell", because="sour on Sunday", in_="+3")
    (due,) = list(books.rows(Due, Due.enclosure.is_(5)))
    assert (due.what, due.earliest, due.latest, due.asked) == (
        enclosure_sentences.look_again("smell"),
        TODAY + 3,
        TODAY + 3,
        True,
    )
    assert due.why == "sour on Sunday"
    tomorrow = record(BOOKS, "look-again", "T-05", about="smell", because="sour")
    assert [r.likely for r in tomorrow.rows(Due, Due.enclosure.is_(5))] == [TODAY + 1]


def test_swapped_labels_mark_what_they_touched_and_nothing_else() -> None:
    draft = Draft(BOOKS)
    draft.add(Search(enclosure=6, made=span("2026-04-26")))
    draft.add(Brood(name="LOCH-02", line=3, search=1, found=span("2026-04-26"), unsexed=3))
    draft.add(Search(enclosure=6, made=span("2026-03-27")))
    draft.add(Brood(name="LOCH-03", line=3, search=2, found=span("2026-03-27"), unsexed=3))
    books = record(draft.ledger, "swapped-labels", "T-06", with_="T-14", from_="2026-04-19", to="2026-05-03")
    said = "labels of T-06 and T-14 may have been mixed up"
    doubtful = {(r.table, r.id) for of in (Content, Animal, Brood) for r in books.rows(of) if r.doubt}
    assert row(books, "animal", "UMBER/5").doubt == said
    assert row(books, "brood", "LOCH-01").doubt == said
    assert row(books, "brood", "LOCH-02").doubt == said
    assert row(books, "brood", "LOCH-03").doubt == ""
    animals = {i for t, i in doubtful if t == "animal"}
    assert animals == {ref(books, "animal", "UMBER/5")}
    later = record(BOOKS, "swapped-labels", "T-01", with_="T-02", from_="2026-04-19")
    assert row(later, "animal", "UMBER/1").doubt


@pytest.mark.parametrize(
    ("act", "box", "typed", "field", "words"),
    [
        ("move-box", "T-01", {}, "to", "Where does it stand now?"),
        ("move-box", "T-01", {"to": "B3"}, "to", "there is no place"),
        ("move-box", "T-01", {"to": "A1-1"}, "to", enclosure_sentences.stands_there_already("T-01").message),
        ("move-box", "T-01", {"to": "B3-2", "on": "2026-06-16"}, "on", "has not come yet"),
        ("move-box", "T-O1", {"to": "B3-2"}, "enclosure", "Did you mean"),
        ("swap-boxes", "T-01", {}, "with", "With which other box?"),
        ("swap-boxes", "T-01", {"with_": "T-77"}, "with", "Did you mean `T-07`?"),
        ("swap-boxes", "T-01", {"with_": "1"}, "with", enclosure_sentences.same_enclosure().message),
        ("swap-boxes", "T-01", {"with_": "T-02", "on": "x"}, "on", "not a date"),
        ("stage", "T-01", {}, "stage", "Which stage is the box in now?"),
        ("stage", "T-01", {"stage": "layin"}, "stage", "Did you mean `laying`?"),
        ("stage", "T-01", {"stage": "empty"}, "stage", effects_sentences.still_holds_animals("T-01").message),
        (
            "stage",
            "T-01",
            {"stage": "prepared"},
            "stage",
            effects_sentences.still_holds_animals("T-01").message,
        ),
        (
            "stage",
            "T-01",
            {"stage": "holding"},
            "stage",
            enclosure_sentences.in_that_stage_already("T-01", "holding").message,
        ),
        ("stage", "T-01", {"stage": "laying", "on": "2030"}, "on", "has not come yet"),
        ("lock", "T-01", {"reason": "x"}, "forbids", "What must not be done? One of: dig, open, move, wet."),
        ("lock", "T-01", {"forbids": "digg", "reason": "x"}, "forbids", "Did you mean `dig`?"),
        ("lock", "T-01", {"forbids": "dig,dig", "reason": "x"}, "forbids", "there twice"),
        ("lock", "T-01", {"forbids": "dig"}, "reason", "Why?"),
        (
            "lock",
            "T-01",
            {"forbids": "dig", "reason": "x", "until": "2026-04-17"},
            "until",
            shared_act_sentences.over_already().message,
        ),
        ("lock", "T-01", {"forbids": "dig", "reason": "x", "until": "x"}, "until", "not a date"),
        ("lock", "T-01", {"forbids": "dig", "reason": "x", "on": "2027"}, "on", "has not come yet"),
        ("lift", "T-01", {"forbids": "dig"}, "forbids", enclosure_sentences.no_such_lock("dig").message),
        ("lift", "T-01", {"forbids": "digging"}, "forbids", "Did you mean `dig`?"),
        ("look-again", "T-01", {"because": "x"}, "about", "What should you look at?"),
        ("look-again", "T-01", {"about": "x"}, "because", "Why?"),
        ("look-again", "T-01", {"about": "x", "because": "x", "in_": "yesterday"}, "in", "is over"),
        ("look-again", "T-01", {"about": "x", "because": "x", "in_": "May 2027"}, "in", "more than one day"),
        ("swapped-labels", "T-01", {"from_": "2026-04-19"}, "with", "With which other box?"),
        (
            "swapped-labels",
            "T-01",
            {"with_": "T-01", "from_": "2026-04-19"},
            "with",
            enclosure_sentences.same_enclosure().message,
        ),
        ("swapped-labels", "T-01", {"with_": "T-02"}, "from", "Since when at the earliest?"),
        ("swapped-labels", "T-01", {"with_": "T-02", "from_": "x"}, "from", "not a date"),
        (
            "swapped-labels",
            "T-01",
            {"with_": "T-02", "from_": "2026-04-19", "to": "2026-04-17"},
            "to",
            label_sentences.ends_before_it_begins().message,
        ),
        ("swapped-labels", "T-01", {"with_": "T-02", "from_": "2026-04-19", "to": "x"}, "to", "not a date"),
        ("swapped-labels", "T-01", {"with_": "T-02", "from_": "2026-04-19", "note": "\0"}, "note", "NUL"),
    ],
)
def test_bad_acts_on_boxes(act: str, box: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, box, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])
