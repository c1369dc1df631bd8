"""The pairing plan: proven best, within every wish, and never kind to the unknown."""

from __future__ import annotations

import itertools
import random
import sys

import numpy as np
import pytest

from rounds.analysis.pairing import hindrance_sentences, pair_sentences, pairing_plan, wish_sentences
from rounds.analysis.pairing.awake_together import awake_warning, awake_words, out_of_step
from rounds.analysis.pairing.cost_table import GivenUp
from rounds.analysis.pairing.integer_programme import Cross, Solved, solve
from rounds.analysis.pairing.restrictions import ANYTHING, Candidate, Wishes
from rounds.analysis.pedigree.kinship import matrix
from rounds.analysis.pedigree.pedigree_table import PedigreeRow
from rounds.problems import BadInput, RoundsError
from rounds.text.reading_text import short
from rounds.values.spans import Span
from tests.analysis.pedigree.pedigree_cases import built


def by_hand(costs, allowed, uses, most, forced, crosses):
    """(pairs, cost) of the best plan, by trying every plan; None if there is none."""
    males, females = len(costs), len(costs[0])
    best = None
    for choice in itertools.product(range(-1, males), repeat=females):
        cells = {(i, j) for j, i in enumerate(choice) if i >= 0}
        if len(cells) > most or any(not allowed[i][j] for i, j in cells):
            continue
        if any(sum(i == m for m, _ in cells) > uses[i] for i in range(males)):
            continue
        if not set(forced) <= cells or any(len(cells & c.cells) < c.at_least for c in crosses):
            continue
        found = (-len(cells), sum(costs[i][j] for i, j in cells))
        if best is None or found < best:
            best = found
    return None if best is None else (-best[0], best[1])


def random_case(rng):
    males, females = rng.randint(1, 4), rng.randint(1, 4)
    costs = [[rng.random() for _ in range(females)] for _ in range(males)]
    allowed = [[rng.random() < 0.75 for _ in range(females)] for _ in range(males)]
    uses = [rng.randint(0, 3) for _ in range(males)]
    cells = [(i, j) for i in range(males) for j in range(females)]
    forced = [c for c in rng.sample(cells, min(len(cells), rng.randint(0, 2))) if allowed[c[0]][c[1]]]
    crosses = [
        Cross(frozenset(rng.sample(cells, rng.randint(1, len(cells)))), 1) for _ in range(rng.randint(0, 2))
    ]
    return costs, allowed, uses, rng.randint(0, females), forced, crosses


def compare_with_brute_force(rng, solver):
    case = random_case(rng)
    costs, allowed, uses, most, forced, crosses = case
    found, expected = solver(costs, allowed, uses, most, forced, crosses), by_hand(*case)
    if expected is None:
        assert found is None
        return False
    assert found is not None
    assert (len(found.cells), found.cost) == (expected[0], pytest.approx(expected[1], abs=1e-9))
    assert found.bound == pytest.approx(found.cost, abs=1e-6)
    return True


def greedy(costs, allowed, uses, most, _forced, _crosses):
    """What a hurried keeper does: the cheapest pair first. Not good enough."""
    left, cells = uses.copy(), []
    pairs = ((cost, i, j) for i, row in enumerate(costs) for j, cost in enumerate(row) if allowed[i][j])
    for _cost, i, j in sorted(pairs):
        if left[i] and len(cells) < most and all(j != b for _, b in cells):
            left[i] -= 1
            cells.append((i, j))
    total = sum(costs[i][j] for i, j in cells)
    return Solved(cells, total, total)


def all_cases(solver):
    rng = random.Random(20)
    return sum(compare_with_brute_force(rng, solver) for _ in range(500))


def test_the_optimum_equals_brute_force_on_500_small_cases():
    feasible = all_cases(solve)
    assert 100 < feasible < 500  # cases without any plan were met as well


def test_a_greedy_solver_would_be_caught():
    with pytest.raises(AssertionError):
        all_cases(greedy)


