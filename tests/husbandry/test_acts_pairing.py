"""Pairing: who is with whom, how sure the father is, close kin named, and what follows."""

from __future__ import annotations

import pytest

from rounds.husbandry import acts
from rounds.husbandry.ledger import Draft, Ledger, Value
from rounds.husbandry.parentage import Total, offspring, parents, past, relation
from rounds.husbandry.spans import Span
from tests.husbandry.books import TODAY, asked, day, house, inside, plan, record, ref, refused, row, span


def animal(draft: Draft, name: str, sex: str, box: str, **more: Value) -> int:
    line, number = name.split("/")
    of = ref(draft.ledger, "line", line)
    made = draft.add("animal", line=of, number=number, sex=sex, **more)
    at = ref(draft.ledger, "enclosure", box)
    draft.add("content", enclosure=at, animal=made, line=of, since=span("2026-05-01"))
    return made


@pytest.fixture
def books() -> Ledger:
    return house()


@pytest.fixture
def sibs(books: Ledger) -> Ledger:
    """SORREL/1 m and SORREL/2 f of the same parents, SORREL/3 f of the same mother, in boxes of their own."""
    d = Draft(books)
    dad, mum = ref(d.ledger, "animal", "KESTREL/1"), ref(d.ledger, "animal", "KESTREL/2")
    other = ref(d.ledger, "animal", "UMBER/1")
    animal(d, "SORREL/1", "m", "T-11", sire=dad, dam=mum)
    animal(d, "SORREL/2", "f", "T-12", sire=dad, dam=mum)
    animal(d, "SORREL/3", "f", "T-15", sire=other, dam=mum)
    return d.ledger


def due(ledger: Ledger, box: str, what: str) -> list[tuple[int, int, int, str]]:
    return [
        (r["earliest"], r["likely"], r["latest"], r["why"])
        for _, r in ledger.rows("due", enclosure=ref(ledger, "enclosure", box), done=None)
        if r["what"] == what
    ]


def males(ledger: Ledger, pairing: str) -> dict[str, bool]:
    """Each male by name, and whether he is still in it."""
    out = {}
    for _, r in ledger.rows("pairing_male", pairing=ref(ledger, "pairing", pairing)):
        a = ledger.row("animal", r["male"])
        out[f"{ledger.row('line', a['line'])['name']}/{a['number']}"] = r["until"] is None
    return out


# --- put together -----------------------------------------------------------------------


def test_a_pair_is_put_together(books: Ledger) -> None:
    after = record(
        books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-30", note="first try"
    )
    assert inside(after, "T-12") == ["UMBER/2", "UMBER/1"]
    assert inside(after, "T-01") == inside(after, "T-02") == []
    made = row(after, "pairing", "P-03")
    assert (made["purpose"], made["since"], made["until"], made["note"]) == (
        "cross",
        span("2026-05-30"),
        None,
        "first try",
    )
    assert made["enclosure"] == ref(after, "enclosure", "T-12")
    assert row(after, "enclosure", "T-12")["stage"] == "pairing"
    assert males(after, "P-03") == {"UMBER/1": True}


def test_the_end_of_the_period_is_due_and_says_why(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-30")
    [(earliest, likely, latest, why)] = due(after, "T-12", "pairing period over")
    assert (earliest, likely, latest) == (day("2026-06-13"), day("2026-06-16"), day("2026-06-20"))
    assert why == "together since 2026-05-30; 14 to 21 days on (common practice, no source)"


def test_days_of_the_species_come_before_common_practice(books: Ledger) -> None:
    settings = acts.Settings(
        days=lambda name, value: (
            (9.5, 12.5, "a paper") if (name, value) == ("Mecynorhina torquata", "together_days") else None
        )
    )
    made = acts.plan(
        "pair", "T-12", {"female": "UMBER/2", "males": "UMBER/1"}, books, TODAY, settings=settings
    )
    [(earliest, _, latest, why)] = due(books.after(made.changes), "T-12", "pairing period over")
    assert (earliest, latest) == (TODAY + 9, TODAY + 13)
    assert "9 to 13 days on (a paper)" in why


def test_a_vague_day_stays_vague_in_what_follows(books: Ledger) -> None:
    after = record(
        books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="between 2026-05-01 and 2026-05-10"
    )
    assert row(after, "pairing", "P-03")["since"] == span("between 2026-05-01 and 2026-05-10")
    [(earliest, _, latest, _)] = due(after, "T-12", "pairing period over")
    assert (earliest, latest) == (day("2026-05-15"), day("2026-05-31"))


def test_a_day_nobody_knows_asks_for_no_work(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="unknown")
    assert due(after, "T-12", "pairing period over") == []


def test_an_open_end_is_counted_from_the_known_one(books: Ledger) -> None:
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="before 2026-05-11")
    [(earliest, _, latest, why)] = due(after, "T-12", "pairing period over")
    assert (earliest, latest) == (day("2026-05-24"), day("2026-05-31"))
    assert "before 2026-05-11" in why


