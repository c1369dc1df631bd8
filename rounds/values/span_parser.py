"""What a keeper types for a date or a stretch of time, as a :class:`rounds.values.spans.Span`.

With D one date in any form of :mod:`rounds.values.dates`::

    D               before D        between D and D      unknown
    about D, ~D     after D         D to D, D..D         (nothing)
    since D         until D         D.., ..D             2026-03-01/2026-03-05 (ISO 8601)

``before`` and ``after`` do not hold the day (month, ...) named; all others do. Words are
kept as they were typed, except those that mean other days tomorrow (``3 days ago``) or in
another setting (``05/06/2026``): these become ISO days.
"""

from __future__ import annotations

import re
from datetime import date
from functools import lru_cache

from rounds.values import value_sentences as sentences
from rounds.values.date_order import DateOrder
from rounds.values.dates import MONTH_NUMBERS, SEASON_NAMES, Setting, parse_date
from rounds.values.periods import ABOUT, Period
from rounds.values.spans import FIRST, LAST, UNKNOWN, Span, iso, moved, plain_words
from rounds.values.unreadable import UnreadableValue

LONGEST = 100
"""Characters that any form of a date may have; the words kept beside an ISO interval do not count."""

_from_iso = date.fromisoformat
"""Bound once: looking it up on each call costs a quarter of reading the day."""

_DASHES = str.maketrans({"\u2010": "-", "\u2011": "-", "\u2212": "-", "\u2013": " - ", "\u2014": " - "})
_ISO_DAY = r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
_INTERVAL = re.compile(rf"({_ISO_DAY}|\.\.)/({_ISO_DAY}|\.\.)(?: (.*))?", re.DOTALL)
_HEAD = re.compile(
    r"(before|after|since|until|about|around|circa|approximately)(?: (.*))?|(approx\.?|ca\.?|c\.|~) ?(.*)",
    re.DOTALL,
)
_JOINTS = (" to ", " - ", "..", " .. ")
_KEYWORDS = ("before", "after", "between", "about", "since", "until", "unknown", "to", "and", "week", "ago")


def parse_day(
    typed: str,
    *,
    today: int | None = None,
    order: DateOrder = DateOrder.UNSETTLED,
    digits_are_days_ago: bool = False,
) -> int:
    """One day, as its ordinal. Raises UnreadableValue, also for what is more than a day."""
    if len(typed) == 10:  # an ISO day, as tables have them by the hundred thousand
        try:
            return _from_iso(typed).toordinal()
        except ValueError:
            pass  # another form of ten characters
    setting = Setting(today, order, digits_are_days_ago=digits_are_days_ago)
    expected = sentences.EXPECTED_DAY if today is None else sentences.EXPECTED_DAY_FROM_TODAY
    try:
        span = _parse(typed, setting)
    except UnreadableValue as e:
        days = tuple(s for s in e.suggestions if _parse(s, setting).exact)
        raise UnreadableValue(typed, e.reason, expected, days, "" if days != e.suggestions else e.hint) from e
    if not span.exact:
        missing = not typed.strip()
        reason = sentences.date_missing() if missing else sentences.more_than_a_day(typed.strip())
        raise UnreadableValue(typed, reason, expected)
    return span.earliest


def parse_span(
    typed: str,
    *,
    today: int | None = None,
    order: DateOrder = DateOrder.UNSETTLED,
    southern: bool = False,
    digits_are_days_ago: bool = False,
) -> Span:
    """The days that a text means. Nothing typed is an unknown span without words.

    Without ``today`` (an ordinal) words that depend on it are refused. ``order`` settles
    dates such as 05/06/2026, ``southern`` puts seasons where they are south of the
    equator, and with ``digits_are_days_ago`` a number of up to three digits alone is so
    many days before today. Raises UnreadableValue.
    """
    if len(typed) == 10:
        try:
            return _iso_span(typed)
        except ValueError:
            pass  # another form of ten characters
    return _parse(typed, Setting(today, order, southern, digits_are_days_ago))


