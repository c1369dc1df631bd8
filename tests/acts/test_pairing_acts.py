"""Pairing: who is with whom, how sure the father is, close kin named, and what follows."""

from __future__ import annotations

import pytest

from rounds.acts import effects_sentences, pairing_sentences, registry, shared_act_sentences
from rounds.acts.act import ConfirmationRequired
from rounds.due.kinds import DUE_KINDS
from rounds.records.column import Value
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import (
    Animal,
    Brood,
    Content,
    Due,
    Enclosure,
    Line,
    Lock,
    Mating,
    Pairing,
    PairingMale,
)
from tests.acts.books import TODAY, asked, day, house, inside, plan, record, ref, refused, row, span

TOGETHER = DUE_KINDS["pairing-over"].what


def animal(draft: Draft, name: str, sex: str, box: str, **more: Value) -> int:
    line, number = name.split("/")
    of = ref(draft.ledger, "line", line)
    made = draft.add(Animal(line=of, number=number, sex=sex, **more))
    at = ref(draft.ledger, "enclosure", box)
    draft.add(Content(enclosure=at, animal=made, line=of, since=span("2026-04-17")))
    return made


@pytest.fixture
def books() -> Ledger:
    return house()


def due(ledger: Ledger, box: str, what: str) -> list[tuple[int, int, int, str]]:
    return [
        (r.earliest, r.likely, r.latest, r.why)
        for r in ledger.rows(Due, Due.enclosure.is_(ref(ledger, "enclosure", box)), Due.done.is_(None))
        if r.what == what
    ]


def males(ledger: Ledger, pairing: str) -> dict[str, bool]:
    """Each male by name, and whether he is still in it."""
    out = {}
    for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(ref(ledger, "pairing", pairing))):
        a = ledger.row(Animal, partner.male)
        out[f"{ledger.row(Line, a.line).name}/{a.number}"] = partner.until is None
    return out


# --- put together -----------------------------------------------------------------------


def test_a_pair_is_put_together(books: Ledger) -> None:
    after = record(
        books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-16", note="first try"
    )
    assert inside(after, "T-12") == ["UMBER/2", "UMBER/1"]
    assert inside(after, "T-01") == inside(after, "T-02") == []
    made = row(after, "pairing", "P-03")
    assert (made.purpose, made.since, made.until, made.note) == (
        "cross",
        span("2026-05-16"),
        None,
        "first try",
    )
    assert made.enclosure == ref(after, "enclosure", "T-12")
    assert row(after, "enclosure", "T-12").stage == "pairing"
    assert males(after, "P-03") == {"UMBER/1": True}


