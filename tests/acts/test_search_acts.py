"""Searches: what was found, when it hatched, whose it is, and when to search again."""

from __future__ import annotations

import pytest

from rounds.acts import laying_sentences, pairing_sentences, registry, shared_act_sentences
from rounds.acts.act import ConfirmationRequired
from rounds.husbandry import hatching_sentences
from rounds.husbandry.hatching import Times
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.parentage import OffspringTotal, offspring
from rounds.records.tables import Brood, Content, Due, Fewer, Lock, PairingMale, Search
from rounds.values.spans import LAST, Span
from tests.acts.books import TODAY, asked, day, house, inside, record, ref, refused, row, span

TORQUATA = Times((14, 25), (20, 40), (25, 50))
KNOWN = registry.Settings(times={"Mecynorhina torquata": TORQUATA}.get)


@pytest.fixture
def books() -> Ledger:
    """UMBER/4 laid in T-04 from 20 Apr on (no digging before 22 May); P-02 is hers, the father certain."""
    return house()


def known(ledger: Ledger, act: str, subject: str, /, *, sure: bool = True, **f: str) -> Ledger:
    """Record with the times of Mecynorhina torquata known; questions are answered with yes."""
    made = registry.plan(act, subject, f, ledger, TODAY, "Ferrow", sure=sure, settings=KNOWN)
    after = ledger.after(made.changes)
    assert after.after(registry.reversal(made.changes)) == ledger
    assert set(faults(after)) <= set(faults(ledger))
    return after


def due(ledger: Ledger, box: str, what: str) -> list[tuple[int, int, str]]:
    return [
        (r.earliest, r.latest, r.why)
        for r in ledger.rows(Due, Due.enclosure.is_(ref(ledger, "enclosure", box)), Due.done.is_(None))
        if r.what == what
    ]


def total(ledger: Ledger, brood: str) -> int:
    """Of a brood: those there now and those of whom it is written what became of them."""
    id_ = ref(ledger, "brood", brood)
    rows = list(
        ledger.rows(Content, Content.brood.is_(id_), Content.until.is_(None), Content.animal.is_(None))
    )
    rows += list(ledger.rows(Fewer, Fewer.brood.is_(id_)))
    return sum(r.males + r.females + r.unsexed for r in rows)


# --- a search ---------------------------------------------------------------------------


def test_a_search_finds_broods_that_stay_where_they_are(books: Ledger) -> None:
    after = known(
        books,
        "search",
        "T-04",
        how="complete",
        eggs="3",
        l1="at least 14",
        on="2026-05-18",
        note="at the base",
    )
    [search] = after.rows(Search)
    assert (search.eggs, search.l1, search.l2, search.at_least) == (3, 14, None, True), "L2: nobody said"
    assert (search.complete, search.pairing, search.note) == (
        True,
        ref(after, "pairing", "P-02"),
        "at the base",
    )
    eggs, larvae = row(after, "brood", "P-02-01"), row(after, "brood", "P-02-02")
    assert (eggs.instar, eggs.unsexed, eggs.at_least) == ("eggs", 3, False)
    assert (larvae.instar, larvae.unsexed, larvae.at_least) == ("L1", 14, True)
    assert inside(after, "T-04") == ["UMBER/4", "P-02-01 0.0.3 eggs", "P-02-02 0.0.14+ L1"]
    for brood in (eggs, larvae):
        assert brood.pairing == ref(after, "pairing", "P-02")
        assert brood.line == ref(after, "line", "UMBER")
        assert (brood.paternity, brood.found, brood.doubt) == ("certain", span("2026-05-18"), "")


def test_each_instar_gets_a_hatch_span_of_its_own(books: Ledger) -> None:
    """In on 20 Apr; eggs take 14 to 25 days, so nothing hatched before 4 May."""
    after = known(books, "search", "T-04", how="complete", eggs="3", l1="5", on="2026-05-18")
    assert row(after, "brood", "P-02-01").hatch == Span(day("2026-05-18"), day("2026-06-12"))
    assert row(after, "brood", "P-02-02").hatch == Span(day("2026-05-04"), day("2026-05-18"))


def test_without_times_only_the_books_narrow(books: Ledger) -> None:
    after = record(books, "search", "T-04", sure=True, how="complete", eggs="1", l3="1.1.0")
    assert row(after, "brood", "P-02-01").hatch == Span(TODAY, LAST)
    assert row(after, "brood", "P-02-02").hatch == Span(day("2026-04-20"), TODAY)
    assert inside(after, "T-04")[2] == "P-02-02 1.1.0 L3"


