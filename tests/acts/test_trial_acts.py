"""A trial in the books: everything fixed at the opening, drop-outs and changes seen, arms told to nobody meanwhile."""

from __future__ import annotations

import pytest

from rounds.acts import pairing_sentences, registry, running_trials, trial_sentences
from rounds.acts.act import Recorded
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Enclosure, Line, PlannedPairing, Trial, TrialFemale
from rounds.values.spans import told
from tests.acts.books import day, ref, row, span
from tests.acts.trial_house import (
    CROSS,
    MALES,
    OPEN,
    OPENING,
    PLACES,
    SIBS,
    TODAY,
    asked,
    families,
    opened,
    paired,
    plan,
    record,
    refused,
)


@pytest.fixture
def books() -> Ledger:
    return opened()


def plans(ledger: Ledger) -> dict[str, tuple[str, str]]:
    """Open plans by female: the male, and the code of the box they are meant for."""
    names = {
        animal.id: f"{ledger.row(Line, animal.line).name}/{animal.number}" for animal in ledger.rows(Animal)
    }
    boxes = {box.id: box.code for box in ledger.rows(Enclosure)} | {None: ""}
    return {
        names[planned.female]: (names[planned.male], boxes[planned.enclosure])
        for planned in ledger.rows(
            PlannedPairing, PlannedPairing.pairing.is_(None), PlannedPairing.dropped.is_(None)
        )
    }


def test_the_rack_is_offered_every_pairing_of_it_and_none_that_dropped_out() -> None:
    books = opened(places=",".join(PLACES))
    pairs = zip((*SIBS, *CROSS), MALES, strict=True)
    assert plans(books) == {f: (m, f"L-{n}") for n, (f, m) in enumerate(pairs, 1)}
    assert {planned.why for planned in books.rows(PlannedPairing)} == {trial_sentences.drawn_for("TR-01")}
    made = record(books, "plan-made", "PLAN-01", sure=True)
    assert row(made, "pairing", "P-01").purpose == "sibs"
    assert "TALLOW/11" not in plans(made)
    out = record(made, "trial-out", "TALLOW/12", because="she died")
    assert "TALLOW/12" not in plans(out)
    assert len(plans(out)) == 6
    assert plans(record(out, "trial-close", "TR-01", because="x", sure=True)) == {}
    assert (
        trial_sentences.has_an_open_plan("TALLOW/11", "PLAN-01").message
        in refused(
            record(families(), "plan-pair", "TALLOW/11", with_="TALLOW/28", sure=True), "trial-open", **OPEN
        )["sibs"].message
    )


def test_neither_rows_nor_names_stand_in_the_order_of_the_arms() -> None:
    """The females of the cross are older in the books here: they come first, though sibs are typed first."""
    other = {**OPEN, "sibs": OPEN["cross"], "cross": OPEN["sibs"]}
    books = record(families(), "trial-open", sure=True, **other)
    rows = [(seat.female, seat.arm) for seat in books.rows(TrialFemale)]
    assert [arm for _, arm in rows] == ["cross"] * 4 + ["sibs"] * 4
    assert [f for f, _ in rows] == [
        f for _, f in sorted((planned.name, planned.female) for planned in books.rows(PlannedPairing))
    ]


def seats(ledger: Ledger) -> dict[str, tuple[str, str]]:
    names = {
        animal.id: f"{ledger.row(Line, animal.line).name}/{animal.number}" for animal in ledger.rows(Animal)
    }
    return {names[seat.female]: (seat.arm, names[seat.male]) for seat in ledger.rows(TrialFemale)}


def test_a_trial_is_opened_with_everything_fixed_in_one_act() -> None:
    books = opened(places=",".join(PLACES), name="first")
    trial = row(books, "trial", "first")
    assert (trial.endpoint, trial.stops, trial.opened) == ("adult", day("2026-12-17"), day(OPENING))
    assert (trial.seed, trial.eggs, trial.rho, trial.survival) == (7, 40, 0.1, 0.5)
    assert trial.species == "Eudicella smithi"
    assert seats(books) == {
        **{f: ("sibs", m) for f, m in zip(SIBS, MALES[:4], strict=True)},
        **{f: ("cross", m) for f, m in zip(CROSS, MALES[4:], strict=True)},
    }
    at = {seat.female: seat.place for seat in books.rows(TrialFemale)}
    assert at == {
        ref(books, "animal", f): ref(books, "place", p) for f, p in zip((*SIBS, *CROSS), PLACES, strict=True)
    }
    done = plan(families(), "trial-open", **OPEN)
    assert families().after(done.changes).after(registry.reversal(done.changes)) == families()


