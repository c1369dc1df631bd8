"""Verdicts: who may be compared, what is said, what is never said."""

from __future__ import annotations

import json
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.trial import (
    count_sentences,
    power,
    survival_plot,
    trial_plan_sentences,
    trial_words,
    verdict_sentences,
)
from rounds.analysis.trial import verdict as verdict_module
from rounds.analysis.trial.brood_counts import BroodCount, counts, reference_of, units
from rounds.analysis.trial.verdict import CANNOT_TELL, DESCRIBED, HIGHER, LOWER, Verdict, verdict
from rounds.reports.as_json import as_json
from rounds.reports.verdict_report import verdict_report
from tests.sampled import sampled


def arm(name: str, *alive: int, eggs: int = 40, **more: object) -> list[BroodCount]:
    return [BroodCount(name, f"{name[0]}{i}", eggs, y, f"m{name[0]}{i}", **more) for i, y in enumerate(alive)]  # type: ignore[arg-type]


def judged(*arms: list[BroodCount], reference: str = "outcross") -> Verdict:
    v = verdict([b for a in arms for b in a], reference)
    assert v is not None
    return v


GOOD = arm("outcross", 30, 28, 33, 31, 27, 29)
BAD = arm("sib", 12, 15, 9, 14, 11, 13)


def test_a_large_difference_is_found_and_its_direction_told() -> None:
    v = judged(GOOD, BAD)
    assert v.finding == LOWER
    assert v.p is not None
    assert v.p < 0.001
    assert v.interval is not None
    assert v.interval.high < 0
    assert v.delta is not None
    assert v.b is not None
    assert v.delta.value == pytest.approx(1 - v.other.mean / v.reference.mean)
    assert v.b.low is not None
    assert 0 < v.b.low < v.b.value
    assert v.f == 0.25
    assert v.f_assumed
    assert judged(GOOD, BAD, reference="sib").finding == HIGHER


def test_no_difference_cannot_be_told_and_what_could_have_been_found_is_said() -> None:
    v = judged(GOOD, arm("sib", 24, 27, 31, 25, 28, 32))
    assert v.finding == CANNOT_TELL
    assert v.detectable is not None
    assert 0 < v.detectable < 0.5
    # A repeat large enough is one that a plan with these survivals would find 8 times of 10.
    p, q = (
        (sum(u.alive for u in a.units) + 1) / (sum(u.eggs for u in a.units) + 2)
        for a in (v.reference, v.other)
    )
    assert v.repeat == power.females_for(40, v.assumed_rho, p, q)
    lines = trial_words.verdict_lines(v)
    assert lines[0] == verdict_sentences.cannot_tell("sib", "outcross")
    assert verdict_sentences.finds(v.detectable, 8, v.assumed_rho) in lines
    assert v.repeat is None or verdict_sentences.females_to_repeat(v.repeat) in lines


@pytest.mark.parametrize(("last", "finding"), [(15, LOWER), (32, CANNOT_TELL)])
def test_a_difference_is_found_at_one_in_twenty_and_not_above(last: int, finding: str) -> None:
    v = judged(arm("outcross", 30, 28, 26, 20), arm("sib", 10, 12, 8, last))
    assert v.p is not None
    assert (v.p <= 0.05) == (finding == LOWER)
    assert v.finding == finding
    assert v.interval is not None
    assert (v.interval.low <= 0 <= v.interval.high) == (finding == CANNOT_TELL)


def test_many_eggs_do_not_make_few_females_tell() -> None:
    """The eggs pooled would "prove" it: 300 of 600 against 150 of 600."""
    v = judged(arm("outcross", 200, 60, 40, eggs=200), arm("sib", 120, 20, 10, eggs=200))
    assert v.finding == CANNOT_TELL
    assert v.p is None
    assert v.no_p == verdict_sentences.too_few_for_p(3, 3, 4)
    assert v.interval is not None, "the difference is given all the same"


def test_a_single_brood_is_described_and_never_tested() -> None:
    v = judged(GOOD, BAD[:1])
    assert (v.finding, v.p, v.interval, v.rho, v.delta, v.b) == (DESCRIBED, None, None, None, None, None)
    assert v.no_p == verdict_sentences.lone_brood(v.other.units[0].name)
    lone = verdict_sentences.one_brood(v.other.units[0].name, 12, 40)
    shares = v.reference.shares
    said = verdict_sentences.set_against_rest(lone, 6, min(shares), max(shares), 0, 6)
    lines = trial_words.verdict_lines(v)
    assert said in lines
    assert not any(line.startswith("p =") for line in lines)


