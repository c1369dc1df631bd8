"""Colony figures against their definitions."""

from __future__ import annotations

import random
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.pedigree import colony, gene_drop, kinship
from rounds.analysis.pedigree.ceiling import unrecorded_behind
from rounds.analysis.pedigree.pedigree_table import GROUP, NoSuchAnimal, PedigreeRow
from tests.analysis.pedigree.pedigree_cases import built, inbreeding_low, pedigrees, rows_of
from tests.sampled import sampled


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(groups=False, founders=True), st.data())
def test_mean_kinships_are_means_of_the_matrix(rows, data):
    p = built(rows)
    living = data.draw(st.lists(st.sampled_from(p.names), min_size=1, unique=True))
    others = data.draw(st.lists(st.sampled_from(p.names), unique=True))
    means = colony.mean_kinships(p, living, others)
    whole = kinship.matrix(p, [*living, *others])
    n = len(living)
    assert means.low == pytest.approx(np.array(whole.low)[:, :n].mean(axis=1).tolist(), abs=1e-12)
    assert means.usual == pytest.approx(np.array(whole.usual)[:, :n].mean(axis=1).tolist(), abs=1e-12)
    # At most is a ceiling that goes with who is asked about; where nothing is open it is the usual reading.
    assert all(most >= usual - 1e-12 for most, usual in zip(means.high, means.usual, strict=True))
    if not any(unrecorded_behind(p)):
        assert means.high == means.usual
    assert means.mean.low == pytest.approx(float(np.array(whole.low)[:n, :n].mean()), abs=1e-12)
    assert means.gene_diversity.low == pytest.approx(1 - means.mean.high)
    assert means.animals == (*living, *others)


def test_an_empty_group_and_a_stranger_are_refused():
    p = built(rows_of("UM-1", "KE-2"))
    with pytest.raises(ValueError, match="at least one"):
        colony.mean_kinships(p, [])
    with pytest.raises(NoSuchAnimal, match="Did you mean `UM-1`"):
        colony.mean_kinships(p, ["UM-l"])


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(), st.data())
def test_founder_shares_sum_to_one_and_follow_the_genes(rows, data):
    p = built(rows)
    living = data.draw(st.lists(st.sampled_from(p.names), min_size=1, unique=True))
    shares = colony.founder_shares(p, living)
    assert sum(shares.values()) == pytest.approx(1)
    assert all(not name or not p.parents(p.at[name]) for name in shares)
    assert list(shares.values()) == sorted(shares.values(), reverse=True)
    if any(shares):
        assert 0 < colony.founder_equivalents(shares) <= len(p.names)


def test_equal_founders_are_as_many_equivalents():
    assert colony.founder_equivalents({"a": 0.25, "b": 0.25, "c": 0.25, "d": 0.25}) == 4
    assert colony.founder_equivalents({"a": 0.5, "b": 0.25, "c": 0.25}) < 3


def drawn_share(rows: list[PedigreeRow], living: list[str], founder: str) -> float:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gene_drop, "MOST_CHANCES", -1)
        found = gene_drop.retention(built(rows), living, seed=5, drops=4000)
    assert not found.exact[founder]
    return found.share[founder]


@pytest.mark.parametrize("seed", range(8))
def test_dropped_genes_agree_with_going_through_every_outcome(seed):
    rng = random.Random(seed)
    rows = [PedigreeRow("a"), PedigreeRow("b"), PedigreeRow("c")]
    for i in range(6):
        names = [r.animal for r in rows]
        rows.append(PedigreeRow(f"x{i}", (rng.choice(names),), rng.choice(names)))
    living = rng.sample([f"x{i}" for i in range(6)], 3)
    p = built(rows)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gene_drop, "MOST_CHANCES", 40)
        exact = gene_drop.retention(p, living, seed=1)
    assert all(exact.exact.values())
    for founder, share in exact.share.items():
        # 4,000 drops: standard error at most 0.0056, so 0.03 is more than five of them
        assert drawn_share(rows, living, founder) == pytest.approx(share, abs=0.03)


def test_a_founder_whose_genome_is_gone_adds_nothing():
    """Twenty single offspring in a row, each with a new mate: of the first founder 2^-20 is left, which no drop sees."""
    rows = [PedigreeRow("x0")]
    for g in range(1, 21):
        rows += [PedigreeRow(f"mate{g}"), PedigreeRow(f"x{g}", (f"x{g - 1}",), f"mate{g}")]
    p = built(rows)
    shares = colony.founder_shares(p, ["x20"])
    kept = gene_drop.retention(p, ["x20"], seed=1, drops=200)
    assert shares["x0"] == 0.5**20
    assert kept.share["x0"] == 0
    lost = colony.lost_founders(shares, kept.share)
    assert "x0" in lost
    assert "mate20" not in lost
    left = {name: x for name, x in shares.items() if name not in lost}
    # 1 / sum(p² / r) over those that are left (Lacy 1989, from memory), their shares brought to a sum of 1
    wanted = sum(left.values()) ** 2 / sum(x * x / kept.share[name] for name, x in left.items())
    assert colony.founder_genomes_retained(shares, kept.share) == pytest.approx(wanted)
    # One animal holds two genes, from two founders, and of each one of its two alleles.
    assert colony.founder_genomes_retained(shares, kept.share) == pytest.approx(1, abs=0.1)


def test_all_founders_gone_is_nothing_and_no_error():
    assert colony.founder_genomes_retained({"a": 0.5, "b": 0.5}, {"a": 0.0, "b": 0.0}) == 0
    assert colony.founder_genomes_retained({"": 1.0}, {}) == 0
    assert colony.lost_founders({"a": 0.5, "": 0.25, "b": 0.25}, {"a": 0.25, "b": 0.0}) == ["b"]


