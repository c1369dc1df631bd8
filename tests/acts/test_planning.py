"""Planned pairings: chosen, offered at the rack, made there, given up; promises; where a line is from."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

import pytest

from rounds.acts import (
    due_sentences,
    movement_sentences,
    pairing_sentences,
    planning_sentences,
    registry,
    shared_act_sentences,
)
from rounds.acts.due_acts import open_at
from rounds.acts.offers import FIRST as LIKELY
from rounds.acts.offers import offers
from rounds.due import plan_sentences, planned_pairings
from rounds.due import work as due
from rounds.due.kinds import DueWork
from rounds.husbandry.stages import STAGES
from rounds.keys.commands import PER_PAGE
from rounds.records import fault_sentences
from rounds.records.column import Value
from rounds.records.enclosure_view import touched
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import TABLES, Enclosure
from rounds.values.spans import FIRST, LAST, Span
from tests.acts.books import TODAY, asked, day, house, inside, plan, record, ref, refused, row, span
from tests.acts.random_acts import attempt
from tests.acts.test_pairing_acts import animal
from tests.husbandry.test_species import shipped

SPECIES = shipped()


@pytest.fixture
def books() -> Ledger:
    """The house, with KESTREL/5, a male to cross UMBER/2 with, in the box T-12."""
    d = Draft(house())
    animal(d, "KESTREL/5", "m", "T-12", emerged=span("2026-02-15"), mature=span("2026-04-17"))
    d.set(Enclosure.stage, ref(d.ledger, "enclosure", "T-12"), "holding")
    return d.ledger


def planned(books: Ledger, **more: str) -> Ledger:
    fields = {"with_": "KESTREL/5", "box": "T-11", "until": "2026-06-06", "because": "the lowest F", **more}
    made = registry.plan("plan-pair", "UMBER/2", {k.rstrip("_"): v for k, v in fields.items()}, books, TODAY)
    return books.after(made.changes)


def work(books: Ledger, today: int = TODAY) -> DueWork | None:
    found = [
        w for w in due.works(books, SPECIES, today) if w.kind == planned_pairings.KIND and w.done is None
    ]
    assert len(found) < 2
    return found[0] if found else None


def held(books: Ledger, today: int = TODAY) -> str:
    found = work(books, today)
    assert found is not None
    return found.withheld


def made(books: Ledger, name: str = "PLAN-01") -> list[tuple[str, str]]:
    return [
        (o.title, o.whom[0][0])
        for b in ("T-01", "T-02", "T-11", "T-12")
        for o in offers(books, ref(books, "enclosure", b))
        if o.act == "plan-made" and o.whom and o.whom[0][0] == name
    ]


def set_(books: Ledger, table: str, name: str, **values: Value) -> Ledger:
    d = Draft(books)
    for column, value in values.items():
        d.set(TABLES[table].column(column), ref(books, table, name), value)
    return d.ledger


def add(books: Ledger, table: str, **values: Value) -> Ledger:
    d = Draft(books)
    d.add(TABLES[table](**values))
    return d.ledger


# --- choosing -----------------------------------------------------------------------------


def test_choosing_moves_nobody(books: Ledger) -> None:
    after = planned(books)
    r = row(after, "plan", "PLAN-01")
    assert (r.female, r.male) == (ref(after, "animal", "UMBER/2"), ref(after, "animal", "KESTREL/5"))
    assert (r.chosen, r.earliest, r.latest) == (TODAY, TODAY, day("2026-06-06"))
    assert (r.purpose, r.why, r.pairing, r.dropped) == ("cross", "the lowest F", None, None)
    assert (inside(after, "T-02"), inside(after, "T-11"), inside(after, "T-12")) == (
        ["UMBER/2"],
        [],
        ["KESTREL/5"],
    )
    tables = [t for t in after._tables if t != "plan"]
    assert all(after._tables[t] == books._tables[t] for t in tables)


def test_it_does_not_matter_which_of_the_two_it_is_recorded_for(books: Ledger) -> None:
    by_him = record(books, "plan-pair", "KESTREL/5", with_="UMBER/2")
    by_her = record(books, "plan-pair", "UMBER/2", with_="KESTREL/5")
    assert by_him == by_her


def test_one_whose_sex_is_known_says_the_other_s_and_it_is_asked_about(books: Ledger) -> None:
    unsexed = set_(books, "animal", "KESTREL/5", sex="unknown")
    assert (
        pairing_sentences.not_sexed("KESTREL/5")
        in asked(unsexed, "plan-pair", "UMBER/2", with_="KESTREL/5").text
    )
    after = record(unsexed, "plan-pair", "KESTREL/5", with_="UMBER/2", sure=True)
    assert row(after, "plan", "PLAN-01").male == ref(after, "animal", "KESTREL/5")


@pytest.mark.parametrize(
    ("subject", "fields", "field", "said"),
    [
        ("UMBER/2", {"with_": "UMBER/2"}, "with", planning_sentences.same_animal().message),
        (
            "UMBER/2",
            {"with_": "KESTREL/2"},
            "with",
            planning_sentences.both_females("UMBER/2", "KESTREL/2").message,
        ),
        (
            "UMBER/1",
            {"with_": "KESTREL/5"},
            "with",
            planning_sentences.both_males("UMBER/1", "KESTREL/5").message,
        ),
        ("UMBER/2", {"with_": "UMBER/3"}, "with", shared_act_sentences.is_dead("UMBER/3").message),
        ("UMBER/3", {"with_": "UMBER/2"}, "animal", shared_act_sentences.is_dead("UMBER/3").message),
        (
            "UMBER/2",
            {"with_": "KESTREL/5", "box": "T-05"},
            "box",
            pairing_sentences.stage_does_not_fit(
                "T-05", "larvae", ["prepared", "empty", "holding", "pairing", "laying", "colony"]
            ).message,
        ),
        (
            "UMBER/2",
            {"with_": "KESTREL/5", "until": "2026-05-06"},
            "until",
            planning_sentences.day_over("6 May 2026").message,
        ),
        (
            "UMBER/2",
            {"with_": "KESTREL/5", "from": "2026-05-26", "until": "2026-05-25"},
            "until",
            planning_sentences.ends_before_it_begins("25 May 2026", "26 May 2026").message,
        ),
    ],
)
def test_what_cannot_be_planned(
    books: Ledger, subject: str, fields: dict[str, str], field: str, said: str
) -> None:
    assert said in str(refused(books, "plan-pair", subject, **fields)[field])


def test_two_nobody_sexed_cannot_be_told_apart(books: Ledger) -> None:
    unsexed = set_(set_(books, "animal", "KESTREL/5", sex="unknown"), "animal", "UMBER/2", sex="unknown")
    assert planning_sentences.neither_sexed("UMBER/2", "KESTREL/5").hint in str(
        refused(unsexed, "plan-pair", "UMBER/2", with_="KESTREL/5")["with"]
    )


def test_a_female_has_one_open_plan_a_male_may_have_several(books: Ledger) -> None:
    after = planned(books)
    slip = refused(after, "plan-pair", "UMBER/2", with_="UMBER/1")["with"]
    assert planning_sentences.has_an_open_plan(
        "UMBER/2", "KESTREL/5 × UMBER/2", "PLAN-01", "plan-drop"
    ).message in str(slip)
    assert planning_sentences.has_an_open_plan(
        "UMBER/2", "KESTREL/5 × UMBER/2", "PLAN-01", "plan-drop"
    ).hint in str(slip)
    again = record(after, "plan-pair", "KESTREL/2", with_="KESTREL/5", sure=True)
    assert row(again, "plan", "PLAN-02").male == ref(again, "animal", "KESTREL/5")


def test_what_speaks_against_it_is_asked_about_at_once(books: Ledger) -> None:
    books = record(books, "promised", "KESTREL/5", to="Nine Alders")
    books = set_(set_(books, "line", "UMBER", locality="north slope"), "line", "KESTREL", subspecies="minor")
    text = asked(books, "plan-pair", "UMBER/2", with_="KESTREL/5").text
    assert planning_sentences.promised_to("KESTREL/5", "Nine Alders") in text
    assert planning_sentences.not_recorded("locality", "KESTREL", "north slope") in text
    assert planning_sentences.not_recorded("subspecies", "UMBER", "minor") in text
    far = set_(books, "line", "KESTREL", locality="south slope")
    assert (
        planning_sentences.kept_apart("locality", "UMBER", "north slope", "KESTREL", "south slope")
        in asked(far, "plan-pair", "UMBER/2", with_="KESTREL/5").text
    )
    same = set_(set_(books, "line", "KESTREL", locality="north slope"), "line", "UMBER", subspecies="minor")
    record(record(same, "promise-over", "KESTREL/5"), "plan-pair", "UMBER/2", with_="KESTREL/5")


def test_full_sibs_are_named(books: Ledger) -> None:
    parents: dict[str, Value] = {
        "sire": ref(books, "animal", "UMBER/3"),
        "dam": ref(books, "animal", "UMBER/4"),
    }
    kin = set_(set_(books, "animal", "UMBER/1", **parents), "animal", "UMBER/2", **parents)
    assert "full sibs" in asked(kin, "plan-pair", "UMBER/2", with_="UMBER/1").text
    record(kin, "plan-pair", "UMBER/2", with_="UMBER/1", purpose="sibs")


# --- at the rack --------------------------------------------------------------------------


def test_it_is_offered_where_she_stands_and_at_the_box_it_is_meant_for(books: Ledger) -> None:
    assert made(books) == []
    after = planned(books)
    assert made(after) == [("planned pairing made: KESTREL/5 × UMBER/2", "PLAN-01")] * 2
    listed = [o.act for o in offers(after, ref(after, "enclosure", "T-02"))]
    likely = LIKELY["holding"]
    assert listed[: len(likely)] == list(likely), "and what happens every day has the first keys"
    assert 0 < likely.index("plan-made") < PER_PAGE


def test_a_round_offers_it_as_due_work_with_its_window_and_why(books: Ledger) -> None:
    after = planned(books, **{"from": "2026-05-20"})
    found = work(after, TODAY + 1)
    assert found is not None
    assert found.enclosure == ref(after, "enclosure", "T-02")
    assert (found.window, found.begins()) == (Span(day("2026-05-20"), day("2026-06-06")), day("2026-05-20"))
    assert found.why == plan_sentences.planned("KESTREL/5 × UMBER/2", "PLAN-01", "T-11", "the lowest F")
    assert found.withheld == ""
    assert found.overdue(day("2026-06-07"))
    assert not found.overdue(day("2026-06-06"))
    open_ended = work(planned(books, until=""))
    assert open_ended is not None
    assert open_ended.window.latest == LAST


def test_made_at_the_rack_it_is_the_pairing(books: Ledger) -> None:
    after = record(planned(books), "plan-made", "PLAN-01")
    assert inside(after, "T-11") == ["UMBER/2", "KESTREL/5"]
    made_ = row(after, "pairing", "P-03")
    assert (made_.female, made_.purpose) == (ref(after, "animal", "UMBER/2"), "cross")
    assert row(after, "plan", "PLAN-01").pairing == ref(after, "pairing", "P-03")
    assert work(after) is None
    assert made(after) == []
    assert faults(after) == []
    by_hand = record(planned(books), "pair", "T-11", female="UMBER/2", males="KESTREL/5")
    assert by_hand == after, "recording the pairing itself makes the plan just as well"
    with_two = record(planned(books), "pair", "T-11", female="UMBER/2", males="UMBER/1,KESTREL/5", sure=True)
    assert row(with_two, "plan", "PLAN-01").pairing is not None
    kept = movement_sentences.promised_to_plan("T-11", "PLAN-01", "UMBER/2", "KESTREL/5")
    assert kept in str(asked(planned(books), "pair", "T-11", female="UMBER/2", males="UMBER/1"))
    with_another = record(planned(books), "pair", "T-11", female="UMBER/2", males="UMBER/1", sure=True)
    assert row(with_another, "plan", "PLAN-01").pairing is None
    assert held(with_another) == plan_sentences.in_a_pairing("UMBER/2", "P-03")


def test_without_a_box_they_go_where_she_is(books: Ledger) -> None:
    after = record(planned(books, box=""), "plan-made", "PLAN-01")
    assert inside(after, "T-02") == ["UMBER/2", "KESTREL/5"]
    elsewhere = record(planned(books), "plan-made", "PLAN-01", in_="T-15")
    assert inside(elsewhere, "T-15") == ["UMBER/2", "KESTREL/5"]


def test_all_that_is_odd_is_asked_about_once(books: Ledger) -> None:
    """The questions of the pairing and those of the plan: one yes must not answer what was not asked."""
    after = record(planned(books, **{"from": "2026-05-26"}), "lock", "T-12", forbids="move", reason="limp")
    text = asked(after, "plan-made", "PLAN-01").text
    assert planning_sentences.planned_for_later("PLAN-01", "26 May 2026") in text
    assert shared_act_sentences.is_locked("T-12", "move", "", "limp") in text


def test_a_plan_is_made_or_given_up_once(books: Ledger) -> None:
    after = record(planned(books), "plan-made", "PLAN-01")
    assert planning_sentences.was_made("PLAN-01", "P-03", "18 May 2026").message in str(
        refused(after, "plan-made", "PLAN-01")["plan"]
    )
    assert planning_sentences.was_made("PLAN-01", "P-03", "18 May 2026").message in str(
        refused(after, "plan-drop", "PLAN-01", because="x")["plan"]
    )
    gone = record(planned(books), "plan-drop", "PLAN-01", because="she is too small")
    assert planning_sentences.given_up("PLAN-01", "18 May 2026", "she is too small").message in str(
        refused(gone, "plan-made", "PLAN-01")["plan"]
    )
    assert work(gone) is None
    assert made(gone) == []
    again = record(gone, "plan-pair", "UMBER/2", with_="UMBER/1")
    assert row(again, "plan", "PLAN-02").dropped is None


HINDERED: dict[str, tuple[Callable[[Ledger], Ledger], str]] = {
    "she died": (lambda b: record(b, "dead", "UMBER/2", rest="keep"), "UMBER/2 is dead"),
    "he died": (lambda b: record(b, "dead", "KESTREL/5", rest="keep"), "KESTREL/5 is dead"),
    "he left": (
        lambda b: record(b, "given-away", "KESTREL/5", to="Moss Gate", rest="keep"),
        "KESTREL/5 has left the house",
    ),
    "he is lent": (
        lambda b: record(b, "lent", "KESTREL/5", to="Nine Alders", rest="keep"),
        "KESTREL/5 is lent to Nine Alders",
    ),
    "she is missing": (lambda b: record(b, "missing", "UMBER/2", rest="keep"), "UMBER/2 is missing"),
    "he is a female": (
        lambda b: record(b, "sexed", "KESTREL/5", sex="f", how="adult", sure=True),
        "KESTREL/5 is a female by now",
    ),
    "quarantine": (lambda b: set_(b, "enclosure", "T-12", stage="quarantine"), "KESTREL/5 is in quarantine"),
    "its arrival": (
        lambda b: set_(b, "animal", "KESTREL/5", lot=ref(b, "lot", "Moss Gate spring")),
        "KESTREL/5 is in quarantine until 5 Jun 2026",
    ),
    "he is with another": (
        lambda b: record(b, "male-in", "P-01", male="KESTREL/5", sure=True),
        "KESTREL/5 is in P-01 now",
    ),
    "the box is in use": (lambda b: set_(b, "enclosure", "T-11", stage="larvae"), "T-11 is in stage larvae"),
    "his box is locked": (
        lambda b: record(b, "lock", "T-12", forbids="move", reason="limp"),
        "T-12 is locked, do not move (limp)",
    ),
    "her box is locked": (
        lambda b: record(b, "lock", "T-02", forbids="open", reason="gas"),
        "T-02 is locked, do not open (gas)",
    ),
    "the planned box is locked": (
        lambda b: record(b, "lock", "T-11", forbids="open", reason="mould"),
        "T-11 is locked, do not open (mould)",
    ),
    "he is locked": (
        lambda b: add(
            b, "lock", animal=ref(b, "animal", "KESTREL/5"), forbids="move", from_day=TODAY, reason="lame"
        ),
        "KESTREL/5 is locked, do not move (lame)",
    ),
}


@pytest.mark.parametrize("name", HINDERED)
def test_what_stands_in_its_way_withholds_it_and_is_said(books: Ledger, name: str) -> None:
    change, reason = HINDERED[name]
    after = planned(books)
    assert held(after) == ""
    assert held(change(after)) == reason


@pytest.mark.parametrize(
    "change",
    [
        lambda b: record(b, "lock", "T-11", forbids="dig", reason="x"),
        lambda b: record(b, "lock", "T-11", forbids="move", reason="nobody is moved out of it"),
        lambda b: record(b, "lock", "T-01", forbids="open", reason="another box"),
        lambda b: add(
            b,
            "lock",
            enclosure=ref(b, "enclosure", "T-12"),
            forbids="open",
            from_day=TODAY - 9,
            until=Span(TODAY - 1, TODAY - 1),
            reason="over",
        ),
        lambda b: record(b, "move", "UMBER/2", to="T-01"),
    ],
)
def test_what_does_not_concern_it_withholds_nothing(
    books: Ledger, change: Callable[[Ledger], Ledger]
) -> None:
    assert held(change(planned(books))) == ""


def test_a_lock_withholds_it_as_long_as_it_holds(books: Ledger) -> None:
    locked = record(planned(books), "lock", "T-12", forbids="move", until="2026-05-27", reason="limp")
    assert held(locked, day("2026-05-27")) == plan_sentences.locked(
        "T-12", "do not move through 27 May (limp)"
    )
    assert held(locked, day("2026-05-28")) == ""


def test_put_off_it_waits_and_given_up_it_is_gone(books: Ledger) -> None:
    off = record(planned(books), "due-off", "T-02", work="planned pairing", until="+4", because="too cold")
    found = work(off)
    assert found is not None
    assert (found.put_off(TODAY), found.begins(), found.plan) == (
        True,
        TODAY + 4,
        ref(off, "plan", "PLAN-01"),
    )
    assert work(record(off, "plan-drop", "PLAN-01", because="he limps")) is None
    assert work(record(off, "plan-made", "PLAN-01")) is None
    anew = record(
        record(off, "plan-drop", "PLAN-01", because="he limps"), "plan-pair", "UMBER/2", with_="UMBER/1"
    )
    fresh = work(anew)
    assert fresh is not None
    assert not fresh.put_off(TODAY), "what was put off was another plan"
    ticked = record(planned(books), "due-done", "T-02", work="planned pairing", sure=True)
    assert work(ticked) is None
    dropped = record(ticked, "plan-drop", "PLAN-01", because="nobody did it")
    assert work(record(dropped, "plan-pair", "UMBER/2", with_="UMBER/1")) is not None


def test_ticking_it_off_alone_is_asked_about(books: Ledger) -> None:
    text = asked(planned(books), "due-done", "T-02", work="planned pairing").text
    assert due_sentences.only_ticked_off("planned pairing", ["planned pairing made"]) in text
    assert due_sentences.only_ticked_off("planned pairing", ["planned pairing made"]) in text


def test_the_walk_looks_again_at_every_box_a_plan_concerns(books: Ledger) -> None:
    after = planned(books, box="")
    changes = plan(books, "plan-pair", "UMBER/2", with_="KESTREL/5").changes
    boxes = {ref(books, "enclosure", b) for b in ("T-02", "T-12")}
    assert touched(after, changes) == boxes
    dropped = plan(after, "plan-drop", "PLAN-01", because="x").changes
    assert touched(after, dropped) == boxes


def test_loaded_days_may_be_missing(books: Ledger) -> None:
    names = {"female": ref(books, "animal", "UMBER/2"), "male": ref(books, "animal", "KESTREL/5")}
    found = work(add(books, "plan", name="A", **names))
    assert found is not None
    assert found.window == Span(FIRST, LAST)


def test_broken_plans_are_faults(books: Ledger) -> None:
    good = record(planned(books), "plan-made", "PLAN-01")
    assert faults(good) == []
    assert faults(set_(good, "plan", "PLAN-01", dropped=TODAY)) == [
        fault_sentences.made_and_given_up("PLAN-01")
    ]
    assert faults(set_(good, "plan", "PLAN-01", pairing=ref(good, "pairing", "P-01"))) == [
        fault_sentences.made_of_others("PLAN-01")
    ]
    assert faults(set_(planned(books), "plan", "PLAN-01", latest=TODAY - 1)) == [
        fault_sentences.plan_runs_backwards("PLAN-01")
    ]
    she = ref(books, "animal", "UMBER/2")
    assert faults(add(planned(books), "plan", name="B", female=she, male=she)) == [
        fault_sentences.paired_with_itself("B", "UMBER/2"),
        fault_sentences.two_open_plans("UMBER/2", "PLAN-01", "B"),
    ]


# --- promises, and where a line is from ---------------------------------------------------


def test_a_promise_is_recorded_changed_and_ends(books: Ledger) -> None:
    after = record(books, "promised", "UMBER/2", to="Nine Alders, in autumn")
    assert row(after, "animal", "UMBER/2").promised == "Nine Alders, in autumn"
    assert shared_act_sentences.changes_nothing("UMBER/2").message in str(
        refused(after, "promised", "UMBER/2", to="Nine Alders, in autumn")["to"]
    )
    assert (
        row(record(after, "promised", "UMBER/2", to="the show"), "animal", "UMBER/2").promised == "the show"
    )
    assert row(record(after, "promise-over", "UMBER/2"), "animal", "UMBER/2").promised == ""
    assert planning_sentences.not_promised("UMBER/2").message in str(
        refused(books, "promise-over", "UMBER/2")["animal"]
    )
    assert "is dead" in str(refused(books, "promised", "UMBER/3", to="x")["animal"])


def test_where_a_line_is_from_is_recorded_when_it_is_known(books: Ledger) -> None:
    after = record(books, "line-from", "UMBER", locality="north slope")
    assert (row(after, "line", "UMBER").locality, row(after, "line", "UMBER").subspecies) == (
        "north slope",
        "",
    )
    assert (
        row(record(after, "line-from", "UMBER", subspecies="minor"), "line", "UMBER").locality
        == "north slope"
    )
    assert planning_sentences.neither_place_nor_subspecies().message in str(
        refused(after, "line-from", "UMBER")["locality"]
    )
    assert "already" in str(refused(after, "line-from", "UMBER", locality="north slope")["locality"])
    opened = record(
        books,
        "line",
        name="SEDGE",
        species="Mecynorhina torquata",
        locality="south slope",
        subspecies="minor",
    )
    assert (row(opened, "line", "SEDGE").locality, row(opened, "line", "SEDGE").subspecies) == (
        "south slope",
        "minor",
    )


# --- what a key may not wait for ----------------------------------------------------------

PLANNING = (
    "plan-pair",
    "plan-made",
    "plan-drop",
    "pair",
    "parted",
    "male-in",
    "male-out",
    "dead",
    "missing",
    "found",
    "lent",
    "came-back",
    "move",
    "lock",
    "due-off",
    "due-done",
    "stage",
    "sexed",
    "animal",
    "promised",
    "promise-over",
)


def _walk(seed: int, steps: int) -> tuple[Ledger, set[str]]:
    """A sequence of acts drawn at random, planning every other time."""
    random, ledger, seen = Random(seed), house(), set()
    for n in range(steps):
        name = random.choice(PLANNING[:3] if n % 2 else PLANNING)
        tried = attempt(name, ledger, random.choice, n)
        if tried.recorded is not None:
            ledger = ledger.after(tried.recorded.changes)
            seen.add(name)
    return ledger, seen


def test_one_box_looked_at_alone_has_the_same_work_as_in_the_whole_house() -> None:
    """Plans reach across boxes: what the part of the books near one box says must be what all of them say."""
    seen: set[str] = set()
    some = 0
    for seed in range(30):
        ledger, did = _walk(seed, 60)
        seen |= did
        whole = due.works(ledger, SPECIES, TODAY + 1)
        some += sum(w.plan is not None and w.done is None for w in whole)
        for enclosure in ledger.rows(Enclosure):
            assert open_at(ledger, SPECIES, enclosure.id, TODAY + 1) == due.at(whole, enclosure.id, LAST), (
                seed,
                enclosure.id,
            )
    assert {"plan-pair", "plan-made", "plan-drop"} <= seen
    assert some > 10


def test_control_near_books_without_the_plans_are_found_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("rounds.due.nearby.open_plans", lambda _: iter(()))
    with pytest.raises((AssertionError, KeyError)):
        test_one_box_looked_at_alone_has_the_same_work_as_in_the_whole_house()


def test_every_stage_the_act_names_is_a_stage() -> None:
    for name in ("plan-pair", "plan-made", "plan-drop", "promised", "promise-over", "line-from"):
        assert set(registry.known(name).stages) <= set(STAGES)


def test_one_digit_reaches_what_is_planned_at_every_stage_it_can_be_made_in(books: Ledger) -> None:
    """And what a keeper does there every day stands before it."""
    after = planned(books)
    for stage in registry.known("plan-made").stages:
        at = set_(after, "enclosure", "T-02", stage=stage)
        listed = [o.act for o in offers(at, ref(at, "enclosure", "T-02"))]
        before = listed[: listed.index("plan-made")]
        assert before == list(LIKELY[stage][: len(before)]), stage
        assert 2 <= len(before) < PER_PAGE, stage