def test_the_end_of_the_period_is_due_and_says_why(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-16")
    [(earliest, likely, latest, why)] = due(after, "T-12", TOGETHER)
    assert (earliest, likely, latest) == (day("2026-05-30"), day("2026-06-02"), day("2026-06-06"))
    assert why == shared_act_sentences.days_after(
        "together since 16 May 2026", "14 to 21 days", "common practice, no source"
    )


def test_days_of_the_species_come_before_common_practice(books: Ledger) -> None:
    settings = registry.Settings(
        days=lambda name, value: (
            (9.5, 12.5, "a paper") if (name, value) == ("Mecynorhina torquata", "together_days") else None
        )
    )
    made = registry.plan(
        "pair", "T-12", {"female": "UMBER/2", "males": "UMBER/1"}, books, TODAY, settings=settings
    )
    [(earliest, _, latest, why)] = due(books.after(made.changes), "T-12", TOGETHER)
    assert (earliest, latest) == (TODAY + 9, TODAY + 13)
    assert shared_act_sentences.days_after("together since 18 May 2026", "9 to 13 days", "a paper") in why


def test_a_vague_day_stays_vague_in_what_follows(books: Ledger) -> None:
    after = record(
        books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="between 2026-04-17 and 2026-04-26"
    )
    assert row(after, "pairing", "P-03").since == span("between 2026-04-17 and 2026-04-26")
    [(earliest, _, latest, _)] = due(after, "T-12", TOGETHER)
    assert (earliest, latest) == (day("2026-05-01"), day("2026-05-17"))


def test_a_day_nobody_knows_asks_for_no_work(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="unknown")
    assert due(after, "T-12", TOGETHER) == []


def test_an_open_end_is_counted_from_the_known_one(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="before 2026-04-27")
    [(earliest, _, latest, why)] = due(after, "T-12", TOGETHER)
    assert (earliest, latest) == (day("2026-05-10"), day("2026-05-17"))
    assert "before 27 Apr 2026" in why


# --- refused ----------------------------------------------------------------------------


def test_everything_wrong_is_said_at_once(books: Ledger) -> None:
    slips = refused(books, "pair", "T-05", female="UMBER/1", males="UMBER/3,UMBER/2", name="P-01")
    assert (
        slips["enclosure"].message
        == pairing_sentences.stage_does_not_fit(
            "T-05", "larvae", ["prepared", "empty", "holding", "pairing", "laying", "colony"]
        ).message
    )
    assert (
        pairing_sentences.stage_does_not_fit(
            "T-05", "larvae", ["prepared", "empty", "holding", "pairing", "laying", "colony"]
        ).hint
        in slips["enclosure"].hint
    )
    assert slips["female"].message == pairing_sentences.is_a_male("UMBER/1").message
    assert {"UMBER/3 is dead.", "UMBER/2 is a female."} >= {slips["males"].message}
    assert slips["name"].message == pairing_sentences.name_taken("pairing", "P-01").message


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"female": "UMBR/2", "males": "UMBER/1"}, "female", "Did you mean `UMBER/2`?"),
        ({"female": "UMBER/2", "males": "UMBER/11"}, "males", "Did you mean"),
        ({"female": "UMBER/2", "males": "UMBER/3"}, "males", shared_act_sentences.is_dead("UMBER/3").message),
        (
            {"female": "KESTREL/2", "males": "UMBER/1"},
            "female",
            " ".join(pairing_sentences.paired_already("KESTREL/2", "P-01")),
        ),
        (
            {"female": "UMBER/2", "males": "KESTREL/1"},
            "males",
            " ".join(pairing_sentences.in_another_pairing("KESTREL/1", "P-01")),
        ),
        ({"female": "UMBER/2"}, "males", "is needed."),
        ({"female": "UMBER/2", "males": "UMBER/1", "purpose": "sib"}, "purpose", "Did you mean `sibs`?"),
        (
            {"female": "UMBER/2", "males": "UMBER/1", "paternity": "sure"},
            "paternity",
            "certain, likely, open",
        ),
        ({"female": "UMBER/2", "males": "UMBER/1", "on": "2026-05-26"}, "on", "has not come yet"),
        (
            {"female": "UMBER/2", "males": "UMBER/1", "on": "2026-02-15"},
            "on",
            pairing_sentences.before_it_came("UMBER/1", "T-01", "18 Mar 2026").message,
        ),
        ({"female": "UMBER/2", "males": "UMBER/1", "naem": "x"}, "naem", "Did you mean `name`?"),
    ],
)
def test_bad_input_to_pair(books: Ledger, fields: dict[str, str], field: str, words: str) -> None:
    assert words in str(refused(books, "pair", "T-12", **fields)[field])


def test_animals_that_are_unsexed_unready_or_locked_in_are_asked_about(books: Ledger) -> None:
    d = Draft(books)
    animal(d, "SORREL/1", "unknown", "T-12", mature=span("2026-06-06"))
    question = str(asked(d.ledger, "pair", "T-12", female="UMBER/2", males="SORREL/1"))
    assert pairing_sentences.not_sexed("SORREL/1") in question
    assert pairing_sentences.not_ready_before("SORREL/1", "6 Jun 2026") in question
    locked = str(asked(books, "pair", "T-12", female="UMBER/2", males="RUSH/1"))
    assert shared_act_sentences.is_locked("T-10", "move", "5 Jun 2026", "quarantine") in locked


# --- a male more, a male fewer ------------------------------------------------------------