@lru_cache(maxsize=4096)
def _iso_span(typed: str) -> Span:
    """A day in ISO form. Tables repeat their days: remembering them is five times as fast as a new span.

    Raises ValueError for anything else; a week date (``2026-W45-3``) is kept in words.
    """
    day = _from_iso(typed).toordinal()
    return Span(day, day, typed if typed[5] == "W" else "")


def _parse(typed: str, setting: Setting) -> Span:
    kept = typed.strip()
    interval = _INTERVAL.fullmatch(typed.lstrip()) or _INTERVAL.fullmatch(kept)  # its words keep their blanks
    low = kept if interval else " ".join(kept.translate(_DASHES).lower().split())
    try:
        if interval:
            return _interval(interval, setting)
        if len(low) > LONGEST:
            raise UnreadableValue(typed, sentences.not_a_date(typed), sentences.EXPECTED_SPAN)
        return _span(low, kept, setting)
    except UnreadableValue as e:
        suggestions = _whole(low, e, setting) or _nearest(low, setting)
        hint = "" if suggestions or e.hint == sentences.did_you_mean(e.suggestions) else e.hint
        raise UnreadableValue(typed, e.reason, sentences.EXPECTED_SPAN, suggestions, hint) from e


def _span(low: str, kept: str, setting: Setting) -> Span:
    if not low:
        return Span(FIRST, LAST)
    if low == "unknown":
        return UNKNOWN._replace(words=kept)
    if match := _HEAD.fullmatch(low):
        return _with_head(match[1] or "about", (match[2] if match[1] else match[4]) or "", kept, setting)
    if low.startswith("between "):
        first, found, second = low.removeprefix("between ").partition(" and ")
        if not found:
            raise UnreadableValue(low, sentences.one_date_only(low), sentences.EXPECTED_SPAN)
        return _two(first, second, kept, setting)
    for joint in _JOINTS:
        first, found, second = low.removeprefix("from ").partition(joint)
        if found:
            return _two(first.strip(), second.strip(), kept, setting, open_ends=".." in joint)
    period = parse_date(low, setting)
    plain = period.grain == "day" and (not period.standing or kept == iso(period.earliest))
    return Span(period.earliest, period.latest, "" if plain or not period.standing else kept)


def _with_head(head: str, rest: str, kept: str, setting: Setting) -> Span:
    period = parse_date(rest, setting)
    earliest, latest, grain, standing = period
    match head:
        case "before":
            if earliest <= FIRST:
                raise UnreadableValue(rest, sentences.nothing_before(rest), sentences.EXPECTED_SPAN)
            span = Span(FIRST, earliest - 1, kept)
        case "after":
            if latest >= LAST:
                raise UnreadableValue(rest, sentences.nothing_after(rest), sentences.EXPECTED_SPAN)
            span = Span(latest + 1, LAST, kept)
        case "since":
            span = Span(earliest, LAST, kept)
        case "until":
            span = Span(FIRST, latest, kept)
        case _:
            span = Span(max(FIRST, earliest - ABOUT[grain]), min(LAST, latest + ABOUT[grain]), kept)
            if not standing and grain == "day":
                return span._replace(words=f"about {iso(earliest)}")
    return span if standing else span._replace(words="")


def _two(first: str, second: str, kept: str, setting: Setting, *, open_ends: bool = False) -> Span:
    if open_ends and not (first and second):
        start = parse_date(first, setting) if first else None
        end = parse_date(second, setting) if second or not first else None
        low, high = (start.earliest if start else FIRST), (end.latest if end else LAST)
        standing = (start or end or Period(FIRST, LAST, "day")).standing
        return Span(low, high, kept if standing else "")
    end = parse_date(second, setting)
    try:
        start = parse_date(first, setting)
    except UnreadableValue:
        completed = _borrowed(first, second, setting)
        if completed is None:
            raise
        start = completed
    if start.earliest > end.earliest or start.latest > end.latest:
        reason = sentences.runs_backwards(first, second)
        raise UnreadableValue(
            "", reason, sentences.EXPECTED_SPAN, (f"{second} to {first}",), sentences.earlier_first()
        )
    return Span(start.earliest, end.latest, kept if start.standing and end.standing else "")


