"""Fixed answers, yes and no, and sexes."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rounds.values.answers import NO, SEXES, YES, parse_sex, parse_word, parse_yes_no
from rounds.values.unreadable import UnreadableValue

STAGES = ("laying", "keeping", "lost", "as_expected")


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("laying", "laying"),
        (" Laying ", "laying"),
        ("AS expected", "as_expected"),
        ("as-expected", "as_expected"),
    ],
)
def test_answers_in_any_case(typed: str, answer: str) -> None:
    assert parse_word(typed, STAGES) == answer


def test_beginnings_only_where_they_are_taken_and_only_if_they_are_clear() -> None:
    assert parse_word("Lay", STAGES, beginnings=True) == "laying"
    with pytest.raises(UnreadableValue) as e:
        parse_word("Lay", STAGES)
    assert e.value.suggestions == ("laying",)
    with pytest.raises(UnreadableValue) as e:
        parse_word("l", STAGES, beginnings=True)
    assert e.value.reason == "`l` is the beginning of `laying` and `lost`."
    assert e.value.suggestions == ("laying", "lost")


def test_an_answer_is_never_cut_off_by_a_longer_one() -> None:
    assert parse_word("lay", ("lay", "laying"), beginnings=True) == "lay"


def test_an_unknown_answer_names_them_all_and_the_nearest() -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_word("kepeing", STAGES)
    assert str(e.value) == (
        "`kepeing` is not one of the answers. Expected one of: laying, keeping, lost, as_expected. "
        "Did you mean `keeping`?"
    )


@pytest.mark.parametrize("typed", [*YES, "Yes", "JA", " y "])
def test_yes(typed: str) -> None:
    assert parse_yes_no(typed) is True


@pytest.mark.parametrize("typed", [*NO, "No", "NEIN"])
def test_no(typed: str) -> None:
    assert parse_yes_no(typed) is False


def test_neither_yes_nor_no() -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_yes_no("maybe")
    assert e.value.reason == "`maybe` is neither yes nor no."


@pytest.mark.parametrize(
    ("sex", "typed"),
    [
        ("m", "m M male Male männl. männlich Männchen ♂ 1.0"),
        ("f", "f F female w W weibl. weiblich Weibchen ♀ 0.1"),
        ("unknown", "unknown Unknown u ? unsexed unbek. 0.0.1"),
    ],
)
def test_sexes(sex: str, typed: str) -> None:
    assert {parse_sex(form) for form in typed.split()} == {sex}


def test_every_form_means_one_sex() -> None:
    forms = [form for written in SEXES.values() for form in written.split("|")]
    assert len(forms) == len(set(forms))
    assert {sex: parse_sex(sex) for sex in SEXES} == {sex: sex for sex in SEXES}


def test_a_doubted_sex_is_asked_about() -> None:
    with pytest.raises(UnreadableValue) as e:
        parse_sex("f?")
    assert e.value.reason == "`f?` is not sure of the sex."
    assert e.value.suggestions == ("unknown", "f")


@given(st.sampled_from(STAGES), st.integers(0, 2))
def test_each_answer_parses_back(answer: str, case: int) -> None:
    assert parse_word((answer, answer.upper(), answer.title())[case], STAGES) == answer
