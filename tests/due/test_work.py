"""Due work: from the books and the species, merged with what the books hold, and held to its rules."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts import enclosure_sentences
from rounds.due import work as due
from rounds.due import work_sentences
from rounds.due.kinds import DUE_KINDS, REMEMBERED, DueWork
from rounds.due.shown_work import likely_cells
from rounds.due.work import at, by_day, open_by, works
from rounds.husbandry import lock_sentences
from rounds.husbandry.species import OWN_RECORDS, Species, SpeciesRange
from rounds.husbandry.stages import STAGES
from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.record import Record
from rounds.records.tables import (
    TABLES,
    Animal,
    Batch,
    BatchUse,
    Brood,
    Content,
    Due,
    Enclosure,
    Line,
    Loan,
    Lock,
    Lot,
    Pairing,
    Protein,
    Search,
)
from rounds.values.spans import FIRST, LAST, Span
from tests.acts.books import TODAY, day, house, record, ref, span
from tests.husbandry.test_species import shipped

SPECIES = shipped()


def found(
    ledger: Ledger, today: int = TODAY, species: dict[str, Species] | None = None
) -> dict[str, DueWork]:
    every = works(ledger, SPECIES if species is None else species, today)
    keyed = {w.key: w for w in every}
    assert len(keyed) == len(every)
    return keyed


def days(work: DueWork) -> tuple[int, int | None, int]:
    return work.window.earliest, work.likely, work.window.latest


def with_row(ledger: Ledger, table: str, **values: Value) -> Ledger:
    return with_record(ledger, TABLES[table](**values))


def with_record(ledger: Ledger, record: Record) -> Ledger:
    draft = Draft(ledger)
    draft.add(record)
    return draft.ledger


def setting(ledger: Ledger, table: str, name: str, **values: Value) -> Ledger:
    draft = Draft(ledger)
    for column, value in values.items():
        draft.set(TABLES[table].column(column), ref(ledger, table, name), value)
    return draft.ledger


def box(ledger: Ledger, code: str) -> int:
    return ref(ledger, "enclosure", code)


# -- what follows from what ----------------------------------------------------------------


def test_a_first_search_counts_from_the_day_laying_began_and_says_so() -> None:
    work = found(house())["first-search/T-04/search-1"]
    assert days(work) == (day("2026-05-13"), day("2026-05-15"), day("2026-05-22"))
    assert work.why == work_sentences.first_search("17 Apr 2026", "26 to 35", "common practice, no source")
    assert (work.row, work.done) == (None, None)


def test_each_search_answers_one_and_brings_the_next() -> None:
    books = house()
    searched = with_row(books, "search", enclosure=box(books, "T-04"), made=span("2026-05-16"), complete=True)
    now = found(searched)
    assert now["first-search/T-04/search-1"].done == day("2026-05-16")
    assert days(now["next-search/T-04/search-2"]) == (day("2026-05-30"), day("2026-06-06"), day("2026-06-13"))
    again = with_row(searched, "search", enclosure=box(books, "T-04"), made=span("2026-06-07"))
    assert found(again)["next-search/T-04/search-2"].done == day("2026-06-07")
    assert found(again)["next-search/T-04/search-3"].done is None


def test_a_search_before_this_laying_is_not_of_this_laying() -> None:
    books = house()
    older = with_row(books, "search", enclosure=box(books, "T-04"), made=span("2025-11-17"))
    assert "first-search/T-04/search-2" in found(older)
    assert not any(w.kind == "next-search" for w in found(older).values())


def test_substrate_counts_from_the_last_change() -> None:
    books = house()
    assert days(found(books)["substrate/T-05/substrate-1"])[0] == day("2026-05-15")
    batch = with_row(books, "batch", name="mix 12", made=span("2026-05-06"))
    changed = with_row(batch, "batch_use", batch=1, enclosure=box(books, "T-05"), given=span("2026-05-11"))
    now = found(changed)
    assert now["substrate/T-05/substrate-1"].done == day("2026-05-11")
    assert days(now["substrate/T-05/substrate-2"]) == (day("2026-06-08"), None, day("2026-06-22"))


def weighed(books: Ledger, code: str, when: str) -> Ledger:
    group = next(content.id for content in books.rows(Content, Content.enclosure.is_(box(books, code))))
    return with_row(books, "weight", content=group, made=span(when), grams=11.2)


def test_a_weigh_in_counts_from_the_last_one_and_only_l3_are_weighed() -> None:
    books = house()
    assert not any(w.kind == "weigh-in" for w in found(books).values())  # nobody weighs here yet
    both = weighed(weighed(books, "T-06", "2026-05-06"), "T-05", "2026-05-06")
    now = {k: w for k, w in found(both).items() if w.kind == "weigh-in" and w.done is None}
    assert list(now) == ["weigh-in/T-06/weigh-in-2"]
    assert days(now["weigh-in/T-06/weigh-in-2"])[0] == day("2026-06-03")


def test_leftovers_are_due_on_the_day_set_or_by_the_species() -> None:
    books = house()
    there = box(books, "T-14")
    set_ = with_row(
        books,
        "protein",
        enclosure=there,
        given=span("2026-05-17"),
        what="2 pellets",
        out_by=day("2026-05-19"),
    )
    assert days(found(set_)["leftovers/T-14/protein-1"]) == (day("2026-05-19"),) * 3
    by_species = with_row(books, "protein", enclosure=there, given=span("2026-05-17"))
    assert days(found(by_species)["leftovers/T-14/protein-1"]) == (day("2026-05-19"), None, day("2026-05-20"))
    out = with_row(books, "protein", enclosure=there, given=span("2026-05-17"), taken_out=span("2026-05-18"))
    assert found(out)["leftovers/T-14/protein-1"].done == day("2026-05-18")
    unknown = with_row(books, "protein", enclosure=box(books, "T-05"), given=span("2026-05-17"))
    assert "leftovers/T-05/protein-1" not in found(unknown)  # its species file has no such value


def test_quarantine_ends_when_the_last_arrival_in_it_may_leave() -> None:
    books = house()
    work = found(books)["quarantine-end/T-10/quarantine"]
    assert days(work) == (day("2026-06-05"),) * 3
    later = with_row(
        books, "lot", name="Nine Alders 2", arrived=span("2026-05-11"), quarantine_until=day("2026-06-17")
    )
    both = with_row(
        later, "content", enclosure=box(books, "T-10"), lot=2, unsexed=3, since=span("2026-05-11")
    )
    draft = Draft(both)
    draft.set(Due.void, 1, True)
    assert days(found(draft.ledger)["quarantine-end/T-10/quarantine"]) == (day("2026-06-17"),) * 3


def test_eggs_hatch_between_the_day_they_were_counted_and_the_longest_egg_time() -> None:
    work = found(house())["hatch/T-13/brood-UMBER-01"]
    assert days(work) == (day("2026-05-11"), None, day("2026-06-08"))
    narrower = setting(house(), "brood", "UMBER-01", hatch=span("2026-05-18 to 2026-05-27"))
    work = found(narrower)["hatch/T-13/brood-UMBER-01"]
    assert days(work) == (day("2026-05-18"), None, day("2026-05-27"))
    assert (
        work_sentences.hatch_by_the_books(
            "18 May 2026 to 27 May 2026", "eggs 11 May 2026; they hatch within 28 days (estimate)"
        )
        in work.why
    )


def test_wandering_is_forecast_from_the_hatch_and_the_species_given_that_it_was_not_seen() -> None:
    hatched = span("2026-01-06 to 2026-01-25")
    books = setting(house(), "brood", "LOCH-01", hatch=hatched)
    work = found(books)["wandering/T-06/brood-LOCH-01"]
    low, high = SPECIES["Dicronorhina derbyana"].larva_days()[:2]  # type: ignore[index]
    assert TODAY < work.window.earliest < hatched.earliest + high
    assert hatched.earliest + low < work.window.latest <= hatched.latest + high
    assert work.shown, "nine of them: the first may begin within a fortnight"
    assert work.brood == ref(books, "brood", "LOCH-01")
    early = found(books, today=day("2026-02-15"))["wandering/T-06/brood-LOCH-01"]
    assert not early.shown
    assert early.window.earliest > day("2026-03-01")
    assert not any(w.kind == "wandering" for w in found(house()).values())  # nobody knows when they hatched


def test_when_hardly_any_chance_is_left_it_says_look_and_do_not_dig() -> None:
    books = setting(house(), "brood", "LOCH-01", hatch=span("2025-06-17"))
    work = found(books)["wandering/T-06/brood-LOCH-01"]
    assert work.what == work_sentences.MISSED["wandering"]
    assert (work.window, work.overdue(TODAY)) == (Span(TODAY, TODAY), False)


def test_where_they_may_be_wandering_nobody_digs_weighs_or_changes_the_substrate() -> None:
    books = setting(house(), "brood", "LOCH-01", hatch=span("2026-01-06"))
    books = with_row(books, "batch_use", enclosure=box(books, "T-06"), batch=1, given=span("2026-04-17"))
    young = setting(books, "brood", "LOCH-01", hatch=span("2026-04-06"))
    changes = [
        next(
            w
            for w in found(some).values()
            if w.kind == "substrate" and w.enclosure == box(books, "T-06") and w.done is None
        )
        for some in (young, books)
    ]
    assert [change.withheld for change in changes] == ["", lock_sentences.MAY_BE_IN_CELL]
    t06 = box(books, "T-06")
    cells = [likely_cells(found(some).values(), TODAY) for some in (young, books)]
    assert [t06 in some for some in cells] == [False, True]


def test_sibs_that_wandered_early_bring_the_window_forward() -> None:
    books = setting(house(), "brood", "LOCH-01", hatch=span("2026-01-06"))
    draft = Draft(books)
    for n in range(4):
        draft.add(
            Animal(
                line=ref(books, "line", "LOCH"),
                number=f"9{n}",
                brood=ref(books, "brood", "LOCH-01"),
                wandering=span("2026-04-26"),
            )
        )
    usual, early = (found(b)["wandering/T-06/brood-LOCH-01"] for b in (books, draft.ledger))
    assert early.window.latest < usual.window.latest
    assert work_sentences.not_yet(99, 4, 0, 25).split(" within a fortnight, ")[-1] in early.why
    assert early.why.endswith("reckoned at 25 °C"), "no file has a sourced effect of it"


def finished(books: Ledger, broods: int, each: int) -> Ledger:
    """The same with so many other broods whose animals wandered 150 days and some after they hatched."""
    draft = Draft(books)
    for n in range(broods):
        brood = draft.add(
            Brood(name=f"old-{n}", line=ref(books, "line", "LOCH"), hatch=span("2025-01-06"), unsexed=each)
        )
        for m in range(each):
            when = Span(day("2025-06-05") + 3 * n + 2 * m, day("2025-06-05") + 3 * n + 2 * m)
            draft.add(
                Animal(
                    line=ref(books, "line", "LOCH"),
                    number=f"8{n}{m}",
                    brood=brood,
                    wandering=when,
                    emerged=when,
                )
            )
    return draft.ledger


def test_a_thin_species_is_forecast_from_the_houses_own_finished_stages_alone() -> None:
    """No species file is needed where the house has seen enough of them finish; before that nothing is forecast."""
    thin = {name: one._replace(thin=True) for name, one in SPECIES.items()}
    books = setting(house(), "brood", "LOCH-01", hatch=span("2026-01-06"))
    key = "wandering/T-06/brood-LOCH-01"
    assert key not in found(books, species=thin)
    assert key not in found(finished(books, 2, 6), species=thin), "two broods may be like no other"
    assert key not in found(finished(books, 3, 2), species=thin), "six animals are too few"
    work = found(finished(books, 3, 4), species=thin)[key]
    hatched = span("2026-01-06").earliest
    assert hatched + 120 < work.window.earliest < hatched + 155 < work.window.latest < hatched + 200
    assert OWN_RECORDS in work.why
    assert "other broods" not in work.why, "they are what the range is made of, and count once"


def test_a_hatch_before_a_day_leaves_the_window_open() -> None:
    books = setting(house(), "brood", "LOCH-01", hatch=span("before 2026-01-25"))
    work = found(books)["wandering/T-06/brood-LOCH-01"]
    assert work.window.earliest == FIRST
    assert work.window.latest < LAST
    assert work.likely is None


def test_emergence_counts_from_the_animals_own_date_and_keeps_its_key() -> None:
    books = house()
    in_cell = found(books)["emergence/TALLOW/7"]
    cell = span("about 2026-04-17")
    assert cell.earliest + 45 <= in_cell.window.earliest < in_cell.window.latest <= cell.latest + 92
    rests = setting(
        setting(books, "enclosure", "T-07", stage="resting"), "animal", "TALLOW/7", eclosed=span("2026-06-17")
    )
    resting = found(rests)["emergence/TALLOW/7"].window
    assert day("2026-07-02") <= resting.earliest < resting.latest <= day("2026-08-16")


def test_a_species_with_a_time_for_the_pupa_alone_gives_the_first_day_and_an_open_end() -> None:
    pupa = SpeciesRange(14, 28, None, "common practice, no source")
    thin = {"Eudicella smithi": Species("Eudicella smithi", ranges={"pupa_days": pupa})}
    work = found(house(), species=thin)["emergence/TALLOW/7"]
    assert (work.window.earliest, work.window.latest) == (span("about 2026-04-17").earliest + 14, LAST) or (
        work.window.earliest == TODAY and work.window.latest == LAST
    )
    assert work_sentences.rest_not_known("the time before the pupa and the rest in the cell") in work.why


def test_a_first_feed_counts_to_being_ready_to_breed() -> None:
    books = setting(house(), "animal", "UMBER/1", mature=None, first_feed=span("2026-05-11"))
    assert days(found(books)["mature/UMBER/1"]) == (day("2026-05-18"), day("2026-05-23"), day("2026-05-25"))
    assert "mature/UMBER/2" not in found(books)


def test_a_pairing_period_ends_unless_they_stay_to_lay() -> None:
    books = house()
    assert days(found(books)["pairing-over/T-03/pairing-P-01"])[::2] == (day("2026-05-22"), day("2026-05-29"))
    assert found(books)["pairing-over/T-03/pairing-P-02"].done == day("2026-04-20")
    stay = setting(books, "enclosure", "T-03", stage="laying")
    assert "pairing-over/T-03/pairing-P-01" not in found(stay)


def test_a_loan_is_due_back_wherever_the_animal_is() -> None:
    books = house()
    lent = with_row(
        books,
        "loan",
        animal=ref(books, "animal", "KESTREL/1"),
        way="in",
        owner="Nine Alders",
        since=span("2026-04-17"),
        due_back=span("2026-06-17 to 2026-07-17"),
    )
    work = found(lent)["loan-back/KESTREL/1/loan-1"]
    assert work.enclosure == box(books, "T-03")
    assert days(work) == (day("2026-06-17"), None, day("2026-07-17"))
    assert work_sentences.due_back_there("KESTREL/1", "Nine Alders", "17 Jun 2026 to 17 Jul 2026") in work.why


def test_a_lock_ends_unless_other_work_waits_for_it_anyway() -> None:
    books = house()
    assert not any(w.kind == "lock-end" for w in found(books).values())
    locked = with_row(
        books,
        "lock",
        enclosure=box(books, "T-01"),
        forbids="move",
        from_day=TODAY,
        until=span("2026-06-06"),
        reason="paint in the room",
    )
    work = found(locked)["lock-end/T-01/lock-1"]
    assert days(work) == (day("2026-06-06"),) * 3
    assert "paint in the room" in work.why
    assert not any(w.kind == "lock-end" for w in found(locked, day("2026-06-07")).values())


def test_a_prepared_enclosure_is_watched_and_then_is_not() -> None:
    books = setting(house(), "enclosure", "T-11", species="Eudicella smithi", stage_since=span("2026-05-14"))
    (work,) = (w for w in found(books).values() if w.kind == "prepared")
    assert days(work) == (day("2026-05-14"), None, day("2026-05-28"))
    assert not any(w.kind == "prepared" for w in found(books, day("2026-05-29")).values())


def test_no_value_no_forecast() -> None:
    """Without species files only the books speak; with another species' file, not even that one."""
    kinds = {w.kind for w in found(house(), species={}).values()}
    assert kinds == {"quarantine-end", "lock-end"}  # no search is forecast that the lock could wait for
    only = {"Mecynorhina kraatzi": SPECIES["Mecynorhina kraatzi"]}
    assert {w.kind for w in found(house(), species=only).values()} == kinds


