"""Fields of acts: what a keeper types for each, read against the books and checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

from rounds.husbandry.stages import STAGES
from rounds.problems import nearest
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import TABLES, Animal, Enclosure, Place
from rounds.values import spans
from rounds.values.span_parser import parse_day, parse_span
from rounds.values.spans import iso
from rounds.values.unreadable import UnreadableValue

NOT_KNOWN = "not known"
"""The answer to a reference that need not be given: as good as none."""


class Field(NamedTuple):
    """One field of an act.

    ``type`` is a reader below. ``of`` names the table of a ``ref``; ``many`` takes a list
    with commas; ``words`` are a word's fixed answers. ``default`` is the text taken when
    nothing is typed ("" for nothing). ``low`` and ``high`` bound a number. ``past`` is for
    days of what has happened: they cannot be certain to lie ahead. ``label`` is for texts
    that become a name: one line, no commas (which part the names of a list), not endless.
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
    past: bool = False
    label: bool = False


class FieldError(NamedTuple):
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
) -> tuple[dict[str, Any], list[FieldError]]:
    """What was typed, as values by field; every slip at once.

    Days and spans not typed are left None by their reader unless the field's default says
    otherwise (``today``).
    """
    slips = [
        FieldError(
            name, "there is no such field.", nearest(name, [f.name for f in fields]) or _one_of(fields)
        )
        for name in typed
        if all(f.name != name for f in fields)
    ]
    values: dict[str, Any] = {}
    for field in fields:
        text = typed.get(field.name, "").strip() or field.default
        values[field.name] = [] if field.many else None
        if text == NOT_KNOWN and field.type == "ref" and not field.required:
            continue
        if not text:
            if field.required:
                slips.append(FieldError(field.name, "is missing.", f"Expected {field.about}."))
            continue
        parts = [p.strip() for p in text.split(",") if p.strip()] if field.many else [text]
        found = []
        for part in parts:
            try:
                found.append(_one(field, part, ledger, today))
            except _Wrong as e:
                slips.append(FieldError(field.name, e.message, e.hint))
                continue
            if field.many and found[-1] in found[:-1]:
                slips.append(FieldError(field.name, f"{_said(part)} is there twice.", "Name it once."))
        if field.many and not parts:
            slips.append(FieldError(field.name, f"{_said(text)} names nothing.", f"Expected {field.about}."))
        values[field.name] = found if field.many else (found[0] if found else None)
    return values, slips


def _one_of(fields: tuple[Field, ...]) -> str:
    return "Fields: " + ", ".join(f.name for f in fields) + "."


def _said(text: str) -> str:
    """What was typed, quoted; only its beginning when it is long."""
    return f"`{text}`" if len(text) <= 60 else f"`{text[:57]}...`"


def _one(field: Field, text: str, ledger: Ledger, today: int) -> Any:
    match field.type:
        case "text":
            return _text(field, text)
        case "word":
            return _word(text, field.words)
        case "stage":
            return _word(text, STAGES)
        case "yesno":
            return {"yes": True, "no": False}[_word(text, ("yes", "no"))]
        case "span":
            return _not_ahead(field, text, _span(text, today), today)
        case "day":
            day = _day(text, today)
            return _not_ahead(field, text, spans.Span(day, day), today).earliest
        case "whole" | "number":
            return _number(field, text)
        case "counts":
            return counts(text)
        case "ref":
            return ref(field.of, text, ledger)
    raise KeyError(f"no reader for the type {field.type}")


LABEL = 60
"""Characters that a name may have: what still fits on a label and on the screen."""


def _text(field: Field, text: str) -> str:
    """Text as it was typed; only what no book can hold is refused."""
    if "\0" in text:
        raise _Wrong("holds a NUL character, which no text has.", "Type it again without.")
    if any("\ud800" <= c <= "\udfff" for c in text):
        raise _Wrong("holds half a character (a lone surrogate).", "Type it again.")
    if field.label:
        if len(text) > LABEL:
            raise _Wrong(f"{_said(text)} has {len(text)} characters.", f"Expected a name of at most {LABEL}.")
        if "," in text or not text.isprintable():
            raise _Wrong(f"{_said(text)} cannot be a name.", "Expected one line without commas.")
    return text


def _word(text: str, words: tuple[str, ...]) -> str:
    """One of ``words``, whatever the case it is typed in."""
    low = text.casefold()
    for word in words:
        if word.casefold() == low:
            return word
    near = nearest(low, words)
    raise _Wrong(
        f"cannot be {_said(text)}.", f"Expected one of: {', '.join(words)}." + (f" {near}" if near else "")
    )


def _span(text: str, today: int) -> spans.Span:
    try:
        return parse_span(text, today=today)
    except UnreadableValue as e:
        raise _wrong(text, e) from e


def _wrong(text: str, e: UnreadableValue) -> _Wrong:
    reason = e.reason if len(e.reason) <= 120 else f"{_said(text)} cannot be read."
    return _Wrong(reason, f"Expected {e.expected}. {e.hint}".rstrip())


