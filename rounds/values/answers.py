"""Answers out of a fixed set: one of some words, yes or no, a sex."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import Literal

from rounds.values import value_sentences as sentences
from rounds.values.unreadable import UnreadableValue

Sex = Literal["m", "f", "unknown"]

YES = ("yes", "y", "true", "1", "ja", "j", "✓")
NO = ("no", "n", "false", "0", "nein")

SEXES: dict[Sex, str] = {
    "m": "m|male|males|männl|männlich|männchen|maennl|maennlich|♂|1.0|1.0.0",
    "f": "f|female|females|w|weibl|weiblich|weibchen|♀|0.1|0.1.0",
    "unknown": "unknown|u|unsexed|unsex|not known|not sexed|undetermined|unbekannt|unbek|?|0.0.1",
}
"""How a sex is written, lower case. ``1.0``, ``0.1`` and ``0.0.1`` are one animal as
males.females.unsexed (common practice, no source)."""

_SEX_OF: dict[str, Sex] = {form: sex for sex, forms in SEXES.items() for form in forms.split("|")}

_NEAR_ENOUGH = 0.6


def parse_word(typed: str, answers: Sequence[str], *, beginnings: bool = False) -> str:
    """One of ``answers``, in any case, with blanks, dashes or underlines between its words.

    Where males and females are among them, also any other way to write a sex. With
    ``beginnings`` also what only one answer begins with. Raises UnreadableValue.
    """
    if typed in answers:
        return typed
    if "m" in answers and "f" in answers:
        return _sex_among(typed, answers)
    low = _folded(typed)
    folded = {answer: _folded(answer) for answer in answers}
    if len(alike := [answer for answer, form in folded.items() if form == low]) == 1:
        return alike[0]
    expected = sentences.one_of(answers)
    begun = [answer for answer, form in folded.items() if form.startswith(low)] if low else []
    if len(alike) > 1 or (beginnings and len(begun) > 1):
        meant = tuple(alike or begun)
        raise UnreadableValue(typed, sentences.several_answers(typed, meant[:3]), expected, meant[:3])
    if beginnings and begun:
        return begun[0]
    near = begun if len(begun) == 1 else _nearest(low, folded)
    raise UnreadableValue(typed, sentences.not_an_answer(typed), expected, tuple(near))


def parse_yes_no(typed: str) -> bool:
    """Yes or no, in English or German, as a digit or a tick. Raises UnreadableValue."""
    if typed in ("yes", "no"):
        return typed == "yes"
    low = typed.strip().casefold()
    if low in YES or low in NO:
        return low in YES
    near = _nearest(low, {answer: answer for answer in (*YES, *NO)})
    suggestions = tuple("yes" if answer in YES else "no" for answer in near)
    raise UnreadableValue(typed, sentences.not_yes_or_no(typed), sentences.EXPECTED_YES_NO, suggestions)


def parse_sex(typed: str) -> Sex:
    """``m``, ``f`` or ``unknown``, from any usual way to write it. Raises UnreadableValue."""
    low = " ".join(typed.casefold().split()).removesuffix(".")
    if low in _SEX_OF:
        return _SEX_OF[low]
    if "?" in low and (sure := _SEX_OF.get(low.strip("?() "))):
        raise UnreadableValue(typed, sentences.unsure_sex(typed), sentences.EXPECTED_SEX, ("unknown", sure))
    near = _nearest(low, {form: form for form in _SEX_OF})
    suggestions = tuple(_SEX_OF[form] for form in near)
    raise UnreadableValue(typed, sentences.not_a_sex(typed), sentences.EXPECTED_SEX, suggestions)


def _sex_among(typed: str, answers: Sequence[str]) -> str:
    """A sex, where only some of them may be answered."""
    try:
        sex = parse_sex(typed)
    except UnreadableValue as e:
        offered = tuple(s for s in e.suggestions if s in answers)
        raise UnreadableValue(typed, e.reason, sentences.one_of(answers), offered) from e
    if sex not in answers:
        raise UnreadableValue(typed, sentences.not_an_answer(typed), sentences.one_of(answers))
    return sex


def _folded(text: str) -> str:
    return " ".join(text.casefold().replace("_", " ").replace("-", " ").split())


def _nearest(low: str, folded: dict[str, str]) -> list[str]:
    close = difflib.get_close_matches(low[:60], folded.values(), n=1, cutoff=_NEAR_ENOUGH)
    return [answer for answer, form in folded.items() if form in close][:1]