# -- one list without doubles --------------------------------------------------------------


@pytest.mark.parametrize(
    "what", [w for k in DUE_KINDS.values() if k.id == "first-search" for w in (k.what, *k.also)]
)
def test_a_row_of_the_books_goes_before_what_is_computed(what: str) -> None:
    books = house()
    held = with_row(
        books,
        "due",
        enclosure=box(books, "T-04"),
        what=what,
        earliest=day("2026-05-19"),
        likely=day("2026-05-20"),
        latest=day("2026-05-21"),
        why="she went in on 20 Apr",
    )
    mine = [w for w in found(held).values() if w.kind == "first-search"]
    assert [days(w) for w in mine] == [(day("2026-05-19"), day("2026-05-20"), day("2026-05-21"))]
    assert (mine[0].key, mine[0].why) == ("first-search/T-04/search-1", "she went in on 20 Apr")


def test_a_row_keeps_its_key_when_the_species_file_says_nothing() -> None:
    books = house()
    held = with_row(
        books, "due", enclosure=box(books, "T-04"), what="first search", earliest=TODAY, latest=TODAY
    )
    assert "first-search/T-04/search-1" in found(held, species={})


def test_a_row_of_an_earlier_use_does_not_stand_for_this_one() -> None:
    books = house()
    held = with_row(
        books,
        "due",
        enclosure=box(books, "T-04"),
        what="first search",
        earliest=day("2024-12-18"),
        latest=day("2024-12-26"),
        done=day("2024-12-22"),
    )
    now = found(held)
    assert now["first-search/T-04/search-1"].done is None
    assert "first-search/T-04/due" not in now  # long done
    assert found(held, day("2025-01-06"))["first-search/T-04/due"].done == day("2024-12-22")


