"""Parse species files, and make the JSON Schema of one from the table the parser reads.

A file is one mapping: ``species`` (Latin name), ``english``, and presets by name, each
with its source; a preset that differs by stage, instar or sex holds one entry for each::

    species: Pachnoda marginata
    egg_days: {range: [9, 16], likely: 12, source: estimate}
    moisture:
      laying: {is: right, source: "common practice, no source"}
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any

from rounds.husbandry import species_sentences
from rounds.husbandry.species import (
    LEGAL_STATUS,
    PLAIN_SOURCES,
    PRESETS,
    LegalEntry,
    Preset,
    Species,
    SpeciesRange,
    Words,
)
from rounds.problems import BadInput, Problem, nearest
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document

HEAD = ("species", "english", "off", "thin", "durations_at", "legal")
_LEGAL = ("where", "status", "says", "authority", "looked_up")
_DAY = re.compile(r"\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])\Z")
ENOUGH_PUBLISHED = 3
"""Published values below which a file has to say that it is thin."""
_RANGE, _WORDS = ("range", "likely", "source", "note"), ("is", "source", "note")
_LATIN = re.compile(r"[A-Z][a-z-]+ [a-z-]+( [a-z-]+)?\Z")


def species(layers: Sequence[Sequence[Document]]) -> dict[str, Species]:
    """Every species by Latin name; a later layer replaces or (``off: true``) removes one whole.

    Raises BadInput with every problem of every file.
    """
    problems: list[Problem] = []
    found: dict[str, Species] = {}
    for layer in layers:
        here: dict[str, str] = {}
        for doc in layer:
            f = Fields(doc, (), "species file", problems)
            one = _species(f)
            if one.name in here:
                f.problem(("species",), *species_sentences.stands_twice(one.name, here[one.name]))
            here[one.name] = doc.file
            if not f.get("off", bool, False):
                found[one.name] = one
            elif found.pop(one.name, None) is None:
                near = nearest(one.name, found)
                f.problem(("off",), *species_sentences.none_to_leave_out(one.name, near))
    if problems:
        raise BadInput(problems)
    return found


def _species(f: Fields) -> Species:
    f.only((*HEAD, *PRESETS))
    name = f.get("species", str, "", required=True)
    if name and not _LATIN.match(name):
        f.problem(("species",), *species_sentences.not_latin(name))
    if name:
        f.what = species_sentences.a_species(name)
    ranges: dict[str, SpeciesRange] = {}
    texts: dict[str, Words] = {}
    for key in f.data:
        preset = PRESETS.get(key)
        if preset is None:
            continue
        for at, inner in _entries(f, preset):
            if preset.kind == "range":
                found = _range(inner, preset)
                if found is not None:
                    ranges[at] = found
            else:
                said = _words(inner, preset)
                if said is not None:
                    texts[at] = said
    thin = f.get("thin", bool, False)
    at = f.get("durations_at", float, None)
    if at is not None and not _temperature().low <= at <= _temperature().high:
        f.problem(("durations_at",), *species_sentences.no_temperature(f.what, f"{at:g}"))
    one = Species(name, f.get("english", str, ""), ranges, texts, thin, _legal(f), at)
    _agree(one, f)
    return one


def _temperature() -> Preset:
    return PRESETS["temperature"]


def _legal(f: Fields) -> tuple[LegalEntry, ...]:
    """What the law says of the species, place by place; everything is needed of each."""
    out = []
    for i, data in enumerate(f.get("legal", list, [])):
        inner = Fields(
            f.doc, (*f.path, "legal", i), species_sentences.a_legal_entry(f.what, i + 1), f.problems
        )
        if not isinstance(data, dict):
            continue  # Fields said so
        inner.only(_LEGAL)
        where, says, authority, day = (
            inner.get(key, str, "", required=True) for key in ("where", "says", "authority", "looked_up")
        )
        status = inner.word("status", LEGAL_STATUS, required=True)
        if day and not _DAY.match(day):
            inner.problem(("looked_up",), *species_sentences.no_day(inner.what, day))
        out.append(LegalEntry(where, status, says, authority, day))
    return tuple(out)


def _entries(f: Fields, preset: Preset) -> list[tuple[str, Fields]]:
    """The entries of one preset, with the name each is kept by."""
    outer = Fields(f.doc, (*f.path, preset.name), species_sentences.a_value(f.what, preset.name), f.problems)
    if not isinstance(f.data[preset.name], dict):
        return []  # Fields said so
    if not preset.by:
        return [(preset.name, outer)]
    outer.only(preset.by)
    out = []
    for by in outer.data:
        if by in preset.by:
            inner = Fields(f.doc, (*outer.path, by), species_sentences.a_part(outer.what, by), f.problems)
            if isinstance(outer.data[by], dict):
                out.append((f"{preset.name}/{by}", inner))
    return out


def _range(f: Fields, preset: Preset) -> SpeciesRange | None:
    f.only(_RANGE)
    source = _source(f)
    given = f.get("range", list, None, required=True)
    if given is None:
        return None
    numbers = [float(x) for x in given if isinstance(x, (int, float)) and not isinstance(x, bool)]
    if len(numbers) != 2 or len(given) != 2:
        f.problem(("range",), *species_sentences.range_is_not_two_numbers(f.what))
        return None
    low, high = numbers
    if low > high:
        f.problem(("range",), *species_sentences.range_falls(f.what, low, high))
        return None
    if low == high and not preset.whole:
        f.problem(("range",), *species_sentences.range_is_a_point(f.what, low, high))
        return None
    if low < preset.low or high > preset.high:
        limits = (preset.low, preset.high, preset.unit)
        f.problem(("range",), *species_sentences.outside_what_is_possible(f.what, low, high, *limits))
        return None
    likely = f.get("likely", float, None)
    if likely is not None and not low <= likely <= high:
        f.problem(("likely",), *species_sentences.likely_outside(f.what, likely, low, high))
        return None
    return SpeciesRange(low, high, likely, source, f.get("note", str, ""))


def _words(f: Fields, preset: Preset) -> Words | None:
    f.only(_WORDS)
    source = _source(f)
    if isinstance(f.data.get("is"), list):
        words = f.words("is", preset.words)
        if not f.data["is"]:
            f.problem(("is",), *species_sentences.names_nothing(f.what, preset.words))
    else:
        one = f.word("is", preset.words, required=True)
        words = (one,) if one else ()
    return Words(words, source, f.get("note", str, "")) if words else None


def _source(f: Fields) -> str:
    """Who says so: one of the plain words, or a work named with its year."""
    source = str(f.get("source", str, "", required=True))
    if source and source not in PLAIN_SOURCES and not re.search(r"\b1[89]\d\d\b|\b20\d\d\b", source):
        near = nearest(source, PLAIN_SOURCES)
        f.problem(("source",), *species_sentences.no_year(f.what, source, near, PLAIN_SOURCES))
    return source


def _agree(one: Species, f: Fields) -> None:
    """Values that cannot all be true: parts that take longer than the whole, and the reverse."""
    ranges = one.ranges
    for whole, parts in (
        ("larva_days", ("l1_days", "l2_days", "l3_days")),
        ("cell_days", ("pupa_days", "rest_days")),
        ("generation_days", ("egg_days", "larva_days", "cell_days")),
    ):
        if whole not in ranges:
            continue
        known = [p for p in parts if p in ranges]
        shortest = sum(ranges[p].low for p in known)
        if shortest > ranges[whole].high:
            f.problem(
                (whole,),
                *species_sentences.parts_outlast_the_whole(
                    f.what, whole, ranges[whole].high, known, shortest
                ),
            )

    _agree_together(one, f)


def _agree_together(one: Species, f: Fields) -> None:
    """A pair is not left together for longer than an adult lives."""
    together, active = one.ranges.get("together_days"), one.ranges.get("active_days")
    if together is not None and active is not None and together.high > active.high:
        f.problem(
            ("together_days",), *species_sentences.together_outlasts_life(f.what, together.high, active.high)
        )


def schema() -> dict[str, Any]:
    """The JSON Schema of one species file, as plain data."""
    properties: dict[str, Any] = {
        "species": {
            "type": "string",
            "pattern": _LATIN.pattern.removesuffix("\\Z") + "$",
            "description": "Latin name",
        },
        "english": {"type": "string", "description": "what it is called"},
        "off": {"type": "boolean", "description": "true: leave this species out"},
        "thin": {
            "type": "boolean",
            "description": f"true: fewer than {ENOUGH_PUBLISHED} published values, so nothing is forecast",
        },
        "durations_at": {
            "type": "number",
            "minimum": _temperature().low,
            "maximum": _temperature().high,
            "description": "the temperature its durations were found or estimated at (°C); windows name it",
        },
        "legal": {
            "type": "array",
            "description": "what the law says of it, place by place; shown where animals arrive",
            "items": _legal_schema(),
        },
    }
    for preset in PRESETS.values():
        one = _entry(preset)
        if preset.by:
            one = {
                "type": "object",
                "properties": dict.fromkeys(preset.by, one),
                "additionalProperties": False,
            }
        unit = f" ({preset.unit})" if preset.unit else ""
        properties[preset.name] = {**one, "description": preset.about + unit}
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A species",
        "type": "object",
        "properties": properties,
        "required": ["species"],
        "additionalProperties": False,
    }


def _legal_schema() -> dict[str, Any]:
    text: Mapping[str, Any] = {"type": "string"}
    return {
        "type": "object",
        "properties": {
            "where": {**text, "description": "country or union"},
            "status": {"enum": list(LEGAL_STATUS)},
            "says": {**text, "description": "what it means for a keeper, in a few words"},
            "authority": {**text, "description": "whose rule it is, and who to ask"},
            "looked_up": {
                **text,
                "pattern": _DAY.pattern.removesuffix("\\Z") + "$",
                "description": "the day its own words were read",
            },
        },
        "required": list(_LEGAL),
        "additionalProperties": False,
    }


def _entry(preset: Preset) -> dict[str, Any]:
    text: Mapping[str, Any] = {"type": "string"}
    properties: dict[str, Any]
    if preset.kind == "range":
        number = {"type": "number", "minimum": preset.low, "maximum": preset.high}
        properties = {
            "range": {"type": "array", "items": number, "minItems": 2, "maxItems": 2},
            "likely": number,
        }
        needed = "range"
    else:
        word = {"enum": list(preset.words)}
        properties = {"is": {"anyOf": [word, {"type": "array", "items": word, "minItems": 1}]}}
        needed = "is"
    return {
        "type": "object",
        "properties": {**properties, "source": text, "note": text},
        "required": [needed, "source"],
        "additionalProperties": False,
    }