def test_a_second_male_leaves_the_father_open_also_of_what_was_found_since(books: Ledger) -> None:
    d = Draft(books)
    one = ref(d.ledger, "pairing", "P-01")
    d.set(Pairing.paternity, one, "certain")
    early = d.add(Brood(name="E", pairing=one, found=span("2026-05-10"), unsexed=1, paternity="certain"))
    late = d.add(Brood(name="F", pairing=one, found=span("2026-05-14"), unsexed=1, paternity="certain"))
    after = record(d.ledger, "male-in", "P-01", male="UMBER/1", on="2026-05-12")
    assert row(after, "pairing", "P-01").paternity == "open"
    assert after.row(Brood, early).paternity == "certain"
    assert after.row(Brood, late).paternity == "open"
    assert inside(after, "T-03") == ["KESTREL/1", "KESTREL/2", "UMBER/1"]
    assert males(after, "P-01") == {"KESTREL/1": True, "UMBER/1": True}


def test_bad_input_to_male_in(books: Ledger) -> None:
    assert (
        pairing_sentences.is_over("P-02", "20 Apr 2026").message
        in refused(books, "male-in", "P-02", male="UMBER/1")["pairing"].message
    )
    assert (
        pairing_sentences.male_in_already("KESTREL/1", "P-01").message
        in refused(books, "male-in", "P-01", male="KESTREL/1")["male"].message
    )
    assert (
        pairing_sentences.is_a_female("UMBER/2").message
        in refused(books, "male-in", "P-01", male="UMBER/2")["male"].message
    )
    assert (
        pairing_sentences.before_it_began("P-01", "8 May 2026").message
        in refused(books, "male-in", "P-01", male="UMBER/1", on="2026-04-18")["on"].message
    )
    assert "Did you mean `P-0" in refused(books, "male-in", "P-9", male="UMBER/1")["pairing"].hint


def test_with_the_last_male_the_pairing_ends(books: Ledger) -> None:
    paired = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-06")
    d = Draft(paired)
    animal(d, "UMBER/8", "m", "T-15")
    two = record(d.ledger, "male-in", "P-03", male="UMBER/8", on="2026-05-08")
    one = record(two, "male-out", "P-03", male="UMBER/8", to="T-11", on="2026-05-11")
    assert males(one, "P-03") == {"UMBER/1": True, "UMBER/8": False}
    assert row(one, "pairing", "P-03").until is None
    assert row(one, "enclosure", "T-11").stage == "holding"
    none = record(one, "male-out", "P-03", to="T-01", on="2026-05-14")
    assert row(none, "pairing", "P-03").until == span("2026-05-14")
    assert row(none, "pairing", "P-03").paternity == "open"  # what was, stays
    assert due(none, "T-12", TOGETHER) == []


def test_bad_input_to_male_out(books: Ledger) -> None:
    assert (
        pairing_sentences.where_the_pairing_is("T-03").message
        in refused(books, "male-out", "P-01", to="T-03")["to"].message
    )
    assert (
        pairing_sentences.not_in_this_pairing(["KESTREL/1"]).hint
        in refused(books, "male-out", "P-01", to="T-01", male="UMBER/1")["male"].hint
    )
    assert "is needed" in refused(books, "male-out", "P-01")["to"].message
    assert (
        pairing_sentences.stage_does_not_fit(
            "T-05", "larvae", ["prepared", "empty", "holding", "pairing", "laying", "colony"]
        ).message
        in refused(books, "male-out", "P-01", to="T-05")["to"].message
    )
    assert "his time with her" in refused(books, "male-out", "P-01", to="T-01", on="2026-04-18")["on"].message


# --- a mating ---------------------------------------------------------------------------


def test_a_mating_belongs_to_the_pairing_open_there_and_the_first_one_counts(books: Ledger) -> None:
    late = record(books, "mating-seen", "T-03", on="2026-05-16")
    assert row(late, "pairing", "P-01").mated == span("2026-05-16")
    early = record(late, "mating-seen", "T-03", on="2026-05-11", male="KESTREL/1")
    assert row(early, "pairing", "P-01").mated == span("2026-05-11")
    later = record(early, "mating-seen", "T-03", on="2026-05-17")
    assert row(later, "pairing", "P-01").mated == span("2026-05-11")
    assert len(list(later.rows(Mating, Mating.pairing.is_(ref(later, "pairing", "P-01"))))) == 3