# --- paternity --------------------------------------------------------------------------


@pytest.mark.parametrize(("mated", "paternity"), [("no", "certain"), ("unknown", "likely"), ("yes", "open")])
def test_paternity_follows_from_what_the_arrival_said(books: Ledger, mated: str, paternity: str) -> None:
    d = Draft(books)
    lot = d.add("lot", name="L", arrived=span("2026-04-20"), mated_before=mated)
    animal(d, "RUSH/9", "f", "T-15", lot=lot)
    after = record(d.ledger, "pair", "T-12", female="RUSH/9", males="UMBER/1")
    assert row(after, "pairing", "P-03")["paternity"] == paternity


def test_a_female_that_came_as_a_larva_had_not_mated(books: Ledger) -> None:
    d = Draft(books)
    lot = d.add("lot", name="L", arrived=span("2026-01-10"), mated_before="unknown")
    animal(d, "RUSH/9", "f", "T-15", lot=lot, eclosed=span("about 2026-04-01"))
    after = record(d.ledger, "pair", "T-12", female="RUSH/9", males="UMBER/1")
    assert row(after, "pairing", "P-03")["paternity"] == "certain"


def test_a_female_bred_here_and_never_with_a_male_is_certain_and_one_of_unknown_past_is_not(
    sibs: Ledger,
) -> None:
    after = record(sibs, "pair", "T-12", female="SORREL/2", males="UMBER/1")
    assert row(after, "pairing", "P-03")["paternity"] == "certain"
    other = record(sibs, "pair", "T-12", female="UMBER/2", males="SORREL/1")
    assert row(other, "pairing", "P-03")["paternity"] == "likely"


def test_a_female_that_shared_a_box_with_a_grown_male_is_open(sibs: Ledger) -> None:
    d = Draft(sibs)
    male = ref(d.ledger, "animal", "SORREL/1")
    d.add(
        "content", enclosure=ref(d.ledger, "enclosure", "T-12"), animal=male, line=ref(d.ledger, "line", "SORREL"),
        since=span("2026-05-02"), until=span("2026-05-09"),
    )  # fmt: skip
    female = ref(d.ledger, "animal", "SORREL/2")
    known = past(d.ledger, female, frozenset(), span("2026-06-01"))
    assert (known.unmated, known.why) == (False, "she was in one enclosure with SORREL/1")
    # The control: he came only after she had been looked at.
    assert past(d.ledger, female, frozenset(), span("2026-05-01")).unmated is True
    after = record(d.ledger, "pair", "T-12", female="SORREL/2", males="UMBER/1")
    assert row(after, "pairing", "P-03")["paternity"] == "open"


def test_an_earlier_male_leaves_the_father_open_and_the_same_male_does_not(sibs: Ledger) -> None:
    once = record(sibs, "pair", "T-12", female="SORREL/2", males="UMBER/1")
    apart = record(once, "parted", "P-03", males_to="T-01")
    assert (
        row(record(apart, "pair", "T-12", female="SORREL/2", males="UMBER/1"), "pairing", "P-04")["paternity"]
        == "certain"
    )
    d = Draft(apart)
    animal(d, "UMBER/8", "m", "T-15")
    assert (
        row(record(d.ledger, "pair", "T-12", female="SORREL/2", males="UMBER/8"), "pairing", "P-04")[
            "paternity"
        ]
        == "open"
    )


def test_several_males_leave_the_father_open(sibs: Ledger) -> None:
    d = Draft(sibs)
    animal(d, "UMBER/8", "m", "T-15")
    after = record(d.ledger, "pair", "T-12", female="SORREL/2", males="UMBER/1, UMBER/8")
    assert row(after, "pairing", "P-03")["paternity"] == "open"
    assert males(after, "P-03") == {"UMBER/1": True, "UMBER/8": True}


