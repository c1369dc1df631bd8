"""Fields of acts: what a keeper types for each, read against the books and checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from rounds.acts import field_sentences as sentences
from rounds.acts.card_sentences import question_of
from rounds.husbandry.stages import STAGES
from rounds.named_tuple import NamedTuple
from rounds.problems import Refusal, Unsaid, nearest
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of, table_word
from rounds.records.tables import TABLES, Animal, Enclosure, Place
from rounds.text.cleaning import day_and_year
from rounds.values import spans
from rounds.values.answers import parse_word, parse_yes_no
from rounds.values.count_parser import parse_held_counts
from rounds.values.numbers import parse_decimal, parse_whole
from rounds.values.rough_width import USUAL, RoughWidth
from rounds.values.span_parser import parse_day, parse_span
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
    unsaid: bool = False
    """Nothing is wrong but that the field was not given, though it is needed as things are."""

    @classmethod
    def of(cls, field: str, refusal: Refusal) -> FieldError:
        """What is wrong with a field, in the sentence for it."""
        return cls(field, *refusal, unsaid=isinstance(refusal, Unsaid))

    def __str__(self) -> str:
        return f"{self.field}: {self.message}" + (f" {self.hint}" if self.hint else "")


class Counts(NamedTuple):
    """``1.2.3`` (males.females.unsexed) or ``12``; ``at least 12`` and ``12+`` are lower bounds.

    Of a rough count (``~12``) ``unsexed`` is the fewest, ``high`` the most, and ``words`` are those
    typed; it is ``at_least`` too, so that nothing takes it for an exact one.
    """

    males: int
    females: int
    unsexed: int
    at_least: bool = False
    high: int | None = None
    words: str = ""

    @property
    def total(self) -> int:
        return self.males + self.females + self.unsexed

    @property
    def most(self) -> int | None:
        """The most there can be of all; None where nobody knows."""
        if not self.at_least:
            return self.total
        return None if self.high is None else self.males + self.females + self.high


class FieldRefused(ValueError):
    """What was typed for one field cannot be used: why, and what would work."""

    def __init__(self, refusal: Refusal) -> None:
        super().__init__(refusal.message)
        self.refusal = refusal

    @property
    def hint(self) -> str:
        return self.refusal.hint


def read(
    fields: tuple[Field, ...],
    typed: Mapping[str, str],
    ledger: Ledger,
    today: int,
    about: RoughWidth = USUAL,
    act: str = "",
) -> tuple[dict[str, Any], list[FieldError]]:
    """What was typed, as values by field; every slip at once. ``act`` is the one the fields belong to.

    Days and spans not typed are left None by their reader unless the field's default says
    otherwise (``today``).
    """
    names = tuple(f.name for f in fields)
    slips = [
        FieldError.of(name, sentences.no_such_field(nearest(name, names), names))
        for name in typed
        if name not in names
    ]
    values: dict[str, Any] = {}
    for field in fields:
        text = typed.get(field.name, "").strip() or field.default
        values[field.name] = [] if field.many else None
        if text == NOT_KNOWN and field.type == "ref" and not field.required:
            continue
        if not text:
            if field.required:
                slips.append(
                    FieldError.of(
                        field.name,
                        sentences.missing(
                            question_of(act, field.name) or f"It asks for: {field.about}.", field.words
                        ),
                    )
                )
            continue
        parts = [p.strip() for p in text.split(",") if p.strip()] if field.many else [text]
        found = []
        for part in parts:
            try:
                found.append(_one(field, part, ledger, today, about))
            except FieldRefused as e:
                slips.append(FieldError.of(field.name, e.refusal))
            except UnreadableValue as e:
                slips.append(FieldError.of(field.name, sentences.unreadable(e.reason, e.expected, e.hint)))
            else:
                if field.many and found[-1] in found[:-1]:
                    slips.append(FieldError.of(field.name, sentences.there_twice(part)))
        if field.many and not parts:
            slips.append(FieldError.of(field.name, sentences.names_nothing(text, field.about)))
        values[field.name] = found if field.many else (found[0] if found else None)
    return values, slips


def _one(field: Field, text: str, ledger: Ledger, today: int, about: RoughWidth) -> Any:
    match field.type:
        case "text":
            return _text(field, text)
        case "word":
            return parse_word(text, field.words)
        case "stage":
            return parse_word(text, STAGES)
        case "yesno":
            return parse_yes_no(text)
        case "span":
            return _not_ahead(field, text, parse_span(text, today=today), today)
        case "day":
            day = parse_day(text, today=today)
            return _not_ahead(field, text, spans.Span(day, day), today).earliest
        case "whole":
            return parse_whole(text, low=field.low, high=field.high, what=field.about)
        case "number":
            return parse_decimal(text, low=field.low, high=field.high, what=field.about)
        case "counts":
            return counts(text, about)
        case "ref":
            return ref(field.of, text, ledger)
    raise KeyError(f"no reader for the type {field.type}")


LABEL = 60
"""Characters that a name may have: what still fits on a label and on the screen."""


def _text(field: Field, text: str) -> str:
    """Text as it was typed; only what no book can hold is refused."""
    if "\0" in text:
        raise FieldRefused(sentences.HOLDS_NUL)
    if any("\ud800" <= c <= "\udfff" for c in text):
        raise FieldRefused(sentences.HOLDS_HALF_A_CHARACTER)
    if field.label:
        if len(text) > LABEL:
            raise FieldRefused(sentences.too_long_for_a_name(text, LABEL))
        if "," in text or not text.isprintable():
            raise FieldRefused(sentences.no_name(text))
    return text


def _not_ahead(field: Field, text: str, span: spans.Span, today: int) -> spans.Span:
    if field.past and span.earliest > today:
        raise FieldRefused(sentences.not_come_yet(text, day_and_year(today)))
    return span


def counts(text: str, about: RoughWidth = USUAL) -> Counts:
    """Counts as the books hold them. Raises UnreadableValue."""
    typed = parse_held_counts(text, about)
    lowest = Counts(typed.males.low, typed.females.low, typed.unsexed.low, not typed.exact)
    return lowest._replace(high=typed.unsexed.high, words=str(typed)) if typed.unsexed.rough else lowest


def ref(table: str, text: str, ledger: Ledger) -> int:
    """The row meant by ``text``, its exact spelling first. Raises FieldRefused naming the nearest name.

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
    raise FieldRefused(
        sentences.none_of_this_name(table_word(table), text, nearest(text, names) or _written(table, names))
    )


def _named(text: str, names: Mapping[str, int]) -> int | None:
    if text in names:
        return names[text]
    low = text.casefold()
    alike = [i for name, i in names.items() if name.casefold() == low]
    return alike[0] if len(alike) == 1 else None


def _written(table: str, names: Mapping[str, int]) -> str:
    if table == "place":
        return sentences.PLACES_ARE_WRITTEN
    if not names:
        return sentences.none_recorded(table_word(table))
    some = tuple(sorted(names)[:6])
    return sentences.some_there_are(some, more=len(names) > len(some))


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
        raise FieldRefused(sentences.several_of_this_number(text, tuple(sorted(bare))))
    every = [name_of(ledger, animal) for animal in ledger.rows(Animal)]
    hint = nearest(said, every) or sentences.ANIMALS_ARE_WRITTEN
    raise FieldRefused(sentences.none_of_this_name("animal", text, hint))