@pytest.mark.parametrize(
    ("change", "field", "said"),
    [
        ({"sib_males": "TALLOW/21"}, "sib_males", trial_sentences.one_male_for_each(1, 4).message),
        ({"stops": "today"}, "stops", trial_sentences.last_day_not_to_come("21 May 2026").message),
        ({"cross": f"TALLOW/11,{','.join(CROSS[1:])}"}, "cross", "in both arms"),
        ({"cross_males": "TALLOW/21,TALLOW/26,TALLOW/27,TALLOW/28"}, "cross_males", "in both arms"),
        (
            {"sibs": "TALLOW/21,TALLOW/12,TALLOW/13,TALLOW/14"},
            "sibs",
            pairing_sentences.is_a_male("TALLOW/21").message,
        ),
        (
            {"sib_males": "RUSH/11,TALLOW/22,TALLOW/23,TALLOW/24"},
            "sib_males",
            pairing_sentences.is_a_female("RUSH/11").message,
        ),
        ({"sibs": "TALLOW/2,TALLOW/12,TALLOW/13,TALLOW/14"}, "sibs", "is dead"),
        ({"places": "A3-1"}, "places", trial_sentences.one_place_for_each(1, 8).message),
        ({"endpoint": "adlt"}, "endpoint", "`adlt` is not one"),
        ({"sib_males": "TALLOW/21,TALLOW/21,TALLOW/23,TALLOW/24"}, "sib_males", "there twice"),
    ],
)
def test_what_cannot_be_a_trial_is_refused(change: dict[str, str], field: str, said: str) -> None:
    slips = refused(families(), "trial-open", **{**OPEN, **change})
    assert said in slips[field].message


def test_a_female_or_male_of_a_running_trial_is_not_drawn_twice(books: Ledger) -> None:
    slips = refused(books, "trial-open", **OPEN)
    assert "is in the trial TR-01" in slips["sibs"].message
    assert "is drawn for the trial TR-01" in slips["sib_males"].message


def test_of_two_species_no_trial_is_made() -> None:
    d = Draft(families())
    d.set(Line.species, ref(d.ledger, "line", "RUSH"), "Pachnoda marginata")
    said = refused(d.ledger, "trial-open", **OPEN)["sibs"].message
    assert (
        trial_sentences.several_species(
            [("TALLOW/11", "Eudicella smithi"), ("RUSH/11", "Pachnoda marginata")]
        ).message
        in said
    )


def test_doubtful_pairs_are_asked_about() -> None:
    swapped = {**OPEN, "cross": OPEN["sibs"], "sibs": OPEN["cross"]}
    question = asked(families(), "trial-open", **swapped)
    assert pairing_sentences.not_known_as_sibs("RUSH/11", "TALLOW/21") in question.text
    assert trial_sentences.are_kin("TALLOW/11", "TALLOW/25", "full sibs", close=True) in question.text
    before = record(
        families(), "pair", "F-1", female="TALLOW/11", males="TALLOW/28", purpose="sibs", on="2026-05-06"
    )
    over = record(before, "parted", "P-01", males_to="M-8", on="2026-05-11")
    question = asked(over, "trial-open", **OPEN)
    assert trial_sentences.may_lay_of_another("TALLOW/11", "she was with TALLOW/28 in P-01") in question.text


def test_a_pairing_made_for_a_trial_takes_its_purpose_from_it_without_a_word(books: Ledger) -> None:
    """At the rack nobody types or is asked what it is for; a sib pair raises no question either."""
    done = paired(books, "TALLOW/11", "TALLOW/21", "L-1")
    done = paired(done, "RUSH/11", "TALLOW/25", "L-5")
    assert row(done, "pairing", "P-01").purpose == "sibs"
    assert row(done, "pairing", "P-02").purpose == "cross"
    linked = [seat.pairing for seat in done.rows(TrialFemale) if seat.pairing is not None]
    assert linked == [ref(done, "pairing", "P-01"), ref(done, "pairing", "P-02")]
    # The control: outside a trial a sib pair is asked about.
    assert "full sibs" in asked(families(), "pair", "L-1", female="TALLOW/11", males="TALLOW/21").text


