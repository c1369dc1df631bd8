"""Labels that were on the wrong boxes: told, then settled with yes or with no.

What is exchanged and what is not is held against a small house by hand, and in lives drawn at
random against three rules that know nothing of how it is done: exchanged twice is not exchanged,
an undo gives the books back, and nothing of another day changes.
"""

from __future__ import annotations

from random import Random
from typing import Any

import pytest

from rounds.acts import groups, label_sentences, registry
from rounds.acts.act import ConfirmationRequired
from rounds.due import work
from rounds.records.invariants import faults
from rounds.records.label_doubts import open_swaps
from rounds.records.ledger import Add, Draft, Ledger, Set
from rounds.records.tables import (
    TABLES,
    Animal,
    Brood,
    Content,
    Enclosure,
    Fewer,
    LabelSwap,
    Mating,
    Pairing,
    PairingMale,
    Search,
    Weight,
)
from rounds.values.spans import Span
from tests.acts.books import TODAY, asked, counted_house, house, inside, plan, record, ref, refused, row, span
from tests.acts.random_acts import attempt
from tests.sampled import sampled

BOOKS = house()
FIRST, LAST = "2026-04-26", "2026-05-06"


def told(books: Ledger, box: str, other: str, first: str = FIRST, last: str = LAST) -> Ledger:
    return record(books, "swapped-labels", box, with_=other, from_=first, to=last)


def settled(books: Ledger, box: str, other: str, first: str = FIRST, last: str = LAST, **more: str) -> Ledger:
    return record(told(books, box, other, first, last), "labels-settled", box, sure=True, were="yes", **more)


def cannot(books: Ledger, box: str, other: str, first: str = FIRST, last: str = LAST) -> str:
    return str(refused(told(books, box, other, first, last), "labels-settled", box, were="yes")["were"])


def told_apart(ledger: Ledger) -> dict[tuple[str, int], dict[str, Any]]:
    """Every record that counts, but for what says that labels were doubted."""
    return {
        (table, id_): {n: v for n, v in record.values.items() if n != "doubt"}
        for table in TABLES
        if table != LabelSwap.table
        for id_, record in ledger.table(table).items()
        if not record.void
    }


def test_no_lifts_the_doubt_and_changes_nothing_else() -> None:
    with_own = Draft(BOOKS)
    with_own.set(Animal.doubt, ref(BOOKS, "animal", "UMBER/1"), "its mark is worn")
    books = told(with_own.ledger, "T-01", "T-02")
    assert (
        row(books, "animal", "UMBER/1").doubt
        == "its mark is worn; labels of T-01 and T-02 may have been mixed up"
    )
    after = record(books, "labels-settled", "T-02", were="no")  # either of the two can be named
    assert row(after, "animal", "UMBER/1").doubt == "its mark is worn"
    assert {k: v.values for k, v in after.table("content").items()} == {
        k: v.values for k, v in BOOKS.table("content").items()
    }
    assert told_apart(after) == told_apart(BOOKS)
    assert not open_swaps(after)
    assert [(s.settled, s.settled_on, s.exchanged) for s in after.rows(LabelSwap)] == [("no", TODAY, "")]


def test_a_doubt_as_earlier_versions_worded_it_is_lifted_as_well() -> None:
    old = Draft(told(BOOKS, "T-01", "T-02"))
    said = label_sentences.labels_were_mixed_up("T-01", "T-02")
    old.set(Animal.doubt, ref(BOOKS, "animal", "UMBER/1"), said)
    assert row(record(old.ledger, "labels-settled", "T-01", were="no"), "animal", "UMBER/1").doubt == ""


def test_yes_exchanges_a_weight_and_a_death_of_those_days_and_no_other() -> None:
    books = record(BOOKS, "weigh", "UMBER/1", grams="21.5", on="2026-04-25")
    books = record(books, "weigh", "UMBER/1", grams="22.5", on="2026-04-28")
    books = record(books, "weigh", "UMBER/2", grams="18.5", on="2026-04-29")
    books = record(books, "dead", "UMBER/1", seen="2026-04-24", cause="age", rest="keep", on="2026-05-01")
    after = settled(books, "T-01", "T-02")
    one, two = ref(books, "animal", "UMBER/1"), ref(books, "animal", "UMBER/2")
    assert [(w.animal, w.grams) for w in after.rows(Weight)] == [(one, 21.5), (two, 22.5), (one, 18.5)]
    alive, dead = row(after, "animal", "UMBER/1"), row(after, "animal", "UMBER/2")
    assert (alive.state, alive.died, alive.cause, alive.last_seen) == ("alive", None, "", None)
    assert (dead.state, dead.died, dead.cause) == (
        "dead",
        (*span("2026-04-24 to 2026-05-01")[:2], ""),
        "age",
    )
    assert (inside(after, "T-01"), inside(after, "T-02")) == (["UMBER/1"], [])
    assert not alive.doubt
    assert not dead.doubt
    swap = next(after.rows(LabelSwap))
    assert swap.exchanged == "2 weighings, 1 move, 1 date or end of a life"
    assert swap.settled == "yes"


