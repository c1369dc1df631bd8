"""Fields of acts: what a keeper types for each, read against the books and checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from rounds.husbandry import spans
from rounds.husbandry.ledger import Ledger
from rounds.husbandry.stages import STAGES
from rounds.problems import nearest


class Field(NamedTuple):
    """One field of an act.

    ``type`` is a reader below. ``of`` names the table of a ``ref``; ``many`` takes a list
    with commas; ``words`` are a word's fixed answers. ``default`` is the text taken when
    nothing is typed ("" for nothing).
    """

    name: str
    type: str
    about: str
    required: bool = False
    of: str = ""
    many: bool = False
    words: tuple[str, ...] = ()
    default: str = ""
    low: float | None = None
    high: float | None = None


class Slip(NamedTuple):
    """One thing wrong with what was typed for an act."""

    field: str
    message: str
    hint: str = ""

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" + (f" {self.hint}" if self.hint else "")


class Counts(NamedTuple):
    """``1.2.3`` (males.females.unsexed) or ``12``; ``at least 12`` and ``12+`` are lower bounds."""

    males: int
    females: int
    unsexed: int
    at_least: bool = False

    @property
    def total(self) -> int:
        return self.males + self.females + self.unsexed


class _Wrong(ValueError):
    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message, self.hint = message, hint


def read(
    fields: tuple[Field, ...], typed: Mapping[str, str], ledger: Ledger, today: int
) -> tuple[dict[str, Any], list[Slip]]:
    """What was typed, as values by field; every slip at once.

    Days and spans not typed are left None by their reader unless the field's default says
    otherwise (``today``).
    """
    slips = [
        Slip(name, "there is no such field.", nearest(name, [f.name for f in fields]) or _one_of(fields))
        for name in typed
        if all(f.name != name for f in fields)
    ]
    values: dict[str, Any] = {}
    for field in fields:
        text = typed.get(field.name, "").strip() or field.default
        values[field.name] = [] if field.many else None
        if not text:
            if field.required:
                slips.append(Slip(field.name, "is missing.", f"Expected {field.about}."))
            continue
        parts = [p.strip() for p in text.split(",") if p.strip()] if field.many else [text]
        found = []
        for part in parts:
            try:
                found.append(_one(field, part, ledger, today))
            except _Wrong as e:
                slips.append(Slip(field.name, e.message, e.hint))
        values[field.name] = found if field.many else (found[0] if found else None)
    return values, slips


def _one_of(fields: tuple[Field, ...]) -> str:
    return "Fields: " + ", ".join(f.name for f in fields) + "."


def _one(field: Field, text: str, ledger: Ledger, today: int) -> Any:
    match field.type:
        case "text":
            return text
        case "word":
            return _word(text, field.words)
        case "stage":
            return _word(text, STAGES)
        case "yesno":
            return {"yes": True, "no": False}[_word(text, ("yes", "no"))]
        case "span":
            return _span(text, today)
        case "day":
            return _day(text, today)
        case "whole" | "number":
            return _number(field, text)
        case "counts":
            return counts(text)
        case "ref":
            return ref(field.of, text, ledger)
    raise KeyError(f"no reader for the type {field.type}")


def _word(text: str, words: tuple[str, ...]) -> str:
    low = text.casefold()
    if low in words:
        return low
    near = nearest(low, words)
    raise _Wrong(f"cannot be `{text}`.", near or "Expected one of: " + ", ".join(words) + ".")


def _span(text: str, today: int) -> spans.Span:
    relative = {"today": 0, "yesterday": -1}
    if text.casefold() in relative:
        day = today + relative[text.casefold()]
        return spans.Span(day, day)
    try:
        return spans.parse(text)
    except spans.SpanError as e:
        near = f" Did you mean `{e.near}`?" if e.near else ""
        raise _Wrong(f"{e.what}.", f"Expected {e.expected}.{near}") from e


def _day(text: str, today: int) -> int:
    """A single day; ``+14`` counts from today."""
    if re.fullmatch(r"\+\d{1,4}", text):
        return today + int(text)
    found = _span(text, today)
    if not found.exact:
        raise _Wrong(f"`{text}` is not one day.", "Expected a day (2026-03-01) or days from today (+14).")
    return found.earliest


def _number(field: Field, text: str) -> float | int:
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise _Wrong(f"`{text}` is not a number.", f"Expected {field.about}.") from None
    if field.type == "whole" and (value != int(value) or abs(value) > 1e9):
        raise _Wrong(f"`{text}` is not a whole number.", f"Expected {field.about}.")
    low, high = field.low, field.high
    if (
        not (value == value and abs(value) != float("inf"))
        or (low is not None and value < low)
        or (high is not None and value > high)
    ):
        span = (
            f"{low:g} to {high:g}"
            if low is not None and high is not None
            else f"at least {low:g}"
            if low is not None
            else "a number"
        )
        raise _Wrong(f"`{text}` is outside what is possible.", f"Expected {span}.")
    return int(value) if field.type == "whole" else value


_COUNT = re.compile(r"(?:(\d{1,6})\.(\d{1,6})\.)?(\d{1,6})(\+)?\Z")


def counts(text: str) -> Counts:
    """Read ``1.2.3``, ``12``, ``12+`` or ``at least 12``. Raises ValueError."""
    low = text.casefold().strip()
    least = low.startswith("at least")
    match = _COUNT.match(low.removeprefix("at least").strip())
    if not match:
        raise _Wrong(
            f"`{text}` is not a count.", "Expected 12, at least 12, or males.females.unsexed such as 1.2.0."
        )
    males, females, rest, plus = match.groups()
    return Counts(int(males or 0), int(females or 0), int(rest), least or bool(plus))


def ref(table: str, text: str, ledger: Ledger) -> int:
    """The row meant by ``text``. Raises ValueError naming the nearest name."""
    if table == "animal":
        return _animal(text, ledger)
    if table == "enclosure" and text.isdecimal():
        found = next((i for i, r in ledger.rows("enclosure") if r["number"] == int(text)), None)
        if found is not None:
            return found
    if table == "place":
        return _place(text, ledger)
    name = {"enclosure": "code"}.get(table, "name")
    wanted = text.casefold()
    names = {str(r[name]): i for i, r in ledger.rows(table)}
    for known, i in names.items():
        if known.casefold() == wanted:
            return i
    raise _Wrong(f"there is no {table} `{text}`.", nearest(text, names) or "")


def _animal(text: str, ledger: Ledger) -> int:
    """``UMBER/3`` or ``UMBER 3``; the number alone when only one line has it."""
    line, sep, number = text.partition("/")
    if not sep:
        line, _, number = text.rpartition(" ")
    found = [
        (i, str(ledger.row("line", r["line"])["name"]))
        for i, r in ledger.rows("animal")
        if str(r["number"]) == number.strip()
    ]
    mine = [i for i, name in found if not line or name.casefold() == line.strip().casefold()]
    if len(mine) == 1:
        return mine[0]
    if mine:
        which = ", ".join(f"{name}/{number.strip()}" for _, name in found)
        raise _Wrong(f"several animals have the number `{text}`.", f"Say which: {which}.")
    every = [f"{ledger.row('line', r['line'])['name']}/{r['number']}" for _, r in ledger.rows("animal")]
    raise _Wrong(f"there is no animal `{text}`.", nearest(text, every) or "Animals are written LINE/NUMBER.")


def _place(text: str, ledger: Ledger) -> int:
    match = re.fullmatch(r"([^\d\s]+)(\d{1,3})-(\d{1,3})", text)
    names = {f"{r['bay']}{r['shelf']}-{r['slot']}": i for i, r in ledger.rows("place")}
    for known, i in names.items():
        if match and known.casefold() == text.casefold():
            return i
    raise _Wrong(f"there is no place `{text}`.", nearest(text, names) or "Places are written B3-2.")