def test_a_mating_told_late_belongs_to_the_pairing_that_was_there_then(books: Ledger) -> None:
    """P-02 stood in T-03 until 2026-04-20, P-01 since 2026-05-08 (common practice, no source)."""
    late = record(books, "mating-seen", "T-03", on="2026-03-29")
    assert row(late, "pairing", "P-02").mated == span(
        "2026-03-29"
    )  # the first one seen so far was on 4 April
    assert row(late, "pairing", "P-01").mated is None
    assert row(record(late, "mating-seen", "T-03"), "pairing", "P-01").mated == span("2026-05-18")
    between = refused(books, "mating-seen", "T-03", on="2026-04-26")["on"]
    assert pairing_sentences.before_it_began("P-01", "8 May 2026").message in between.message


def test_bad_input_to_mating_seen(books: Ledger) -> None:
    assert (
        pairing_sentences.none_open("T-01").message
        in refused(books, "mating-seen", "T-01")["pairing"].message
    )
    assert (
        pairing_sentences.not_open("T-03", ["P-01"]).message
        in refused(books, "mating-seen", "T-03", pairing="P-02")["pairing"].message
    )
    assert (
        pairing_sentences.was_not_its_male("P-01", ["KESTREL/1"]).hint
        in refused(books, "mating-seen", "T-03", male="UMBER/1")["male"].hint
    )
    assert (
        pairing_sentences.before_it_began("P-01", "8 May 2026").message
        in refused(books, "mating-seen", "T-03", on="2026-03-18", pairing="P-01")["on"].message
    )
    d = Draft(books)
    animal(d, "UMBER/8", "f", "T-12")
    trio = record(d.ledger, "pair", "T-03", female="UMBER/8", males="KESTREL/1")  # one male, two females
    assert (
        pairing_sentences.which_pairing(["P-01", "P-03"]).hint
        in refused(trio, "mating-seen", "T-03")["pairing"].hint
    )


# --- parted -----------------------------------------------------------------------------


def test_parted_ends_all_of_a_pairing(books: Ledger) -> None:
    after = record(books, "parted", "P-01", males_to="T-01", on="2026-05-16", note="she hid")
    ended = row(after, "pairing", "P-01")
    assert (ended.until, ended.note) == (span("2026-05-16"), "she hid")
    assert males(after, "P-01") == {"KESTREL/1": False}
    assert inside(after, "T-03") == ["KESTREL/2"]
    assert inside(after, "T-01") == ["UMBER/1", "KESTREL/1"]


@pytest.mark.parametrize(
    ("act", "fields"),
    [("male-out", {"to": "T-01"}), ("parted", {"males_to": "T-01"}), ("parted", {"female_to": "T-02"})],
)
def test_who_is_left_alone_is_held_from_then_on(books: Ledger, act: str, fields: dict[str, str]) -> None:
    after = record(books, act, "P-01", on="2026-05-16", **fields)
    box = row(after, "enclosure", "T-03")
    assert len(inside(after, "T-03")) == 1
    assert (box.stage, box.stage_since) == ("holding", span("2026-05-16"))


def test_while_a_male_is_left_with_her_the_box_stays_one_of_pairing(books: Ledger) -> None:
    d = Draft(books)
    animal(d, "UMBER/8", "m", "T-12")
    two = record(d.ledger, "male-in", "P-01", male="UMBER/8", sure=True)
    one = record(two, "male-out", "P-01", male="UMBER/8", to="T-01")
    assert row(one, "enclosure", "T-03").stage == "pairing"


def test_a_pairing_that_leaves_its_box_vacant_asks_what_becomes_of_it(books: Ledger) -> None:
    both = {"female_to": "T-02", "males_to": "T-01"}
    assert (
        refused(books, "parted", "P-01", **both)["rest"].message
        == effects_sentences.rest_missing("T-03").message
    )
    assert row(record(books, "parted", "P-01", rest="keep", **both), "enclosure", "T-03").stage == "pairing"


