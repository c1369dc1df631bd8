"""Parse checklist files, and make their JSON Schema from the tables the parser reads."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from rounds.acts import checklist_sentences
from rounds.acts.checklists import LITRES, LOOK, PLACES, USES, Checklist, ChecklistStep
from rounds.husbandry.species import PRESETS
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput, Problem, nearest
from rounds.records.round_summary import BRING
from rounds.settings.config_fields import Fields, items
from rounds.settings.document import Document
from rounds.text.headlines import HEADLINE, first_clause

_LIST = ("id", "title", "use", "stages", "species", "steps", "off")
_STEP = ("id", "headline", "do", "why", "without", "bring")


def checklists(layers: Sequence[Sequence[Document]], species: Collection[str] = ()) -> tuple[Checklist, ...]:
    """All lists; a later layer replaces or (``off: true``) removes one by its id.

    ``species`` are the Latin names that exist; a list may only name those. Raises BadInput
    with every problem of every file.
    """
    problems: list[Problem] = []
    found: dict[str, Checklist] = {}
    for layer in layers:
        here: dict[str, str] = {}
        for doc in layer:
            Fields(doc, (), "checklist file", problems).only(("checklists",))
            for f in items(doc, "checklists", "checklist", problems):
                one = _checklist(f, species)
                if one.id in here:
                    f.problem(("id",), *checklist_sentences.stands_already(one.id, here[one.id]))
                here[one.id] = doc.file
                if not f.get("off", bool, False):
                    found[one.id] = one
                elif found.pop(one.id, None) is None:
                    f.problem(("id",), *checklist_sentences.none_to_leave_out(one.id, nearest(one.id, found)))
    if problems:
        raise BadInput(problems)
    return tuple(found.values())


def _checklist(f: Fields, species: Collection[str]) -> Checklist:
    f.only(_LIST)
    id_ = str(f.get("id", str, "", required=True))
    f.what = checklist_sentences.a_checklist(id_)
    if f.data.get("off") is True:
        return Checklist(id_, "", "", (), (), ())
    use = f.word("use", USES, "set-up", required=True)
    stages = f.words("stages", STAGES)
    if not stages:
        f.problem(("stages",), *checklist_sentences.no_stages(f.what, STAGES))
    steps: list[ChecklistStep] = []
    given = f.get("steps", list, [], required=True)
    for i in range(len(given)):
        step = Fields(f.doc, (*f.path, "steps", i), checklist_sentences.a_step(f.what, i + 1), f.problems)
        if isinstance(given[i], dict):
            one = _step(step)
            if any(s.id == one.id for s in steps):
                step.problem(("id",), *checklist_sentences.step_twice(f.what, one.id))
            steps.append(one)
    if "steps" in f.data and not given:
        f.problem(("steps",), *checklist_sentences.no_steps(f.what))
    if use == "clearing" and steps and steps[0].id != LOOK:
        f.problem(("steps", 0), *checklist_sentences.clearing_begins_elsewhere(f.what, LOOK, steps[0].id))
    return Checklist(
        id_, f.get("title", str, id_), use, stages, f.words("species", species or None), tuple(steps)
    )


def _step(f: Fields) -> ChecklistStep:
    f.only(_STEP)
    headline = f.get("headline", str, "")
    if len(headline) > HEADLINE:
        f.problem(("headline",), *checklist_sentences.headline_too_long(f.what, HEADLINE))
    do, without = f.get("do", str, "", required=True), f.get("without", str, "")
    places = PLACES.findall(do)
    for name in places:
        if name not in PRESETS:
            f.problem(("do",), *checklist_sentences.no_species_value(f.what, name, nearest(name, PRESETS)))
    if places and not without:
        filled = ", ".join(places)
        f.problem((), *checklist_sentences.without_is_missing(f.what, filled))
    if PLACES.search(without):
        f.problem(("without",), *checklist_sentences.without_needs_a_value(f.what))
    bring: dict[str, float | str] = {}
    if "bring" in f.data:
        b = Fields(f.doc, (*f.path, "bring"), checklist_sentences.to_bring(f.what), f.problems)
        b.only(BRING)
        for what, amount in b.data.items():
            if what not in BRING:
                continue
            number = isinstance(amount, (int, float)) and not isinstance(amount, bool) and 0 < amount <= 1000
            if number or amount == LITRES:
                bring[what] = amount
            else:
                b.problem((what,), *checklist_sentences.amount_to_bring(f.what, what, LITRES))
    return ChecklistStep(
        f.get("id", str, "", required=True),
        do,
        f.get("why", str, "", required=True),
        without,
        bring,
        headline or first_clause(without or PLACES.sub("…", do), HEADLINE).rstrip("."),
    )


def schema() -> dict[str, Any]:
    """The JSON Schema of one checklist file, as plain data."""
    text = {"type": "string"}
    amount = {"anyOf": [{"type": "number", "exclusiveMinimum": 0, "maximum": 1000}, {"const": LITRES}]}
    bring = {what: {**amount, "description": about} for what, about in BRING.items()}
    step = _object(
        {
            "id": text,
            "headline": {**text, "maxLength": HEADLINE},
            "do": text,
            "why": text,
            "without": text,
            "bring": _object(bring),
        },
        ("id", "do", "why"),
    )
    one = _object(
        {
            "id": text,
            "title": text,
            "use": {"enum": list(USES)},
            "off": {"type": "boolean"},
            "stages": {"type": "array", "items": {"enum": list(STAGES)}, "minItems": 1},
            "species": {"type": "array", "items": text},
            "steps": {"type": "array", "items": step, "minItems": 1},
        },
        ("id",),
    )
    one["anyOf"] = [
        {"required": ["use", "stages", "steps"]},
        {"properties": {"off": {"const": True}}, "required": ["off"]},
    ]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Checklists",
        **_object({"checklists": {"type": "array", "items": one}}, ("checklists",)),
    }


def _object(properties: dict[str, Any], required: tuple[str, ...] = ()) -> dict[str, Any]:
    out: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
    return {**out, "required": list(required)} if required else out
