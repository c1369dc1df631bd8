"""Counts: what is typed, what follows from them, and that nothing becomes more exact than it is."""

from __future__ import annotations

import operator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.count_parser import MOST, parse_count, parse_counts, parse_held_count, parse_held_counts
from rounds.values.counts import NONE, Count, Counts, exactly
from rounds.values.rough_width import RoughWidth
from rounds.values.unreadable import UnreadableValue


@pytest.mark.parametrize(
    ("typed", "low", "high"),
    [
        ("14", 14, 14),
        ("0", 0, 0),
        ("014", 14, 14),
        ("ca. 20", 18, 22),
        ("ca 20", 18, 22),
        ("~20", 18, 22),
        ("~ 20", 18, 22),
        ("About 20", 18, 22),
        ("about 5", 4, 6),
        ("about 21", 18, 24),
        ("about 0", 0, 1),
        (">30", 31, None),
        ("more than 30", 31, None),
        (">=30", 30, None),
        ("≥ 30", 30, None),
        ("30+", 30, None),
        ("30 +", 30, None),
        ("at least 30", 30, None),
        ("at least 30+", 30, None),
        ("At Least 30", 30, None),
        ("min. 30", 30, None),
        ("min 30", 30, None),
        ("30 or more", 30, None),
        ("<5", 0, 4),
        ("up to 5", 0, 5),
        ("max. 5", 0, 5),
        ("10-12", 10, 12),
        ("10–12", 10, 12),
        ("10 to 12", 10, 12),
        ("10..12", 10, 12),
        ("between 10 and 12", 10, 12),
        ("10-10", 10, 10),
    ],
)
def test_counts(typed: str, low: int, high: int | None) -> None:
    count = parse_count(typed)
    assert (count.low, count.high) == (low, high)
    assert count.exact == (low == high)
    assert str(count) == typed
    assert parse_count(str(count)) == count
    assert parse_count(count.plain_words) == count
    assert parse_counts(typed) == Counts(NONE, NONE, count)


def test_the_width_of_about_is_a_setting() -> None:
    assert parse_count("about 20", about=RoughWidth(25, 1)) == Count(15, 25)
    assert parse_count("about 20", about=RoughWidth(10, 5)) == Count(15, 25)
    assert parse_count("about 3", about=RoughWidth(0, 1)) == Count(2, 4)


def test_a_plain_number_has_no_words() -> None:
    assert parse_count(" 14 ").words == ""
    assert parse_count("14+").words == "14+"
    assert parse_count("at  least 14").words == ""  # the plain form, but for a blank


@pytest.mark.parametrize(
    ("typed", "males", "females", "unsexed"),
    [
        ("1.2.3", (1, 1), (2, 2), (3, 3)),
        ("0.0.14", (0, 0), (0, 0), (14, 14)),
        ("1.2", (1, 1), (2, 2), (0, 0)),
        ("1.2.3+", (1, 1), (2, 2), (3, None)),
        ("at least 1.2.3", (1, 1), (2, 2), (3, None)),
        ("min. 1.2.3", (1, 1), (2, 2), (3, None)),
        ("1.2.~20", (1, 1), (2, 2), (18, 22)),
        ("1.2.10-12", (1, 1), (2, 2), (10, 12)),
        ("1+.2.3", (1, None), (2, 2), (3, 3)),
    ],
)
def test_counts_by_sex(
    typed: str, males: tuple[int, int], females: tuple[int, int], unsexed: tuple[int, int | None]
) -> None:
    counts = parse_counts(typed)
    assert counts == Counts(Count(*males), Count(*females), Count(*unsexed))
    assert str(counts) == typed
    assert parse_counts(counts.plain_words) == counts
    assert counts.exact == counts.total.exact


def test_the_total_is_as_open_as_its_parts() -> None:
    assert parse_counts("1.2.3").total == Count(6, 6)
    assert parse_counts("1.2.3+").total == Count(6, None)
    assert parse_counts("1.2.~20").total == Count(21, 25)
    assert parse_counts("1.2.3") + parse_counts("1.0.2+") == parse_counts("2.2.5+")


@pytest.mark.parametrize(
    ("typed", "reason", "suggestions"),
    [
        ("12-10", "`12-10` has the larger number first.", ("10-12",)),
        ("<0", "`<0`: no count is below 0.", ("0",)),
        ("1000000", "A count goes up to 999999.", ()),
        (">999999", "A count goes up to 999999.", ()),
        ("about 999999", "A count goes up to 999999.", ()),
        ("9" * 30, "A count goes up to 999999.", ()),
        ("abuot 20", "`abuot 20` is not a count.", ("about 20",)),
        ("14 larvae", "`14 larvae` is not a count.", ("14",)),
        ("-3", "`-3` is not a count.", ()),
        ("2.5", "`2.5` is not a count.", ()),
        ("many", "`many` is not a count.", ()),
        ("", "`` is not a count.", ()),
        ("٣", "`٣` is not a count.", ()),
    ],
)
def test_refused_with_the_reason(typed: str, reason: str, suggestions: tuple[str, ...]) -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_count(typed)
    assert (e.value.text, e.value.reason, e.value.suggestions) == (typed, reason, suggestions)


@pytest.mark.parametrize(
    ("typed", "suggestions"),
    [
        ("1,2,3", ("1.2.3",)),
        ("1.250", ("1250", "1.250.0")),
        ("1.2.3.4", ()),
        ("~1.2.3", ()),
        ("more than 1.2.3", ()),
    ],
)
def test_counts_by_sex_refused(typed: str, suggestions: tuple[str, ...]) -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_counts(typed)
    assert e.value.suggestions == suggestions
    for suggestion in suggestions:
        parse_counts(suggestion)


