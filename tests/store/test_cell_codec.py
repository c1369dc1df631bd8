"""Values come back from a book as they went in."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.records.entries import AS_EXPECTED, NOTE
from rounds.store.book import Book
from rounds.store.cell_codec import PHRASE_LIMIT, Dictionary, Unsavable, decode, encode, pack, settled, unpack

texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=40)
values = st.one_of(
    st.booleans(), st.integers(-(2**53), 2**53), st.floats(allow_nan=False, allow_infinity=False), texts
)
confirmed = st.dictionaries(
    texts, st.one_of(st.booleans(), texts, st.tuples(st.integers(0, 9), st.integers(0, 9)))
)


@given(values)
def test_a_value_settles_to_itself(value: Any) -> None:
    assert settled("moisture", value) == value


@given(confirmed)
def test_what_was_confirmed_settles_to_itself(value: Any) -> None:
    assert settled(AS_EXPECTED, value) == value


@given(
    st.recursive(
        st.one_of(st.none(), st.booleans(), st.integers(), texts, st.binary()),
        lambda x: st.lists(x) | st.dictionaries(texts, x),
    )
)
def test_packing_keeps_json_and_bytes(value: Any) -> None:
    assert unpack(pack(value)) == value


@pytest.mark.parametrize(
    "bad", [math.nan, math.inf, -math.inf, 10**400, "a\0b", "\ud800", {"a": math.nan}, {"a": object()}]
)
def test_what_no_book_can_give_back_is_refused(bad: Any) -> None:
    with pytest.raises(Unsavable):
        encode("jelly_gone", bad)


def test_a_repeated_choice_is_stored_once_and_a_note_by_itself(book: Book) -> None:
    long = "x" * (PHRASE_LIMIT + 1)
    with book.writing():
        words = Dictionary(book.db)
        first = words.cell("moisture", 1, "wet")
        assert words.cell("moisture", 1, "wet") == first == Dictionary(book.db).cell("moisture", 1, "wet")
        notes = {words.cell(NOTE, 0, "wet"), words.cell(NOTE, 0, "wet"), words.cell("smell", 0, long)}
    assert len(notes) == 3
    assert book.rows("SELECT text FROM phrase") == [("wet",)]
    assert sorted(book.rows("SELECT text FROM remark")) == [("wet",), ("wet",), (long,)]


def test_nothing_is_not_zero() -> None:
    assert decode("dead", None, None) is None
    assert decode("dead", 0.0, None) == 0


def test_words_of_a_rolled_back_transaction_are_gone(book: Book) -> None:
    with pytest.raises(Unsavable), book.writing():
        [Dictionary(book.db).cell("moisture", 1, value) for value in ("wet", "a\0b")]
    assert book.rows("SELECT * FROM phrase") == []