def test_more_certain_than_the_books_is_asked_about_and_less_is_taken(books: Ledger) -> None:
    question = asked(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", paternity="certain")
    assert question.field == "paternity"
    assert "The books say likely, not certain: where she was before is not recorded." in str(question)
    after = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", paternity="open")
    assert row(after, "pairing", "P-03")["paternity"] == "open"


def test_a_male_that_is_there_and_not_named_is_asked_about(books: Ledger) -> None:
    question = asked(books, "pair", "T-03", female="UMBER/2", males="UMBER/1")
    assert "KESTREL/1 is in T-03 too and is not named." in str(question)
    after = record(books, "pair", "T-03", sure=True, female="UMBER/2", males="UMBER/1")
    assert row(after, "pairing", "P-03")["paternity"] == "open"


# --- kin --------------------------------------------------------------------------------


def test_full_sibs_are_named_and_asked_about_unless_they_are_the_purpose(sibs: Ledger) -> None:
    question = asked(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/1")
    assert question.field == "males"
    assert "SORREL/2 and SORREL/1 are full sibs" in str(question)
    after = record(sibs, "pair", "T-12", female="SORREL/2", males="SORREL/1", purpose="sibs")
    assert row(after, "pairing", "P-03")["purpose"] == "sibs"


def test_sibs_on_purpose_that_are_none_are_asked_about(sibs: Ledger) -> None:
    assert "do not show that SORREL/3 and SORREL/1 are full sibs" in str(
        asked(sibs, "pair", "T-15", female="SORREL/3", males="SORREL/1", purpose="sibs")
    )


def test_half_sibs_are_told_apart_and_a_father_is_asked_about(sibs: Ledger) -> None:
    one, half = ref(sibs, "animal", "SORREL/1"), ref(sibs, "animal", "SORREL/3")
    assert relation(sibs, one, half) == relation(sibs, half, one) == "half sibs"
    record(sibs, "pair", "T-15", female="SORREL/3", males="SORREL/1")  # not asked
    assert "UMBER/4 and UMBER/1 are parent and child" in str(
        asked(sibs, "pair", "T-04", female="UMBER/4", males="UMBER/1")
    )


def test_an_open_father_leaves_sibs_of_one_brood_in_doubt(books: Ledger) -> None:
    d = Draft(books)
    animal(d, "UMBER/7", "f", "T-11", brood=ref(d.ledger, "brood", "UMBER-01"))
    animal(d, "UMBER/8", "m", "T-12", brood=ref(d.ledger, "brood", "UMBER-01"))
    seven, eight = ref(d.ledger, "animal", "UMBER/7"), ref(d.ledger, "animal", "UMBER/8")
    assert relation(d.ledger, seven, eight) == "full sibs"
    assert parents(d.ledger, seven) == (
        ref(books, "animal", "UMBER/4"),
        frozenset({ref(books, "animal", "UMBER/3")}),
        True,
    )
    d.set("brood", ref(d.ledger, "brood", "UMBER-01"), "paternity", "open")
    assert relation(d.ledger, seven, eight) == "full or half sibs"
    assert "full or half sibs" in str(asked(d.ledger, "pair", "T-11", female="UMBER/7", males="UMBER/8"))


# --- refused ----------------------------------------------------------------------------


def test_everything_wrong_is_said_at_once(books: Ledger) -> None:
    slips = refused(books, "pair", "T-05", female="UMBER/1", males="UMBER/3,UMBER/2", name="P-01")
    assert slips["enclosure"].message == "T-05 is in stage larvae."
    assert "prepared, empty" in slips["enclosure"].hint
    assert slips["female"].message == "UMBER/1 is a male."
    assert {"UMBER/3 is dead.", "UMBER/2 is a female."} >= {slips["males"].message}
    assert slips["name"].message == "there is a pairing `P-01` already."


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"female": "UMBR/2", "males": "UMBER/1"}, "female", "Did you mean `UMBER/2`?"),
        ({"female": "UMBER/2", "males": "UMBER/11"}, "males", "Did you mean"),
        ({"female": "UMBER/2", "males": "UMBER/3"}, "males", "UMBER/3 is dead."),
        ({"female": "KESTREL/2", "males": "UMBER/1"}, "female", "KESTREL/2 is in P-01 already. Record `male-in P-01`"),
        ({"female": "UMBER/2", "males": "KESTREL/1"}, "males", "KESTREL/1 is in P-01. Record `male-out P-01` first."),
        ({"female": "UMBER/2"}, "males", "is missing."),
        ({"female": "UMBER/2", "males": "UMBER/1", "purpose": "sib"}, "purpose", "Did you mean `sibs`?"),
        ({"female": "UMBER/2", "males": "UMBER/1", "paternity": "sure"}, "paternity", "certain, likely, open"),
        ({"female": "UMBER/2", "males": "UMBER/1", "on": "2026-06-09"}, "on", "has not come yet"),
        ({"female": "UMBER/2", "males": "UMBER/1", "on": "2026-03-01"}, "on", "is before UMBER/1 came to T-01 (2026-04-01)."),
        ({"female": "UMBER/2", "males": "UMBER/1", "naem": "x"}, "naem", "Did you mean `name`?"),
    ],
)  # fmt: skip
def test_bad_input_to_pair(books: Ledger, fields: dict[str, str], field: str, words: str) -> None:
    assert words in str(refused(books, "pair", "T-12", **fields)[field])