def test_done_in_the_books_is_done_in_the_list_and_begins_the_next() -> None:
    books = house()
    held = with_row(
        books,
        "due",
        enclosure=box(books, "T-05"),
        what="change two thirds of the substrate",
        earliest=day("2026-05-06"),
        latest=day("2026-05-22"),
        done=day("2026-05-14"),
    )
    now = found(held)
    assert now["substrate/T-05/substrate-1"].done == day("2026-05-14")
    assert days(now["substrate/T-05/substrate-2"])[0] == day("2026-06-11")


def test_a_keepers_own_request_stands_as_it_was_typed() -> None:
    books = record(house(), "look-again", "T-05", about="the lid", because="a gap", in_="+3")
    (work,) = (w for w in found(books).values() if w.kind == "own")
    assert (work.what, work.why, work.asked) == (enclosure_sentences.look_again("the lid"), "a gap", True)
    assert days(work) == (TODAY + 3,) * 3


def test_put_off_says_until_when_and_why_and_for_good_is_gone() -> None:
    books = house()
    row: dict[str, Any] = {
        "enclosure": box(books, "T-04"),
        "what": "first search",
        "earliest": day("2026-05-13"),
        "latest": day("2026-05-22"),
    }
    off = with_row(books, "due", **row, off_until=day("2026-06-06"), off_why="she still digs")
    work = found(off)["first-search/T-04/search-1"]
    assert (work.off_until, work.off_why) == (day("2026-06-06"), "she still digs")
    assert not work.overdue(day("2026-05-27"))
    assert work.planned(day("2026-05-27")) == day("2026-06-06")
    assert work not in open_by([work], day("2026-06-05"))
    gone = with_row(books, "due", **row, off_until=LAST, off_why="T-04 was cleared")
    assert not any(w.kind == "first-search" for w in found(gone).values())


