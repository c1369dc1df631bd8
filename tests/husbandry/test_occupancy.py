"""Since when those in an enclosure are together."""

from __future__ import annotations

from rounds.husbandry.occupancy import ANYONE, Company, company
from rounds.values.spans import LAST, Span

D = 739_000


def on(day: int) -> Span:
    return Span(day, day)


def test_the_last_to_come_or_go_counts_and_the_first_of_those_still_here() -> None:
    assert company([on(D), on(D + 3)], [on(D + 1)]) == Company(D + 3, D)
    assert company([on(D), on(D + 3)], [on(D + 9)]) == Company(D + 9, D)
    assert company([on(D)], []) == Company(D, D)


def test_the_latest_day_of_a_span_counts_and_its_earliest_when_nobody_knows_the_end() -> None:
    assert company([Span(D, D + 5)], []) == Company(D + 5, D + 5)
    assert company([on(D)], [Span(D + 2, LAST)]) == Company(D + 2, D)


def test_a_coming_without_a_day_holds_nothing_back() -> None:
    assert company([None], []) == company([], []) == ANYONE


def test_of_an_empty_enclosure_nothing_of_the_past_concerns_anybody() -> None:
    assert company([], [on(D)]) == Company(D, D)