def test_animals_that_are_unsexed_unready_or_locked_in_are_asked_about(books: Ledger) -> None:
    d = Draft(books)
    animal(d, "SORREL/1", "unknown", "T-12", mature=span("2026-06-20"))
    question = str(asked(d.ledger, "pair", "T-12", female="UMBER/2", males="SORREL/1"))
    assert "SORREL/1 has not been sexed." in question
    assert "SORREL/1 was not ready to breed before 2026-06-20." in question
    locked = str(asked(books, "pair", "T-12", female="UMBER/2", males="RUSH/1"))
    assert "T-10 is locked, do not move until 2026-06-19: quarantine." in locked


# --- a male more, a male fewer ------------------------------------------------------------


def test_a_second_male_leaves_the_father_open_also_of_what_was_found_since(books: Ledger) -> None:
    d = Draft(books)
    one = ref(d.ledger, "pairing", "P-01")
    d.set("pairing", one, "paternity", "certain")
    early = d.add("brood", name="E", pairing=one, found=span("2026-05-24"), unsexed=1, paternity="certain")
    late = d.add("brood", name="F", pairing=one, found=span("2026-05-28"), unsexed=1, paternity="certain")
    after = record(d.ledger, "male-in", "P-01", male="UMBER/1", on="2026-05-26")
    assert row(after, "pairing", "P-01")["paternity"] == "open"
    assert after.row("brood", early)["paternity"] == "certain"
    assert after.row("brood", late)["paternity"] == "open"
    assert inside(after, "T-03") == ["KESTREL/1", "KESTREL/2", "UMBER/1"]
    assert males(after, "P-01") == {"KESTREL/1": True, "UMBER/1": True}


def test_bad_input_to_male_in(books: Ledger) -> None:
    assert (
        "P-02 is over since 2026-05-04."
        in refused(books, "male-in", "P-02", male="UMBER/1")["pairing"].message
    )
    assert "is in P-01" in refused(books, "male-in", "P-01", male="KESTREL/1")["male"].message
    assert "is a female" in refused(books, "male-in", "P-01", male="UMBER/2")["male"].message
    assert (
        "is before P-01 began"
        in refused(books, "male-in", "P-01", male="UMBER/1", on="2026-05-02")["on"].message
    )
    assert "Did you mean `P-0" in refused(books, "male-in", "P-9", male="UMBER/1")["pairing"].hint


def test_with_the_last_male_the_pairing_ends(books: Ledger) -> None:
    paired = record(books, "pair", "T-12", female="UMBER/2", males="UMBER/1", on="2026-05-20")
    d = Draft(paired)
    animal(d, "UMBER/8", "m", "T-15")
    two = record(d.ledger, "male-in", "P-03", male="UMBER/8", on="2026-05-22")
    one = record(two, "male-out", "P-03", male="UMBER/8", to="T-11", on="2026-05-25")
    assert males(one, "P-03") == {"UMBER/1": True, "UMBER/8": False}
    assert row(one, "pairing", "P-03")["until"] is None
    assert row(one, "enclosure", "T-11")["stage"] == "holding"
    none = record(one, "male-out", "P-03", to="T-01", on="2026-05-28")
    assert row(none, "pairing", "P-03")["until"] == span("2026-05-28")
    assert row(none, "pairing", "P-03")["paternity"] == "open"  # what was, stays
    assert due(none, "T-12", "pairing period over") == []


def test_bad_input_to_male_out(books: Ledger) -> None:
    assert "is where the pairing is" in refused(books, "male-out", "P-01", to="T-03")["to"].message
    assert (
        "Males in it now: KESTREL/1."
        in refused(books, "male-out", "P-01", to="T-01", male="UMBER/1")["male"].hint
    )
    assert "is missing" in refused(books, "male-out", "P-01")["to"].message
    assert "is in stage larvae" in refused(books, "male-out", "P-01", to="T-05")["to"].message
    assert "his time with her" in refused(books, "male-out", "P-01", to="T-01", on="2026-05-02")["on"].message