@pytest.mark.parametrize("seed", range(3))
def test_large_cases_agree_with_a_second_solver(seed):
    from scipy.optimize import linear_sum_assignment

    rng = np.random.default_rng(seed)
    n = 60
    costs = rng.random((n, n)).round(3)
    found = solve(costs.tolist(), [[True] * n] * n, [1] * n, n)
    a, b = linear_sum_assignment(costs)
    assert found.cost == pytest.approx(costs[a, b].sum(), abs=1e-9)
    # Males used up to three times: three copies of each, as many columns as females.
    found = solve(costs[:25].tolist(), [[True] * n] * 25, [3] * 25, n)
    tripled = np.repeat(costs[:25], 3, axis=0)
    a, b = linear_sum_assignment(tripled)
    assert found.cost == pytest.approx(tripled[a, b].sum(), abs=1e-9)
    # Forbidden pairs as prohibitive costs.
    allowed = rng.random((n, n)) < 0.5
    found = solve(costs.tolist(), allowed.tolist(), [1] * n, n)
    barred = np.where(allowed, costs, 1000.0)
    a, b = linear_sum_assignment(barred)
    assert found.cost == pytest.approx(barred[a, b].sum(), abs=1e-9)


def house():
    """Two lines of known founders and one of which nothing is known."""
    rows = [
        PedigreeRow(x, (), "", x[-1], x[:1], founder=not x.startswith("K"))
        for x in ("U1m", "U2f", "L1m", "L2f", "K1m", "K2f")
    ]
    rows += [
        PedigreeRow(f"U{k}{s}", ("U1m",), "U2f", s, "U") for k, s in ((3, "m"), (4, "f"), (5, "m"), (6, "f"))
    ]
    rows += [PedigreeRow(f"L{k}{s}", ("L1m",), "L2f", s, "L") for k, s in ((3, "m"), (4, "f"))]
    p = built(rows)
    young = [x for x in p.names if x[1] not in "12" or x[0] == "K"]
    lines = {"U": "UMBER", "L": "LOCH", "K": "KESTREL"}
    return p, [Candidate(x, x[-1], lines[x[0]], "torquata") for x in young]


def test_unknown_parents_are_never_rewarded():
    p, candidates = house()
    found = pairing_plan.plan(p, candidates, [c.animal for c in candidates], Wishes(boxes=2))
    # K1m × K2f has F 0 at its low end and three eighths at most: it must not come first.
    t = pairing_plan.table(p, candidates, [c.animal for c in candidates])
    order = [(x.male, x.female) for x in pairing_plan.ranked(t, ANYTHING)]
    at = order.index(("K1m", "K2f"))
    assert t.f([c.animal for c in t.males].index("K1m"), [c.animal for c in t.females].index("K2f")) == (
        0.0,
        0.25,
        0.375,
        True,
    )
    assert all(t_f.f.high <= 0.375 for t_f in pairing_plan.ranked(t, ANYTHING)[:at])
    assert at >= len([x for x in order if x[0][0] != x[1][0]])
    assert all(x.male[0] != x.female[0] for x in found.pairs)
    assert found.pairs == sorted(found.pairs, key=lambda x: x.f.high)


def test_a_plan_gives_reasons_runner_up_and_what_becomes_of_the_group():
    p, candidates = house()
    living = [c.animal for c in candidates]
    found = pairing_plan.plan(p, candidates, living)
    assert len(found.pairs) == 4
    assert (found.bound, found.gap) == (found.score.total, 0.0), "so few are gone through"
    for pair in found.pairs:
        assert any(short(pair.f.high) in why for why in pair.why)
        assert pair.runner_up is not None
        assert pair.runner_up.animal != pair.male
    # The resulting mean kinship, by putting the offspring into the pedigree for real.
    rows = [
        PedigreeRow(n, *parents(p, n), p.sex[i], p.line[i], i in p.founders) for i, n in enumerate(p.names)
    ]
    rows += [PedigreeRow(f"new{k}", (pair.male,), pair.female, "", "U") for k, pair in enumerate(found.pairs)]
    grown = matrix(built(rows), [*living, *(f"new{k}" for k in range(len(found.pairs)))])
    assert found.after.low == pytest.approx(float(np.mean(grown.low)), abs=1e-12)
    assert found.after.high == pytest.approx(float(np.mean(grown.high)), abs=1e-12)


