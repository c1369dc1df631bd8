"""Whatever is typed: a value, or the one exception, whose suggestions work."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from datetime import date
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.answers import parse_sex, parse_word, parse_yes_no
from rounds.values.count_parser import parse_count, parse_counts
from rounds.values.date_order import DateOrder
from rounds.values.dates import MONTH_NUMBERS, SEASON_NAMES
from rounds.values.numbers import parse_decimal, parse_whole
from rounds.values.span_parser import parse_day, parse_span
from rounds.values.spans import FIRST, LAST, text
from rounds.values.unreadable import UnreadableValue

TODAY = date(2026, 11, 29).toordinal()

PARSERS: dict[str, Callable[[str], object]] = {
    "span": parse_span,
    "span today": partial(parse_span, today=TODAY, southern=True),
    "span settled": partial(parse_span, today=TODAY, order=DateOrder.MONTH_FIRST, digits_are_days_ago=True),
    "span early": partial(parse_span, today=FIRST),
    "span late": partial(parse_span, today=LAST),
    "day": partial(parse_day, today=TODAY),
    "decimal": parse_decimal,
    "grams": partial(parse_decimal, unit="g", low=0, high=500, decimals=1),
    "whole": parse_whole,
    "word": partial(parse_word, answers=("laying", "keeping", "lost"), beginnings=True),
    "yes or no": parse_yes_no,
    "sex": parse_sex,
    "count": parse_count,
    "counts": parse_counts,
}

numbers = st.integers(0, 40).map(str) | st.integers(1990, 2030).map(str) | st.integers(0, 10**10).map(str)
pieces = st.one_of(
    numbers,
    st.integers(0, 12).map("{:02}".format),
    st.sampled_from([" ", "-", "/", ".", ",", "..", "+", "~", ">", "<", ":", "'", "°", "?", "\n", "\0", "–"]),
    st.sampled_from(sorted(MONTH_NUMBERS) + sorted(SEASON_NAMES)),
    st.sampled_from(
        [
            "before",
            "after",
            "about",
            "between",
            "and",
            "to",
            "from",
            "since",
            "until",
            "unknown",
            "early",
            "mid",
            "late",
            "end",
            "of",
            "week",
            "kw",
            "w",
            "today",
            "yesterday",
            "tomorrow",
            "days",
            "weeks",
            "months",
            "years",
            "ago",
            "in",
            "this",
            "last",
            "ca.",
            "at",
            "least",
            "more",
            "than",
            "up",
            "to",
            "min.",
            "male",
            "weibl.",
            "yes",
            "nein",
            "g",
            "kg",
            "mm",
            "laying",
            "l",
            "st",
            "th",
        ]
    ),
)
FORMS = """N-N-N|N.N.N|N/N/N|Y-N-N|N.N.Y|N/N/Y|N-N-Y|N N Y|N/Y|Y-N|Y|N.N.|M|N M|M Y|N M Y|M N, Y|S Y|S Y/N|
early M Y|mid S Y|late Y|week N Y|KW N|Y-WN|Y-WN-N|before Y-N-N|after M Y|about N.N.Y|~ N/N/Y|since Y|until week N Y|
between N and N M Y|M to M Y|N/N/Y to N/N/Y|Y..Y|N.N.Y - N.N.Y|Y-N-N/Y-N-N|../Y-N-N|N days ago|N weeks ago|in N days|+N|
about N weeks ago|before last month|N|N,N|N.N|N,NNN|N NNN|N N,N|N g|N,N kg|N mm|N+|>N|<N|~N|ca. N|at least N|up to N|
N-N|N to N|between N and N|abuot N|N larvae|N.N.N+|N.N|at least N.N.N|N.N.~N|N.N.N-N|f?|femal|lay|l|ye|naj"""


@st.composite
def forms(draw: st.DrawFn) -> str:
    """A form of some value with numbers and names in it, sometimes with one character changed."""
    form = draw(st.sampled_from(FORMS.replace("\n", "").split("|")))
    fill = {
        "N": st.integers(0, 32).map(str) | st.integers(0, 1_100_000).map(str) | st.just("03"),
        "Y": st.integers(1990, 2030).map(str) | st.sampled_from(["0000", "0001", "9999"]),
        "M": st.sampled_from(sorted(MONTH_NUMBERS)),
        "S": st.sampled_from(sorted(SEASON_NAMES)),
    }
    for letter, values in fill.items():
        while letter in form:
            form = form.replace(letter, draw(values), 1)
    if draw(st.integers(0, 3)) == 0:
        at = draw(st.integers(0, len(form)))
        form = form[:at] + draw(st.sampled_from(["", " ", ".", "-", "/", "x", "?", "1"])) + form[at + 1 :]
    return form


typed_text = (
    forms()
    | st.lists(pieces, max_size=9).map("".join)
    | st.lists(pieces, max_size=7).map(" ".join)
    | st.text(max_size=30)
    | st.builds(
        "{}{}{}{}{}".format, numbers, st.sampled_from("-/. "), numbers, st.sampled_from("-/. "), numbers
    )
)


def refusal(parse: Callable[[str], object], typed: str) -> UnreadableValue | None:
    try:
        parse(typed)
    except UnreadableValue as e:
        return e
    return None


@pytest.mark.parametrize("parser", PARSERS)
@given(typed=typed_text)
def test_any_text_is_a_value_or_refused_in_words(parser: str, typed: str) -> None:
    e = refusal(PARSERS[parser], typed)
    if e is None:
        return
    assert e.text == typed
    assert e.expected
    assert e.reason.endswith(".")
    assert str(e).isprintable()
    assert len(str(e)) < 700
    assert e.hint or not e.suggestions
    for suggestion in e.suggestions:
        assert refusal(PARSERS[parser], suggestion) is None


@given(typed_text, st.sampled_from([None, FIRST, TODAY, LAST]), st.sampled_from(DateOrder), st.booleans())
def test_spans_run_forwards_and_their_text_means_the_same(
    typed: str, today: int | None, order: DateOrder, southern: bool
) -> None:
    try:
        span = parse_span(typed, today=today, order=order, southern=southern)
    except UnreadableValue:
        return
    assert FIRST <= span.earliest <= span.latest <= LAST
    again = parse_span(text(span), southern=southern)
    assert again[:2] == span[:2]
    assert text(again) == text(span)


@given(st.integers(1, 9999), st.sampled_from(sorted(MONTH_NUMBERS)), st.integers(1, 31))
def test_month_names_mean_the_month_of_the_calendar(year: int, name: str, number: int) -> None:
    month = MONTH_NUMBERS[name]
    span = parse_span(f"{name} {year:04}")
    first, last = date.fromordinal(span.earliest), date.fromordinal(span.latest)
    assert (first.year, first.month, first.day) == (year, month, 1)
    assert (last.year, last.month) == (year, month)
    assert span.latest == LAST or date.fromordinal(span.latest + 1).month != month
    if number <= last.day:
        assert parse_day(f"{number} {name} {year:04}") == date(year, month, number).toordinal()


@pytest.mark.parametrize("month", range(1, 13))
def test_month_names_are_those_of_the_c_locale(month: int) -> None:
    # strftime without a locale set: the names of POSIX's C locale.
    day = date(2026, month, 1)
    assert parse_span(day.strftime("%B %Y"))[:2] == parse_span(day.strftime("%b %Y"))[:2]
    assert parse_day(day.strftime("%d %B %Y")) == day.toordinal()


def test_the_span_type_alone_is_cheap_to_import() -> None:
    code = "import sys; before = set(sys.modules); import rounds.values.spans; print(*sorted(set(sys.modules) - before))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = set(done.stdout.split())
    assert {name for name in loaded if name.startswith("rounds")} == {
        "rounds",
        "rounds.named_tuple",
        "rounds.sentences_on_demand",  # which the package itself sets up
        "rounds.text",
        "rounds.text.cleaning",  # of the start path anyway
        "rounds.values",
        "rounds.values.spans",
    }
    assert not loaded & {"difflib", "dataclasses", "inspect", "pendulum"}