def test_shared_males_relabelled_tubs_and_females_of_both_arms_drop_out_visibly() -> None:
    broods = [
        *GOOD,
        *BAD,
        BroodCount("sib", "x1", 40, 0, "both"),
        BroodCount("outcross", "x2", 40, 40, "both"),
        BroodCount("sib", "x3", 40, 0, "y", left_out="labels of T-1 and T-2 were mixed up"),
        BroodCount("sib", "x4", 0, 0),
        BroodCount("sib", "x5", 30, 1),
        BroodCount("outcross", "x5", 30, 29),
    ]
    v = judged(broods)
    clean_ = judged(GOOD, BAD)
    assert v._replace(dropped=[], notes=[]) == clean_._replace(notes=[])
    assert {b.female: why for b, why in v.dropped} == {
        "x1": count_sentences.male_in_both("both"),
        "x2": count_sentences.male_in_both("both"),
        "x3": "labels of T-1 and T-2 were mixed up",
        "x4": count_sentences.NO_EGGS,
        "x5": count_sentences.female_in_both("x5"),
    }
    said = "\n".join(trial_words.verdict_lines(v))
    assert said.count("dropped out:") == 6
    assert len(json.loads(as_json(verdict_report(v)))["dropped_out"]) == 6


def test_females_that_share_a_male_count_once_and_so_do_the_broods_of_one_female() -> None:
    rows = [
        BroodCount("sib", "a", 10, 5, "m1"),
        BroodCount("sib", "b", 20, 5, "m1|m2"),
        BroodCount("sib", "c", 10, 1, "m2"),
        BroodCount("sib", "d", 10, 2, "m3"),
        BroodCount("sib", "d", 30, 10, "m3"),
        BroodCount("outcross", "e", 5, 5, "m9"),
    ]
    found = units(rows, "outcross")
    assert [(u.name, u.eggs, u.alive) for u in found.arms["sib"]] == [("a+b+c", 40, 11), ("d", 40, 12)]
    assert len(found.merged) == 2
    assert not found.dropped


def test_nothing_left_to_compare_is_no_verdict() -> None:
    assert verdict([BroodCount("sib", "a", 0, 0), *GOOD], "outcross") is None
    assert verdict([], "outcross") is None


def test_f_is_taken_from_counts_before_names_and_without_either_there_is_no_b() -> None:
    v = judged([b._replace(f=0.0) for b in GOOD], [b._replace(f=0.375) for b in BAD])
    assert (v.f, v.f_assumed) == (0.375, False)
    named = [b._replace(arm="north") for b in GOOD] + [b._replace(arm="south") for b in BAD]
    found = verdict(named, "north")
    assert found is not None
    assert found.b is None
    found = verdict(named, "north", {"north": 0.0, "south": 0.125})
    assert found is not None
    assert found.f == 0.125


@pytest.mark.parametrize(
    ("good", "bad"),
    [
        ((40,) * 5, (40,) * 5),
        ((0,) * 5, (0,) * 5),
        ((40,) * 5, (0,) * 5),
        ((40,) * 2, (0,) * 2),
        ((40,) * 12, (0,) * 12),
        ((0,) * 12, (0,) * 12),
    ],
)
def test_extremes_give_ranges_and_no_numbers_out_of_nothing(good: tuple, bad: tuple) -> None:
    v = judged(arm("outcross", *good), arm("sib", *bad))
    assert v.interval is not None
    assert v.interval.high - v.interval.low > 0.05, "broods that came out alike do not tell to the last egg"
    assert v.interval.low <= v.difference <= v.interval.high
    for a in (v.reference, v.other):
        assert 0 <= a.interval.low < a.interval.high <= 1
    assert v.p is None or 0 < v.p <= 1
    assert v.finding == (LOWER if good != bad and len(good) >= 4 else CANNOT_TELL)
    agrees(v)
    assert "nan" not in "\n".join(trial_words.verdict_lines(v))
    assert "NaN" not in as_json(verdict_report(v))
    ElementTree.fromstring(survival_plot.drawn(v).svg())