def test_work_that_acts_ask_for_and_work_that_is_computed_are_one() -> None:
    """A female goes to lay and is searched for: at every step one search is due, and no other."""
    books = record(house(), "to-laying", "T-03", to="T-11", sure=True)

    def searches(ledger: Ledger, today: int) -> list[tuple[str, bool]]:
        there = box(ledger, "T-11")
        every = [w for w in found(ledger, today).values() if w.enclosure == there and "search" in w.kind]
        return [(w.key, w.done is not None) for w in every]

    assert searches(books, TODAY) == [("first-search/T-11/search-1", False)]
    later = TODAY + 30
    searched = record(books, "search", "T-11", today=later, sure=True, how="complete", l1="3")
    assert searches(searched, later) == [
        ("first-search/T-11/search-1", True),
        ("next-search/T-11/search-2", False),
    ]
    over = [w for w in found(books).values() if w.key == "pairing-over/T-03/pairing-P-01"]
    assert [w.done for w in over] == [TODAY]


# -- locks ---------------------------------------------------------------------------------


def test_the_lock_of_laying_waits_for_the_search_and_does_not_forbid_it() -> None:
    books = house()  # the search is likely on 15 May
    last_day_of_the_lock = day("2026-05-21")
    assert found(books, last_day_of_the_lock)["first-search/T-04/search-1"].withheld == ""
    early = found(books, day("2026-05-06"))["first-search/T-04/search-1"]
    assert early.withheld == lock_sentences.do_not("dig", "21 May", "until the first search")