def test_yes_says_first_what_will_be_exchanged() -> None:
    books = told(record(BOOKS, "weigh", "UMBER/1", grams="22.5", on="2026-04-28"), "T-01", "T-02")
    books = record(books, "weigh", "UMBER/2", grams="18.5", on="between 2026-04-25 and 2026-04-27")
    question = asked(books, "labels-settled", "T-01", were="yes")
    assert "exchange UMBER/1 with UMBER/2: 1 weighing" in question.text
    assert label_sentences.stays(1) in question.text
    assert label_sentences.READINGS_STAY in question.text


def test_a_search_is_of_the_other_female_and_so_is_the_brood_it_found() -> None:
    books = record(BOOKS, "to-laying", "T-03", to="T-11", female="KESTREL/2", on="2026-05-10", sure=True)
    books = record(
        books, "search", "T-04", how="complete", l1="5", eggs="0", on="2026-05-14", name="FOUND", sure=True
    )
    brood = row(books, "brood", "FOUND")
    assert books.row(Pairing, brood.pairing).name == "P-02"
    after = settled(books, "T-04", "T-11", "2026-05-11", "2026-05-17")
    brood = row(after, "brood", "FOUND")
    search = after.row(Search, brood.search)
    assert after.row(Pairing, brood.pairing).name == after.row(Pairing, search.pairing).name == "P-01"
    assert (search.enclosure, brood.line) == (ref(after, "enclosure", "T-11"), ref(after, "line", "KESTREL"))
    assert inside(after, "T-11") == ["KESTREL/2", "FOUND 0.0.5 L1"]
    assert inside(after, "T-04") == ["UMBER/4"]


def test_a_mating_and_a_male_taken_out_are_of_the_other_pair() -> None:
    books = record(BOOKS, "pair", "T-02", female="UMBER/2", males="UMBER/1", on="2026-05-08", sure=True)
    books = record(books, "mating-seen", "T-02", on="2026-05-11")
    books = record(books, "male-out", "P-01", to="T-15", on="2026-05-13", sure=True)
    after = settled(books, "T-02", "T-03", "2026-05-09", "2026-05-17")
    mating = next(after.rows(Mating))
    assert after.row(Pairing, mating.pairing).name == "P-01"
    assert inside(after, "T-15") == ["UMBER/1"]
    assert sorted(inside(after, "T-03")) == ["KESTREL/1", "KESTREL/2"]
    ends = {m.male: m.until for m in after.rows(PairingMale) if m.since == span("2026-05-08")}
    assert ends == {
        ref(after, "animal", "UMBER/1"): span("2026-05-13"),
        ref(after, "animal", "KESTREL/1"): None,
    }


def test_a_move_and_a_change_of_stage_are_of_the_other_box() -> None:
    books = record(
        BOOKS, "move", "UMBER/1", to="T-12", stage="holding", rest="empty", looked="yes", on="2026-05-01"
    )
    assert row(books, "enclosure", "T-01").stage == "empty"
    after = settled(books, "T-01", "T-02")
    assert (inside(after, "T-12"), inside(after, "T-01"), inside(after, "T-02")) == (
        ["UMBER/2"],
        ["UMBER/1"],
        [],
    )
    assert (row(after, "enclosure", "T-01").stage, row(after, "enclosure", "T-02").stage) == (
        "holding",
        "empty",
    )


def test_those_lost_from_one_group_were_lost_from_the_other() -> None:
    books = record(BOOKS, "dead-some", "T-06", count="0.0.2", on="2026-05-01")
    after = settled(books, "T-06", "T-05")
    assert inside(after, "T-06") == ["LOCH-01 2.3.4 L3"]
    assert inside(after, "T-05") == ["LOCH-01 0.0.10+ L2"]
    assert [f.content for f in after.rows(Fewer)] == [
        c.id for c in after.rows(Content) if c.enclosure == ref(after, "enclosure", "T-05")
    ]