counts = st.builds(
    lambda low, width: Count(low, None if width is None else low + width),
    st.integers(0, 400_000),
    st.none() | st.integers(0, 1000),
)


def one_of(count: Count, data: st.DataObject) -> int:
    """Some number that the count may be."""
    return data.draw(st.integers(count.low, count.low + 2000 if count.high is None else count.high))


@given(counts)
def test_the_plain_words_of_a_count_parse_back(count: Count) -> None:
    assert parse_count(str(count)) == count
    assert parse_count(count.compact) == count


@given(counts, counts, counts)
def test_the_plain_words_of_counts_parse_back(males: Count, females: Count, unsexed: Count) -> None:
    by_sex = Counts(males, females, unsexed)
    assert parse_counts(str(by_sex)) == by_sex


@given(counts, counts, st.data())
def test_sums_hold_every_sum(a: Count, b: Count, data: st.DataObject) -> None:
    both = a + b
    x = one_of(a, data) + one_of(b, data)
    assert both.low <= x
    assert both.high is None or x <= both.high
    assert both.exact == (a.exact and b.exact)
    assert sum([a, b]) == both


@given(counts, st.data())
def test_what_is_left_holds_every_rest(a: Count, data: st.DataObject) -> None:
    x = one_of(a, data)
    taken = data.draw(st.integers(0, x))
    left = a - taken
    assert left.low <= x - taken
    assert left.high is None or x - taken <= left.high
    assert left == a - exactly(taken)


def test_more_than_there_was_cannot_be_taken() -> None:
    with pytest.raises(ValueError, match="15 cannot be taken from 14"):
        Count(14, 14) - 15
    assert Count(14, None) - 15 == Count(0, None)
    with pytest.raises(ValueError, match="not an exact count"):
        Count(14, 14) - Count(1, 2)


@pytest.mark.parametrize(
    ("asked", "meant"),
    [
        ("at_least", operator.ge),
        ("more_than", operator.gt),
        ("at_most", operator.le),
        ("less_than", operator.lt),
        ("same_as", operator.eq),
    ],
)
@given(st.data())
def test_three_valued_answers_hold_for_every_pair_of_numbers(
    asked: str, meant: operator.itemgetter[int], data: st.DataObject
) -> None:
    small = st.builds(
        lambda low, width: Count(low, None if width is None else low + width),
        st.integers(0, 4),
        st.none() | st.integers(0, 4),
    )
    a, b = data.draw(small), data.draw(small)
    answer = getattr(a, asked)(b)
    ends = [range(c.low, (c.high if c.high is not None else 12) + 1) for c in (a, b)]
    answers = {meant(x, y) for x in ends[0] for y in ends[1]}
    assert answer is (answers.pop() if len(answers) == 1 else None)


def test_only_an_exact_count_gives_its_number() -> None:
    assert Count(14, 14).number == 14
    for count in (Count(14, 15), Count(14, None)):
        assert not count.exact
        with pytest.raises(ValueError, match="not an exact count"):
            count.number  # noqa: B018  # it is the asking that fails
    with pytest.raises(TypeError):
        Count(1, 1) < Count(2, 2)  # type: ignore[operator]  # noqa: B015  # counts are not in a row


@pytest.mark.parametrize(("low", "high"), [(-1, 3), (4, 3)])
def test_no_count(low: int, high: int) -> None:
    with pytest.raises(ValueError):
        Count(low, high)


def test_the_most() -> None:
    assert parse_count(str(MOST)).number == MOST


@pytest.mark.parametrize(
    ("typed", "held"),
    [
        ("14", Count(14, 14)),
        (" 14 ", Count(14, 14)),
        ("30+", Count(30, None)),
        (">30", Count(31, None)),
        ("~20", Count(18, 22)),
        ("ca. 20", Count(18, 22)),
        ("10-12", Count(10, 12)),
        ("about 1", Count(1, 2)),
    ],
)
def test_a_count_that_the_books_can_hold(typed: str, held: Count) -> None:
    assert parse_held_count(typed) == held


@pytest.mark.parametrize(
    ("typed", "meant"), [("<6", ("1-5",)), ("up to 1", ("1",)), ("abuot 20", ("about 20",))]
)
def test_a_count_that_they_cannot_hold_suggests_only_what_they_can(
    typed: str, meant: tuple[str, ...]
) -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_held_count(typed)
    assert e.value.suggestions == meant
    for text in meant:
        assert parse_held_count(text)


def test_only_the_unsexed_may_be_rough() -> None:
    assert parse_held_counts("1.2.~20") == Counts(Count(1, 1), Count(2, 2), Count(18, 22))
    for typed in ("10-12.1.0", "1.10-12.3", "1+.2.~20"):
        with pytest.raises(UnreadableValue):
            parse_held_counts(typed)


@pytest.mark.parametrize(("typed", "low"), [("1.2.3", (1, 2, 3)), ("1.2", (1, 2, 0)), ("1+.2.3", (1, 2, 3))])
def test_counts_by_sex_that_can_be_held(typed: str, low: tuple[int, int, int]) -> None:
    held = parse_held_counts(typed)
    assert (held.males.low, held.females.low, held.unsexed.low) == low
    assert held.total.open is ("+" in typed)


@given(st.text(max_size=20) | st.from_regex(r"[0-9]{1,3}[-+]?[0-9]{0,3}(\.[0-9]{1,2}){0,2}", fullmatch=True))
def test_what_is_held_is_of_a_known_sex_or_surely_some(text: str) -> None:
    try:
        held = parse_held_counts(text)
    except UnreadableValue:
        return
    assert all(part.exact or part.open for part in (held.males, held.females))
    assert held.unsexed.exact or held.unsexed.open or held.unsexed.low > 0
