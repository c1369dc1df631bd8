"""Plans: drawn places, what a size can show, what does not match."""

from __future__ import annotations

import random
from collections import Counter
from itertools import pairwise
from typing import NamedTuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.analysis.trial import power as trial_power
from rounds.analysis.trial import trial_plan, trial_plan_sentences, trial_words
from rounds.analysis.trial.trial_plan import Design, Pair
from rounds.reports.as_text import as_text
from rounds.reports.trial_report import plan_report
from tests.sampled import sampled

DESIGN = Design("adult", 740_000, seed=5, survival=0.5)


@given(st.integers(0, 2**40), st.integers(1, 12))
def test_places_are_drawn_interleaved_and_again_the_same_from_the_seed(seed: int, females: int) -> None:
    d = DESIGN._replace(seed=seed, females=females)
    places = trial_plan.layout(d)
    assert places == trial_plan.layout(d)
    assert Counter(p.arm for p in places) == {"sib": females, "outcross": females}
    assert len({p.female for p in places}) == 2 * females
    for k in range(0, len(places), 2):
        assert {p.arm for p in places[k : k + 2]} == {"sib", "outcross"}


def test_another_seed_is_another_draw_and_this_one_is_this() -> None:
    layouts = {tuple(p.arm for p in trial_plan.layout(DESIGN._replace(seed=s))) for s in range(30)}
    assert len(layouts) > 20
    first = [(p.position, p.arm, p.female) for p in trial_plan.layout(DESIGN._replace(seed=3, females=2))]
    assert first == [
        ("1", "outcross", "outcross 2"),
        ("2", "sib", "sib 2"),
        ("3", "sib", "sib 1"),
        ("4", "outcross", "outcross 1"),
    ]


class Planned(NamedTuple):
    """A trial with so many females in either arm."""

    females: int
    eggs: int
    rho: float
    survival: float

    def power(self, other: float, more: int = 0) -> float:
        """How often it finds ``other``, with so many ``more`` females in either arm."""
        k = self.females + more
        return trial_power.planned_power(k, k, self.eggs, self.rho, self.survival, other) or 0.0


def drawn(seed: int) -> Planned:
    """Any trial; eggs of one brood are independent in every third. A power costs a tenth of a second."""
    draw = random.Random(seed)
    rho = 0.0 if seed % 3 == 0 else draw.uniform(0, 0.4)
    return Planned(draw.randint(4, 20), draw.randint(5, 60), rho, draw.uniform(0.1, 0.9))


SMALLEST = Planned(4, 5, 0.0, 0.9)
FEW_EGGS = Planned(4, 5, 0.0, 0.5)
"""Trials in which survival comes in the coarsest steps."""


def some_trials(some: int, whole: int) -> list[Planned]:
    return [drawn(seed) for seed in range(sampled(some, whole))]


@pytest.mark.parametrize("trial", [SMALLEST, FEW_EGGS, *some_trials(3, 40)])
def test_what_can_be_detected_is_detected_that_often(trial: Planned) -> None:
    k, eggs, rho, p = trial
    q = trial_power.planned_detectable(k, k, eggs, rho, p)
    if q is None:
        assert trial.power(0.0) < 0.8
        return
    assert 0 <= q < p
    assert 0.8 <= trial.power(q) < 0.83
    assert trial.power(max(0.0, q - 5e-3), more=3) >= 0.8, "more females never detect less"


def test_some_trial_detects_nothing() -> None:
    """So that both ends of the test above are looked at."""
    k, eggs, rho, p = FEW_EGGS
    assert trial_power.planned_detectable(k, k, eggs, rho, p) is None


@pytest.mark.parametrize("trial", [SMALLEST, *some_trials(3, 25)])
@pytest.mark.parametrize("share", [0.3, 0.7])
def test_females_needed_are_the_fewest_that_do(trial: Planned, share: float) -> None:
    trial = trial._replace(survival=0.3 + 0.6 * trial.survival, eggs=trial.eggs + 5)
    q = trial.survival * share
    k = trial_power.females_for(trial.eggs, trial.rho, trial.survival, q)
    assert k is not None
    needed = trial._replace(females=k)
    assert needed.power(q) >= 0.8
    if k > 4:
        assert needed.power(q, more=-1) < 0.8


@pytest.mark.parametrize("trial", [Planned(4, 100, 0.0, 0.999), SMALLEST, *some_trials(3, 40)])
def test_the_further_two_survivals_lie_apart_the_surer_it_is_found(trial: Planned) -> None:
    """From a survival of 0.3 on, as far as broods are planned alike: see the next test."""
    trial = trial._replace(survival=max(trial.survival, 0.3 + 0.7 * trial.survival), rho=min(trial.rho, 0.3))
    powers = [trial.power(trial.survival * share / 6) for share in range(6, -1, -1)]
    assert all(0 <= x <= 1 for x in powers)
    assert all(further >= nearer - 0.01 for nearer, further in pairwise(powers))


def test_where_few_live_a_dead_arm_is_less_sure_to_be_told_than_one_nearly_dead() -> None:
    """Broods that died whole may have died of one cause each; a plan then promises nothing, which is safe."""
    trial = Planned(6, 21, 0.054, 0.194)
    assert trial.power(0.0) < trial.power(0.032) < 0.8
    assert trial_power.planned_detectable(6, 6, 21, 0.054, 0.194) is None


def test_arms_far_apart_in_size_are_promised_no_p() -> None:
    assert trial_power.planned_power(4, 17, 40, 0.1, 0.8, 0.2) is None
    assert trial_power.planned_power(4, 16, 40, 0.1, 0.8, 0.2) is not None


