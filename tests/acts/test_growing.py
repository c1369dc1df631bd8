"""From wandering larva to breeding adult: stages, locks, and dates that keep their order."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts import groups_sentences, growing_sentences, registry, shared_act_sentences
from rounds.acts.growing import STEPS
from rounds.records.column import Column
from rounds.records.ledger import Draft
from rounds.records.tables import Animal, Content, Enclosure, Lock
from rounds.values import spans
from rounds.values.spans import Span
from tests.acts.books import TODAY, asked, house, inside, plan, record, ref, refused, row, span

BOOKS = house()


def test_one_larva_wanders_and_its_enclosure_with_it() -> None:
    books = record(BOOKS, "wandering", "T-14", on="about 2026-05-14")
    assert row(books, "animal", "UMBER/5").wandering == span("about 2026-05-14")
    assert (row(books, "enclosure", "T-14").stage, row(books, "enclosure", "T-14").stage_since) == (
        "wandering",
        span("about 2026-05-14"),
    )
    nothing = record(BOOKS, "wandering", "T-14", then="nothing")
    assert row(nothing, "enclosure", "T-14").stage == "larvae"
    locked = record(BOOKS, "wandering", "T-14", then="lock", until="2026-07-18")
    (lock,) = list(locked.rows(Lock, Lock.enclosure.is_(14)))
    assert (lock.forbids, lock.until, lock.lifted) == ("dig open move wet", span("2026-07-18"), None)
    assert lock.animal == ref(locked, "animal", "UMBER/5")


def test_of_a_group_only_the_wanderer_is_moved_out() -> None:
    books = record(BOOKS, "wandering", "T-06", count="1.0.0", into="T-11")
    assert (inside(books, "T-06"), inside(books, "T-11")) == (["LOCH-01 1.3.4 L3"], ["LOCH-01 1.0.0 L3"])
    assert (row(books, "enclosure", "T-06").stage, row(books, "enclosure", "T-11").stage) == (
        "larvae",
        "wandering",
    )
    one = record(BOOKS, "wandering", "T-14", into="T-12")
    assert (inside(one, "T-14"), inside(one, "T-12")) == ([], ["UMBER/5"])
    assert growing_sentences.whole_enclosure_into_stage("T-06", "LOCH-01 L3 (2.3.4)", "wandering") in str(
        asked(BOOKS, "wandering", "T-06", count="1")
    )
    all_ = record(BOOKS, "wandering", "T-06")
    assert row(all_, "enclosure", "T-06").stage == "wandering"


def test_a_cell_is_built() -> None:
    books = record(BOOKS, "wandering", "T-14", on="2026-05-06")
    books = record(books, "cell", "T-14", until="before 2026-07-18")
    assert (row(books, "enclosure", "T-14").stage, row(books, "animal", "UMBER/5").cell) == (
        "cell",
        span("2026-05-18"),
    )
    books = record(books, "eclosed", "UMBER/5")
    assert [lock.lifted for lock in books.rows(Lock, Lock.enclosure.is_(14))] == [None]
    books = record(books, "emerged", "UMBER/5", stage="holding")
    assert [r.lifted for r in books.rows(Lock, Lock.enclosure.is_(14))] == [TODAY]
    assert row(books, "enclosure", "T-14").stage == "holding"
    moved = record(BOOKS, "cell", "T-06", count="1", into="T-12")
    assert (inside(moved, "T-12"), row(moved, "enclosure", "T-12").stage) == (["LOCH-01 0.0.1 L3"], "cell")


EDGE = [
    ({"animal": "UMBER/1"}, "animal", "UMBER/1 is not in T-06"),
    ({"animal": "UMBRE/1"}, "animal", "Did you mean `UMBER/1`?"),
    ({"count": "x"}, "count", "not a count"),
    ({"count": "10"}, "count", "more than the 2.3.4"),
    ({"count": "1", "into": "T-06"}, "into", "where it was"),
    ({"count": "1", "into": "T-01"}, "into", "empty or prepared"),
    ({"count": "1", "into": "T-155"}, "into", "Did you mean `T-15`?"),
    ({"until": "soon"}, "until", "not a date"),
    ({"line": "LOHC"}, "line", "Did you mean `LOCH`?"),
    ({"brood": "LOCH-02"}, "brood", "Did you mean `LOCH-01`?"),
    ({"age": "egg"}, "age", "Did you mean `eggs`?"),
    ({"on": "2026-06-17"}, "on", "has not come yet"),
]


@pytest.mark.parametrize("act", ["wandering", "cell"])
@pytest.mark.parametrize(("typed", "field", "words"), EDGE)
def test_bad_wandering_and_cells(act: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, "T-06", **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


@pytest.mark.parametrize(
    ("act", "box", "typed", "field", "words"),
    [
        ("wandering", "T-14", {"then": "lok"}, "then", "Did you mean `lock`?"),
        ("wandering", "T-14", {"until": "2026-07-18"}, "until", "then=lock"),
        (
            "wandering",
            "T-14",
            {"then": "lock", "until": "2026-04-17"},
            "until",
            shared_act_sentences.over_already().message,
        ),
        ("wandering", "T-06", {"then": "nothing"}, "then", growing_sentences.nothing_for_a_group().message),
        (
            "wandering",
            "T-14",
            {"animal": "UMBER/5", "count": "1"},
            "animal",
            growing_sentences.has_a_number().message,
        ),
        (
            "wandering",
            "T-03",
            {},
            "animal",
            growing_sentences.which_animal("T-03", ["KESTREL/1", "KESTREL/2"]).hint,
        ),
        ("wandering", "T-12", {}, "enclosure", groups_sentences.no_counted_group("T-12").message),
        ("wandering", "T-13", {}, "age", growing_sentences.eggs_do_not_wander().hint),
        ("cell", "T-14", {"until": "17 Apr 2026"}, "until", shared_act_sentences.over_already().message),
        ("cell", "T-7", {}, "enclosure", "Did you mean"),
    ],
)
def test_more_bad_wandering_and_cells(
    act: str, box: str, typed: dict[str, str], field: str, words: str
) -> None:
    slips = refused(BOOKS, act, box, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


ADULT = {
    "eclosed": Animal.eclosed,
    "emerged": Animal.emerged,
    "first-feed": Animal.first_feed,
    "mature": Animal.mature,
}


@pytest.mark.parametrize(("act", "column"), ADULT.items())
def test_the_four_dates_are_only_what_was_recorded(act: str, column: Column[Span | None]) -> None:
    books = record(BOOKS, act, "UMBER/5", on="spring 2026")
    one = row(books, "animal", "UMBER/5")
    assert one.value(column) == span("spring 2026")
    assert [step for step in STEPS if one.value(step) is not None] == [column]
    assert row(books, "enclosure", "T-14").stage == ("resting" if act == "eclosed" else "holding")
    assert "spring 2026" in str(asked(books, act, "UMBER/5", on="2026-05-16"))
    staged = record(BOOKS, act, "UMBER/5", stage="resting")
    assert row(staged, "enclosure", "T-14").stage == "resting"
    assert growing_sentences.others_in_that_stage_too("T-03", "holding") in str(
        asked(BOOKS, act, "KESTREL/1", stage="holding")
    )


@pytest.mark.parametrize("act", ADULT)
@pytest.mark.parametrize(
    ("who", "typed", "field", "words"),
    [
        ("UMBER/3", {}, "animal", shared_act_sentences.is_dead("UMBER/3").message),
        ("TALLOW/9", {}, "animal", "Did you mean `TALLOW/"),
        ("TALLOW/7", {"on": "2026-03-18"}, "on", "would come before its cell (about 17 Apr 2026)"),
        ("UMBER/5", {"on": "2026-05-19"}, "on", "has not come yet"),
        ("UMBER/5", {"stage": "larva"}, "stage", "Did you mean `larvae`?"),
        ("UMBER/5", {"stage": "empty"}, "stage", growing_sentences.no_stage_for_an_animal("empty").message),
    ],
)
def test_bad_dates(act: str, who: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, who, **typed)
    assert set(slips) == {field}
    assert words in str(slips[field])


def test_the_same_date_again_is_nothing_and_a_missing_one_has_no_enclosure() -> None:
    books = record(BOOKS, "mature", "UMBER/5")
    assert growing_sentences.day_known_already("UMBER/5").hint in str(
        refused(books, "mature", "UMBER/5")["on"]
    )
    lost = record(BOOKS, "missing", "UMBER/5", rest="keep")
    assert growing_sentences.in_no_enclosure("UMBER/5").message in str(
        refused(lost, "mature", "UMBER/5", stage="holding")["stage"]
    )


days = st.integers(TODAY - 300, TODAY)
spans_ = st.tuples(days, days).map(lambda ab: Span(min(ab), max(ab)))


@given(st.permutations(list(ADULT)), st.lists(spans_, min_size=4, max_size=4))
def test_dates_recorded_in_any_order_are_refused_only_when_certainly_out_of_order(
    order: list[str], when: list[Span]
) -> None:
    """Against the definition: a step is refused just when some pair would certainly run backwards."""
    books, kept = BOOKS, {}
    steps = list(ADULT)
    for act, span_ in zip(order, when, strict=True):
        trial = {**kept, act: span_}
        backwards = any(
            trial[b].latest < trial[a].earliest for a, b in combinations([s for s in steps if s in trial], 2)
        )
        try:
            made = plan(books, act, "UMBER/5", on=spans.text(span_))
        except registry.BadAct:
            assert backwards
            continue
        assert not backwards
        books, kept = books.after(made.changes), trial


def test_the_youngest_do_not_wander_without_a_question() -> None:
    group = next(c for c in BOOKS.rows(Content) if c.instar == "L3" and c.until is None)
    d = Draft(BOOKS)
    d.set(Content.instar, group.id, "L1")
    box = BOOKS.row(Enclosure, group.enclosure).code
    for days, doubt in ((3, True), (60, False)):
        d.set(Content.since, group.id, Span(TODAY - days, TODAY - days))
        for act in ("wandering", "cell"):
            said = str(asked(d.ledger, act, box)) if doubt else ""
            assert ("only an L3 wanders" in said) is doubt
            if not doubt:
                record(d.ledger, act, box)