def parents(p, name):
    i = p.at[name]
    return ((p.names[p.sire[i]],) if p.sire[i] >= 0 else ()), (p.names[p.dam[i]] if p.dam[i] >= 0 else "")


def planned(wishes, candidates=None):
    p, everyone = house()
    candidates = candidates or everyone
    return pairing_plan.plan(p, candidates, [c.animal for c in everyone], wishes)


def refused(wishes, candidates=None):
    """What is refused of wishes, as messages with their hints."""
    with pytest.raises(BadInput) as e:
        planned(wishes, candidates)
    return [(p.message, p.hint) for p in e.value.problems]


def couples(found):
    return {(x.male, x.female) for x in found.pairs}


def test_each_wish_is_kept():
    assert all(x.f.high <= 0.2 for x in planned(Wishes(most_f=0.2)).pairs)
    assert planned(Wishes(most_f=0.2)).barred[pair_sentences.F_TOO_HIGH] > 0
    assert len(planned(Wishes(boxes=1)).pairs) == 1
    assert planned(Wishes(boxes=0)).pairs == []
    assert ("U3m", "U4f") in couples(planned(Wishes(forced=(("U3m", "U4f"),))))
    free = couples(planned(ANYTHING))
    barred = next(iter(free))
    assert barred not in couples(planned(Wishes(forbidden=(barred,))))
    for m, f in couples(planned(Wishes(apart=(("UMBER", "LOCH"),)))):
        assert {m[0], f[0]} != {"U", "L"}
    for m, f in couples(
        planned(Wishes(apart=(("UMBER", "UMBER"), ("LOCH", "LOCH"), ("KESTREL", "KESTREL"))))
    ):
        assert m[0] != f[0]
    crossed = planned(Wishes(cross=(("UMBER", "KESTREL", 2),)))
    assert sum({m[0], f[0]} == {"U", "K"} for m, f in couples(crossed)) >= 2
    one_male = planned(Wishes(uses=0, uses_of={"L3m": 3}))
    assert {m for m, _ in couples(one_male)} == {"L3m"}
    assert len(one_male.pairs) == 3


def test_species_subspecies_and_locality_are_not_crossed_unless_told():
    p, everyone = house()
    changed = [
        c._replace(species="smithi")
        if c.animal == "L3m"
        else c._replace(subspecies="ugandensis")
        if c.animal == "U3m"
        else c._replace(locality="north shore")
        if c.animal == "U5m"
        else c._replace(locality="south shore")
        if c.animal == "U6f"
        else c
        for c in everyone
    ]
    found = planned(ANYTHING, changed)
    assert not {m for m, _ in couples(found)} & {"L3m", "U3m"}
    assert ("U5m", "U6f") not in couples(found)
    assert found.barred[pair_sentences.another("species")] == 4
    assert found.barred[pair_sentences.not_recorded("subspecies")] == 4
    assert found.barred[pair_sentences.another("locality")] == 1
    told = planned(Wishes(across=frozenset(("species", "subspecies", "locality"))), changed)
    assert len(told.pairs) == 4
    assert p