def test_any_other_lock_withholds_what_it_forbids_and_says_so() -> None:
    books = house()
    locked = with_row(
        books,
        "lock",
        enclosure=box(books, "T-06"),
        forbids="dig open",
        from_day=TODAY,
        until=span("2026-06-17"),
        reason="moulting",
    )
    now = found(locked)
    assert now["substrate/T-06/substrate-1"].withheld == lock_sentences.do_not("open", "17 Jun", "moulting")
    assert now["substrate/T-05/substrate-1"].withheld == ""
    assert found(locked, day("2026-06-17"))["substrate/T-06/substrate-1"].withheld != ""
    assert found(locked, day("2026-06-18"))["substrate/T-06/substrate-1"].withheld == ""
    draft = Draft(locked)
    draft.set(Lock.lifted, 3, TODAY)
    assert found(draft.ledger)["substrate/T-06/substrate-1"].withheld == ""


def test_a_lock_of_an_animal_holds_where_the_animal_is() -> None:
    books = house()
    locked = with_row(
        books,
        "lock",
        animal=ref(books, "animal", "UMBER/5"),
        forbids="dig",
        from_day=TODAY,
        reason="yellow already",
    )
    assert found(locked)["substrate/T-14/substrate-1"].withheld == lock_sentences.do_not(
        "dig", "", "yellow already"
    )