def test_the_usual_seed_is_made_of_the_plan_and_the_same_every_time() -> None:
    usual = trial_plan.usual_seed(DESIGN, "spring")
    assert usual == trial_plan.usual_seed(DESIGN._replace(seed=99), "spring")
    others = [
        DESIGN._replace(endpoint="L3"),
        DESIGN._replace(females=7),
        DESIGN._replace(ends=DESIGN.ends + 1),
    ]
    seeds = {
        usual,
        trial_plan.usual_seed(DESIGN, "autumn"),
        *(trial_plan.usual_seed(d, "spring") for d in others),
    }
    assert len(seeds) == 5
    assert all(0 <= seed < 2**31 for seed in seeds)


def test_below_four_females_no_p_is_promised() -> None:
    made = trial_plan.plan(DESIGN._replace(females=3))
    assert made.detectable is None
    assert all(c.power is None for c in made.chances)
    assert made.checks[0] == trial_plan_sentences.only_described(3, 3, 4)
    size = trial_plan_sentences.females_of(3, 3)
    assert trial_plan_sentences.detects_nothing(size, 8) in trial_words.plan_lines(made)


def test_a_plan_says_what_it_could_only_detect_and_that_it_is_not_blinded() -> None:
    said = as_text(plan_report(trial_plan.plan(DESIGN)))
    assert "with 6 + 6 females" in said
    assert "you could only detect" in said
    assert "seed 5" in said
    assert "not fully blinded" in said
    assert said.index("fixed now") < said.index("could only detect")


def pairs(**change: dict[int, object]) -> list[Pair]:
    out = [
        Pair("sib" if i % 2 else "outcross", f"f{i}", f"m{i}", 30.0, 25.0, "B1" if i < 4 else "B2")
        for i in range(8)
    ]
    for field, values in change.items():
        for i, value in values.items():
            out[i] = out[i]._replace(**{field: value})
    return out


def test_what_matches_is_not_mentioned() -> None:
    assert trial_plan.matching(pairs()) == []


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"female_age": {1: 60.0, 3: 60.0}}, "females do not match in age"),
        ({"male_age": {0: None}}, "age of 1 males is not given"),
        ({"batch": {0: "B2", 2: "B2"}}, "B1 is shared unevenly: 0 of outcross, 2 of sib"),
        ({"batch": {0: ""}}, "batch of 1 pairs is not given"),
        ({"male": {0: "m1"}}, "m1 is in both arms: all 2"),
        ({"male": {0: "m2"}}, "m2 is given to 2 females, whose broods would count as one"),
    ],
)
def test_what_does_not_match_is_said_before_it_starts(
    change: dict[str, dict[int, object]], said: str
) -> None:
    assert any(said in c for c in trial_plan.matching(pairs(**change)))


def test_named_pairs_take_their_own_places() -> None:
    made = trial_plan.plan(DESIGN, pairs())
    assert sorted(x.female for x in made.layout) == [f"f{i}" for i in range(8)]
    assert {x.female: x.arm for x in made.layout} == {p.female: p.arm for p in pairs()}


@pytest.mark.parametrize(
    "change",
    [
        {"endpoint": " "},
        {"arms": ("sib", "Sib")},
        {"females": 0},
        {"eggs": 0},
        {"rho": 1.0},
        {"survival": 0.0},
        {"positions": ("a", "a")},
        {"positions": ("a", "b")},
    ],
)
def test_what_cannot_be_planned_is_said(change: dict[str, object]) -> None:
    assert list(trial_plan.mistakes(DESIGN._replace(**change), []))
    assert not list(trial_plan.mistakes(DESIGN, []))


def test_a_table_of_pairs_is_checked() -> None:
    rows, problems = trial_plan.pairs(["arm,female\n", "sib,a\n", "sib,a\n", "x,b\n"], "p.csv")
    assert rows == []
    assert [(p.line, p.column) for p in problems] == [(3, 5)]
    assert trial_plan.pairs(["arm,female\n", "sib,a\n"], "p.csv")[1]
    rows, problems = trial_plan.pairs(["arm,female,male\n", "sib,a,m\n", "x,b,\n"], "p.csv")
    assert not problems
    assert len(rows) == 2


def test_what_eggs_counted_one_by_one_would_claim_is_said_where_it_misleads() -> None:
    plan = trial_plan.plan(DESIGN)
    assert [c.claimed for c in plan.chances] == [
        pytest.approx(trial_power.power_of(240, 0.5, c.survival)) for c in plan.chances
    ]
    assert all(c.claimed is not None and c.power is not None and c.claimed > c.power for c in plan.chances)
    assert trial_plan_sentences.eggs_alone(plan.chances[-1].claimed or 0, 1.57) in trial_words.plan_lines(
        plan
    )
    assert plan.chances[-1].claimed == pytest.approx(0.95, abs=0.005)
    independent = trial_plan.plan(DESIGN._replace(rho=0.0, females=60))
    assert not any("stood alone" in line for line in trial_words.plan_lines(independent)), (
        "there it claims the truth"
    )
    assert all(c.claimed is None for c in trial_plan.plan(DESIGN._replace(females=0)).chances)


def test_of_each_cost_it_is_said_how_many_females_find_it_or_that_nobody_has_so_many() -> None:
    plan = trial_plan.plan(DESIGN)
    known = plan.chances[-1]
    assert known.females is not None
    nobody = plan._replace(chances=[known._replace(females=None)])
    for asked, need in ((plan, f"{known.females} + {known.females} females"), (nobody, "than anybody has")):
        assert sum(need in line for line in trial_words.plan_lines(asked)) == 1, need
        assert not any("None" in line for line in trial_words.plan_lines(asked))
