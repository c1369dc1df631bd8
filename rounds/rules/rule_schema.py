"""The JSON Schema of a rules file, made from the tables the parser reads.

An editor that knows JSON Schema can complete and check a rules file with it. Reading ids
are config, so the schema only asks that they look like ids; the parser knows the rest.
"""

from __future__ import annotations

from typing import Any

from rounds.husbandry.stages import FORBIDS, STAGES
from rounds.rules.measures import MEASURES
from rounds.rules.rule import (
    APPLIES,
    BRING,
    COMPARISONS,
    DO_FIELDS,
    FIELDS,
    GROUPS,
    LASTING,
    MOST_ORDER,
    OFFERED_STEPS,
    OTHERWISE,
    PER_ADULT,
    REQUIRED,
    RULE_LEVELS,
    PerLitre,
)
from rounds.rules.rule_parser import MOST_LOOKS
from rounds.text.headlines import ONE_LINE

ID = {"type": "string", "pattern": "^[a-z0-9-]{1,60}$"}
READING = {"type": "string", "pattern": "^[a-z0-9_]+$"}
TEXT = {"type": "string"}
SHORT = {"type": "string", "maxLength": ONE_LINE}
LOOKS = {"type": "integer", "minimum": 1, "maximum": MOST_LOOKS}
TAKES: dict[str, dict[str, Any]] = {
    "value": {"type": ["string", "number", "boolean"]},
    "values": {"type": "array", "items": TEXT, "minItems": 1},
    "number": {"type": "number"},
    "bool": {"type": "boolean"},
}


def _object(properties: dict[str, Any], required: tuple[str, ...] = (), **more: Any) -> dict[str, Any]:
    out: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
    if required:
        out["required"] = list(required)
    return {**out, **more}


def _condition() -> dict[str, Any]:
    ref = {"$ref": "#/$defs/condition"}
    groups = [
        _object({g: ref if g == "not" else {"type": "array", "items": ref, "minItems": 1}}, (g,))
        for g in GROUPS
    ]
    ops = {op: {**TAKES[c.takes], "description": c.about} for op, c in COMPARISONS.items()}
    plain = [name for name, m in MEASURES.items() if not m.of]
    asked = [name for name, m in MEASURES.items() if m.of]
    some = [{"required": [op]} for op in COMPARISONS]
    leaves = [
        _object({"reading": READING, **ops}, ("reading",), anyOf=some),
        _object({"measure": {"enum": plain}, **ops}, ("measure",), anyOf=some),
        _object({"measure": {"enum": asked}, "of": READING, **ops}, ("measure", "of"), anyOf=some),
    ]
    return {"oneOf": [*groups, *leaves]}


def _do() -> dict[str, Any]:
    word = f"({'|'.join((*STAGES, OTHERWISE))})"
    needs = {"type": "array", "items": {"enum": list(FORBIDS)}}
    offers = {"type": "array", "items": {"enum": list(OFFERED_STEPS)}}
    todo = {
        "anyOf": [TEXT, _object(dict(zip(DO_FIELDS, (TEXT, SHORT, needs, offers), strict=True)), ("text",))]
    }
    return {
        "type": "object",
        "patternProperties": {f"^{word}( *, *{word})*$": todo},
        "additionalProperties": False,
    }


def _shapes() -> dict[str, dict[str, Any]]:
    applies = {
        "stages": {"type": "array", "items": {"enum": list(STAGES)}, "minItems": 1},
        "species": {"type": "array", "items": TEXT, "minItems": 1},
        "not_species": {"type": "array", "items": TEXT, "minItems": 1},
    }
    number = {"type": "number", "exclusiveMinimum": 0, "maximum": 1000}
    by_size = _object(dict.fromkeys(PerLitre._fields, number), PerLitre._fields)
    amount = {"anyOf": [number, {"const": PER_ADULT}, by_size]}
    stages = {"type": "array", "items": {"enum": list(STAGES)}}
    return {
        "id": ID,
        "text": TEXT,
        "template": TEXT,
        "bool": {"type": "boolean"},
        "level": {"enum": list(RULE_LEVELS)},
        "condition": {"$ref": "#/$defs/condition"},
        "applies": _object({k: applies[k] for k in APPLIES}),
        "do": _do(),
        "lasting": _object(dict.fromkeys(LASTING, LOOKS), minProperties=1, maxProperties=1),
        "ends_after": _object({"visits": LOOKS}, ("visits",)),
        "order": {"type": "integer", "minimum": 1, "maximum": MOST_ORDER},
        "covers": {"type": "object", "propertyNames": ID, "additionalProperties": stages},
        "bring": _object({item: {**amount, "description": about} for item, about in BRING.items()}),
    }


def schema() -> dict[str, Any]:
    """The whole schema, as plain data ready for JSON."""
    shapes = _shapes()
    properties = {name: {**shapes[f.shape], "description": f.about} for name, f in FIELDS.items()}
    switched_off = {"properties": {"off": {"const": True}}, "required": ["off"]}
    rule = _object(properties, ("id",), anyOf=[{"required": list(REQUIRED)}, switched_off])
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Rules",
        **_object({"rules": {"type": "array", "items": {"$ref": "#/$defs/rule"}}}, ("rules",)),
        "$defs": {"rule": rule, "condition": _condition()},
    }