def test_a_cell_withholds_by_its_nature() -> None:
    books = house()
    given_ = with_row(books, "protein", enclosure=box(books, "T-07"), given=span("2026-05-17"), out_by=TODAY)
    assert "a broken cell is not built twice" in found(given_)["leftovers/T-07/protein-1"].withheld


# -- lists ---------------------------------------------------------------------------------


def test_by_day_and_shelf() -> None:
    books = house()
    order = {i: n for n, i in enumerate(box.id for box in books.rows(Enclosure))}
    groups = by_day(open_by(found(books).values(), TODAY + 5), TODAY, order)
    assert [g.day for g in groups] == sorted({g.day for g in groups})
    assert groups[0].day == TODAY
    for group in groups:
        assert all(w.planned(TODAY) == group.day for w in group.works)
        shelf = [order[w.enclosure] for w in group.works if w.enclosure is not None]
        assert shelf == sorted(shelf)
    own = record(books, "look-again", "T-06", about="the lid", because="a gap", in_="+1")
    assert [w.kind for w in at(found(own).values(), box(own, "T-06"), TODAY + 1)] == ["own", "substrate"]


# -- any books at all ----------------------------------------------------------------------

_PRESETS = {"all": SPECIES, "none": {}, "one": {"Eudicella smithi": SPECIES["Eudicella smithi"]}}
_DAYS = st.integers(TODAY - 400, TODAY + 40)


@st.composite
def _spans(draw: st.DrawFn) -> Span | None:
    kind = draw(st.sampled_from(("exact", "span", "before", "after", "unknown", "none")))
    first = draw(_DAYS)
    last = first + draw(st.integers(0, 60))
    return {
        "exact": Span(first, first),
        "span": Span(first, last),
        "before": Span(FIRST, last),
        "after": Span(first, LAST),
        "unknown": Span(FIRST, LAST),
        "none": None,
    }[kind]