def test_another_male_than_drawn_is_asked_about_and_made_for_what_was_said(books: Ledger) -> None:
    question = asked(books, "pair", "L-1", female="RUSH/11", males="TALLOW/26")
    assert trial_sentences.drawn_for_another("RUSH/11", "TALLOW/25", "TR-01") in question.text
    done = record(books, "pair", "L-1", female="RUSH/11", males="TALLOW/26", sure=True)
    assert row(done, "pairing", "P-01").purpose == "cross"
    both = paired(books, "TALLOW/11", "TALLOW/21", "L-1")
    question = asked(both, "male-in", "P-01", male="TALLOW/22")
    assert trial_sentences.another_male_in_a_trial("TR-01") in question.text
    assert "sib" not in question.text


def test_a_female_drops_out_with_her_reason(books: Ledger) -> None:
    done = record(books, "trial-out", "TALLOW/12", because="died before laying", on="2026-05-21")
    (out,) = [seat for seat in done.rows(TrialFemale) if seat.out is not None]
    assert (out.out, out.out_why) == (day("2026-05-21"), "died before laying")
    slips = refused(done, "trial-out", "TALLOW/12", because="again")
    assert "in no running trial" in slips["animal"].message
    assert "TALLOW/11" in slips["animal"].hint
    assert "is needed" in refused(books, "trial-out", "TALLOW/12")["because"].message
    assert (
        trial_sentences.before_it_began("14 May 2026", "TR-01", told(span(OPENING))).message
        in refused(books, "trial-out", "TALLOW/12", because="x", on="2026-05-14")["on"].message
    )


def searched(books: Ledger) -> Ledger:
    laying = record(
        paired(books, "TALLOW/11", "TALLOW/21", "L-1"), "to-laying", "L-1", to="L-1", with_male="yes"
    )
    return record(laying, "search", "L-1", how="complete", l1="9", sure=True)


def test_a_brood_that_was_counted_is_not_dropped_without_a_question(books: Ledger) -> None:
    question = asked(searched(books), "trial-out", "TALLOW/11", because="tub relabelled")
    assert "counted already" in question.text
    done = record(searched(books), "trial-out", "TALLOW/11", because="tub relabelled", sure=True)
    (out,) = [seat for seat in done.rows(TrialFemale) if seat.out is not None]
    assert out.note == "dropped after its brood was counted"


def test_what_was_fixed_changes_only_with_the_old_value_and_a_reason(books: Ledger) -> None:
    change = {"stops": "2027-01-17", "because": "a cold autumn"}
    assert "was fixed when the trial began" in asked(books, "trial-change", "TR-01", **change).text
    done = record(books, "trial-change", "TR-01", sure=True, **change)
    trial = row(done, "trial", "TR-01")
    assert trial.stops == day("2027-01-17")
    assert trial.note == trial_sentences.last_day_changed(
        "changed on 2026-05-21 by Ferrow", "2026-12-17", "2027-01-17", "a cold autumn"
    )
    again = record(done, "trial-change", "TR-01", endpoint="cell", because="cells are seen", sure=True)
    assert row(again, "trial", "TR-01").note.count("changed on") == 2
    assert (
        trial_sentences.nothing_to_change().message
        in refused(books, "trial-change", "TR-01", because="x")["endpoint"].message
    )
    assert (
        trial_sentences.to_end_it_now("17 Apr 2026 is not after today.").hint
        in refused(books, "trial-change", "TR-01", stops="2026-04-17", because="x")["stops"].hint
    )
    assert "is needed" in refused(books, "trial-change", "TR-01", stops="2027-01-17")["because"].message


