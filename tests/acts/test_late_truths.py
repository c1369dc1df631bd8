"""A death told late leaves the books as a death told in time does; where they must differ, it is said why.

Each case records something after a death: once with the death recorded on its day, once with the
death told days later. Compared is every row that counts, whatever its id.
"""

from __future__ import annotations

from collections import Counter

import pytest

from rounds.acts import effects_sentences, registry
from rounds.acts.act import ConfirmationRequired
from rounds.due import work
from rounds.due.planned_pairings import Hindrances
from rounds.records.enclosure_view import company_of
from rounds.records.ledger import Ledger
from rounds.records.tables import (
    TABLES,
    Content,
    Due,
    Lock,
    Pairing,
    PairingMale,
    PlannedPairing,
    Search,
    StagePast,
)
from rounds.values.spans import LAST
from tests.acts.books import TODAY, asked, day, house, plan, record, ref, refused, row, span

BOOKS = house()
DIED = "2026-05-14"
Typed = tuple[str, str, dict[str, str]]


def rows(ledger: Ledger) -> Counter[tuple[str, str]]:
    """Work that was written down since, and has no cause any more, is kept as dropped: nothing shows it."""
    return Counter(
        (table, str({n: v for n, v in one.values.items() if n != "id"}))
        for table in TABLES
        for one in ledger.table(table).values()
        if not one.void
        if not isinstance(one, Due) or (one.done is None and one.off_until != LAST)
    )


def in_time(who: str, rest: dict[str, str], *since: Typed) -> Ledger:
    books = record(BOOKS, "dead", who, today=day(DIED), sure=True, **rest)
    for name, subject, typed in since:
        books = record(books, name, subject, sure=True, **typed)
    return books


def late(who: str, rest: dict[str, str], *since: Typed) -> Ledger:
    books = BOOKS
    for name, subject, typed in since:
        books = record(books, name, subject, sure=True, **typed)
    return record(books, "dead", who, sure=True, on=DIED, **rest)


KEEP = {"rest": "keep"}
SINCE: dict[str, tuple[str, dict[str, str], tuple[Typed, ...]]] = {
    "nothing": ("UMBER/4", KEEP, ()),
    "its partner was weighed": (
        "KESTREL/1",
        {},
        (("weigh", "KESTREL/2", {"grams": "20", "on": "2026-05-16"}),),
    ),
    "food was given": ("UMBER/1", KEEP, (("protein", "T-01", {"what": "pellet", "on": "2026-05-15"}),)),
    "a lock was set": (
        "TALLOW/8",
        KEEP,
        (("lock", "T-08", {"forbids": "open, wet", "reason": "mould", "on": "2026-05-16"}),),
    ),
    "the box was searched": (
        "UMBER/4",
        KEEP,
        (("search", "T-04", {"how": "complete", "eggs": "0", "l1": "4", "on": "2026-05-16"}),),
    ),
    "the pairing box was searched": (
        "KESTREL/1",
        {},
        (("search", "T-03", {"how": "partial", "eggs": "2", "on": "2026-05-16"}),),
    ),
    "the box has another stage since": (
        "KESTREL/2",
        {},
        (("stage", "T-03", {"stage": "colony", "on": "2026-05-16"}),),
    ),
    "somebody came into the box": (
        "KESTREL/1",
        {},
        (("move", "UMBER/2", {"to": "T-03", "rest": "keep", "on": "2026-05-16"}),),
    ),
    "a plan names it": ("UMBER/1", KEEP, (("plan-pair", "UMBER/2", {"with": "UMBER/1"}),)),
    "work was asked for": (
        "UMBER/5",
        KEEP,
        (("look-again", "T-14", {"about": "smell", "because": "sour", "in_": "+3"}),),
    ),
}


@pytest.mark.parametrize("case", SINCE)
def test_told_late_is_as_told_in_time(case: str) -> None:
    who, rest, since = SINCE[case]
    try:
        early = in_time(who, rest, *since)
    except registry.BadAct:
        assert case == "a plan names it"  # nobody plans with the dead; told late, the plan is held back
        books = late(who, rest, *since)
        [planned] = books.rows(PlannedPairing)
        assert Hindrances(books).of(planned, TODAY)
        return
    assert rows(early) == rows(late(who, rest, *since))
    assert work.works(early, {}, TODAY) == work.works(late(who, rest, *since), {}, TODAY)


def test_a_pairing_that_was_ended_since_ended_on_the_day_of_the_death() -> None:
    moved: Typed = (
        "move",
        "KESTREL/2",
        {"to": "T-15", "stage": "holding", "rest": "keep", "on": "2026-05-16"},
    )
    books = late("KESTREL/1", KEEP, moved)
    assert row(books, "pairing", "P-01").until == span(DIED)
    assert [p.until for p in books.rows(PairingMale) if p.pairing == ref(books, "pairing", "P-01")] == [
        span(DIED)
    ]
    box = ref(books, "enclosure", "T-03")
    assert row(books, "enclosure", "T-03").stage_since == span(DIED)  # she was held there alone from then on
    assert [(s.stage, s.until) for s in books.rows(StagePast, StagePast.enclosure.is_(box))] == [
        ("pairing", span(DIED))
    ]