@st.composite
def _books(draw: st.DrawFn) -> Ledger:
    d = Draft(Ledger())
    line = d.add(Line(name="LOCH", species="Dicronorhina derbyana"))
    lot = d.add(Lot(name="L", quarantine_until=draw(st.none() | _DAYS)))
    for n in range(draw(st.integers(1, 4))):
        there = d.add(
            Enclosure(
                code=f"T-{n}",
                number=n,
                stage=draw(st.sampled_from(STAGES)),
                stage_since=draw(_spans()),
                species=draw(st.sampled_from(("Eudicella smithi", "Dicronorhina derbyana", "Aa bb", ""))),
            )
        )
        animal = d.add(
            Animal(
                line=line,
                number=str(n),
                lot=draw(st.sampled_from((None, lot))),
                born=draw(_spans()),
                cell=draw(_spans()),
                first_feed=draw(_spans()),
                eclosed=draw(_spans()),
            )
        )
        if draw(st.booleans()):
            d.add(Content(enclosure=there, animal=animal, line=line, since=draw(_spans())))
        if draw(st.booleans()):
            brood = d.add(Brood(name=f"B-{n}", line=line, found=draw(_spans()), hatch=draw(_spans())))
            instar = draw(st.sampled_from(("eggs", "L1", "L3", "")))
            d.add(Content(enclosure=there, brood=brood, line=line, unsexed=5, instar=instar))
        for _ in range(draw(st.integers(0, 2))):
            d.add(Search(enclosure=there, made=draw(_spans())))
        if draw(st.booleans()):
            mixed = d.add(Batch(name=f"S-{n}"))
            d.add(BatchUse(batch=mixed, enclosure=there, given=draw(_spans())))
        if draw(st.booleans()):
            d.add(
                Protein(
                    enclosure=there,
                    given=draw(_spans()),
                    out_by=draw(st.none() | _DAYS),
                    taken_out=draw(_spans()),
                )
            )
        if draw(st.booleans()):
            d.add(
                Pairing(
                    name=f"P-{n}",
                    female=animal,
                    enclosure=there,
                    since=draw(_spans()),
                    until=draw(_spans()),
                )
            )
        if draw(st.booleans()):
            d.add(
                Loan(
                    animal=animal,
                    way="in",
                    since=draw(_spans()),
                    due_back=draw(_spans()),
                    back=draw(_spans()),
                )
            )
        if draw(st.booleans()):
            forbids = draw(st.sampled_from(("dig", "open move", "dig open move wet")))
            d.add(
                Lock(
                    enclosure=there,
                    forbids=forbids,
                    from_day=draw(_DAYS),
                    until=draw(_spans()),
                    reason="r",
                )
            )
        for _ in range(draw(st.integers(0, 2))):
            first = draw(_DAYS)
            what = draw(st.sampled_from([*(k.what for k in DUE_KINDS.values()), "something else"]))
            d.add(
                Due(
                    what=what,
                    earliest=first,
                    latest=first + draw(st.integers(0, 30)),
                    done=draw(st.none() | _DAYS),
                    off_until=draw(st.none() | _DAYS),
                    **draw(st.sampled_from(({"enclosure": there}, {"animal": animal}))),
                )
            )
    return d.ledger


@given(_books(), st.sampled_from(sorted(_PRESETS)), _DAYS)
def test_whatever_the_books_hold(books: Ledger, known: str, today: int) -> None:
    presets = _PRESETS[known]
    every = works(books, presets, today)
    assert works(books, presets, today) == every
    assert len({w.key for w in every}) == len(every)
    rows = [w.row for w in every if w.row is not None]
    assert len(set(rows)) == len(rows)
    open_ = {
        r.id
        for r in books.rows(Due)
        if r.done is None and not (DUE_KINDS[due.kind_of(r.what)].passes and r.latest < today)
    }
    for i in open_ - set(rows):  # a keeper's own request is never lost; other work may be answered long ago
        assert due.kind_of(books.row(Due, i).what) != "own"
    assert all(w.done is None or w.done >= today - REMEMBERED for w in every)
    for w in every:
        assert w.window.earliest <= w.window.latest
        assert w.likely is None or w.row is not None or w.window.earliest <= w.likely <= w.window.latest
        assert w.planned(today) >= today
        assert w.row is not None or w.why
        assert not (w.withheld and not DUE_KINDS[w.kind].needs)
    soon = open_by(every, today)
    assert set(soon) <= set(open_by(every, today + 1))
    assert all(w.done is None and not w.put_off(today) for w in soon)
    grouped = [w for g in by_day(soon, today, {}) for w in g.works]
    assert sorted(w.key for w in grouped) == sorted(w.key for w in soon)