def test_what_the_species_rules_out_is_asked_about_then_doubted(books: Ledger) -> None:
    with pytest.raises(ConfirmationRequired) as e:
        registry.plan("search", "T-04", {"how": "partial", "l3": "1"}, books, TODAY, settings=KNOWN)
    assert hatching_sentences.too_soon("L3", 28, 59) in str(e.value)
    after = known(books, "search", "T-04", how="partial", l3="1")
    brood = row(after, "brood", "P-02-01")
    assert brood.hatch == Span(day("2026-04-20"), TODAY)
    assert brood.doubt.startswith("L3 28 days after")


def test_digging_before_the_lock_ends_is_asked_about_and_the_search_lifts_it(books: Ledger) -> None:
    assert shared_act_sentences.is_locked("T-04", "dig", "21 May 2026", "until the first search") in str(
        asked(books, "search", "T-04", how="partial")
    )
    after = record(books, "search", "T-04", sure=True, how="partial")
    [lock] = after.rows(Lock, Lock.enclosure.is_(ref(after, "enclosure", "T-04")))
    assert lock.lifted == TODAY


def test_a_search_closes_the_one_that_was_due_and_asks_for_the_next(books: Ledger) -> None:
    d = Draft(books)
    box = ref(d.ledger, "enclosure", "T-04")
    d.add(Due(enclosure=box, what="first search", earliest=TODAY, likely=TODAY, latest=TODAY))
    after = known(d.ledger, "search", "T-04", how="partial", eggs="at least 2")
    assert due(after, "T-04", "first search") == []
    [(earliest, latest, why)] = due(after, "T-04", "next search")
    assert (earliest, latest) == (TODAY + 14, TODAY + 28)
    assert why == shared_act_sentences.days_after(
        "searched 18 May 2026, at least 2 eggs left in place", "14 to 28 days", "common practice, no source"
    )
    again = known(after, "search", "T-04", how="complete")
    assert len(due(again, "T-04", "next search")) == 1


def test_nothing_found_is_an_answer(books: Ledger) -> None:
    after = known(books, "search", "T-04", how="complete", eggs="0", l1="0", l2="0", l3="0")
    [search] = after.rows(Search)
    assert search.eggs == search.l1 == search.l2 == search.l3 == search.recount == 0
    assert inside(after, "T-04") == ["UMBER/4"]


def test_what_nobody_was_asked_about_is_unknown_and_stays_on_record(books: Ledger) -> None:
    first = known(books, "search", "T-04", how="complete", eggs="3", on="2026-05-14")
    after = known(first, "search", "T-04", how="complete", l1="14")
    search = list(after.rows(Search))[-1]
    assert (search.eggs, search.l1, search.l2, search.l3) == (None, 14, None, None)
    assert [
        c.unsexed
        for c in after.rows(Content, Content.until.is_(None))
        if c.instar == "eggs" and c.enclosure == 4
    ] == [3]
    asked_of = known(first, "search", "T-04", how="complete", eggs="0", l1="14")
    assert not [
        c for c in asked_of.rows(Content, Content.until.is_(None)) if c.instar == "eggs" and c.enclosure == 4
    ]


def test_the_next_brood_counts_from_the_last_complete_search_not_from_a_partial_one(books: Ledger) -> None:
    for how, earliest in (("complete", "2026-05-15"), ("partial", "2026-05-04")):
        first = known(books, "search", "T-04", how=how, on="2026-05-01")
        after = known(first, "search", "T-04", how="complete", l1="4")
        assert row(after, "brood", "P-02-01").hatch == Span(day(earliest), TODAY)


def test_eggs_left_by_a_complete_search_may_be_the_larvae_of_the_next(books: Ledger) -> None:
    first = known(books, "search", "T-04", how="complete", eggs="3", on="2026-05-06")
    after = known(first, "search", "T-04", how="complete", l1="4", eggs="1")
    # Without them: 6 May + 14 days. They had not hatched on 6 May, and may have on that day.
    assert row(after, "brood", "P-02-03").hatch == Span(day("2026-05-06"), TODAY)
    assert inside(after, "T-04") == ["UMBER/4", "P-02-02 0.0.1 eggs", "P-02-03 0.0.4 L1"]
    search = list(after.rows(Search))[1]
    assert search.recount == 3
    assert offspring(after, ref(after, "pairing", "P-02")) == OffspringTotal(
        15, None
    )  # 10+ of T-13, 3 + 5 less 3
    assert total(after, "P-02-01") == 3


