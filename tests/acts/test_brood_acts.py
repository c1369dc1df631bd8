"""Broods: split, merged, counted again, hatched, and every larva accounted for."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.acts import brood_sentences, groups_sentences, registry, shared_act_sentences
from rounds.husbandry.hatching import Times
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.parentage import OffspringTotal, offspring
from rounds.records.tables import Brood, Content, Enclosure, Fewer
from rounds.values.spans import Span
from tests.acts.books import TODAY, asked, day, house, inside, record, ref, refused, row, span
from tests.sampled import sampled

TORQUATA = Times((14, 25), (20, 40), (25, 50))
KNOWN = registry.Settings(times={"Mecynorhina torquata": TORQUATA}.get)


@pytest.fixture
def books() -> Ledger:
    """UMBER/4 laid in T-04 from 20 Apr on (no digging before 22 May); P-02 is hers, the father certain."""
    return house()


def total(ledger: Ledger, brood: str) -> int:
    """Of a brood: those there now and those of whom it is written what became of them."""
    id_ = ref(ledger, "brood", brood)
    rows = list(
        ledger.rows(Content, Content.brood.is_(id_), Content.until.is_(None), Content.animal.is_(None))
    )
    rows += list(ledger.rows(Fewer, Fewer.brood.is_(id_)))
    return sum(r.males + r.females + r.unsexed for r in rows)


# --- split ------------------------------------------------------------------------------


def test_a_brood_is_split_into_new_tubs_with_running_codes(books: Ledger) -> None:
    after = record(
        books, "split", "LOCH-01", **{"from": "T-05"}, tubs="12", prefix="L", litres="0.7", place="D4-4"
    )
    codes = [f"L-{n:02}" for n in range(1, 13)]
    assert all(inside(after, c) == ["LOCH-01 0.0.1 L2"] for c in codes)
    first = row(after, "enclosure", "L-01")
    assert (first.number, first.stage, first.stage_since) == (16, "larvae", Span(TODAY, TODAY))
    assert (first.species, first.litres, first.place) == (
        "Dicronorhina derbyana",
        0.7,
        ref(after, "place", "D4-4"),
    )
    assert len({box.number for box in after.rows(Enclosure)}) == 27
    assert total(after, "LOCH-01") == total(books, "LOCH-01") == 21
    assert faults(after) == []


def test_codes_run_on_from_those_there_are(books: Ledger) -> None:
    once = record(books, "split", "LOCH-01", **{"from": "T-05"}, tubs="2", prefix="L")
    after = record(once, "split", "LOCH-01", **{"from": "T-05"}, tubs="2", prefix="L")
    assert inside(after, "L-03") == inside(after, "L-04") == ["LOCH-01 0.0.1 L2"]
    assert inside(after, "T-05") == ["LOCH-01 0.0.8+ L2"]


def test_tubs_that_there_are_take_several_each_and_the_rest_stays(books: Ledger) -> None:
    d = Draft(books)
    d.set(
        Content.at_least, next(content.id for content in books.rows(Content, Content.instar.is_("L2"))), False
    )
    after = record(d.ledger, "split", "LOCH-01", **{"from": "T-05"}, into="T-11,12,T-15", per="3")
    assert [inside(after, c) for c in ("T-11", "T-12", "T-15")] == [["LOCH-01 0.0.3 L2"]] * 3
    assert inside(after, "T-05") == ["LOCH-01 0.0.3 L2"]
    assert {row(after, "enclosure", c).stage for c in ("T-11", "T-12", "T-15")} == {"larvae"}
    # As many tubs as it takes; the last one holds what is left.
    all_ = record(d.ledger, "split", "LOCH-01", **{"from": "T-05"}, prefix="L", per="5")
    assert [inside(all_, f"L-0{n}") for n in (1, 2, 3)] == [[f"LOCH-01 0.0.{n} L2"] for n in (5, 5, 2)]
    assert inside(all_, "T-05") == []


def test_a_sexed_brood_is_split_by_sex(books: Ledger) -> None:
    slip = refused(books, "split", "LOCH-01", **{"from": "T-06"}, prefix="L")["take"]
    assert slip.hint == brood_sentences.several_kinds_there("2.3.4", ["males", "females", "unsexed"]).hint
    after = record(books, "split", "LOCH-01", **{"from": "T-06"}, prefix="L", take="females")
    assert inside(after, "T-06") == ["LOCH-01 2.0.4 L3"]
    assert inside(after, "L-03") == ["LOCH-01 0.1.0 L3"]
    assert total(after, "LOCH-01") == 21


def test_more_than_were_counted_can_come_out_of_at_least(books: Ledger) -> None:
    after = record(books, "split", "LOCH-01", **{"from": "T-05"}, tubs="15", prefix="L")
    assert inside(after, "L-15") == ["LOCH-01 0.0.1 L2"]
    assert inside(after, "T-05") == ["LOCH-01 0.0.0+ L2"]  # nobody knows whether there are more
    assert row(after, "brood", "LOCH-01").at_least is True
    assert faults(after) == []


def test_eggs_are_moved_only_after_a_question(books: Ledger) -> None:
    question = str(asked(books, "split", "UMBER-01", prefix="U", per="5"))
    assert "Eggs that are moved often fail." in question
    after = record(books, "split", "UMBER-01", sure=True, prefix="U", per="5")
    assert row(after, "enclosure", "U-01").stage == "eggs"


@pytest.mark.parametrize(
    ("brood", "fields", "field", "words"),
    [
        (
            "LOCH-01",
            {"prefix": "L"},
            "from",
            " ".join(
                brood_sentences.in_several_places(
                    "LOCH-01", ["T-05 LOCH-01 L2 (at least 0.0.12)", "T-06 LOCH-01 L3 (2.3.4)"]
                )
            ),
        ),
        (
            "LOCH-01",
            {"from": "T-13", "prefix": "L"},
            "from",
            brood_sentences.none_of_it_there(
                "LOCH-01", ["T-05 LOCH-01 L2 (at least 0.0.12)", "T-06 LOCH-01 L3 (2.3.4)"]
            ).message,
        ),
        ("LOCH-01", {"from": "T-05"}, "prefix", brood_sentences.no_tubs_named().message),
        (
            "LOCH-01",
            {"from": "T-05", "into": "T-06"},
            "into",
            brood_sentences.tub_in_use("T-06", "larvae").message,
        ),
        (
            "LOCH-01",
            {"from": "T-05", "into": "T-05"},
            "into",
            brood_sentences.the_brood_is_there("T-05").message,
        ),
        ("LOCH-01", {"from": "T-05", "into": "T-11,T-11"}, "into", "is there twice"),
        (
            "LOCH-01",
            {"from": "T-05", "into": "T-11", "prefix": "L"},
            "prefix",
            brood_sentences.named_tubs_are_not_new().message,
        ),
        (
            "LOCH-01",
            {"from": "T-06", "take": "males", "tubs": "5", "prefix": "L"},
            "tubs",
            brood_sentences.too_few_for_the_tubs(5, 1, 2).message,
        ),
        (
            "LOCH-01",
            {"from": "T-05", "take": "males", "prefix": "L"},
            "take",
            brood_sentences.none_of_that_kind("males", "at least 0.0.12", ["unsexed"]).message,
        ),
        ("LOCH-01", {"from": "T-05", "tubs": "0", "prefix": "L"}, "tubs", "1 to 500"),
        ("LOCH-01", {"from": "T-05", "per": "0", "prefix": "L"}, "per", "1 to 1000"),
        ("LOCH-01", {"from": "T-05", "prefix": "a,b"}, "prefix", "cannot be a name"),
        ("LOCH-01", {"from": "T-05", "prefix": "L", "place": "E9-9"}, "place", "there is no place"),
        (
            "LOCH-01",
            {"from": "T-05", "prefix": "L", "on": "2026-03-18"},
            "on",
            brood_sentences.before_it_was_there("17 Apr 2026").message,
        ),
        ("LOCH-1", {"prefix": "L"}, "brood", "Did you mean `LOCH-01`?"),
    ],
)
def test_bad_input_to_split(
    books: Ledger, brood: str, fields: dict[str, str], field: str, words: str
) -> None:
    assert words in str(refused(books, "split", brood, **fields)[field])


@settings(max_examples=sampled(20, 60), deadline=None)
@given(st.integers(1, 40), st.booleans(), st.integers(1, 9), st.integers(1, 12))
def test_no_larva_is_lost_or_made_by_splitting(n: int, least: bool, per: int, tubs: int) -> None:
    d = Draft(house())
    content = next(r.id for r in d.ledger.rows(Content, Content.instar.is_("L2")))
    brood = ref(d.ledger, "brood", "LOCH-01")
    d.set(Content.unsexed, content, n)
    d.set(Content.at_least, content, least)
    d.set(Brood.unsexed, brood, n + 9)
    d.set(Brood.at_least, brood, least)
    before = d.ledger
    try:
        made = registry.plan(
            "split",
            "LOCH-01",
            {"from": "T-05", "tubs": str(tubs), "per": str(per), "prefix": "L"},
            before,
            TODAY,
        )
    except registry.BadAct:
        assert not least
        assert n < (tubs - 1) * per + 1
        return
    after = before.after(made.changes)
    assert faults(after) == []
    tubs_ = [r for r in after.rows(Content, Content.until.is_(None)) if r.brood == brood and r.instar == "L2"]
    there = sum(r.unsexed for r in tubs_)
    assert there == n if not least else there >= n
    assert all(1 <= r.unsexed <= per for r in tubs_ if r.enclosure != ref(after, "enclosure", "T-05"))


# --- merged -----------------------------------------------------------------------------


def test_tubs_are_merged_without_losing_who_came_from_where(books: Ledger) -> None:
    other = record(books, "split", "LOCH-01", **{"from": "T-06"}, prefix="L", take="males")  # L-01, L-02
    after = record(other, "merge", "T-05", **{"from": "T-06,L-01"})
    assert inside(after, "T-05") == ["LOCH-01 0.0.12+ L2", "LOCH-01 1.3.4 L3"]
    assert inside(after, "T-06") == inside(after, "L-01") == []
    left = [
        (content.males, content.females, content.unsexed, content.until)
        for box in ("T-06", "L-01")
        for content in after.rows(Content, Content.enclosure.is_(ref(after, "enclosure", box)))
    ]
    assert left == [(0, 3, 4, Span(TODAY, TODAY)), (1, 0, 0, Span(TODAY, TODAY))]
    assert total(after, "LOCH-01") == 21
    assert row(after, "enclosure", "T-06").stage == "larvae"  # kept, until it is cleared


def test_vacant_tubs_are_cleared_only_after_a_look(books: Ledger) -> None:
    assert "looked" in refused(books, "merge", "T-05", **{"from": "T-06"}, rest="empty")
    after = record(books, "merge", "T-05", **{"from": "T-06"}, rest="empty", looked="yes")
    assert row(after, "enclosure", "T-06").stage == "empty"


def test_an_empty_tub_takes_the_stage_of_what_comes(books: Ledger) -> None:
    after = record(books, "merge", "T-11", **{"from": "T-05,T-06"})
    assert row(after, "enclosure", "T-11").stage == "larvae"
    numbered = record(books, "merge", "T-11", **{"from": "T-14"})
    assert inside(numbered, "T-11") == ["UMBER/5"]
    eggs = record(books, "merge", "T-11", sure=True, **{"from": "T-13"})
    assert row(eggs, "enclosure", "T-11").stage == "eggs"
    assert shared_act_sentences.stage_forbids("T-13", "eggs", "dig", "eggs are left where they lie") in str(
        asked(books, "merge", "T-11", **{"from": "T-13"})
    )


@pytest.mark.parametrize(
    ("box", "from_", "field", "words"),
    [
        ("T-05", "T-05", "from", brood_sentences.merged_with_itself("T-05").message),
        ("T-05", "T-01", "from", brood_sentences.adults_are_not_merged("T-01", "holding").message),
        (
            "T-05",
            "T-14",
            "from",
            brood_sentences.two_species(
                "T-14", "Mecynorhina torquata", "T-05", "Dicronorhina derbyana"
            ).message,
        ),
        ("T-07", "T-05", "enclosure", brood_sentences.not_a_tub_of_young("T-07", "cell").message),
        ("T-05", "T-99", "from", "there is no box `T-99`."),
    ],
)
def test_bad_input_to_merge(books: Ledger, box: str, from_: str, field: str, words: str) -> None:
    assert words in str(refused(books, "merge", box, **{"from": from_})[field])


# --- counted again ------------------------------------------------------------------------


def test_fewer_are_written_down_and_more_are_asked_about(books: Ledger) -> None:
    after = record(books, "counted", "T-06", count="2.2.4", how="dead")
    assert inside(after, "T-06") == ["LOCH-01 2.2.4 L3"]
    [fewer] = after.rows(Fewer)
    assert (fewer.how, fewer.females, fewer.males, fewer.unsexed) == ("dead", 1, 0, 0)
    assert total(after, "LOCH-01") == 21
    assert brood_sentences.more_than_there_were("0.0.12", "2.3.4") in str(
        asked(books, "counted", "T-06", count="12")
    )


def test_sexed_at_the_count_leaves_the_sex_of_the_missing_open(books: Ledger) -> None:
    after = record(books, "counted", "T-05", count="3.4.4", instar="L3")
    assert inside(after, "T-05") == ["LOCH-01 3.4.4 L3"]
    [fewer] = after.rows(Fewer)
    assert (fewer.males, fewer.females, fewer.unsexed, fewer.how) == (0, 0, 1, "missing")


def test_at_least_stays_at_least_until_all_are_counted(books: Ledger) -> None:
    some = record(books, "counted", "T-06", count="at least 5")
    assert inside(some, "T-06") == ["LOCH-01 0.0.5+ L3"]
    assert list(some.rows(Fewer)) == []  # not seen is not missing
    more = record(some, "counted", "T-06", count="9")
    assert inside(more, "T-06") == ["LOCH-01 0.0.9 L3"]
    assert faults(more) == []


def test_none_left_ends_the_group(books: Ledger) -> None:
    after = record(books, "counted", "T-06", count="0")
    assert inside(after, "T-06") == []
    assert total(after, "LOCH-01") == 21


def test_eggs_counted_as_larvae_make_a_larva_tub(books: Ledger) -> None:
    after = record(books, "counted", "T-13", sure=True, count="8", instar="L1")
    assert inside(after, "T-13") == ["UMBER-01 0.0.8 L1"]
    assert row(after, "enclosure", "T-13").stage == "larvae"


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({}, "count", "is needed."),
        ({"count": "some"}, "count", "is not a count"),
        ({"count": "at least 0"}, "count", shared_act_sentences.at_least_none().message),
        ({"count": "2.3.4"}, "count", shared_act_sentences.changes_nothing("LOCH-01 L3 (2.3.4)").message),
        ({"count": "1.0.0", "instar": "L1"}, "count", brood_sentences.not_to_be_sexed_yet("L1").message),
        ({"count": "9", "instar": "L4"}, "instar", "eggs, L1, L2, L3"),
        (
            {"count": "9", "brood": "UMBER-01"},
            "brood",
            groups_sentences.no_such_group("T-06", ["LOCH-01 L3 (2.3.4)"]).message,
        ),
        (
            {"count": "9", "on": "2026-03-18"},
            "on",
            shared_act_sentences.before_they_came_on("17 Apr 2026").message,
        ),
    ],
)
def test_bad_input_to_counted(books: Ledger, fields: dict[str, str], field: str, words: str) -> None:
    assert words in str(refused(books, "counted", "T-06", **fields)[field])


def test_growing_younger_is_asked_about(books: Ledger) -> None:
    assert brood_sentences.were_that_old_already("L3") in str(
        asked(books, "counted", "T-06", count="9", instar="L2")
    )


# --- hatch seen ---------------------------------------------------------------------------


def test_hatch_seen_sets_the_day_and_counts_only_what_was_seen(books: Ledger) -> None:
    after = record(books, "hatched", "UMBER-01", on="2026-05-16")
    assert row(after, "brood", "UMBER-01").hatch == span("2026-05-16")
    assert inside(after, "T-13") == ["UMBER-01 0.0.9+ eggs", "UMBER-01 0.0.1+ L1"]
    assert row(after, "enclosure", "T-13").stage == "larvae"
    later = record(after, "hatched", "UMBER-01", on="2026-05-18", count="4")
    assert row(later, "brood", "UMBER-01").hatch == Span(day("2026-05-16"), TODAY)
    assert inside(later, "T-13") == ["UMBER-01 0.0.5+ eggs", "UMBER-01 0.0.5+ L1"]
    assert total(later, "UMBER-01") == 10


def test_a_hatch_outside_its_span_is_asked_about(books: Ledger) -> None:
    d = Draft(books)
    d.set(Brood.hatch, ref(books, "brood", "UMBER-01"), span("2026-05-27 to 2026-06-06"))
    question = asked(d.ledger, "hatched", "UMBER-01", on="2026-05-16")
    assert (
        question.field,
        brood_sentences.hatch_was_expected("27 May 2026 to 6 Jun 2026") in str(question),
    ) == (
        "on",
        True,
    )


def test_bad_input_to_hatched(books: Ledger) -> None:
    assert (
        brood_sentences.no_eggs_there("LOCH-01", []).message
        in refused(books, "hatched", "LOCH-01")["brood"].message
    )
    assert (
        brood_sentences.no_eggs_there("UMBER-01", ["T-13"]).hint
        in refused(books, "hatched", "UMBER-01", **{"from": "T-05"})["from"].hint
    )
    assert (
        brood_sentences.not_new_larvae("1.0.0").message
        in refused(books, "hatched", "UMBER-01", count="1.0.0")["count"].message
    )
    assert (
        brood_sentences.before_the_eggs_were_found("11 May 2026").message
        in refused(books, "hatched", "UMBER-01", on="2026-04-17")["on"].message
    )
    d = Draft(books)
    for content in books.rows(Content, Content.instar.is_("eggs")):
        d.set(Content.at_least, content.id, False)
    assert (
        brood_sentences.more_than_the_eggs(10).message
        in refused(d.ledger, "hatched", "UMBER-01", count="11")["count"].message
    )
    assert inside(record(d.ledger, "hatched", "UMBER-01", count="10"), "T-13") == ["UMBER-01 0.0.10 L1"]


# --- from a pair to its tubs and back -------------------------------------------------------


def test_a_whole_season_and_all_of_it_taken_back(books: Ledger) -> None:
    """Every span, count and parent follows from what was recorded; undone newest first, the books are as before."""
    steps: list[tuple[str, str, dict[str, str]]] = [
        (
            "pair",
            "T-12",
            {"female": "UMBER/2", "males": "UMBER/1", "on": "between 2026-03-20 and 2026-03-23"},
        ),
        ("mating-seen", "T-12", {"on": "2026-03-27"}),
        ("to-laying", "T-12", {"to": "T-11", "on": "2026-04-06"}),
        ("search", "T-11", {"how": "complete", "eggs": "4", "on": "2026-04-26"}),
        ("search", "T-11", {"how": "partial", "l1": "at least 6", "on": "2026-05-12"}),
        ("split", "P-03-02", {"prefix": "U", "tubs": "3", "per": "2", "on": "2026-05-13"}),
        ("merge", "U-01", {"from": "U-02", "on": "2026-05-14"}),
        ("counted", "U-01", {"count": "3", "on": "2026-05-16"}),
        ("weigh-one", "U-03", {"grams": "0.6"}),
    ]
    ledger, done = books, []
    for n, (act, subject, fields) in enumerate(steps):
        made = registry.plan(act, subject, fields, ledger, TODAY, sure=True, settings=KNOWN)
        done.append(registry.Recorded(bytes([n]), act, made.changes))
        ledger = ledger.after(made.changes)
    assert faults(ledger) == []
    brood = row(ledger, "brood", "P-03-02")
    assert (brood.paternity, brood.at_least, brood.line) == (
        "likely",
        True,
        ref(ledger, "line", "UMBER"),
    )
    # Eggs had been left on 26 Apr, so they may have hatched from that day on.
    assert brood.hatch == Span(day("2026-04-26"), day("2026-05-12"))
    assert inside(ledger, "U-01") == ["P-03-02 0.0.3 L1"]
    assert inside(ledger, "T-11") == ["UMBER/2", "P-03-01 0.0.4 eggs", "P-03-02 0.0.0+ L1"]
    assert offspring(ledger, ref(ledger, "pairing", "P-03")) == OffspringTotal(6, None)
    with pytest.raises(registry.BadAct) as e:
        registry.take_back(done[3], done[4:], ledger)
    assert shared_act_sentences.other_acts_rest_on_it("search").hint in str(e.value)
    while done:
        ledger = ledger.after(registry.take_back(done.pop(), [], ledger))
    assert ledger == books


def test_larvae_that_arrived_are_split_into_tubs_too() -> None:
    """They are no brood of the house: each tub still says which arrival they came with."""
    books = record(
        house(),
        "arrival",
        species="Pachnoda marginata",
        count="7",
        age="L2",
        into="T-15",
        name="Seven",
        sure=True,
    )
    books = record(books, "quarantine-over", "T-15", stage="larvae", sure=True)
    after = record(books, "split-some", "T-15", tubs="3", evenly="yes", prefix="S")
    lot = ref(after, "lot", "Seven")
    tubs = {
        after.row(Enclosure, c.enclosure).code: c.unsexed
        for c in after.rows(Content, Content.lot.is_(lot), Content.until.is_(None))
    }
    assert {tub: n for tub, n in tubs.items() if tub.startswith("S-")} == {"S-01": 3, "S-02": 2, "S-03": 2}
    assert after.row(Enclosure, ref(after, "enclosure", "S-01")).stage == "larvae"
