"""What a keeper types for a count, or for counts of males, females and unsexed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import replace

from rounds.values import value_sentences as sentences
from rounds.values.counts import NONE, Count, Counts
from rounds.values.rough_width import USUAL, RoughWidth
from rounds.values.unreadable import UnreadableValue

MOST = 999_999

_HEADS = ("about", "around", "at least", "at most", "up to", "more than", "less than", "fewer than")
"""Words before a number, to find the one that was meant."""

_N = r"([0-9]{1,9})"
_ABOUT = r"(?:~|≈|(?:about|around|approximately|roughly|circa|etwa|ungefähr|approx\.?|ca\.?|c\.)(?![a-z]))"
_AT_LEAST = r"(?:>=|=>|≥|(?:at least|minimum|mindestens|min\.?|mind\.?)(?![a-z]))"
_AT_MOST = r"(?:<=|=<|≤|(?:at most|up to|maximum|höchstens|max\.?|bis)(?![a-z]))"
_MORE = r"(?:>|(?:more than|over|mehr als|über)(?![a-z]))"
_FEWER = r"(?:<|(?:less than|fewer than|under|weniger als|unter)(?![a-z]))"
_DASHES = str.maketrans({"\u2010": "-", "\u2011": "-", "\u2012": "-", "\u2013": "-", "\u2014": "-"})

# Compiled when they are first needed: a start must not wait for them.
_PLAIN = _N
_NEAR = rf"{_ABOUT} ?{_N}"
_LOWEST = rf"{_AT_LEAST} ?{_N} ?\+?|{_N} ?\+|{_N} (?:or|and) more"
_HIGHEST = rf"{_AT_MOST} ?{_N}|{_N} or (?:less|fewer)"
_ABOVE = rf"{_MORE} ?{_N}"
_BELOW = rf"{_FEWER} ?{_N}"
_RANGE = rf"(?:from )?{_N} ?(?:-|\.\.| to ) ?{_N}|between {_N} and {_N}"

_PART = r"([0-9]{1,9}\+|[0-9]{1,9}-[0-9]{1,9}|[0-9]{1,9})"
_BY_SEX = rf"({_AT_LEAST} ?)?{_PART}\.{_PART}(?:\.(~?{_PART}))?( ?\+)?"
_ONLY_DIGITS = r"[0-9]{10,}"


def parse_count(typed: str, about: RoughWidth = USUAL) -> Count:
    """``14``; ``about 20``; ``at least 30``, ``30+`` or ``>29``; ``up to 5`` or ``<6``; ``10-12``.

    A rough number reaches as far to both sides as ``about`` says, but never down to none.
    Raises UnreadableValue.
    """
    kept = " ".join(typed.split())
    low = _normalised(typed)
    count = _count(typed, low, about)
    return count if kept == count.plain_words else replace(count, words=kept)


def parse_counts(typed: str, about: RoughWidth = USUAL) -> Counts:
    """``1.2.3``, males.females.unsexed, or a count of unsexed ones in any form of :func:`parse_count`.

    ``1.2`` leaves out the unsexed (common practice, no source). ``at least 1.2.3`` and
    ``1.2.3+`` say that there may be more; those nobody has seen are unsexed. Raises
    UnreadableValue.
    """
    kept, low = " ".join(typed.split()), _normalised(typed)
    if match := re.fullmatch(_BY_SEX, low):
        least, males, females, unsexed, _, more = match.groups()
        if unsexed is None and re.fullmatch(r"[0-9]{3}", females) and re.fullmatch(r"[1-9][0-9]{0,2}", males):
            suggestions = (f"{males}{females}", f"{males}.{females}.0")
            raise UnreadableValue(
                typed, sentences.pair_or_thousands(typed), sentences.EXPECTED_COUNTS, suggestions
            )
        parts = [
            _count(typed, part or "0", about, sentences.EXPECTED_COUNTS) for part in (males, females, unsexed)
        ]
        if least or more:
            parts[2] = Count(parts[2].low, None)
        counts = Counts(parts[0], parts[1], parts[2])
    else:
        if re.fullmatch(r"[0-9]{1,6}(?:,[0-9]{1,6}){2}\+?", low):
            meant = low.replace(",", ".")
            raise UnreadableValue(typed, sentences.not_a_count(typed), sentences.EXPECTED_COUNTS, (meant,))
        counts = Counts(NONE, NONE, _count(typed, low, about, sentences.EXPECTED_COUNTS))
    return counts if kept == counts.plain_words else replace(counts, words=kept)


def parse_held_count(typed: str, about: RoughWidth = USUAL) -> Count:
    """A count as the books hold it: exact, open upwards, or rough with at least one.

    Raises UnreadableValue, also for ``up to 5``: whether there is any at all would be open.
    """
    if typed.isdigit() and typed.isascii() and len(typed) <= len(str(MOST)):
        number = int(typed)
        return Count(number, number)
    try:
        count = parse_count(typed, about)
    except UnreadableValue as e:
        raise _not_held(e, sentences.EXPECTED_HELD_COUNT, parse_held_count) from e
    _refuse_perhaps_none(typed, count, sentences.EXPECTED_HELD_COUNT)
    return count


def parse_held_counts(typed: str, about: RoughWidth = USUAL) -> Counts:
    """Counts by sex as the books hold them: three numbers, of which the unsexed may be rough.

    Each may be open upwards; then all are so many or more. Raises UnreadableValue.
    """
    try:
        counts = parse_counts(typed, about)
    except UnreadableValue as e:
        raise _not_held(e, sentences.EXPECTED_HELD_COUNTS, parse_held_counts) from e
    if counts.males.rough or counts.females.rough:
        raise UnreadableValue(typed, sentences.sexed_but_rough(typed), sentences.EXPECTED_HELD_COUNTS)
    if counts.unsexed.rough and (counts.males.open or counts.females.open):
        raise UnreadableValue(typed, sentences.open_and_rough(typed), sentences.EXPECTED_HELD_COUNTS)
    _refuse_perhaps_none(typed, counts.unsexed, sentences.EXPECTED_HELD_COUNTS)
    return counts


def _not_held(e: UnreadableValue, expected: str, parse: Callable[[str], Count | Counts]) -> UnreadableValue:
    """The same refusal, with only those suggestions that can be held."""
    suggestions = []
    for meant in e.suggestions:
        try:
            parse(meant)
        except UnreadableValue:
            continue
        suggestions.append(meant)
    return UnreadableValue(e.text, e.reason, expected, tuple(suggestions))


def _refuse_perhaps_none(typed: str, count: Count, expected: str) -> None:
    if count.rough and count.low == 0:
        meant = () if count.high is None else (f"1-{count.high}",)
        raise UnreadableValue(
            typed, sentences.perhaps_none(typed), expected, meant if count.high != 1 else ("1",)
        )


def _normalised(typed: str) -> str:
    return " ".join(typed.translate(_DASHES).casefold().split())


def _count(typed: str, low: str, about: RoughWidth, expected: str = sentences.EXPECTED_COUNT) -> Count:
    """The count ``low`` says, without its words."""
    count = _any_count(typed, low, about, expected)
    if max(count.low, count.high or 0) > MOST:
        raise UnreadableValue(typed, sentences.count_too_large(MOST), expected)
    return count


def _any_count(typed: str, low: str, about: RoughWidth, expected: str) -> Count:
    if match := re.fullmatch(_PLAIN, low):
        number = int(match[1])
        return Count(number, number)
    if match := re.fullmatch(_NEAR, low):
        number = int(match[1])
        reach = max(about.least, -(-number * about.percent // 100))
        return Count(max(min(number, 1), number - reach), number + reach)
    if match := re.fullmatch(_LOWEST, low):
        return Count(_number(match), None)
    if match := re.fullmatch(_HIGHEST, low):
        return Count(0, _number(match))
    if match := re.fullmatch(_ABOVE, low):
        return Count(_number(match) + 1, None)
    if match := re.fullmatch(_BELOW, low):
        if not _number(match):
            raise UnreadableValue(typed, sentences.nothing_below_nought(typed), expected, ("0",))
        return Count(0, _number(match) - 1)
    if match := re.fullmatch(_RANGE, low):
        first, second = (int(group) for group in match.groups() if group is not None)
        if first > second:
            suggestions = (f"{second}-{first}",) if first <= MOST else ()
            raise UnreadableValue(typed, sentences.count_backwards(typed), expected, suggestions)
        return Count(first, second)
    if re.fullmatch(_ONLY_DIGITS, low):
        raise UnreadableValue(typed, sentences.count_too_large(MOST), expected)
    raise UnreadableValue(typed, sentences.not_a_count(typed), expected, _nearest(low, about))


def _number(match: re.Match[str]) -> int:
    return next(int(group) for group in match.groups() if group is not None)


def _nearest(low: str, about: RoughWidth) -> tuple[str, ...]:
    """The one number in a text that is no count otherwise (``14 larvae``, ``abuot 20``), if there is just one."""
    found = re.findall(r"-?[0-9.,]+", low)
    if len(found) != 1 or not re.fullmatch(_PLAIN, found[0]):
        return ()
    head = low[: low.index(found[0])].strip()
    near = difflib.get_close_matches(head[:30], _HEADS, n=1, cutoff=0.6) if head else []
    meant = f"{near[0]} {found[0]}" if near else found[0]
    try:
        _count(low, meant, about)
    except UnreadableValue:
        return ()
    return (meant,)