def test_a_partial_search_leaves_what_it_did_not_see(books: Ledger) -> None:
    first = known(books, "search", "T-04", how="complete", l1="at least 6", on="2026-05-11")
    after = known(first, "search", "T-04", how="partial", l1="2")
    assert inside(after, "T-04") == ["UMBER/4", "P-02-01 0.0.6+ L1", "P-02-02 0.0.2 L1"]
    doubts = [
        content.doubt for content in after.rows(Content, Content.brood.is_(ref(after, "brood", "P-02-02")))
    ]
    assert doubts == ["may be among those counted here before"]
    assert [search.recount for search in after.rows(Search)] == [0, 2]


def test_two_females_leave_the_mother_open_until_it_is_said_whose(books: Ledger) -> None:
    two = record(books, "to-laying", "T-03", to="T-04", sure=True, on="2026-05-14")
    after = known(two, "search", "T-04", how="partial", l1="3")
    brood = row(after, "brood", "T-04-01")
    assert (brood.pairing, brood.line, brood.paternity) == (None, None, "")
    assert brood.doubt == laying_sentences.mother_is_one_of(["UMBER/4", "KESTREL/2"], or_a_group=False)
    said = known(two, "search", "T-04", how="partial", l1="3", pairing="P-02")
    assert row(said, "brood", "P-02-01").doubt == ""
    # Only UMBER/4 was there early in May: the search of old notes is hers.
    early = known(two, "search", "T-04", how="partial", l1="3", on="2026-05-06")
    assert row(early, "brood", "P-02-01").pairing == ref(early, "pairing", "P-02")


def test_a_female_with_a_group_may_be_the_mother_and_so_may_the_group(books: Ledger) -> None:
    both = record(books, "move", "UMBER/2", to="T-09", sure=True, on="2026-05-06")
    brood = row(known(both, "search", "T-09", how="partial", l1="3"), "brood", "T-09-01")
    assert brood.doubt == laying_sentences.mother_is_one_of(["UMBER/2"], or_a_group=True)


def test_who_left_on_the_day_of_the_last_complete_search_may_have_laid_after_it(books: Ledger) -> None:
    two = record(books, "to-laying", "T-03", to="T-04", sure=True, on="2026-05-09")
    searched = known(two, "search", "T-04", how="complete", on="2026-05-16")
    for left, both in (("2026-05-15", False), ("2026-05-16", True)):
        gone = record(searched, "move", "KESTREL/2", to="T-11", stage="holding", sure=True, on=left)
        after = known(gone, "search", "T-04", how="partial", l1="3")
        assert any(b.name == "T-04-01" for b in after.rows(Brood)) is both, left


def test_a_female_without_a_pairing_gets_one_so_that_her_brood_has_a_mother(books: Ledger) -> None:
    laying = record(books, "to-laying", "T-02", to="T-11", on="2026-04-18")
    after = known(laying, "search", "T-11", how="complete", l1="2")
    made = row(after, "pairing", "P-03")
    assert (made.female, made.purpose, made.paternity) == (
        ref(after, "animal", "UMBER/2"),
        "unplanned",
        "open",
    )
    assert list(after.rows(PairingMale, PairingMale.pairing.is_(ref(after, "pairing", "P-03")))) == []
    assert row(after, "brood", "P-03-01").paternity == "open"
    # Where a male was with her, he is named.
    d = Draft(laying)
    d.add(
        Content(
            enclosure=ref(books, "enclosure", "T-11"),
            animal=ref(books, "animal", "KESTREL/1"),
            since=span("2026-04-19"),
            until=span("2026-04-26"),
        )
    )
    with_him = known(d.ledger, "search", "T-11", how="complete", l1="2")
    [male] = with_him.rows(PairingMale, PairingMale.pairing.is_(ref(with_him, "pairing", "P-03")))
    assert (male.male, male.until) == (ref(books, "animal", "KESTREL/1"), span("2026-04-26"))
    # One that left on the day she came may have been with her, one that left the day before was not.
    for left, sires in (("2026-04-18", 1), ("2026-04-17", 0)):
        d = Draft(laying)
        box, male_ = ref(books, "enclosure", "T-11"), ref(books, "animal", "KESTREL/1")
        d.add(Content(enclosure=box, animal=male_, since=span("2026-03-18"), until=span(left)))
        found = known(d.ledger, "search", "T-11", how="complete", l1="2")
        named = list(found.rows(PairingMale, PairingMale.pairing.is_(ref(found, "pairing", "P-03"))))
        assert len(named) == sires, left