def test_those_lost_from_a_rough_count_leave_it_as_rough_as_it_was() -> None:
    """Both ends of a range fall by as many; where fewer may have been there it is refused."""

    def there(ledger: Ledger, box: str) -> str:
        return groups.name(ledger, groups.groups(ledger, ref(ledger, "enclosure", box))[0])

    rough = Draft(BOOKS)
    [group] = [c.id for c in BOOKS.rows(Content, Content.enclosure.is_(ref(BOOKS, "enclosure", "T-05")))]
    for column, value in ((Content.unsexed, 18), (Content.high, 22), (Content.count_words, "ca. 20")):
        rough.set(column, group, value)
    assert there(rough.ledger, "T-05") == "LOCH-01 L2 (ca. 20 (0.0.18-22))"
    after = settled(record(rough.ledger, "dead-some", "T-06", count="0.0.3", on="2026-05-01"), "T-06", "T-05")
    assert inside(after, "T-06") == ["LOCH-01 2.3.4 L3"]
    assert there(after, "T-05") == "LOCH-01 L2 (0.0.15-19)"
    lost = record(rough.ledger, "dead-some", "T-05", count="0.0.3", on="2026-05-01")
    assert there(lost, "T-05") == "LOCH-01 L2 (0.0.15-19)"
    after = settled(lost, "T-05", "T-06")
    assert there(after, "T-05") == "LOCH-01 L2 (0.0.18-22)"
    assert inside(after, "T-06") == ["LOCH-01 2.3.1 L3"]
    rough.set(Content.unsexed, group, 2)
    lost = record(rough.ledger, "dead-some", "T-06", count="0.0.3", on="2026-05-01")
    said = cannot(lost, "T-06", "T-05")
    assert label_sentences.rough_counts("T-05").message in said
    assert label_sentences.BY_HAND in said


def test_the_sex_is_exchanged_only_when_it_was_told_by_a_look_on_those_days() -> None:
    assert row(settled(BOOKS, "T-01", "T-02"), "animal", "UMBER/1").sex == "m"
    after = settled(BOOKS, "T-14", "T-01", sex="yes")
    assert (row(after, "animal", "UMBER/5").sex, row(after, "animal", "UMBER/1").sex) == ("m", "unknown")


@pytest.mark.parametrize(
    ("acts", "boxes", "words"),
    [
        ((), ("T-01", "T-07"), "different species"),
        ((), ("T-01", "T-12"), "T-12 held nobody on 26 Apr 2026"),
        (  # she was dead before: what was seen cannot have been her
            (("dead", "UMBER/2", {"rest": "keep", "on": "2026-04-21"}),),
            ("T-01", "T-02"),
            "T-02 held nobody",
        ),
        (
            (
                ("dead", "UMBER/1", {"rest": "keep", "on": "2026-05-01"}),
                ("dead", "UMBER/2", {"rest": "keep", "on": "2026-05-11"}),
            ),
            ("T-01", "T-02"),
            "nothing like it did at the other box",
        ),
        (
            (("first-feed", "UMBER/5", {"on": "2026-05-01"}),),
            ("T-14", "T-01"),
            "UMBER/1: when it first ate as an adult is recorded for",
        ),
        ((("dead-some", "T-06", {"count": "0.0.4", "on": "2026-05-01"}),), ("T-06", "T-14"), "T-14 held"),
        (
            (
                (
                    "move-some",
                    "T-06",
                    {"count": "2.3.4", "to": "T-12", "stage": "larvae", "rest": "keep", "on": "2026-05-01"},
                ),
            ),
            ("T-06", "T-05"),
            "",
        ),
    ],
)
def test_what_cannot_be_exchanged_is_refused_with_its_reason(
    acts: tuple[tuple[str, str, dict[str, str]], ...], boxes: tuple[str, str], words: str
) -> None:
    books = BOOKS
    for name, subject, typed in acts:
        books = record(books, name, subject, sure=True, **typed)
    said = cannot(books, *boxes)
    assert words in said
    assert label_sentences.BY_HAND in said or "give other days" in said


def test_who_has_no_counterpart_cannot_be_exchanged() -> None:
    books = record(BOOKS, "weigh", "KESTREL/1", grams="20", on="2026-05-11")
    said = cannot(books, "T-03", "T-04", "2026-05-09", "2026-05-17")
    assert label_sentences.no_counterpart("KESTREL/1", "T-04").message in said


def test_what_is_not_told_or_told_twice_is_refused() -> None:
    assert label_sentences.none_open("T-01").message in str(
        refused(BOOKS, "labels-settled", "T-01", were="no")["enclosure"]
    )
    books = told(BOOKS, "T-01", "T-02")
    again = refused(books, "swapped-labels", "T-02", with_="T-01", from_=FIRST)["with"]
    assert label_sentences.told_already("T-02", "T-01").message in str(again)
    several = told(books, "T-01", "T-14")
    assert "T-02 and with T-14" in str(refused(several, "labels-settled", "T-01", were="no")["with"])
    one = record(several, "labels-settled", "T-01", with_="T-14", were="no")
    assert [swap.other for swap in open_swaps(one)] == [ref(one, "enclosure", "T-02")]
    assert row(one, "animal", "UMBER/1").doubt == label_sentences.labels_mixed_up("T-01", "T-02")