def test_what_is_not_recorded_is_not_taken_for_the_same():
    """A recorded locality with one nobody knows: neither crossed unasked nor counted as another."""
    _, everyone = house()
    changed = [c._replace(locality="north shore") if c.animal == "U5m" else c for c in everyone]
    found = planned(ANYTHING, changed)
    assert "U5m" not in {m for m, _ in couples(found)}
    assert found.barred[pair_sentences.not_recorded("locality")] == 4
    why = pair_sentences.barred(pair_sentences.not_recorded("locality"), "U4f")
    refusal = wish_sentences.forced_barred("U5m", "U4f", why, wish_sentences.RECORD_IT)
    assert refused(Wishes(forced=(("U5m", "U4f"),)), changed) == [refusal]
    told = planned(Wishes(forced=(("U5m", "U4f"),), across=frozenset(("unknown",))), changed)
    [notes] = [pair.warnings for pair in told.pairs if pair.male == "U5m"]
    assert pair_sentences.same_or_another("locality", "U4f") in notes
    far = [c._replace(locality="south shore") if c.animal == "U4f" else c for c in changed]
    assert (
        planned(Wishes(across=frozenset(("unknown",))), far).barred[pair_sentences.another("locality")] == 1
    )
    # Of neither of two lines is it known: said beside the crossing.
    notes = [w for pair in planned(Wishes(forced=(("U3m", "L4f"),))).pairs for w in pair.warnings]
    assert pair_sentences.crosses_lines("UMBER", "LOCH", origins_known=False) in notes


def test_who_cannot_breed_now_is_left_out_and_said():
    _, everyone = house()
    changed = [
        c._replace(hindered="in quarantine until 2026-05-01") if c.animal == "L3m" else c for c in everyone
    ]
    changed = [c._replace(sex="unknown") if c.animal == "K1m" else c for c in changed]
    found = planned(ANYTHING, changed)
    assert found.left_out[:2] == [("L3m", "in quarantine until 2026-05-01"), ("K1m", "sex not known")]
    assert not {m for m, _ in couples(found)} & {"L3m", "K1m"}


@pytest.mark.parametrize(
    "wishes",
    [
        ANYTHING,
        Wishes(boxes=1),
        Wishes(boxes=0),
        Wishes(uses=2),
        Wishes(most_f=0.0),
        Wishes(uses_of={"L3m": 0}),
    ],
)
def test_everybody_is_in_a_pair_or_has_a_reason_why_not(wishes):
    _, everyone = house()
    found = planned(wishes)
    paired = {name for pair in found.pairs for name in (pair.male, pair.female)}
    said = dict(found.left_out)
    assert len(said) == len(found.left_out), "once each"
    assert all(said.values())
    assert not paired & set(said)
    assert paired | set(said) == {c.animal for c in everyone}


def test_why_one_that_can_breed_is_in_no_pair():
    def sexed(sex, **wishes):
        _, everyone = house()
        return {
            why
            for who, why in planned(Wishes(**wishes)).left_out
            for c in everyone
            if c.animal == who and c.sex == sex
        }

    assert sexed("m", boxes=1) == sexed("f", boxes=1) == {hindrance_sentences.NO_BOX_LEFT}
    _, everyone = house()
    males = [c for c in everyone if c.sex == "m"]
    never = tuple((males[0].animal, c.animal) for c in everyone if c.sex == "f")
    why = dict(planned(Wishes(forbidden=never)).left_out)[males[0].animal]
    assert why == hindrance_sentences.no_pair_allowed((pair_sentences.FORBIDDEN,))
    one = next(c for c in everyone if c.sex == "f")
    found = planned(ANYTHING, [*males, one])
    assert {why for _, why in found.left_out} == {hindrance_sentences.all_taken("m")}
    assert {why for _, why in planned(ANYTHING, males).left_out} == {hindrance_sentences.nobody_for("m")}
    named = males[0].animal
    assert dict(planned(Wishes(uses_of={named: 0})).left_out)[named] == hindrance_sentences.LEFT_OUT


