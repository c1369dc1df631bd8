"""Who an animal is and where it lives: numbers out of groups, parents, sexes, marks, moves."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts import effects_sentences, groups_sentences, identity_sentences, shared_act_sentences
from rounds.acts.act import ActRefused
from rounds.acts.fields import Counts
from rounds.acts.groups import rest_of
from rounds.husbandry.stages import Depth
from rounds.records import enclosure_view, fault_sentences
from rounds.records.invariants import faults
from rounds.records.tables import Content, Fewer
from rounds.walk.machine.questions import asks
from tests.acts.books import TODAY, asked, house, inside, record, ref, refused, row, span
from tests.acts.life_invariants import VOCABULARY

BOOKS = house()


def test_a_number_takes_one_out_of_the_group_and_totals_stay() -> None:
    books = BOOKS
    for number, sex, left in (("1", "m", "1.3.4"), ("2", "f", "1.2.4"), ("3", "unknown", "1.2.3")):
        books = record(books, "animal", "LOCH", number=number, sex=sex, in_="T-06")
        assert inside(books, "T-06")[0] == f"LOCH-01 {left} L3"
        assert faults(books) == []
    assert inside(books, "T-06")[1:] == ["LOCH/1", "LOCH/2", "LOCH/3"]
    one = row(books, "animal", "LOCH/1")
    assert one.brood == ref(books, "brood", "LOCH-01")
    assert sorted(fewer.how for fewer in books.rows(Fewer)) == ["numbered"] * 3
    # Males beyond those counted as males come out of the unsexed.
    books = record(books, "animal", "LOCH", number="4", sex="m", in_="T-06")
    books = record(books, "animal", "LOCH", number="5", sex="m", in_="T-06")
    assert inside(books, "T-06")[0] == "LOCH-01 0.2.2 L3"
    assert faults(books) == []


def test_the_last_of_a_group_closes_it_unless_it_was_at_least() -> None:
    books = record(BOOKS, "dead-some", "T-06", count="2.3.3")
    books = record(books, "animal", "LOCH", number="1", in_="T-06")
    assert inside(books, "T-06") == ["LOCH/1"]
    least = record(BOOKS, "dead-some", "T-05", count="12")
    assert inside(least, "T-05") == ["LOCH-01 0.0.0+ L2"]
    more = record(least, "animal", "LOCH", number="1", in_="T-05")
    assert inside(more, "T-05") == ["LOCH-01 0.0.0+ L2", "LOCH/1"]
    assert faults(more) == []


def test_a_new_animal_and_one_from_old_notes() -> None:
    books = record(
        BOOKS,
        "animal",
        "TALLOW",
        number="07",
        sex="f",
        in_="T-12",
        stage="resting",
        sire="RUSH/1",
        dam="TALLOW/8",
        born="spring 2025",
        mark="notch",
        note="thin",
        on="about 2026-05-06",
    )
    one = row(books, "animal", "TALLOW/07")
    assert (one.number, one.sex, one.born) == ("07", "f", span("spring 2025"))
    assert (one.sire, one.dam) == (ref(books, "animal", "RUSH/1"), ref(books, "animal", "TALLOW/8"))
    assert (one.mark, one.note) == ("notch", "thin")
    assert row(books, "enclosure", "T-12").stage == "resting"
    old = record(BOOKS, "animal", "UMBER", number="0", sex="f", state="dead", lot="Moss Gate spring")
    assert row(old, "animal", "UMBER/0").state == "dead"
    assert row(old, "animal", "UMBER/0").lot == ref(old, "lot", "Moss Gate spring")
    apart = record(BOOKS, "animal", "BRAMBLE", number="1", sex="m", in_="T-09", counted="no")
    assert inside(apart, "T-09") == ["BRAMBLE 4.6.0", "BRAMBLE/1"]


@pytest.mark.parametrize(
    ("line", "typed", "field", "words"),
    [
        ("LOHC", {}, "line", "Did you mean `LOCH`?"),
        ("UMBER", {"number": "1"}, "number", shared_act_sentences.number_taken("UMBER", "1").message),
        ("LOCH", {"number": "a,b"}, "number", "without commas"),
        ("LOCH", {"in_": ""}, "in", identity_sentences.enclosure_missing().hint),
        ("LOCH", {"in_": "T-061"}, "in", "Did you mean `T-06`?"),
        ("LOCH", {"state": "dead"}, "in", identity_sentences.not_alive_and_in_an_enclosure("dead").message),
        ("LOCH", {"state": "ded"}, "state", "Did you mean `dead`?"),
        ("LOCH", {"sex": "fem"}, "sex", "m, f, unknown"),
        ("LOCH", {"sire": "UMBER/2"}, "sire", identity_sentences.not_a_father("UMBER/2", "f").hint),
        ("LOCH", {"dam": "UMBER/1"}, "dam", identity_sentences.not_a_mother("UMBER/1", "m").hint),
        (
            "LOCH",
            {"sire": "UMBER/5", "dam": "UMBER/5"},
            "dam",
            identity_sentences.father_is_the_mother().message,
        ),
        ("LOCH", {"sire": "UMBER/99"}, "sire", "no animal"),
        ("LOCH", {"dam": "UMBRE/2"}, "dam", "Did you mean `UMBER/2`?"),
        (
            "UMBER",
            {"number": "9", "brood": "LOCH-01"},
            "brood",
            identity_sentences.brood_of_another_line("LOCH-01", "UMBER").message,
        ),
        ("LOCH", {"brood": "LOCH-1"}, "brood", "Did you mean `LOCH-01`?"),
        ("LOCH", {"lot": "Moss"}, "lot", "no arrival"),
        ("LOCH", {"counted": "maybe"}, "counted", "yes, no"),
        (
            "LOCH",
            {"counted": "yes", "in_": "T-01"},
            "counted",
            identity_sentences.no_such_group("T-01", "LOCH").message,
        ),
        ("LOCH", {"age": "L9"}, "age", "L1, L2, L3"),
        (
            "BRAMBLE",
            {"number": "1", "in_": "T-09", "sex": "unknown", "age": "L3", "counted": "yes"},
            "counted",
            "no such",
        ),
        ("LOCH", {"mark": "\0"}, "mark", "NUL"),
        ("LOCH", {"born": "2027"}, "born", "has not come yet"),
        ("LOCH", {"in_": "T-12"}, "stage", "what is T-12 (empty) for now?"),
        ("LOCH", {"in_": "T-12", "stage": "prepared"}, "stage", "with animals inside"),
        (
            "LOCH",
            {"in_": "T-01", "stage": "larvae"},
            "stage",
            effects_sentences.in_use_already("T-01", "holding").message,
        ),
        ("LOCH", {"on": "18 Mar 2026"}, "on", shared_act_sentences.before_they_came().message),
        ("LOCH", {"note": "\0"}, "note", "NUL"),
    ],
)
def test_bad_numbers(line: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "animal", line, **{"number": "1", "in_": "T-06", **typed})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_a_sex_that_the_group_cannot_give_is_refused_and_several_groups_are_named() -> None:
    books = record(BOOKS, "sexed-some", "T-06", count="4.5.0", how="adult")
    books = record(books, "dead-some", "T-06", count="4.0.0")
    assert groups_sentences.cannot_come_out("1.0.0", "0.5.0").message in str(
        refused(books, "animal", "LOCH", number="1", sex="m", in_="T-06")["sex"]
    )
    books = record(BOOKS, "move-some", "T-06", count="0.0.2", to="T-05")
    assert inside(books, "T-05") == ["LOCH-01 0.0.12+ L2", "LOCH-01 0.0.2 L3"]
    slips = refused(books, "animal", "LOCH", number="1", in_="T-05")
    assert "LOCH-01 L2 (at least 0.0.12), LOCH-01 L3 (0.0.2)" in str(slips["age"])
    assert (
        inside(record(books, "animal", "LOCH", number="1", in_="T-05", age="L3"), "T-05")[1]
        == "LOCH-01 0.0.1 L3"
    )
    for act, more in (("dead-some", {}), ("move-some", {"to": "T-14"}), ("missing-some", {})):
        assert "holds: LOCH-01 L2" in str(refused(books, act, "T-05", count="1", **more)["brood"])
    assert groups_sentences.no_such_group(
        "T-05", ["LOCH-01 L2 (at least 0.0.12)", "LOCH-01 L3 (0.0.2)"]
    ).message in str(refused(books, "dead-some", "T-05", count="1", age="eggs")["age"])
    assert groups_sentences.no_such_group(
        "T-05", ["LOCH-01 L2 (at least 0.0.12)", "LOCH-01 L3 (0.0.2)"]
    ).message in str(refused(books, "dead-some", "T-05", count="1", line="UMBER")["line"])
    assert groups_sentences.no_counted_group("T-01").message in str(
        refused(books, "dead-some", "T-01", count="1")["enclosure"]
    )


groups_ = st.tuples(st.integers(0, 5), st.integers(0, 5), st.integers(0, 5), st.booleans())


@given(groups_, groups_)
def test_what_is_left_is_no_more_than_is_known(there: tuple[int, ...], out: tuple[int, ...]) -> None:
    """Against every way it may really have been: the rest must hold in all, and say all that holds in all."""
    group, taken = Counts(*there), Counts(*out[:3])
    ways = _ways(group, taken)
    if group.at_least:
        left = rest_of(group, taken)
        assert left.at_least
        assert min(left[:3]) >= 0
        assert left.total <= max(0, group.total - taken.total) + taken.males + taken.females
        return
    if not ways:
        with pytest.raises(ActRefused):
            rest_of(group, taken)
        return
    left = rest_of(group, taken)
    assert left.total == group.total - taken.total
    assert left.males == min(m for m, _ in ways)
    assert left.females == min(f for _, f in ways)


def _ways(group: Counts, taken: Counts) -> list[tuple[int, int]]:
    """Males and females known to be left, for every way it may have been.

    A male taken where no male was counted was one of the unsexed. Unsexed ones taken were of
    the unsexed as far as there are any; the others may have been of either sex.
    """
    from_unsexed = max(0, taken.males - group.males) + max(0, taken.females - group.females)
    pool = group.unsexed - from_unsexed
    males, females = max(0, group.males - taken.males), max(0, group.females - taken.females)
    either = max(0, taken.unsexed - pool)
    if pool < 0:
        return []
    return [
        (males - k, females - (either - k)) for k in range(either + 1) if males >= k and females >= either - k
    ]


def test_parents_found_out_later() -> None:
    books = record(BOOKS, "parents", "UMBER/2", sire="UMBER/1", dam="KESTREL/2")
    assert row(books, "animal", "UMBER/2").dam == ref(books, "animal", "KESTREL/2")
    assert "UMBER/1" in str(asked(books, "parents", "UMBER/2", sire="KESTREL/1"))


@pytest.mark.parametrize(
    ("who", "typed", "field", "words"),
    [
        ("UMBER/9", {"sire": "UMBER/1"}, "animal", "no animal"),
        ("UMBER/2", {}, "sire", identity_sentences.no_parent_named().hint),
        ("UMBER/2", {"sire": "UMBER/4"}, "sire", identity_sentences.not_a_father("UMBER/4", "f").hint),
        ("UMBER/2", {"dam": "UMBER/1"}, "dam", identity_sentences.not_a_mother("UMBER/1", "m").hint),
        (
            "UMBER/2",
            {"dam": "UMBER/2"},
            "dam",
            identity_sentences.own_descendant("UMBER/2", "UMBER/2").message,
        ),
        (
            "UMBER/1",
            {"dam": "UMBER/4"},
            "dam",
            identity_sentences.own_descendant("UMBER/4", "UMBER/1").message,
        ),
        ("UMBER/2", {"sire": "UMBRE/1"}, "sire", "Did you mean `UMBER/1`?"),
        ("UMBER/4", {"sire": "UMBER/1"}, "sire", shared_act_sentences.changes_nothing("UMBER/4").hint),
    ],
)
def test_bad_parents(who: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "parents", who, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


@pytest.mark.parametrize(
    ("how", "sure", "stored"),
    [
        ("spot", "", "likely"),
        ("weight", "", "guess"),
        ("pupa", "", "certain"),
        ("adult", "", "certain"),
        ("spot", "guess", "guess"),
    ],
)
def test_sexing_keeps_how_and_how_sure(how: str, sure: str, stored: str) -> None:
    books = record(BOOKS, "sexed", "UMBER/5", sex="f", how=how, **({"sure_": sure} if sure else {}))
    one = row(books, "animal", "UMBER/5")
    assert (one.sex, one.sexed_how, one.sexed_sure) == ("f", how, stored)


def test_doubtful_sexing_is_asked_about_and_an_impossible_one_refused() -> None:
    assert "overlap" in str(asked(BOOKS, "sexed", "UMBER/5", sex="f", how="weight", sure_="certain"))
    guess = record(BOOKS, "sexed", "UMBER/5", sex="f", how="weight")
    record(guess, "sexed", "UMBER/5", sex="m", how="adult")  # a guess is corrected without asking
    assert identity_sentences.another_sex_known("RUSH/1", "m", "f") in str(
        asked(BOOKS, "sexed", "RUSH/1", sex="f", how="adult")
    )
    assert fault_sentences.father_would_not_be("UMBER/4", "UMBER/1", "m") in str(
        refused(BOOKS, "sexed", "UMBER/1", sex="f", how="adult")["sex"]
    )
    assert fault_sentences.female_would_be_male("KESTREL/2", "P-01") in str(
        refused(BOOKS, "sexed", "KESTREL/2", sex="m", how="adult")["sex"]
    )
    assert shared_act_sentences.changes_nothing("UMBER/5").hint in str(
        refused(guess, "sexed", "UMBER/5", sex="f", how="weight")["sex"]
    )
    slips = refused(BOOKS, "sexed", "UMBER/5", sex="fem", how="spots", sure_="very", on="2030")
    assert set(slips) == {"sex", "how", "sure", "on"}
    assert "Did you mean `spot`?" in str(slips["how"])
    assert "certain, likely, guess" in str(slips["sure"])


def test_sexing_a_group_keeps_its_total() -> None:
    books = record(BOOKS, "sexed-some", "T-06", count="4.5.0", how="spot")
    assert inside(books, "T-06") == ["LOCH-01 4.5.0 L3"]
    (content,) = list(books.rows(Content, Content.enclosure.is_(6)))
    assert (content.sexed_how, content.sexed_sure) == ("spot", "likely")
    assert faults(books) == []
    least = record(BOOKS, "sexed-some", "T-05", count="5.9.0", how="spot")
    assert inside(least, "T-05") == ["LOCH-01 5.9.0+ L2"]
    assert identity_sentences.sexed_before("2.3.4", "1.3.5") in str(
        asked(BOOKS, "sexed-some", "T-06", count="1.3.5", how="spot")
    )


@pytest.mark.parametrize(
    ("box", "typed", "field", "words"),
    [
        ("T-06", {"count": "4.4.0"}, "count", identity_sentences.another_total("4.4.0", 8, "2.3.4").message),
        ("T-06", {"count": "4.6.0"}, "count", identity_sentences.another_total("4.6.0", 10, "2.3.4").hint),
        ("T-05", {"count": "4.4.0"}, "count", "at least 0.0.12"),
        ("T-06", {"count": "all"}, "count", "not a count"),
        ("T-06", {"count": "4.5.0", "how": "eye"}, "how", "spot, weight, pupa, adult"),
        ("T-06", {"count": "4.5.0", "sure_": "sur"}, "sure", "certain, likely, guess"),
        ("T-06", {"count": "4.5.0", "line": "LOHC"}, "line", "Did you mean `LOCH`?"),
        ("T-06", {"count": "4.5.0", "brood": "LOCH-02"}, "brood", "Did you mean `LOCH-01`?"),
        ("T-06", {"count": "4.5.0", "age": "L"}, "age", "eggs, L1"),
        ("T-06", {"count": "4.5.0", "on": "never"}, "on", "not a date"),
        ("T-66", {"count": "4.5.0"}, "enclosure", "Did you mean"),
    ],
)
def test_bad_sexing_of_groups(box: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "sexed-some", box, **{"how": "spot", **typed})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_marks_come_and_go() -> None:
    books = record(BOOKS, "marked", "UMBER/1", mark="tag 4")
    books = record(books, "mark-lost", "UMBER/1", on="between 2026-05-06 and 2026-05-16")
    assert row(books, "animal", "UMBER/1").mark_lost == span("between 2026-05-06 and 2026-05-16")
    assert identity_sentences.mark_lost_already("UMBER/1").message in str(
        refused(books, "mark-lost", "UMBER/1")["animal"]
    )
    again = record(books, "marked", "UMBER/1", mark="notch")
    assert (row(again, "animal", "UMBER/1").mark, row(again, "animal", "UMBER/1").mark_lost) == (
        "notch",
        None,
    )


@pytest.mark.parametrize(
    ("act", "who", "typed", "field", "words"),
    [
        ("marked", "UMBER/1", {}, "mark", "How is it marked?"),
        ("marked", "UMBER/3", {"mark": "tag"}, "animal", shared_act_sentences.is_dead("UMBER/3").message),
        ("marked", "UMBRE/1", {"mark": "tag"}, "animal", "Did you mean `UMBER/1`?"),
        ("mark-lost", "UMBER/1", {}, "animal", identity_sentences.no_mark("UMBER/1").message),
        ("mark-lost", "UMBER/1", {"on": "2026-06-17"}, "on", "has not come yet"),
    ],
)
def test_bad_marks(act: str, who: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, act, who, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_a_move_takes_the_animal_and_leaves_its_history() -> None:
    books = record(BOOKS, "move", "UMBER/1", to="T-02", on="2026-05-17")
    assert inside(books, "T-01") == []
    assert inside(books, "T-02") == ["UMBER/2", "UMBER/1"]
    (old, new) = list(books.rows(Content, Content.animal.is_(ref(books, "animal", "UMBER/1"))))
    assert (old.until, new.since) == (span("2026-05-17"), span("2026-05-17"))
    empty = record(BOOKS, "move", "UMBER/1", to="T-12", stage="holding")
    assert row(empty, "enclosure", "T-12").stage == "holding"


def test_moving_a_partner_out_ends_the_pairing_and_a_locked_cell_is_asked_about() -> None:
    books = record(BOOKS, "move", "KESTREL/1", to="T-01")
    assert row(books, "pairing", "P-01").until == span("2026-05-18")
    assert "a broken cell" in str(asked(BOOKS, "move", "TALLOW/7", to="T-14"))
    assert shared_act_sentences.reason_until("quarantine", "5 Jun 2026") in str(
        asked(BOOKS, "move", "RUSH/1", to="T-01")
    )


@pytest.mark.parametrize(
    ("who", "typed", "field", "words"),
    [
        ("UMBER/1", {"to": "T-001"}, "to", "Did you mean"),
        ("UMBER/1", {"to": "T-01"}, "to", identity_sentences.there_already("UMBER/1", "T-01").message),
        ("UMBER/3", {"to": "T-01"}, "animal", "is dead"),
        ("UMBER/1", {"to": "T-12"}, "stage", "is needed: what is T-12 (empty) for now?"),
        ("UMBER/1", {"to": "T-02", "stage": "laying"}, "stage", "in use"),
        ("UMBER/1", {"to": "T-12", "stage": "holdin"}, "stage", "Did you mean `holding`?"),
        (
            "UMBER/1",
            {"to": "T-02", "on": "2026-02-15"},
            "on",
            shared_act_sentences.before_they_came().message,
        ),
    ],
)
def test_bad_moves(who: str, typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "move", who, **typed)
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_some_of_a_group_move_and_join_their_own_kind() -> None:
    books = record(BOOKS, "move-some", "T-06", count="1.1.1", to="T-15", stage="larvae")
    assert (inside(books, "T-06"), inside(books, "T-15")) == (["LOCH-01 1.2.3 L3"], ["LOCH-01 1.1.1 L3"])
    books = record(books, "move-some", "T-06", count="1.2.3", to="T-15", on="2026-05-06")
    assert (inside(books, "T-06"), inside(books, "T-15")) == ([], ["LOCH-01 2.3.4 L3"])
    (there,) = list(books.rows(Content, Content.enclosure.is_(15)))
    assert there.since == span("2026-05-06 to 2026-05-18")._replace(words="")
    assert faults(books) == []


@pytest.mark.parametrize(
    ("typed", "field", "words"),
    [
        ({"count": "0"}, "count", groups_sentences.nothing_taken().hint),
        ({"count": "10"}, "count", groups_sentences.more_than_there_are("0.0.10", "2.3.4").message),
        ({"count": "9.0.0"}, "count", groups_sentences.cannot_come_out("9.0.0", "2.3.4").message),
        (
            {"count": "at least 2"},
            "count",
            groups_sentences.says_not_how_many_are_left("at least 0.0.2").message,
        ),
        ({"count": "x"}, "count", "not a count"),
        ({"to": "T-06"}, "to", identity_sentences.they_are_there_already("T-06").message),
        ({"to": "T-155"}, "to", "Did you mean `T-15`?"),
        ({"stage": ""}, "stage", "is needed: what is T-15 (empty) for now?"),
        ({"stage": "larva"}, "stage", "Did you mean `larvae`?"),
        ({"line": "x"}, "line", "no line"),
        ({"brood": "x"}, "brood", "no brood"),
        ({"age": "x"}, "age", "eggs, L1"),
        ({"on": "18 Mar 2026"}, "on", shared_act_sentences.before_they_came().message),
    ],
)
def test_bad_moves_of_some(typed: dict[str, str], field: str, words: str) -> None:
    slips = refused(BOOKS, "move-some", "T-06", **{"count": "1", "to": "T-15", "stage": "larvae", **typed})
    assert list(slips) == [field]
    assert words in str(slips[field])


def test_a_numbered_larva_is_asked_about_as_a_larva_wherever_it_goes() -> None:
    """It is not asked what jelly is gone in quarantine, until it is known to be a beetle."""
    ledger = BOOKS

    def jelly_asked(box: str) -> bool:
        state = enclosure_view.enclosure(ledger, ref(ledger, "enclosure", box))
        rows = asks(VOCABULARY, state.stage, "", Depth.LID, (), TODAY, young_only=state.young_only)
        return "jelly_gone" in [a.kind.id for a in rows]

    ledger = record(
        ledger, "arrival", species="Dicronorhina derbyana", count="2", age="L3", into="T-12", line="LOCH"
    )
    assert not jelly_asked("T-12")
    ledger = record(ledger, "animal", "LOCH", number="77", in_="T-12", sex="f")
    assert not jelly_asked("T-12"), "one has a number, the other has none"
    ledger = record(ledger, "move", "LOCH/77", to="T-15", stage="quarantine", sure=True)
    assert not jelly_asked("T-15")
    ledger = record(ledger, "missing", "LOCH/77", rest="keep")
    ledger = record(ledger, "found", "LOCH/77", into="T-15", sure=True)
    assert not jelly_asked("T-15"), "it is the larva that it was"
    ledger = record(ledger, "eclosed", "LOCH/77", stage="quarantine")
    assert jelly_asked("T-15")