def test_broods_that_came_out_alike_are_no_proof_of_a_small_difference() -> None:
    """Four broods of 20 of 40 against four of 19 are never so alike by more than chance."""
    v = judged(arm("outcross", 20, 20, 20, 20), arm("sib", 19, 19, 19, 19))
    assert v.finding == CANNOT_TELL
    assert v.p is not None
    assert v.p > 0.5


@pytest.mark.parametrize(
    ("good", "bad", "why"),
    [
        ((30, 31, 32), (10, 11, 12), verdict_sentences.too_few_for_p(3, 3, 4)),
        ((30,) * 17, (10, 11, 12, 9), verdict_sentences.too_uneven_for_p(17, 4, 4)),
        ((40, 40, 0, 40, 40, 40), (0, 0, 0, 40, 0, 0), "no test is known to hold above 0.5"),
    ],
)
def test_where_no_test_holds_it_cannot_tell_and_says_where_one_would(
    good: tuple, bad: tuple, why: str
) -> None:
    v = judged(arm("outcross", *good), arm("sib", *bad))
    assert (v.finding, v.p) == (CANNOT_TELL, None)
    assert why in v.no_p
    assert v.interval is not None
    assert v.interval.low <= 0 <= v.interval.high
    assert v.interval.method == verdict_sentences.WIDENED
    assert verdict_sentences.where_it_holds(4, 4, 0.3) in trial_words.verdict_lines(v)


@pytest.mark.parametrize(
    ("good", "bad", "f", "said"),
    [
        ((0, 0, 0, 0), (30, 31, 30, 29), {}, verdict_sentences.nothing_to_lose("outcross")),
        (
            (30, 31, 30, 29),
            (10, 9, 11, 12),
            {"sib": 0.0, "outcross": 0.25},
            verdict_sentences.reference_has_higher_f("outcross", "sib"),
        ),
        ((30, 31, 30, 29), (10, 9, 11, 12), {"sib": 0.0}, verdict_sentences.same_f(0)),
    ],
)
def test_why_there_are_no_lethal_equivalents(good: tuple, bad: tuple, f: dict[str, float], said: str) -> None:
    v = verdict([*arm("outcross", *good), *arm("sib", *bad)], "outcross", f)
    assert v is not None
    assert v.b is None
    assert verdict_sentences.no_cost(said) in trial_words.verdict_lines(v)


def test_why_there_are_no_lethal_equivalents_where_no_f_is_known() -> None:
    v = verdict([*arm("north", 30, 31, 30, 29), *arm("south", 10, 9, 11, 12)], "north")
    assert v is not None
    said = verdict_sentences.no_cost(verdict_sentences.f_not_known(("north", "south")))
    assert said in trial_words.verdict_lines(v)


def test_two_broods_are_set_side_by_side() -> None:
    said = trial_words.verdict_lines(judged(GOOD[:1], BAD[:1]))
    mine, other = (verdict_sentences.one_brood(*x) for x in (("s0", 12, 40), ("o0", 30, 40)))
    assert verdict_sentences.set_against_one(mine, other) in said


@pytest.mark.parametrize(
    ("p", "said"),
    [
        (1.0, "about 100 of 100"),
        (0.0286, "about 3 of 100"),
        (2 / 924, "about 2 of 1,000"),
        (1e-4, "about 1 of 10,000"),
        (1e-6, "fewer than 1 of 10,000"),
    ],
)
def test_a_p_value_is_said_in_trials(p: float, said: str) -> None:
    assert f"without any difference {said} such trials" in verdict_sentences.by_chance(p)


ROW = st.integers(1, 40).flatmap(lambda n: st.tuples(st.just(n), st.integers(0, n)))


@settings(max_examples=sampled(15, 50))
@given(
    st.lists(ROW, min_size=1, max_size=6),
    st.lists(ROW, min_size=1, max_size=6),
    st.randoms(use_true_random=False),
)
def test_names_and_order_do_not_matter(one: list, other: list, draw: object) -> None:
    rows = [BroodCount("outcross", f"o{i}", *r) for i, r in enumerate(one)]
    rows += [BroodCount("sib", f"s{i}", *r) for i, r in enumerate(other)]
    v = judged(rows)
    mixed = [b._replace(female=f"z{b.female}") for b in rows]
    draw.shuffle(mixed)  # type: ignore[attr-defined]
    w = judged(mixed)
    assert w.finding == v.finding
    assert w.p == pytest.approx(v.p, abs=1e-12)
    assert w.difference == pytest.approx(v.difference, abs=1e-12)
    if v.interval is not None and w.interval is not None:
        assert w.interval[:2] == pytest.approx(v.interval[:2], abs=1e-9)
    assert v.p is None or min(len(one), len(other)) >= 4
    agrees(v)