def test_wishes_that_cannot_be_meant_are_all_said_at_once():
    with pytest.raises(BadInput) as e:
        planned(
            Wishes(
                weight=-1,
                most_f=float("nan"),
                forced=(("U3m", "U4f"), ("U5m", "U4f"), ("U4f", "U3m"), ("U9m", "U4f")),
                forbidden=(("U3m", "U4f"),),
                apart=(("UMBR", "LOCH"),),
                across=frozenset(("specie",)),
                boxes=1,
                uses_of={"U33m": 2},
            )
        )
    said = str(e.value)
    for fragment in (
        "weight of F cannot be -1",
        "highest F cannot be nan",
        "`U4f` is forced with 3",
        "`U4f` is no male",
        "`U3m` is no female",
        "`U9m` is no candidate",
        "both forced and forbidden",
        "line `UMBR`",
        "Did you mean `UMBER`",
        "`specie` cannot be crossed",
        "4 pairs are forced and 1 boxes",
        "`U33m`",
    ):
        assert fragment in said, fragment


def test_wishes_that_contradict_each_other_are_said_one_by_one():
    with pytest.raises(BadInput) as e:
        planned(
            Wishes(
                apart=(("UMBER", "LOCH"),),
                cross=(("LOCH", "UMBER", 2),),
                boxes=1,
                uses_of={"U4f": 2},
                together=-3,
            )
        )
    said = str(e.value)
    for fragment in (
        "LOCH and UMBER are both to be crossed and kept apart",
        "2 pairs of LOCH and UMBER are wanted and 1 boxes",
        "`U4f` is no male",
        "days together cannot be -3",
    ):
        assert fragment in said, fragment


def test_a_forced_pair_of_which_one_cannot_breed_now_says_who_and_why():
    _, everyone = house()
    changed = [c._replace(hindered="on loan to Moss Gate") if c.animal == "U4f" else c for c in everyone]
    why = wish_sentences.cannot_breed("U4f", "on loan to Moss Gate")
    refusal = wish_sentences.forced_barred("U3m", "U4f", why, wish_sentences.SEE_TO_IT)
    assert refused(Wishes(forced=(("U3m", "U4f"),)), changed) == [refusal]


def test_a_forced_pair_that_is_barred_says_why():
    why = pair_sentences.barred(pair_sentences.F_TOO_HIGH, pair_sentences.up_to(0.25))
    refusal = wish_sentences.forced_barred("U3m", "U4f", why, wish_sentences.DROP_IT)
    assert refused(Wishes(most_f=0.1, forced=(("U3m", "U4f"),))) == [refusal]
    assert refused(Wishes(cross=(("UMBER", "LOCH", 4), ("KESTREL", "LOCH", 3)))) == [wish_sentences.NO_PLAN]


def test_the_weight_trades_inbreeding_against_rare_genes():
    traded = 0
    for seed in range(4):
        p, candidates, living = random_table(random.Random(seed), 6)
        heavy, light = (
            pairing_plan.plan(p, candidates, living, Wishes(weight=w, boxes=3)) for w in (100.0, 0.0)
        )
        (mk_heavy, f_heavy, *_), (mk_light, f_light, *_) = heavy.score, light.score
        assert f_heavy == pytest.approx(sum(x.f.high for x in heavy.pairs) / len(heavy.pairs))
        assert f_heavy <= f_light + 1e-9
        assert mk_light <= mk_heavy + 1e-9
        traded += f_heavy < f_light - 1e-9 and mk_light < mk_heavy - 1e-9
    assert traded


def test_days_awake_together_count_in_the_choice():
    """The unrelated male is past his life; the half sib is awake: he comes first, and why is said."""
    rows = [PedigreeRow(n, (), "", n[0], "U", True) for n in ("m1", "f1", "f2", "m3")]
    rows += [PedigreeRow("h", ("m1",), "f1", "m", "U"), PedigreeRow("x", ("m1",), "f2", "f", "U")]
    awake = Span(100, 200)
    some = [
        Candidate("m3", "m", "U", awake=Span(20, 80)),
        Candidate("h", "m", "U", awake=awake),
        Candidate("x", "f", "U", awake=awake),
    ]
    p, wishes = built(rows), Wishes(today=120)
    t = pairing_plan.table(p, some, ["h", "x"], wishes)
    first, last = pairing_plan.ranked(t, wishes)
    assert (first.male, last.male) == ("h", "m3")
    assert pair_sentences.costs_days(1.0) in last.warnings
    assert not any("too few days" in w for w in first.warnings)
    assert couples(pairing_plan.plan(p, some, ["h", "x"], wishes._replace(weight=1.0))) == {("h", "x")}
    assert couples(pairing_plan.plan(p, some, ["h", "x"], Wishes(together=0))) == {("m3", "x")}