def test_a_cross_has_no_line_and_a_colony_keeps_its_own(books: Ledger) -> None:
    d = Draft(books)
    d.add(
        PairingMale(
            pairing=ref(books, "pairing", "P-02"),
            male=ref(books, "animal", "KESTREL/1"),
            since=span("2026-03-29"),
        )
    )
    after = known(d.ledger, "search", "T-04", how="partial", l1="2")
    assert row(after, "brood", "P-02-01").line is None
    colony = known(books, "search", "T-09", how="partial", l2="at least 30")
    brood = row(colony, "brood", "T-09-01")
    assert (brood.line, brood.pairing, brood.doubt) == (ref(books, "line", "BRAMBLE"), None, "")


def test_a_search_told_late_leaves_what_a_later_one_asked_for(books: Ledger) -> None:
    laying = record(books, "to-laying", "T-02", to="T-11", on="2026-03-19")
    searched = known(laying, "search", "T-11", how="partial", on="2026-05-06")
    late = known(searched, "search", "T-11", how="partial", on="2026-04-21")
    box = ref(books, "enclosure", "T-11")
    dues = {due.what: (due.done, due.earliest) for due in late.rows(Due, Due.enclosure.is_(box))}
    before = {due.what: (due.done, due.earliest) for due in searched.rows(Due, Due.enclosure.is_(box))}
    assert dues == before
    [_, again] = dues.values()
    assert again == (None, span("2026-05-06").earliest + 14)


def test_no_female_on_record_is_asked_about_and_leaves_the_hatch_open(books: Ledger) -> None:
    assert laying_sentences.no_female_recorded("T-12", "18 May 2026") in str(
        asked(books, "search", "T-12", how="partial", l1="2")
    )
    after = record(books, "search", "T-12", sure=True, how="partial", l1="2")
    assert row(after, "brood", "T-12-01").hatch == Span(1, TODAY)


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({}, "how", "is needed. Was all of the substrate searched? One of: complete"),
        ({"how": "half"}, "how", "Give one of: complete, partial."),
        ({"how": "partial", "l1": "many"}, "l1", "`many` is not a count. Give 12, at least 12"),
        ({"how": "partial", "l1": "1.2.0"}, "l1", laying_sentences.cannot_be_sexed_yet().message),
        ({"how": "partial", "eggs": "0.1.0"}, "eggs", laying_sentences.cannot_be_sexed_yet().message),
        ({"how": "partial", "l2": "at least 0"}, "l2", shared_act_sentences.at_least_none().message),
        ({"how": "partial", "l4": "2"}, "l4", "there is no such field."),
        (
            {"how": "partial", "pairing": "P-01"},
            "pairing",
            " ".join(laying_sentences.female_was_not_there("T-04", ["UMBER/4"])),
        ),
        ({"how": "partial", "pairing": "P-20"}, "pairing", "Did you mean `P-02`?"),
        (
            {"how": "partial", "l1": "2", "name": "UMBER-01"},
            "name",
            pairing_sentences.name_taken("brood", "UMBER-01").message,
        ),
        ({"how": "partial", "on": "2026-05-19"}, "on", "has not come yet"),
    ],
)
def test_bad_input_to_search(books: Ledger, fields: dict[str, str], field: str, words: str) -> None:
    assert words in str(refused(books, "search", "T-04", **fields)[field])


def test_a_name_is_given_to_one_brood_and_begins_those_of_several(books: Ledger) -> None:
    assert (
        row(known(books, "search", "T-04", how="partial", l1="2", name="SUMMER"), "brood", "SUMMER").unsexed
        == 2
    )
    after = known(books, "search", "T-04", how="partial", eggs="1", l1="2", name="SUMMER")
    assert [brood.name for brood in after.rows(Brood)][2:] == ["SUMMER-01", "SUMMER-02"]