# --- a mating ---------------------------------------------------------------------------


def test_a_mating_belongs_to_the_pairing_open_there_and_the_first_one_counts(books: Ledger) -> None:
    late = record(books, "mating-seen", "T-03", on="2026-05-30")
    assert row(late, "pairing", "P-01")["mated"] == span("2026-05-30")
    early = record(late, "mating-seen", "T-03", on="2026-05-25", male="KESTREL/1")
    assert row(early, "pairing", "P-01")["mated"] == span("2026-05-25")
    later = record(early, "mating-seen", "T-03", on="2026-05-31")
    assert row(later, "pairing", "P-01")["mated"] == span("2026-05-25")
    assert len(list(later.rows("mating", pairing=ref(later, "pairing", "P-01")))) == 3


def test_bad_input_to_mating_seen(books: Ledger) -> None:
    assert "none is open in T-01." in refused(books, "mating-seen", "T-01")["pairing"].message
    assert "is not open in T-03." in refused(books, "mating-seen", "T-03", pairing="P-02")["pairing"].message
    assert "Its males: KESTREL/1." in refused(books, "mating-seen", "T-03", male="UMBER/1")["male"].hint
    assert "before P-01 began" in refused(books, "mating-seen", "T-03", on="2026-05-01")["on"].message
    d = Draft(books)
    animal(d, "UMBER/8", "f", "T-12")
    trio = record(d.ledger, "pair", "T-03", female="UMBER/8", males="KESTREL/1")  # one male, two females
    assert "P-01, P-03" in refused(trio, "mating-seen", "T-03")["pairing"].hint


# --- parted -----------------------------------------------------------------------------


def test_parted_ends_all_of_a_pairing(books: Ledger) -> None:
    after = record(books, "parted", "P-01", males_to="T-01", on="2026-05-30", note="she hid")
    ended = row(after, "pairing", "P-01")
    assert (ended["until"], ended["note"]) == (span("2026-05-30"), "she hid")
    assert males(after, "P-01") == {"KESTREL/1": False}
    assert inside(after, "T-03") == ["KESTREL/2"]
    assert inside(after, "T-01") == ["UMBER/1", "KESTREL/1"]


def test_they_cannot_be_parted_and_together(books: Ledger) -> None:
    slip = refused(books, "parted", "P-01")["female_to"]
    assert "still be together in T-03" in slip.message
    assert "male" in slip.hint
    assert (
        "together" in refused(books, "parted", "P-01", female_to="T-01", males_to="T-01")["female_to"].message
    )


def test_bad_input_to_parted(books: Ledger) -> None:
    assert "P-02 is over" in refused(books, "parted", "P-02", males_to="T-01")["pairing"].message
    assert "stage larvae" in refused(books, "parted", "P-01", males_to="T-05")["males_to"].message
    assert (
        "before P-01 began"
        in refused(books, "parted", "P-01", males_to="T-01", on="2026-05-01")["on"].message
    )
    assert "Did you mean `T-" in refused(books, "parted", "P-01", males_to="T0")["males_to"].hint


# --- to the laying enclosure --------------------------------------------------------------