def test_windows_that_miss_each_other_are_warned_of():
    male = Candidate("U3m", "m", "UMBER", awake=Span(100, 160))
    female = Candidate("U4f", "f", "UMBER", awake=Span(170, 260))
    said = pair_sentences.never_awake_together("U3m", "9 Jun 1", "U4f", "19 Jun 1", 10)
    assert awake_warning(male, female, 14) == said
    said = pair_sentences.awake_too_briefly("U3m", "9 Jun 1", "U4f", "5 Jun 1", 5)
    assert awake_warning(male, female._replace(awake=Span(156, 260)), 14) == said
    assert awake_warning(male, female._replace(awake=Span(120, 260)), 14) == ""
    assert awake_warning(male, female._replace(awake=None), 14) == ""
    males, females = ("10 Apr 1", "9 Jun 1"), ("19 Jun 1", "17 Sep 1")
    said = pair_sentences.line_out_of_step("UMBER", males, females, 14, from_today=False)
    assert out_of_step([male, female]) == [said]
    assert out_of_step([male, female, female._replace(animal="U6f", awake=Span(120, 200))]) == []
    assert out_of_step([male]) == []
    _, everyone = house()
    spans = {"m": Span(100, 160), "f": Span(170, 260)}
    late = [c._replace(awake=spans[c.sex]) if c.line == "UMBER" else c for c in everyone]
    assert [w.split(":")[0] for w in planned(ANYTHING, late).warnings] == ["UMBER"]


def test_days_that_are_over_no_longer_count_as_days_together():
    """Awake together from day 120 to 160: enough, unless it is day 150 or 200 by now."""
    male = Candidate("U3m", "m", "UMBER", awake=Span(100, 160))
    female = Candidate("U4f", "f", "UMBER", awake=Span(120, 260))
    assert awake_warning(male, female, 14, 90) == ""
    assert awake_warning(male, female, 14, 147) == "", "just long enough: 147 to 160"
    for today, left in ((148, 13), (160, 1)):
        said = pair_sentences.few_days_left("U3m", "9 Jun 1", left)
        assert awake_warning(male, female, 14, today) == said
    assert awake_warning(male, female, 14, 161) == pair_sentences.past_its_life("U3m", "9 Jun 1")
    assert awake_words(male, female, 14, 147) == pair_sentences.both_awake_until("9 Jun 1")
    assert awake_words(male, female, 14, 148) == ""
    assert out_of_step([male, female], 14, 147) == []
    males, females = ("10 Apr 1", "9 Jun 1"), ("30 Apr 1", "17 Sep 1")
    said = pair_sentences.line_out_of_step("UMBER", males, females, 14, from_today=True)
    assert out_of_step([male, female], 14, 148) == [said]


def random_table(rng, side):
    rows = [PedigreeRow(f"f{k}", (), "", "mf"[k % 2], "U", True) for k in range(6)]
    for i in range(30):
        males = [r.animal for r in rows[-14:] if r.sex == "m"]
        females = [r.animal for r in rows[-14:] if r.sex == "f"]
        rows.append(PedigreeRow(f"x{i}", (rng.choice(males),), rng.choice(females), "mf"[i % 2], "U"))
    p = built(rows)
    males = [r.animal for r in rows if r.sex == "m"][-side:]
    females = [r.animal for r in rows if r.sex == "f"][-side:]
    candidates = [Candidate(x, "m", "U") for x in males] + [Candidate(x, "f", "U") for x in females]
    living = [r.animal for r in rows[-20:]]
    return p, candidates, living