def agrees(v: Verdict) -> None:
    """Finding, p, difference, its range, delta and B say the same."""
    found = v.finding in (LOWER, HIGHER)
    assert found == (v.p is not None and v.p <= 0.05)
    if v.finding == DESCRIBED:
        assert (v.interval, v.delta, v.b) == (None, None, None)
        return
    assert v.interval is not None
    assert v.interval.low <= v.difference <= v.interval.high
    assert found == (v.interval.high < 0 or v.interval.low > 0)
    if found:
        assert (v.finding == LOWER) == (v.difference < 0) == (v.interval.high < 0)
        assert v.means is not None
        assert (v.finding == LOWER) == (v.means[1] < v.means[0])
    if v.delta is not None:
        assert v.delta.low - 1e-9 <= v.delta.value <= v.delta.high + 1e-9
        assert found == (v.delta.low > 0 or v.delta.high < 0)
        assert not found or (v.finding == LOWER) == (v.delta.low > 0)
    if v.b is not None:
        assert found == (v.b.low > 0 or v.b.high < 0)
        assert not found or (v.finding == LOWER) == (v.b.low > 0)


@settings(max_examples=sampled(25, 300))
@given(
    st.integers(4, 9).flatmap(lambda k: st.lists(st.integers(0, 12), min_size=k, max_size=k)),
    st.integers(4, 9).flatmap(lambda k: st.lists(st.integers(0, 12), min_size=k, max_size=k)),
)
def test_headline_p_range_and_delta_never_contradict_each_other(one: list[int], other: list[int]) -> None:
    """Broods of 12 eggs: near the edge of what is found, and over it."""
    with pytest.MonkeyPatch.context() as patch:
        # What such a trial could have found takes most of the time and is none of these.
        patch.setattr(verdict_module, "planned_detectable", lambda *_: None)
        patch.setattr(verdict_module, "females_for", lambda *_: None)
        agrees(judged(arm("outcross", *one, eggs=12), arm("sib", *other, eggs=12)))


@pytest.mark.parametrize("width", [40, 78, 120])
def test_the_plot_shows_every_brood_and_keeps_its_width(width: int) -> None:
    v = judged(GOOD, [b._replace(female=f"\x1b[31m{b.female}[bold]" + "x" * 50) for b in BAD])
    lines = survival_plot.as_text(v, width)
    assert sum(line.count("●") for line in lines) == 12
    assert sum(line.count("┼") for line in lines) == 2
    assert max(map(len, lines)) <= max(width, 46)
    assert "\x1b" not in "".join(lines)
    root = ElementTree.fromstring(survival_plot.drawn(v).svg())
    circles = [e for e in root.iter() if e.tag.endswith("circle")]
    assert len(circles) == 12 + 2 + 2, "broods, means, and one of each explained"


def test_the_reference_is_asked_for_named_or_the_less_inbred() -> None:
    assert reference_of(BAD + GOOD) == "outcross"
    assert reference_of(BAD + GOOD, "SIB") == "sib"
    assert reference_of(BAD + GOOD, "wild") == ""
    other = [b._replace(arm="x", f=0.3) for b in BAD] + [b._replace(arm="y", f=0.1) for b in GOOD]
    assert reference_of(other) == "y"
    assert reference_of([b._replace(f=None) for b in other]) == "x"