def test_no_act_but_that_one_changes_what_was_fixed() -> None:
    """Every other act leaves endpoint, last day, seed, females and males of a running trial as they are."""
    fixed = {
        ("trial", c) for c in ("endpoint", "stops", "seed", "eggs", "rho", "survival", "opened", "species")
    }
    fixed |= {("trial_female", c) for c in ("trial", "arm", "female", "male", "place")}
    books = searched(opened())
    for name, subject, typed in (
        ("trial-out", "TALLOW/12", {"because": "x"}),
        ("trial-close", "TR-01", {"because": "x"}),
        ("pair", "L-2", {"female": "TALLOW/12", "males": "TALLOW/22"}),
        ("dead", "TALLOW/13", {"rest": "keep"}),
    ):
        done = registry.plan(name, subject, typed, books, TODAY, "Ferrow", sure=True)
        assert not {(c.table, c.column) for c in done.changes if hasattr(c, "column")} & fixed, name


def test_a_trial_closed_before_its_last_day_says_why(books: Ledger) -> None:
    assert (
        trial_sentences.ends_before_its_last_day("17 Dec 2026").hint
        in refused(books, "trial-close", "TR-01")["because"].hint
    )
    assert "ended early" in asked(books, "trial-close", "TR-01", because="the house moves").text
    done = record(books, "trial-close", "TR-01", because="the house moves", sure=True)
    assert row(done, "trial", "TR-01").closed_why == "the house moves"
    late = registry.plan("trial-close", "TR-01", {}, books, day("2026-12-18"), "Ferrow")
    assert row(books.after(late.changes), "trial", "TR-01").closed_why == "its last day had come"
    for act, subject, typed in (
        ("trial-close", "TR-01", {"because": "x"}),
        ("trial-change", "TR-01", {"stops": "2027-01-18", "because": "x"}),
    ):
        assert (
            trial_sentences.was_closed("TR-01", "21 May 2026").message
            in refused(done, act, subject, **typed)["trial"].message
        )


def single() -> Ledger:
    """A sib pair made on its own, counted, before any trial."""
    alone = record(families(), "pair", "L-1", female="TALLOW/14", males="TALLOW/24", purpose="sibs")
    laying = record(alone, "to-laying", "L-1", to="L-1", with_male="yes")
    return record(laying, "search", "L-1", how="complete", l1="9", sure=True)


THREE = {**OPEN, "sibs": ",".join(SIBS[:3]), "sib_males": ",".join(MALES[:3])}


def test_a_pairing_of_sibs_made_before_joins_a_later_trial_and_that_is_written_down() -> None:
    books = record(single(), "trial-open", **THREE)
    assert trial_sentences.was_searched("P-01", 1) in asked(books, "trial-join", "TR-01", pairing="P-01").text
    done = record(books, "trial-join", "TR-01", pairing="P-01", sure=True)
    last = list(done.rows(TrialFemale))[-1]
    assert (last.arm, last.pairing) == ("sibs", ref(done, "pairing", "P-01"))
    assert last.note == trial_sentences.not_drawn("P-01", "2026-05-21", "2026-05-21", 1)
    assert running_trials.hidden(done, ref(done, "pairing", "P-01"))
    assert (
        trial_sentences.female_was_in_a_trial("TALLOW/14", "TR-01").message
        in refused(done, "trial-join", "TR-01", pairing="P-01")["pairing"].message
    )
    closed = record(done, "trial-close", "TR-01", because="x", sure=True)
    assert "was closed" in refused(closed, "trial-join", "TR-01", pairing="P-01")["trial"].message


def test_a_pairing_of_no_arm_cannot_join() -> None:
    loose = record(
        families(), "pair", "L-1", female="TALLOW/14", males="TALLOW/24", purpose="unplanned", sure=True
    )
    books = record(loose, "trial-open", **THREE)
    assert (
        trial_sentences.belongs_to_no_arm("P-01", "unplanned").message
        in refused(books, "trial-join", "TR-01", pairing="P-01")["pairing"].message
    )


def test_opened_anew_under_its_name_the_first_opening_is_told() -> None:
    first = plan(families(), "trial-open", **OPEN)
    once = families().after(first.changes)
    back = once.after(registry.reversal(first.changes))
    again = record(back, "trial-open", **{**OPEN, "endpoint": "cell", "stops": "2027-01-17"})
    trial = row(again, "trial", "TR-01")
    assert (trial.endpoint, trial.stops) == ("cell", day("2027-01-17"))
    assert trial.note == (trial_sentences.opened_anew("changed on 2026-05-21", "adult", "2026-12-17"))
    assert row(opened(), "trial", "TR-01").note == ""