@pytest.mark.parametrize("sexes", ["", "m", "f", "mm", "ff"])
def test_one_sex_alone_makes_no_pair(sexes):
    found = planned(
        ANYTHING,
        [
            Candidate(f"U{n}{x}", x, "UMBER", "torquata")
            for n, x in zip((3, 5) if "m" in sexes else (4, 6), sexes, strict=False)
        ]
        or [Candidate("U3m", "", "UMBER")],
    )
    assert (found.pairs, found.score.total, found.gap) == ([], 0.0, 0.0)


def test_no_candidates_no_plan():
    found = planned(ANYTHING, [Candidate("U3m", "m", "UMBER", "torquata")])
    assert found.pairs == []
    assert found.after == found.before


def test_a_group_can_be_a_candidate():
    rows = [
        PedigreeRow("g", (), "", "group", "BRAMBLE"),
        PedigreeRow("x", ("g",), "g", "f", "BRAMBLE"),
        PedigreeRow("u", (), "", "f", "UMBER"),
    ]
    candidates = [
        Candidate("g", "m", "BRAMBLE"),
        Candidate("x", "f", "BRAMBLE"),
        Candidate("u", "f", "UMBER"),
    ]
    found = pairing_plan.plan(built(rows), candidates, ["g", "x", "u"])
    assert couples(found) == {("g", "u")}
    t = pairing_plan.table(built(rows), candidates, ["g", "x", "u"])
    # x may be the daughter of the very male of the group that it would be paired with, whose
    # mate may be his full sib: (1/2 + 1/4) / 2.
    assert t.f(0, 0)[:2] == (0.0, 0.375)
    assert t.f(0, 0).high > 0.375  # the group's own parents may have been sibs


def test_without_scipy_a_plan_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "scipy.optimize", None)
    with pytest.raises(RoundsError, match=r"pip install -e '\.\[analysis\]'"):
        planned(ANYTHING)


def test_open_sires_are_planned_by_their_high_end():
    rows = [
        PedigreeRow("a", (), "", "m", "U", True),
        PedigreeRow("b", (), "", "m", "U", True),
        PedigreeRow("c", (), "", "f", "U", True),
    ]
    rows += [
        PedigreeRow("x", ("a", "b"), "c", "m", "U"),
        PedigreeRow("y", ("a", "b"), "c", "f", "U"),
        PedigreeRow("z", (), "", "f", "U", True),
    ]
    candidates = [Candidate("x", "m", "U"), Candidate("y", "f", "U"), Candidate("z", "f", "U")]
    t = pairing_plan.table(built(rows), candidates, ["x", "y", "z"])
    assert t.f(0, 0) == (0.125, 0.25, 0.25, True)  # half sibs or full sibs
    assert t.f(0, 1) == (0.0, 0.0, 0.0, True)


def test_a_large_plan_says_how_far_from_the_best_it_can_be():
    p, candidates, living = random_table(random.Random(3), 9)
    found = pairing_plan.plan(p, candidates, living)
    assert len(found.pairs) == 9
    assert 0 <= found.gap < 0.05
    assert found.bound <= found.score.total


def test_full_sibs_are_warned_of():
    p, candidates = house()
    living = [c.animal for c in candidates]
    t = pairing_plan.table(p, candidates, living)
    for pair in pairing_plan.ranked(t, ANYTHING):
        same = parents(p, pair.male) == parents(p, pair.female)
        sibs = same and all(parents(p, pair.male))
        assert (pair_sentences.FULL_SIBS in pair.warnings) == sibs
    assert t.full_sibs


def test_a_pair_costs_its_kinship_and_the_mean_kinships_of_both():
    p, candidates = house()
    living = [c.animal for c in reversed(candidates)][:-2]
    t = pairing_plan.table(p, candidates, living)
    first = len(t.males)
    every = [c.animal for c in (*t.males, *t.females)]
    kinship = matrix(p, [*living, *every]).by(ANYTHING.by)
    mean = {x: np.mean(kinship[len(living) + k][: len(living)]) for k, x in enumerate(every)}
    for i, male in enumerate(t.males):
        for j, female in enumerate(t.females):
            alone = kinship[len(living) + i][len(living) + first + j]
            assert t.cost[i][j] == pytest.approx(alone + mean[male.animal] + mean[female.animal])


