"""What a keeper types for a count, or for counts of males, females and unsexed."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import replace

from rounds.values import value_sentences as sentences
from rounds.values.counts import NONE, Count, Counts
from rounds.values.unreadable import UnreadableValue

ABOUT_PERCENT, ABOUT_LEAST = 10, 1
"""``about N`` is N and so many percent less or more (rounded up), but at least so many."""

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


def parse_count(typed: str, *, about_percent: int = ABOUT_PERCENT, about_least: int = ABOUT_LEAST) -> Count:
    """``14``; ``about 20``; ``at least 30``, ``30+`` or ``>29``; ``up to 5`` or ``<6``; ``10-12``.

    ``about`` reaches ``about_percent`` percent of the number to both sides, rounded up, and
    at least ``about_least``. Raises UnreadableValue.
    """
    kept = " ".join(typed.split())
    low = _normalised(typed)
    count = _count(typed, low, about_percent, about_least)
    return count if kept == count.plain_words else replace(count, words=kept)


def parse_counts(typed: str, *, about_percent: int = ABOUT_PERCENT, about_least: int = ABOUT_LEAST) -> Counts:
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
            _count(typed, part or "0", about_percent, about_least, sentences.EXPECTED_COUNTS)
            for part in (males, females, unsexed)
        ]
        if least or more:
            parts[2] = Count(parts[2].low, None)
        counts = Counts(parts[0], parts[1], parts[2])
    else:
        if re.fullmatch(r"[0-9]{1,6}(?:,[0-9]{1,6}){2}\+?", low):
            meant = low.replace(",", ".")
            raise UnreadableValue(typed, sentences.not_a_count(typed), sentences.EXPECTED_COUNTS, (meant,))
        counts = Counts(NONE, NONE, _count(typed, low, about_percent, about_least, sentences.EXPECTED_COUNTS))
    return counts if kept == counts.plain_words else replace(counts, words=kept)


def parse_held_count(typed: str) -> Count:
    """A count as places hold it that have one number and ``at least``: exact, or open upwards.

    Raises UnreadableValue for any other (``about 20``, ``10-12``): kept as one number it would
    be taken for an exact count.
    """
    if typed.isdigit() and typed.isascii() and len(typed) <= len(str(MOST)):
        number = int(typed)
        return Count(number, number)
    try:
        count = parse_count(typed)
    except UnreadableValue as e:
        raise _not_held(e, sentences.EXPECTED_HELD_COUNT, parse_held_count) from e
    _refuse_range(typed, count, str(count.low), sentences.EXPECTED_HELD_COUNT)
    return count


def parse_held_counts(typed: str) -> Counts:
    """Counts by sex as places hold them that have three numbers and one ``at least``.

    Each is exact, or open upwards; then all are so many or more. Raises UnreadableValue.
    """
    try:
        counts = parse_counts(typed)
    except UnreadableValue as e:
        raise _not_held(e, sentences.EXPECTED_HELD_COUNTS, parse_held_counts) from e
    parts = (counts.males, counts.females, counts.unsexed)
    by_sex = counts.males != NONE or counts.females != NONE
    lows = ".".join(str(part.low) for part in parts) if by_sex else str(counts.unsexed.low)
    for part in parts:
        _refuse_range(typed, part, lows, sentences.EXPECTED_HELD_COUNTS)
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


def _refuse_range(typed: str, count: Count, lowest: str, expected: str) -> None:
    if not count.exact and not count.open:
        meant = (f"at least {lowest}",) if lowest.strip("0.") else ()
        raise UnreadableValue(typed, sentences.count_not_held(typed), expected, meant)


def _normalised(typed: str) -> str:
    return " ".join(typed.translate(_DASHES).casefold().split())


def _count(typed: str, low: str, percent: int, least: int, expected: str = sentences.EXPECTED_COUNT) -> Count:
    """The count ``low`` says, without its words."""
    count = _any_count(typed, low, percent, least, expected)
    if max(count.low, count.high or 0) > MOST:
        raise UnreadableValue(typed, sentences.count_too_large(MOST), expected)
    return count


def _any_count(typed: str, low: str, percent: int, least: int, expected: str) -> Count:
    if match := re.fullmatch(_PLAIN, low):
        number = int(match[1])
        return Count(number, number)
    if match := re.fullmatch(_NEAR, low):
        number = int(match[1])
        reach = max(least, -(-number * percent // 100))
        return Count(max(0, number - reach), number + reach)
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
    raise UnreadableValue(typed, sentences.not_a_count(typed), expected, _nearest(low, percent, least))


def _number(match: re.Match[str]) -> int:
    return next(int(group) for group in match.groups() if group is not None)


def _nearest(low: str, percent: int, least: int) -> tuple[str, ...]:
    """The one number in a text that is no count otherwise (``14 larvae``, ``abuot 20``), if there is just one."""
    found = re.findall(r"-?[0-9.,]+", low)
    if len(found) != 1 or not re.fullmatch(_PLAIN, found[0]):
        return ()
    head = low[: low.index(found[0])].strip()
    near = difflib.get_close_matches(head[:30], _HEADS, n=1, cutoff=0.6) if head else []
    meant = f"{near[0]} {found[0]}" if near else found[0]
    try:
        _count(low, meant, percent, least)
    except UnreadableValue:
        return ()
    return (meant,)