@given(
    st.dictionaries(
        st.sampled_from("abcdefgh"),
        st.tuples(st.floats(1e-6, 1), st.sampled_from([0.0, 1e-9, 0.25, 0.5, 1.0])),
        min_size=1,
    )
)
def test_lost_founders_count_as_if_they_had_never_been(founders):
    whole = sum(x for x, _ in founders.values())
    shares = {name: x / whole for name, (x, _) in founders.items()}
    kept = {name: r for name, (_, r) in founders.items()}
    lost = colony.lost_founders(shares, kept)
    assert set(lost) == {name for name, r in kept.items() if r == 0}
    without = {name: x for name, x in shares.items() if name not in lost}
    found = colony.founder_genomes_retained(shares, kept)
    assert found == pytest.approx(colony.founder_genomes_retained(without, kept))
    # No more genomes than founders that are left, nor than their equivalents: r is 1 at most.
    assert found <= len(without) + 1e-9
    assert found <= colony.founder_equivalents(without) + 1e-9


@settings(max_examples=sampled(20, 60), deadline=None)
@given(pedigrees(groups=False, open_sires=False), st.data())
def test_any_pedigree_has_its_founder_genomes_however_few_drops(rows, data):
    """With a single drop nearly every pedigree has founders that were lost in it."""
    p = built(rows)
    living = data.draw(st.lists(st.sampled_from(p.names), min_size=1, unique=True))
    shares = colony.founder_shares(p, living)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(gene_drop, "MOST_CHANCES", -1)
        kept = gene_drop.retention(p, living, seed=3, drops=1)
    left = [name for name in shares if name and kept.share[name] > 0]
    assert bool(left) == (colony.founder_genomes_retained(shares, kept.share) > 0)
    assert sorted([*left, *colony.lost_founders(shares, kept.share)]) == sorted(n for n in shares if n)


def test_retention_does_not_guess_a_sire():
    with pytest.raises(ValueError, match="`c` has several possible fathers"):
        gene_drop.retention(built(rows_of("c = a|b x d")), ["c"], seed=1)


def test_effective_size_needs_both_sexes_and_a_size_above_nothing():
    assert colony.effective_size(3, 0) == 0
    with pytest.raises(ValueError, match="more than 0"):
        colony.increase_per_generation(0)


def test_realised_size_of_repeated_full_sibs_and_of_no_inbreeding():
    # Wright: the asymptotic rate of full-sib mating is 1 - (1 + sqrt 5)/4 = 0.19098, Ne 2.618.
    rows = [PedigreeRow("m0"), PedigreeRow("f0")]
    for g in range(1, 40):
        rows += [
            PedigreeRow(f"m{g}", (f"m{g - 1}",), f"f{g - 1}"),
            PedigreeRow(f"f{g}", (f"m{g - 1}",), f"f{g - 1}"),
        ]
    p = built(rows)
    found = colony.realised_size([inbreeding_low(p)[p.at["m39"]]], [39.0])
    assert found.size is not None
    assert 1 / (2 * found.size) == pytest.approx(0.19098, abs=0.004)
    assert found.size == pytest.approx(2.618, rel=0.02)
    assert found.error is None
    assert colony.realised_size([0.0, 0.0], [3.0, 3.0]).size is None
    assert colony.realised_size([0.0], [1.0]) == (None, None, 0)


def test_expected_f_goes_on_from_where_it_is():
    assert colony.expected_f(10, 0, now=0.2) == pytest.approx(0.2)
    assert colony.expected_f(10, 1, now=0.2) == pytest.approx(1 - 0.8 * 0.95)


def test_a_colony_kept_as_a_group_has_its_range():
    p = built(
        [
            PedigreeRow("g", sex=GROUP, line="BRAMBLE"),
            PedigreeRow("x", ("g",), "g", line="BRAMBLE"),
            PedigreeRow("y", ("g",), "g", line="BRAMBLE"),
        ]
    )
    means = colony.mean_kinships(p, ["x", "y"])
    assert means.mean.low == pytest.approx((0.5 + 0) / 2)
    assert means.mean.usual == pytest.approx(((1 + 0.25) / 2 + 0.375) / 2)
    # Founders that were full sibs of full sibs: kinship .375 in the group, of two of its young
    # with the same parents (0.625 + 0.375) / 2.
    assert means.mean.high == pytest.approx(((1 + 0.375) / 2 + 0.5) / 2)


def test_the_fewest_sires_there_can_be_and_the_most():
    p = built(rows_of("w = a x d", "x = a|b x d", "y = b|c x e", "z = f|? x e", "u = g|h x e", "v = h|i x e"))
    # Certain is a, who may be behind x; y needs b or c, z somebody, u and v may both be h's.
    assert colony.breeders(p, ["w", "x", "y", "z", "u", "v"]) == (4, 7, 2)
    assert colony.breeders(p, ["z"]) == (1, 1, 1)
    assert colony.breeders(p, ["a"]) == (0, 0, 0)


@settings(max_examples=sampled(20, 60))
@given(st.lists(st.frozensets(st.integers(0, 5), min_size=1, max_size=3), min_size=1, max_size=6))
def test_fewer_sires_than_said_never_do(broods):
    """Against going through every set of sires that has one of each brood's."""
    rows = [f"k{i} = {'|'.join(f'm{s}' for s in sorted(options))} x d" for i, options in enumerate(broods)]
    found = colony.breeders(built(rows_of(*rows)), [f"k{i}" for i in range(len(broods))])
    least = min(
        len(c) for n in range(1, 7) for c in combinations(range(6), n) if all(set(c) & o for o in broods)
    )
    assert 1 <= found.fewest_males <= least <= found.most_males == len(frozenset().union(*broods))