def test_young_that_stay_count_beside_the_offspring():
    rows = [PedigreeRow(n, (), "", x, "U", True) for n, x in (("a", "m"), ("b", "f"), ("c", "m"), ("d", "f"))]
    rows += [PedigreeRow(f"young{k}", ("a",), "b", "", "U") for k in range(6)]
    candidates = [Candidate(n, x, "U") for n, x in (("a", "m"), ("b", "f"), ("c", "m"), ("d", "f"))]
    living = [r.animal for r in rows]
    alone = pairing_plan.table(built(rows), candidates, living)
    beside = pairing_plan.table(built(rows), candidates, living, stay=[f"young{k}" for k in range(6)])
    wishes = Wishes(boxes=1)
    assert couples(pairing_plan.choose(beside, candidates, wishes)) == {("c", "d")}
    # Alone, a pair of unrelated founders is as good as any other: each has .5 with itself.
    assert pairing_plan.choose(alone, candidates, wishes).score.kinship == 0.25


def test_each_of_a_pair_has_a_runner_up_and_the_change_it_makes():
    p, candidates = house()
    living = [c.animal for c in candidates]
    t = pairing_plan.table(p, candidates, living)
    for pair in pairing_plan.ranked(t, ANYTHING):
        i = next(k for k, c in enumerate(t.males) if c.animal == pair.male)
        j = next(k for k, c in enumerate(t.females) if c.animal == pair.female)
        after = pairing_plan.resulting(t, [(i, j)])
        ends = sorted((after.low - t.means.mean.low, after.high - t.means.mean.high))
        assert (pair.change.low, pair.change.high) == pytest.approx(ends)
        assert pair.for_him is not None
        costs = sorted(
            t.cost[i][k] for k, c in enumerate(t.females) if c.animal != pair.female and not t.barred[i][k]
        )
        assert pair.for_him.more == pytest.approx(costs[0] - t.cost[i][j])
        assert pair_sentences.change_of_group(pair.change.low, pair.change.high) in pair.why
        assert pair_sentences.AWAKE_NOT_KNOWN in pair.why
    found = pairing_plan.choose(t, candidates, ANYTHING)
    taken = {x.female for x in found.pairs}
    assert all(x.for_him is None or x.for_him.taken == (x.for_him.animal in taken) for x in found.pairs)


def test_awake_together_is_a_reason_and_apart_a_warning():
    p, candidates = house()
    spans = [c._replace(awake=Span(100, 160) if c.sex == "m" else Span(120, 260)) for c in candidates]
    t = pairing_plan.table(p, spans, [c.animal for c in spans])
    said = pair_sentences.both_awake_until("9 Jun 1")
    assert all(said in x.why for x in pairing_plan.ranked(t, ANYTHING))
    apart = [c._replace(awake=Span(100, 160) if c.sex == "m" else Span(170, 260)) for c in candidates]
    t = pairing_plan.table(p, apart, [c.animal for c in apart])
    for x in pairing_plan.ranked(t, ANYTHING):
        assert not any("awake" in why for why in x.why)
        apart_by = pair_sentences.never_awake_together(x.male, "9 Jun 1", x.female, "19 Jun 1", 10)
        assert apart_by in x.warnings


def test_work_nobody_wants_any_more_is_given_up():
    p, candidates = house()
    living, told = [c.animal for c in candidates], []
    pairing_plan.table(p, candidates, living, ANYTHING, told.append)
    assert [x.split(" ")[0] for x in told] == ["kinship", "kinship", "16"]
    with pytest.raises(GivenUp):
        pairing_plan.table(p, candidates, living, ANYTHING, lambda words: "living" not in words)