def test_counts_tell_everything_wrong_at_once_by_line_and_column() -> None:
    rows = [
        "arm,female,eggs,alive\n",
        "sib,a,3,4\n",
        "sib,,x,1\n",
        "outcross,c,-1,0\n",
        'Outcross,"d, e",5,1_0\n',
        "sib,f,1\n",
    ]
    found, problems = counts(rows, "c.csv")
    assert found == []
    places = [(p.line, p.column) for p in problems]
    assert places == [(2, 9), (3, 5), (3, 6), (4, 12), (5, 19), (6, 0)]


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "holds no rows"),
        ("arm,female,eggs,alive\n", "no rows"),
        ("arm,femal,eggs,alive\n", "Did you mean `female`"),
        ("arm,female,eggs\nsib,a,1\n", "`alive`"),
        ("arm,arm,female,eggs,alive\n", "twice"),
        ("arm,female,eggs,alive\nsib,a,9,1\n", "one arm"),
        ("arm,female,eggs,alive\na,a,9,1\nb,b,9,1\nc,c,9,1\n", "3 arms"),
        ('arm,female,eggs,alive\nsib,"a,9,1\n', "Check the quotes"),
        ("arm,female,eggs,alive\nsib,\0,9,1\n", "NUL"),
        ("arm,female,eggs,alive\nsib,a,9,1\nSib,b,9,1\n", "capitals"),
        ("arm,female,eggs,alive,f\nsib,a,9,1,1.5\n", "0 to 1"),
        ("arm,female,eggs,alive,f\nsib,a,9,1,nan\n", "0 to 1"),
    ],
)
def test_bad_counts_are_refused_with_what_was_expected(text: str, said: str) -> None:
    found, problems = counts(text.splitlines(keepends=True), "c.csv")
    assert found == []
    assert any(said in str(p) for p in problems), problems


def test_arms_that_differ_in_more_than_f_are_remarked() -> None:
    """One substrate under all sib broods and another under the rest: nobody can tell F from it."""
    good = [b._replace(batch="S-1", female_age=40.0) for b in GOOD]
    v = judged(good, [b._replace(batch="S-2", female_age=52.0) for b in BAD])
    arms = ("outcross", "sib")
    batch = trial_plan_sentences.batch_uneven("S-2", arms, (0, len(BAD)))
    ages = trial_plan_sentences.ages_differ(trial_plan_sentences.FEMALES, arms, (40.0, 52.0))
    assert {verdict_sentences.differ_otherwise(what) for what in (batch, ages)} <= {*v.notes}
    assert not judged(good, [b._replace(batch="S-1", female_age=44.0) for b in BAD]).notes
    assert not judged(good, [b._replace(batch="S-1") for b in BAD[:4]]).notes, "4 of 4 and 6 of 6 are even"
    left_out = [b._replace(batch="S-2", left_out="tub lost") for b in arm("sib", 9, 9, 9)]
    assert not judged(good, [b._replace(batch="S-1") for b in BAD], left_out).notes, "they do not count"


def test_what_would_tie_broods_together_is_remarked_where_names_cannot_tell() -> None:
    notes = judged(GOOD, [b._replace(male="") for b in BAD[:2]], BAD[2:]).notes
    assert notes == ["the male of 2 broods is not given: females that shared one would have to count as one"]
    typed = [
        b._replace(female=("T 1", "t1", "T2", "T3")[k], male=("M1", "m1", "M2", "M3")[k])
        for k, b in enumerate(BAD[:4])
    ]
    notes = judged(GOOD[:4], typed).notes
    assert notes == [
        verdict_sentences.names_alike("females", "T 1", "t1"),
        verdict_sentences.names_alike("males", "M1", "m1"),
    ]
    assert judged(GOOD, BAD).notes == []


def test_a_decimal_comma_is_read_and_a_word_is_no_number() -> None:
    head = "arm;female;eggs;alive;f\n"
    found, problems = counts([head, "sib;a;9;1;0,25\n", "outcross;b;9;1;0\n"], "c.csv")
    assert (problems, [b.f for b in found]) == ([], [0.25, 0.0])
    _, problems = counts([head, "sib;a;9;1;x\n", "outcross;b;9;1;0\n"], "c.csv")
    assert [(p.line, p.column) for p in problems] == [(2, 11)]


def test_semicolons_a_byte_order_mark_and_any_column_order_are_read() -> None:
    text = ["\ufeffalive;eggs;female;arm\n", "1;9;a;sib\n", "\n", "# a remark\n", "2;8;b;outcross\n"]
    found, problems = counts(text, "c.csv")
    assert problems == []
    assert [(b.arm, b.female, b.eggs, b.alive, b.number) for b in found] == [
        ("sib", "a", 9, 1, 2),
        ("outcross", "b", 8, 2, 5),
    ]