def _not_ahead(field: Field, text: str, span: spans.Span, today: int) -> spans.Span:
    if field.past and span.earliest > today:
        raise _Wrong(
            f"{_said(text)} has not come yet.", f"Expected {field.about}, today ({iso(today)}) or earlier."
        )
    return span


def _day(text: str, today: int) -> int:
    """A single day; ``+14`` counts from today."""
    try:
        return parse_day(text, today=today)
    except UnreadableValue as e:
        raise _wrong(text, e) from e


_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:[.,][0-9]{1,15})?")


def _number(field: Field, text: str) -> float | int:
    """A plain decimal; a comma may stand for the point."""
    if not _NUMBER.fullmatch(text):
        raise _Wrong(f"{_said(text)} is not a number.", f"Expected {field.about}{_range(field)}.")
    value = float(text.replace(",", "."))
    if field.type == "whole" and not value.is_integer():
        raise _Wrong(f"{_said(text)} is not a whole number.", f"Expected {field.about}{_range(field)}.")
    if (field.low is not None and value < field.low) or (field.high is not None and value > field.high):
        raise _Wrong(f"{_said(text)} is outside what is possible.", f"Expected {field.about}{_range(field)}.")
    return int(value) if field.type == "whole" else value


def _range(field: Field) -> str:
    low, high = field.low, field.high
    if low is not None and high is not None:
        return f", {low:g} to {high:g}"
    if low is not None:
        return f", {low:g} or more"
    return f", {high:g} or less" if high is not None else ""


_COUNT = re.compile(r"(?:([0-9]{1,6})\.([0-9]{1,6})\.)?([0-9]{1,6})(\+)?\Z")


def counts(text: str) -> Counts:
    """Read ``1.2.3``, ``12``, ``12+`` or ``at least 12``. Raises ValueError."""
    low = text.casefold().strip()
    least = low.startswith("at least")
    match = _COUNT.match(low.removeprefix("at least").strip())
    if not match:
        raise _Wrong(
            f"{_said(text)} is not a count.",
            "Expected 12, at least 12, or males.females.unsexed such as 1.2.0.",
        )
    males, females, rest, plus = match.groups()
    return Counts(int(males or 0), int(females or 0), int(rest), least or bool(plus))


def ref(table: str, text: str, ledger: Ledger) -> int:
    """The row meant by ``text``, its exact spelling first. Raises ValueError naming the nearest name.

    A pairing or brood may be meant by its name, an enclosure by its code or number, a place
    by its address (B3-2), an animal by LINE/NUMBER.
    """
    if table == "animal":
        return _animal(text, ledger)
    if table == "place":
        names = {place.address: place.id for place in ledger.rows(Place)}
    else:
        of = TABLES[table]
        column = of.column(of.key[0])
        names = {record.value(column): record.id for record in ledger.rows(of)}
    found = _named(text, names)
    if found is None and table == "enclosure" and re.fullmatch("[0-9]{1,9}", text):
        found = next((box.id for box in ledger.rows(Enclosure) if box.number == int(text)), None)
    if found is not None:
        return found
    raise _Wrong(f"there is no {table} {_said(text)}.", nearest(text, names) or _written(table, names))


def _named(text: str, names: Mapping[str, int]) -> int | None:
    if text in names:
        return names[text]
    low = text.casefold()
    alike = [i for name, i in names.items() if name.casefold() == low]
    return alike[0] if len(alike) == 1 else None


def _written(table: str, names: Mapping[str, int]) -> str:
    if table == "place":
        return "Places are written B3-2."
    if not names:
        return f"No {table} is recorded yet."
    some = sorted(names)[:6]
    return f"There are: {', '.join(some)}{' and more' if len(names) > len(some) else ''}."


def _animal(text: str, ledger: Ledger) -> int:
    """``UMBER/3`` or ``UMBER 3``; the number alone when only one line has it."""
    said = re.sub(r"\s*/\s*", "/", text)
    low = said.casefold()
    # Only those whose number ends the text can be meant: there may be ten thousand others.
    ending = [animal for animal in ledger.rows(Animal) if low.endswith(animal.number.casefold())]
    whole = {name_of(ledger, animal): animal.id for animal in ending}
    found = _named(said, whole)
    if found is None and "/" not in said:
        # A number may itself hold blanks, so every blank may be where the line ends.
        parts = (f"{said[: m.start()]}/{said[m.end() :]}" for m in re.finditer(" +", said[:200]))
        found = next((i for i in (_named(p, whole) for p in parts) if i is not None), None)
    if found is not None:
        return found
    bare = {name_of(ledger, animal): animal.id for animal in ending if animal.number.casefold() == low}
    if len(bare) == 1:
        return next(iter(bare.values()))
    if bare:
        raise _Wrong(
            f"several animals have the number {_said(text)}.", f"Say which: {', '.join(sorted(bare))}."
        )
    every = [name_of(ledger, animal) for animal in ledger.rows(Animal)]
    raise _Wrong(
        f"there is no animal {_said(text)}.", nearest(said, every) or "Animals are written LINE/NUMBER."
    )