def _borrowed(first: str, second: str, setting: Setting) -> Period | None:
    """``3`` or ``3 March`` before ``to 5 March 2026``: what it lacks is taken from the second date."""
    pieces = second.split(" ")
    for taken in range(1, len(pieces)):
        try:
            return parse_date(" ".join([first, *pieces[-taken:]]), setting)
        except UnreadableValue:
            continue
    return None


def _interval(match: re.Match[str], setting: Setting) -> Span:
    ends = [None if end == ".." else parse_date(end, setting).earliest for end in (match[1], match[2])]
    low, high = FIRST if ends[0] is None else ends[0], LAST if ends[1] is None else ends[1]
    if low > high:
        reason = sentences.runs_backwards(match[1], match[2])
        raise UnreadableValue("", reason, sentences.EXPECTED_SPAN, (f"{match[2]}/{match[1]}",))
    return Span(low, high, match[3] or "")


def interval_text(span: Span) -> str:
    """A span as an ISO 8601 interval with its words behind, which parses back to exactly this span.

    ``2026-03-01/2026-03-05``; ``..`` is an open end. For words that would be read as other days.
    """
    low = ".." if span.earliest <= FIRST else iso(span.earliest)
    high = ".." if span.latest >= LAST else iso(span.latest)
    return f"{low}/{high} {span.words}" if span.words else f"{low}/{high}"


def shifted(span: Span, days: int) -> Span:
    """The same span ``days`` later, for showing a recorded year as if it were this one.

    ISO days in the words move along; words with any other date in them have no equal on the
    other side and are replaced by plain ones. Open ends stay open.
    """
    after = Span(moved(span.earliest, days), moved(span.latest, days))
    if not span.words or not days:
        return after._replace(words=span.words)
    later = re.sub(rf"(?<![0-9-]){_ISO_DAY}(?![0-9-])", lambda m: _iso_later(m[0], days), span.words)
    try:
        again = parse_span(later)
    except UnreadableValue:
        again = UNKNOWN
    same = (again.earliest, again.latest) == (after.earliest, after.latest)
    return after._replace(words=later if same else "" if after.exact else plain_words(after))


def _iso_later(day: str, days: int) -> str:
    try:
        return iso(date.fromisoformat(day).toordinal() + days)
    except (ValueError, OverflowError):
        return day


def _whole(low: str, e: UnreadableValue, setting: Setting) -> tuple[str, ...]:
    """What the failed date might have meant, put back into the words around it."""
    if e.text == low or not e.text:
        return tuple(s for s in e.suggestions if _parses(s, setting))
    candidates = (low.replace(e.text, s, 1) for s in e.suggestions)
    return tuple(s for s in candidates if _parses(s, setting))


def _nearest(low: str, setting: Setting) -> tuple[str, ...]:
    """The text with its first unknown word replaced by the nearest known one, or without a time of day."""
    import difflib

    if (day := re.match(rf"({_ISO_DAY})[t ][0-9]{{1,2}}:", low)) and _parses(day[1], setting):
        return (day[1],)
    known = (*_KEYWORDS, *MONTH_NUMBERS, *SEASON_NAMES, "today", "yesterday", "early", "late", "mid")
    for odd in re.findall(r"[a-zäöü]+", low[:LONGEST]):
        if odd not in known:
            for near in difflib.get_close_matches(odd, known, n=3, cutoff=0.6):
                if _parses(mended := low.replace(odd, near, 1), setting):
                    return (mended,)
            break
    return ()


def _parses(text: str, setting: Setting) -> bool:
    interval = _INTERVAL.fullmatch(text)
    if len(text) > LONGEST and not interval:
        return False
    try:
        _interval(interval, setting) if interval else _span(text, text, setting)
    except UnreadableValue:
        return False
    return True