def test_alone_to_lay_her_pairing_ends_and_nobody_digs_for_four_weeks(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", on="2026-05-30")
    assert inside(after, "T-11") == ["KESTREL/2"]
    assert inside(after, "T-03") == ["KESTREL/1"]
    assert row(after, "pairing", "P-01")["until"] == span("2026-05-30")
    assert males(after, "P-01") == {"KESTREL/1": False}
    assert row(after, "enclosure", "T-11")["stage"] == "laying"
    assert row(after, "enclosure", "T-11")["stage_since"] == span("2026-05-30")
    [(_, lock)] = after.rows("lock", enclosure=ref(after, "enclosure", "T-11"))
    assert (lock["forbids"], lock["from_day"], lock["until"]) == (
        "dig",
        day("2026-05-30"),
        span("2026-06-26"),
    )
    [search] = due(after, "T-11", "first search")
    assert search == (
        day("2026-06-27"),
        day("2026-06-27"),
        day("2026-06-27"),
        "KESTREL/2 in since 2026-05-30; 28 days on (common practice, no source)",
    )
    [(_, _, _, behind)] = due(after, "T-03", "look for eggs before clearing")
    assert "KESTREL/2 was in it until 2026-05-30 and may have laid there" in behind


def test_with_her_male_the_pairing_goes_on_and_two_eat(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", with_male="yes", on="2026-05-30")
    assert inside(after, "T-11") == ["KESTREL/2", "KESTREL/1"]
    open_ = row(after, "pairing", "P-01")
    assert (open_["until"], open_["enclosure"]) == (None, ref(after, "enclosure", "T-11"))
    assert males(after, "P-01") == {"KESTREL/1": True}
    record(after, "mating-seen", "T-11")  # the pairing is found where they are
    record(after, "male-out", "P-01", to="T-03")


def test_a_vague_move_makes_a_window(books: Ledger) -> None:
    after = record(books, "to-laying", "T-03", to="T-11", on="between 2026-05-24 and 2026-05-28")
    [(earliest, _, latest, _)] = due(after, "T-11", "first search")
    assert (earliest, latest) == (day("2026-06-21"), day("2026-06-25"))
    [(_, lock)] = after.rows("lock", enclosure=ref(after, "enclosure", "T-11"))
    assert lock["until"] == Span(day("2026-06-20"), day("2026-06-24"))


def test_a_female_without_a_pairing_goes_to_lay_too(books: Ledger) -> None:
    after = record(books, "to-laying", "T-02", to="T-11")
    assert inside(after, "T-11") == ["UMBER/2"]
    assert due(after, "T-02", "look for eggs before clearing") == []  # nobody paired there


def test_the_same_enclosure_may_become_her_laying_enclosure(books: Ledger) -> None:
    assert (
        "KESTREL/1 is still with her" in refused(books, "to-laying", "T-03", to="T-03")["with_male"].message
    )
    after = record(books, "to-laying", "T-03", to="T-03", with_male="yes")
    assert row(after, "enclosure", "T-03")["stage"] == "laying"
    assert inside(after, "T-03") == ["KESTREL/1", "KESTREL/2"]


def test_two_females_in_one_laying_enclosure_are_asked_about(books: Ledger) -> None:
    question = str(asked(books, "to-laying", "T-03", to="T-04"))
    assert "UMBER/4 is in T-04 too, so whose eggs they are could not be told." in question


def test_bad_input_to_to_laying(books: Ledger) -> None:
    assert "is in stage larvae" in refused(books, "to-laying", "T-03", to="T-05")["to"].message
    assert "is missing" in refused(books, "to-laying", "T-03")["to"].message
    assert (
        "is not in T-03" in refused(books, "to-laying", "T-03", to="T-11", female="UMBER/2")["female"].message
    )
    assert "is a male" in refused(books, "to-laying", "T-03", to="T-11", female="KESTREL/1")["female"].message
    assert "none is recorded in T-01" in refused(books, "to-laying", "T-01", to="T-11")["female"].message
    assert (
        "in no open pairing"
        in refused(books, "to-laying", "T-02", to="T-11", with_male="yes")["with_male"].message
    )
    assert (
        "before P-01 began" in refused(books, "to-laying", "T-03", to="T-11", on="2026-05-01")["on"].message
    )
    assert "yes, no" in refused(books, "to-laying", "T-03", to="T-11", with_male="maybe")["with_male"].hint


# --- totals -----------------------------------------------------------------------------


def test_offspring_of_a_pairing_are_a_span(books: Ledger) -> None:
    two = ref(books, "pairing", "P-02")
    assert offspring(books, two) == Total(10, None)
    d = Draft(books)
    d.set("brood", ref(books, "brood", "UMBER-01"), "at_least", False)
    assert offspring(d.ledger, two) == Total(10, 10)
    search = d.add(
        "search", enclosure=ref(books, "enclosure", "T-13"), made=span("2026-05-30"), l1=8, recount=8
    )
    d.add("brood", name="X", pairing=two, search=search, found=span("2026-05-30"), unsexed=8)
    assert offspring(d.ledger, two) == Total(10, 18)
    with pytest.raises(KeyError):
        offspring(d.ledger, 99)


def test_an_act_taken_back_and_done_again_gives_the_same_name(books: Ledger) -> None:
    made = plan(books, "pair", "T-12", female="UMBER/2", males="UMBER/1")
    undone = books.after(made.changes).after(acts.reversal(made.changes))
    assert undone == books
    again = record(undone, "pair", "T-12", female="UMBER/2", males="UMBER/1")
    assert row(again, "pairing", "P-03")["until"] is None