# What is not told while a trial runs


def test_arm_and_purpose_are_hidden_until_it_is_closed(books: Ledger) -> None:
    done = paired(books, "TALLOW/11", "TALLOW/21", "L-1")
    mine = ref(done, "pairing", "P-01")
    assert running_trials.hidden(done, mine)
    assert running_trials.purpose(done, mine) == running_trials.HIDDEN
    assert running_trials.hidden_pair(
        done, ref(done, "animal", "TALLOW/11"), ref(done, "animal", "TALLOW/21")
    )
    out = record(done, "trial-out", "TALLOW/11", because="relabelled")
    assert running_trials.hidden(out, mine), "whoever drops out would tell of those that stay"
    closed = record(done, "trial-close", "TR-01", because="x", sure=True)
    assert not running_trials.hidden(closed, mine)
    assert running_trials.purpose(closed, mine) == "sibs"


def test_paired_once_more_she_is_hidden_still(books: Ledger) -> None:
    once = paired(books, "TALLOW/11", "TALLOW/21", "L-1")
    apart = record(once, "parted", "P-01", males_to="M-1")
    again = record(apart, "pair", "L-1", female="TALLOW/11", males="TALLOW/21", sure=True)
    assert row(again, "pairing", "P-02").purpose == "sibs"
    assert running_trials.hidden(again, ref(again, "pairing", "P-02"))


def test_who_is_in_a_box_is_never_hidden(books: Ledger) -> None:
    done = searched(books)
    box = ref(done, "enclosure", "L-1")
    assert running_trials.at(done, box) == [("TR-01", "TALLOW/11, TALLOW/21, P-01-01")]
    moved = record(done, "split", "P-01-01", into="L-8", per="9", sure=True)
    assert running_trials.at(moved, ref(moved, "enclosure", "L-8"))[0][1].startswith("P-01-01")
    assert running_trials.at(done, ref(done, "enclosure", "L-2")) == []


def recorded(ledger: Ledger, name: str, subject: str = "", **typed: str) -> tuple[Recorded, Ledger]:
    made = registry.plan(name, subject, typed, ledger, TODAY, "Ferrow", sure=True)
    return Recorded(b"1", name, made.changes, given=typed), ledger.after(made.changes)


def test_an_act_is_shown_without_the_arms_and_whole_once_it_is_closed() -> None:
    opening, books = recorded(families(), "trial-open", **OPEN)
    pairing, books = recorded(books, "pair", "L-1", female="TALLOW/11", males="TALLOW/21", purpose="sibs")
    for act in (opening, pairing):
        shown = running_trials.masked(act, books)
        said = repr(shown.given) + repr(shown.changes)
        assert "sib" not in said
        assert "arms" in shown.given or act is pairing
    assert {
        c.values["female"] for c in running_trials.masked(opening, books).changes if c.table == "trial_female"
    } == {  # type: ignore[union-attr]
        ref(books, "animal", f) for f in (*SIBS, *CROSS)
    }, "who is in it is told"
    closed = record(books, "trial-close", "TR-01", because="x", sure=True)
    assert running_trials.masked(opening, closed) == opening
    assert running_trials.masked(pairing, closed) == pairing


def test_acts_of_others_are_shown_as_they_are(books: Ledger) -> None:
    other, after = recorded(books, "marked", "TALLOW/11", mark="tag 4")
    assert running_trials.masked(other, after) is other


def test_an_early_look_is_noted_once_a_day_and_changes_nothing_else(books: Ledger) -> None:
    done = record(books, "trial-looked", "TR-01")
    trial = row(done, "trial", "TR-01")
    assert trial.changed(Trial.note, "") == row(books, "trial", "TR-01")
    assert trial.note == "looked at early on 2026-05-21"
    assert "already" in refused(done, "trial-looked", "TR-01")["trial"].message
    later = record(done, "trial-looked", "TR-01", today=TODAY + 1)
    assert row(later, "trial", "TR-01").note.endswith("; looked at early on 2026-05-22")
    closed = record(books, "trial-close", "TR-01", because="x", sure=True)
    assert "was closed" in refused(closed, "trial-looked", "TR-01")["trial"].message