def test_it_is_due_to_say_it_until_it_is_said() -> None:
    books = told(BOOKS, "T-01", "T-02")
    due = [w for w in work.works(books, {}, TODAY) if w.kind == "labels" and w.done is None]
    assert [w.enclosure for w in due] == [ref(books, "enclosure", "T-01")]
    after = record(books, "labels-settled", "T-01", were="no")
    assert not [w for w in work.works(after, {}, TODAY) if w.kind == "labels" and w.done is None]
    assert [w for w in work.works(books, {}, TODAY) if w.kind == "labels"] == due


HOMES = (
    ("T-01", "T-02"),
    ("T-05", "T-06"),
    ("T-16", "T-05"),
    ("T-04", "T-02"),
    ("T-14", "T-01"),
    ("T-03", "T-02"),
)
"""Boxes of one species in which somebody lives, so that one can be taken for the other."""
WINDOWS = (("2026-04-26", "2026-05-06"), ("2026-05-01", "2026-05-18"), ("2026-04-17", "2026-05-16"))
EVENTS = (
    *("weigh", "weigh-one", "dead", "dead-some", "missing", "given-away", "lent", "move", "move-some"),
    *("search", "mating-seen", "male-out", "parted", "pair", "to-laying", "protein", "rebed", "tick"),
    *("first-feed", "mature", "sexed", "eclosed", "emerged", "stage", "lock", "lift", "found", "counted"),
)


def _lived(random: Random) -> Ledger:
    books = counted_house()
    for n in range(20):
        tried = attempt(random.choice(EVENTS), books, random.choice, n)
        books = books.after(tried.recorded.changes) if tried.recorded is not None else books
    return books


def _settle(books: Ledger, boxes: tuple[str, str], days: tuple[str, str]) -> tuple[Ledger, Any] | None:
    """The books after it was told and said yes to, with that plan; None where it is refused."""
    try:
        made = plan(books, "swapped-labels", boxes[0], with_=boxes[1], from_=days[0], to=days[1], sure=True)
        books = books.after(made.changes)
        made = plan(books, "labels-settled", boxes[0], with_=boxes[1], were="yes", sure=True)
    except registry.BadAct:
        return None
    return books, made


def _of_those_days(ledger: Ledger, table: str, id_: int, first: int, last: int) -> bool:
    days = (v for v in ledger.table(table)[id_].values.values() if isinstance(v, Span))
    whole = (
        v
        for c in TABLES[table].columns
        if c.type == "day" and (v := ledger.table(table)[id_].values[c.name]) is not None
    )
    spans = [*days, *(Span(v, v) for v in whole)]
    return any(first <= when.earliest and when.latest <= last for when in spans)


def test_random_lives_are_exchanged_back_and_forth_and_nothing_of_other_days_changes() -> None:
    exchanged = 0
    for seed in range(sampled(55, 2000)):
        random = Random(seed)
        books, days = _lived(random), random.choice(WINDOWS)
        boxes = random.choice(HOMES)
        done = _settle(books, boxes, days)
        if done is None:
            continue
        before, made = done
        after = before.after(made.changes)
        assert not set(faults(after)) - set(faults(before)), seed
        assert before == after.after(registry.reversal(made.changes)), seed
        first, last = span(days[0]).earliest, span(days[1]).latest
        assert not [c for c in made.changes if isinstance(c, Add)], seed
        follows = (Content.line.name, "males", "females", "unsexed", "doubt")
        for change in made.changes:
            assert isinstance(change, Set)
            if change.table in (LabelSwap.table, Brood.table, Enclosure.table) or change.column in follows:
                continue  # a brood and a stage follow their search and its day, a count its losses
            assert (
                any(
                    _of_those_days(books_, change.table, change.id, first, last) for books_ in (before, after)
                )
                or (change.table == "due" and change.column == "enclosure")
                or change.table == "animal"
            ), (seed, change)
        again = _settle(after, boxes, days)
        assert again is not None, seed
        twice = again[0].after(again[1].changes)
        assert told_apart(twice) == told_apart(books), seed
        exchanged += told_apart(after) != told_apart(books)
    assert exchanged >= 5, "too few lives in which anything was exchanged"


def test_a_yes_is_never_recorded_unasked() -> None:
    books = told(BOOKS, "T-01", "T-02")
    with pytest.raises(ConfirmationRequired):
        plan(books, "labels-settled", "T-01", were="yes")
