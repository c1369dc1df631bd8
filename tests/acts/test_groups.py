"""Counts of groups: what is left, what is added, and that a rough count stays true."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.acts.act import ActRefused
from rounds.acts.fields import Counts, counts
from rounds.acts.groups import added, groups, rest_of, said, some_of
from rounds.acts.groups_sentences import says_not_how_many_are_left
from rounds.records.invariants import faults
from rounds.records.tables import Lot
from tests.acts.books import house, record, ref, row

BOOKS = house()

few = st.integers(0, 12)


@st.composite
def some_counts(draw: st.DrawFn) -> Counts:
    """Exact, open upwards, or rough."""
    males, females, unsexed = draw(few), draw(few), draw(few)
    kind = draw(st.sampled_from(("exact", "open", "rough")))
    if kind == "exact":
        return Counts(males, females, unsexed)
    if kind == "open":
        return Counts(males, females, unsexed, at_least=True)
    return Counts(males, females, unsexed, True, unsexed + draw(st.integers(1, 9)), "some")


def possible(of: Counts) -> range:
    """Every total there can be (of an open count, some of them)."""
    return range(of.total, (of.total + 30 if of.most is None else of.most) + 1)


@given(some_counts(), st.builds(Counts, few, few, few))
def test_whatever_there_was_the_rest_may_be_what_is_left_of_it(there: Counts, out: Counts) -> None:
    try:
        left = rest_of(there, out)
    except ActRefused:
        assert there.most is not None  # an open count refuses nothing
        return
    assert min(left[:3]) >= 0
    sexed = max(there.males, out.males) + max(there.females, out.females)
    for total in possible(there):
        if total >= max(out.total, sexed):
            assert left.total <= total - out.total
            assert left.most is None or total - out.total <= left.most
    assert (left.most is None) == (there.most is None)


@given(some_counts(), some_counts())
def test_what_is_put_together_may_be_any_sum(one: Counts, other: Counts) -> None:
    both = added(one, other)
    assert both.total == one.total + other.total
    assert both.most == (None if one.most is None or other.most is None else one.most + other.most)
    assert both.at_least or (both.total == both.most)


def test_a_rough_count_is_never_taken_for_an_exact_one() -> None:
    books = record(
        BOOKS, "arrival", into="T-12", name="NA May", species="Pachnoda marginata", count="ca. 20", age="L2"
    )
    lot = row(books, "lot", "NA May")
    assert isinstance(lot, Lot)
    assert (lot.unsexed, lot.at_least, lot.high, lot.count_words) == (18, True, 22, "ca. 20")
    books = record(books, "dead-some", "T-12", count="2", on="today")
    (group,) = groups(books, ref(books, "enclosure", "T-12"))
    assert (group.unsexed, group.high, group.count_words) == (16, 20, "")
    books = record(books, "counted", "T-12", count="19", on="today")
    (group,) = groups(books, ref(books, "enclosure", "T-12"))
    assert (group.unsexed, group.at_least, group.high) == (19, False, None)
    assert faults(books) == []


def test_more_of_an_arrival_than_were_counted_makes_its_count_the_fewest() -> None:
    came = record(BOOKS, "arrival", into="T-12", name="NA", species="Pachnoda marginata", count="6", age="L2")
    for counted, at_least in (("6", False), ("8", True)):
        told = {"count": counted, "instar": "L3", "on": "today"}
        lot = row(record(came, "counted", "T-12", sure=True, **told), "lot", "NA")
        assert isinstance(lot, Lot)
        assert (lot.total, lot.at_least) == (6, at_least)


def test_how_many_left_is_never_rough() -> None:
    with pytest.raises(ActRefused) as e:
        some_of(counts("20"), counts("~5"))
    assert e.value.slips[0].message == says_not_how_many_are_left("~5 (0.0.4-6)").message


@pytest.mark.parametrize(
    ("typed", "shown"),
    [
        ("12", "0.0.12"),
        ("12+", "at least 0.0.12"),
        ("ca. 20", "ca. 20 (0.0.18-22)"),
        ("1.2.~3", "1.2.~3 (1.2.2-4)"),
    ],
)
def test_counts_are_said_with_the_words_typed(typed: str, shown: str) -> None:
    assert said(counts(typed)) == shown