def test_a_mating_seen_since_is_asked_about() -> None:
    books = record(BOOKS, "mating-seen", "T-03", on="2026-05-16")
    books = record(books, "male-out", "P-01", to="T-15", on="2026-05-17", sure=True)
    question = asked(books, "dead", "KESTREL/2", on=DIED, rest="keep")
    assert effects_sentences.mated_later("KESTREL/2", "P-01", "16 May 2026") in question.text


def test_nobody_is_paired_or_moved_after_its_death() -> None:
    paired = record(BOOKS, "pair", "T-02", female="UMBER/2", males="UMBER/1", on="2026-05-16", sure=True)
    assert "on" in refused(paired, "dead", "UMBER/1", on=DIED, rest="keep")
    parted = record(
        paired, "male-out", list(paired.rows(Pairing))[-1].name, to="T-15", on="2026-05-17", sure=True
    )
    assert "on" in refused(parted, "dead", "UMBER/2", on=DIED)


def test_eggs_found_after_a_whole_search_are_not_hers_any_more() -> None:
    books = record(BOOKS, "search", "T-04", how="complete", eggs="0", l1="0", on="2026-05-15", sure=True)
    books = record(
        books, "search", "T-04", how="complete", eggs="0", l1="3", on="2026-05-17", name="LATER", sure=True
    )
    assert row(books, "brood", "LATER").pairing == ref(books, "pairing", "P-02")
    question = asked(books, "dead", "UMBER/4", on=DIED, rest="keep")
    assert effects_sentences.not_hers("LATER", "17 May 2026", "UMBER/4") in question.text
    after = record(books, "dead", "UMBER/4", on=DIED, rest="keep", sure=True)
    brood = row(after, "brood", "LATER")
    assert (brood.pairing, brood.line, brood.paternity) == (None, None, "")
    assert [s.pairing for s in after.rows(Search)][-1] is None
    assert [c.line for c in after.rows(Content, Content.brood.is_(brood.id))] == [None]
    timely = record(BOOKS, "dead", "UMBER/4", today=day(DIED), rest="keep", sure=True)
    timely = record(timely, "search", "T-04", how="complete", eggs="0", l1="0", on="2026-05-15", sure=True)
    timely = record(
        timely, "search", "T-04", how="complete", eggs="0", l1="3", on="2026-05-17", name="LATER", sure=True
    )
    assert rows(timely) == rows(after)


def test_eggs_found_before_any_other_search_stay_hers() -> None:
    books = record(
        BOOKS, "search", "T-04", how="complete", eggs="0", l1="3", on="2026-05-17", name="HERS", sure=True
    )
    after = record(books, "dead", "UMBER/4", on=DIED, rest="keep", sure=True)
    assert row(after, "brood", "HERS").pairing == ref(after, "pairing", "P-02")


def test_amounts_eaten_since_are_of_those_that_were_left() -> None:
    books = late("KESTREL/1", {})
    assert company_of(books, ref(books, "enclosure", "T-03")).same_since == day(DIED)


def test_one_missing_since_had_left_already() -> None:
    books = record(BOOKS, "missing", "UMBER/1", rest="keep", on="2026-05-16")
    after = record(books, "dead", "UMBER/1", on=DIED)
    assert [c.until for c in after.rows(Content, Content.animal.is_(ref(after, "animal", "UMBER/1")))] == [
        span(DIED)
    ]


def test_it_must_differ_where_others_live_there_now() -> None:
    """Quarantine ends with the last one out. Told late, another lives there by now, and stays apart."""
    moved: Typed = ("move", "TALLOW/8", {"to": "T-10", "rest": "keep", "on": "2026-05-16"})
    early, after = in_time("RUSH/1", KEEP, moved), late("RUSH/1", {}, moved)
    assert [lock.lifted for lock in early.rows(Lock) if lock.reason == "quarantine"] == [day(DIED)]
    assert [lock.lifted for lock in after.rows(Lock) if lock.reason == "quarantine"] == [None]


def test_it_must_differ_where_a_pair_was_put_together_since() -> None:
    """The box has been for a pair all along; only in time was anybody told that it held one animal for two days."""
    pair: Typed = ("pair", "T-03", {"female": "UMBER/2", "males": "UMBER/1", "on": "2026-05-16"})
    early, after = in_time("KESTREL/2", {}, pair), late("KESTREL/2", {}, pair)
    assert row(early, "enclosure", "T-03").stage == row(after, "enclosure", "T-03").stage == "pairing"


def test_a_question_is_not_passed_over() -> None:
    books = record(BOOKS, "mating-seen", "T-03", on="2026-05-16")
    books = record(books, "male-out", "P-01", to="T-15", on="2026-05-17", sure=True)
    with pytest.raises(ConfirmationRequired):
        plan(books, "dead", "KESTREL/2", on=DIED, rest="keep")
