"""Parse checklist files, and make their JSON Schema from the tables the parser reads."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from typing import Any

from rounds.acts.checklists import LITRES, LOOK, PLACES, USES, Checklist, ChecklistStep
from rounds.husbandry.species import PRESETS
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput, Problem, nearest
from rounds.records.round_summary import BRING
from rounds.settings.document import Document
from rounds.settings.fields import Fields, items

_LIST = ("id", "title", "use", "stages", "species", "steps", "off")
_STEP = ("id", "do", "why", "without", "bring")


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
                    f.problem(
                        ("id",),
                        f"checklist `{one.id}` stands in {here[one.id]} already.",
                        "Keep one of them.",
                    )
                here[one.id] = doc.file
                if not f.get("off", bool, False):
                    found[one.id] = one
                elif found.pop(one.id, None) is None:
                    f.problem(
                        ("id",), f"there is no checklist `{one.id}` to leave out.", nearest(one.id, found)
                    )
    if problems:
        raise BadInput(problems)
    return tuple(found.values())


def _checklist(f: Fields, species: Collection[str]) -> Checklist:
    f.only(_LIST)
    id_ = str(f.get("id", str, "", required=True))
    f.what = f"checklist `{id_}`" if id_ else "checklist"
    if f.data.get("off") is True:
        return Checklist(id_, "", "", (), (), ())
    use = f.word("use", USES, "set-up", required=True)
    stages = f.words("stages", STAGES)
    if not stages:
        f.problem(("stages",), f"{f.what}: `stages` names none.", "Stages: " + ", ".join(STAGES) + ".")
    steps: list[ChecklistStep] = []
    given = f.get("steps", list, [], required=True)
    for i in range(len(given)):
        step = Fields(f.doc, (*f.path, "steps", i), f"{f.what}, step {i + 1}", f.problems)
        if isinstance(given[i], dict):
            one = _step(step)
            if any(s.id == one.id for s in steps):
                step.problem(("id",), f"{f.what}: the step `{one.id}` is there twice.")
            steps.append(one)
    if "steps" in f.data and not given:
        f.problem(("steps",), f"{f.what}: there are no steps.")
    if use == "clearing" and steps and steps[0].id != LOOK:
        f.problem(
            ("steps", 0),
            f"{f.what}: clearing begins with the step `{LOOK}`, a look for eggs and larvae, not `{steps[0].id}`.",
            "Put that step first.",
        )
    return Checklist(
        id_, f.get("title", str, id_), use, stages, f.words("species", species or None), tuple(steps)
    )


def _step(f: Fields) -> ChecklistStep:
    f.only(_STEP)
    do, without = f.get("do", str, "", required=True), f.get("without", str, "")
    places = PLACES.findall(do)
    for name in places:
        if name not in PRESETS:
            f.problem(
                ("do",), f"{f.what}: there is no value `{name}` in a species file.", nearest(name, PRESETS)
            )
    if places and not without:
        filled = ", ".join(places)
        f.problem(
            (), f"{f.what}: the field `without` is missing.", f"Say what to do where {filled} is not known."
        )
    if PLACES.search(without):
        f.problem(("without",), f"{f.what}: `without` may not need a value.", "Say it in words.")
    bring: dict[str, float | str] = {}
    if "bring" in f.data:
        b = Fields(f.doc, (*f.path, "bring"), f"{f.what}, `bring`", f.problems)
        b.only(BRING)
        for what, amount in b.data.items():
            if what not in BRING:
                continue
            number = isinstance(amount, (int, float)) and not isinstance(amount, bool) and 0 < amount <= 1000
            if number or amount == LITRES:
                bring[what] = amount
            else:
                b.problem((what,), f"{f.what}: `{what}` must be a number up to 1000, or `{LITRES}`.")
    return ChecklistStep(
        f.get("id", str, "", required=True), do, f.get("why", str, "", required=True), without, bring
    )


def schema() -> dict[str, Any]:
    """The JSON Schema of one checklist file, as plain data."""
    text = {"type": "string"}
    amount = {"anyOf": [{"type": "number", "exclusiveMinimum": 0, "maximum": 1000}, {"const": LITRES}]}
    bring = {what: {**amount, "description": about} for what, about in BRING.items()}
    step = _object(
        {
            "id": text,
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