def test_eggs_of_a_pairing_are_looked_for_before_the_box_is_cleared_later(books: Ledger) -> None:
    held = record(books, "male-out", "P-01", to="T-01", on="2026-05-16")
    slip = refused(held, "dead", "KESTREL/2", rest="empty", looked="yes")["looked"]
    assert effects_sentences.may_hold_eggs("T-03").message in slip.message
    # One in which nobody was ever paired is cleared after a look alone.
    plain = record(books, "dead", "UMBER/1", rest="empty", looked="yes")
    assert row(plain, "enclosure", "T-01").stage == "empty"


def test_they_cannot_be_parted_and_together(books: Ledger) -> None:
    slip = refused(books, "parted", "P-01")["who"]
    assert pairing_sentences.still_together("T-03").message in slip.message
    assert "male" in slip.hint
    assert (
        "together" in refused(books, "parted", "P-01", female_to="T-01", males_to="T-01")["female_to"].message
    )


def test_who_left_wants_the_enclosures_that_belong_to_it(books: Ledger) -> None:
    assert set(refused(books, "parted", "P-01", who="she")) == {"female_to"}
    assert set(refused(books, "parted", "P-01", who="he")) == {"males_to"}
    assert set(refused(books, "parted", "P-01", who="both")) == {"female_to", "males_to"}
    stayed = refused(books, "parted", "P-01", who="she", female_to="T-02", males_to="T-01")["males_to"]
    assert pairing_sentences.he_stayed("she").message in stayed.message
    assert inside(record(books, "parted", "P-01", who="he", males_to="T-01"), "T-03") == ["KESTREL/2"]


def test_bad_input_to_parted(books: Ledger) -> None:
    assert (
        pairing_sentences.is_over("P-02", "20 Apr 2026").message
        in refused(books, "parted", "P-02", males_to="T-01")["pairing"].message
    )
    assert (
        pairing_sentences.stage_does_not_fit(
            "T-05", "larvae", ["prepared", "empty", "holding", "pairing", "laying", "colony"]
        ).message
        in refused(books, "parted", "P-01", males_to="T-05")["males_to"].message
    )
    assert (
        pairing_sentences.before_it_began("P-01", "8 May 2026").message
        in refused(books, "parted", "P-01", males_to="T-01", on="2026-04-17")["on"].message
    )
    assert "Did you mean `T-" in refused(books, "parted", "P-01", males_to="T0")["males_to"].hint


def test_an_act_taken_back_and_done_again_gives_the_same_name(books: Ledger) -> None:
    made = plan(books, "pair", "T-12", female="UMBER/2", males="UMBER/1")
    undone = books.after(made.changes).after(registry.reversal(made.changes))
    assert undone == books
    again = record(undone, "pair", "T-12", female="UMBER/2", males="UMBER/1")
    assert row(again, "pairing", "P-03").until is None


def question(ledger: Ledger) -> str:
    """What is asked about pairing her, or nothing."""
    try:
        plan(ledger, "pair", "T-12", female="UMBER/4", males="UMBER/1")
    except ConfirmationRequired as e:
        return str(e)
    return ""


def test_a_female_is_not_dug_out_of_a_locked_laying_enclosure_unasked(books: Ledger) -> None:
    draft = Draft(books)
    at = ref(books, "enclosure", "T-04")
    draft.add(
        Lock(
            enclosure=at,
            forbids="dig",
            from_day=TODAY - 3,
            until=span("2026-12-18"),
            reason="first search",
        )
    )
    said = "T-04 is locked, do not dig through 18 Dec 2026: first search."
    assert said in str(asked(draft.ledger, "pair", "T-12", female="UMBER/4", males="UMBER/1"))
    # The control: where she does not lay, a lock on digging keeps nobody in.
    draft.set(Enclosure.stage, at, "holding")
    assert said not in question(draft.ledger)