@given(_books(), _DAYS, st.data())
def test_work_written_down_stays_the_same_work(books: Ledger, today: int, data: st.DataObject) -> None:
    """Putting computed work off writes a row for it: the same key, nothing twice, nothing else changed."""
    before = {w.key: w for w in works(books, SPECIES, today)}
    computed = sorted(k for k, w in before.items() if w.row is None and w.done is None)
    if not computed:
        return
    key = data.draw(st.sampled_from(computed))
    off = with_record(
        books, due.as_row(before[key]).changed(Due.off_until, today + 9).changed(Due.off_why, "not now")
    )
    after = {w.key: w for w in works(off, SPECIES, today)}
    assert after.keys() == before.keys()
    assert (after[key].off_until, after[key].off_why) == (today + 9, "not now")
    assert after[key].window == before[key].window
    for other in before.keys() - {key}:
        assert after[other]._replace(withheld="") == before[other]._replace(withheld="")


def test_two_of_a_kind_at_one_enclosure_keep_their_own_rows() -> None:
    books = house()
    for given_, out_by in (("2026-05-14", "2026-05-18"), ("2026-05-16", "2026-05-20")):
        books = with_row(
            books, "protein", enclosure=box(books, "T-14"), given=span(given_), out_by=day(out_by)
        )
    second = found(books)["leftovers/T-14/protein-2"]
    off = with_record(
        books, due.as_row(second).changed(Due.off_until, TODAY + 9).changed(Due.off_why, "still eating")
    )
    assert found(off)["leftovers/T-14/protein-1"].off_until is None
    assert found(off)["leftovers/T-14/protein-2"].off_until == TODAY + 9


@given(_books(), _DAYS)
def test_without_presets_there_is_no_forecast(books: Ledger, today: int) -> None:
    bare = {w.kind for w in works(books, {}, today) if w.row is None}
    assert bare <= {
        "quarantine-end",
        "hatch",
        "leftovers",
        "loan-back",
        "lock-end",
    }  # what the books say themselves


@given(_books(), _DAYS, st.integers(1, 50))
def test_keys_stay_when_dates_are_corrected(books: Ledger, today: int, later: int) -> None:
    """A calendar that read the old file changes the events instead of getting new ones."""
    draft = Draft(books)
    for row in books.rows(Enclosure):
        if row.stage_since is not None and row.stage in ("wandering", "cell", "resting", "quarantine"):
            draft.set(Enclosure.stage_since, row.id, row.stage_since.plus(later))
    before, after = (
        {
            w.key
            for w in works(b, SPECIES, today)
            if w.kind in ("emergence", "quarantine-end") and w.row is None
        }
        for b in (books, draft.ledger)
    )
    rowed = {w.key for b in (books, draft.ledger) for w in works(b, SPECIES, today) if w.row is not None}
    assert before - rowed == after - rowed


@given(_spans(), st.integers(0, 60), st.integers(0, 60), st.integers(0, 20))
def test_a_window_is_never_narrower_than_what_it_follows_from(
    since: Span | None, low: int, more: int, back: int
) -> None:
    from rounds.due.windows import work_window

    made = work_window(since, SpeciesRange(low, low + more, low + more / 2, "estimate"))
    window, likely = (None, None) if made is None else (made.window, made.likely)
    if since is None or since.unknown:
        assert (window, likely) == (None, None)
        return
    assert window is not None
    if since.earliest > FIRST and since.latest < LAST:
        assert window.latest - window.earliest == since.latest - since.earliest + more
    assert (window.earliest == FIRST) == (since.earliest == FIRST)
    assert (window.latest == LAST) == (since.latest == LAST)
    assert likely is None or window.earliest <= likely <= window.latest
    before = work_window(since.plus(-back), SpeciesRange(low, low + more, None, "estimate"))
    assert before is not None
    earlier = before.window
    assert earlier.earliest <= window.earliest
    assert earlier.latest <= window.latest


@given(_books(), _DAYS)
def test_a_lock_on_digging_withholds_every_dig_but_the_search_it_waits_for(books: Ledger, today: int) -> None:
    draft = Draft(books)
    for lock in books.rows(Lock):
        draft.set(Lock.void, lock.id, True)
    for enclosure in books.rows(Enclosure):
        draft.add(
            Lock(
                enclosure=enclosure.id,
                forbids="dig",
                from_day=today,
                until=Span(today + 5000, today + 5000),
                reason="r",
            )
        )
    for w in works(draft.ledger, SPECIES, today):
        if (
            "dig" in DUE_KINDS[w.kind].needs
            and w.done is None
            and w.enclosure is not None
            and w.planned(today) < today + 5000
        ):
            assert w.withheld, w
