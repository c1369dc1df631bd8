"""Every sentence a keeper can read, rendered with sample values: ``tests/sentences.txt``, to be read in one go.

Sentences live in modules called ``*_sentences.py``: constants, and functions whose parameters are plain values.
``python -m tests.sentences`` writes the file anew; ``tests/test_sentences.py`` holds it against the code.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import types
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import rounds
from rounds.problems import Refusal
from rounds.sentences_on_demand import has_run

FILE = Path(__file__).with_name("sentences.txt")

NAMED: dict[str, Any] = {  # what a parameter of this name is shown as
    "animal": "UMBER/5",
    "bay": "B",
    "box": "T-07",
    "brood": "LOCH-01",
    "code": "T-07",
    "day": "20 November 2026",
    "female": "UMBER/5",
    "file": "animals.csv",
    "keeper": "Wren",
    "line": "LOCH",
    "male": "UMBER/2",
    "name": "LOCH",
    "place": "B3-2",
    "species": "Mecynorhina torquata",
    "stage": "laying",
    "mother": "UMBER/5",
    "other": "KESTREL/1",
    "pairing": "UMBER-P2",
    "since": "3 October 2026",
    "last_day": "20 Nov",
    "until": "20 November 2026",
    "when": "20 November 2026",
}
TYPED: dict[Any, Any] = {bool: True, int: 3, float: 2.5, str: "…"}  # and one of this type


def sample(name: str, kind: Any) -> Any:
    """A value for a parameter; TypeError when its type is no plain value."""
    if name in NAMED and kind in (str, Any):
        return NAMED[name]
    if kind in TYPED:
        return TYPED[kind] if kind is not str else f"‹{name}›"
    origin, inner = get_origin(kind), get_args(kind)
    if origin is Literal:
        return inner[0]
    if origin in (Union, types.UnionType):
        return sample(name, next(part for part in inner if part is not type(None)))
    if isinstance(origin, type) and issubclass(origin, tuple) and inner[-1] is not Ellipsis:
        return tuple(sample(name, part) for part in inner)
    if isinstance(origin, type) and inner:  # a list, a sequence, any number of values
        made = [sample(name, inner[0])] * 2
        return tuple(made) if issubclass(origin, tuple) else made
    raise TypeError(f"{name}: {kind} is no plain value; a sentence takes words, numbers and spans")


def modules() -> Iterator[types.ModuleType]:
    """Every module of sentences, in the order of their names."""
    for found in sorted(pkgutil.walk_packages(rounds.__path__, "rounds."), key=lambda m: m.name):
        if found.name.endswith("_sentences"):
            yield has_run(importlib.import_module(found.name))


def rendered(module: types.ModuleType) -> Iterator[tuple[str, str]]:
    """Each public name of a module with its sentence, in the order they are written."""
    for name, value in vars(module).items():
        if name.startswith("_"):
            continue
        if isinstance(value, Refusal):
            yield name, _plain(value)
        elif getattr(value, "__module__", module.__name__) != module.__name__:
            continue
        elif isinstance(value, str):
            yield name, value
        elif inspect.isfunction(value):
            hints = get_type_hints(value)
            given = {n: sample(n, hints[n]) for n in inspect.signature(value).parameters}
            yield name, _plain(value(**given))


def refusals(within: str) -> Iterator[tuple[str, Refusal]]:
    """Each refusal said in the modules of a room (``rounds.acts.``), with where it stands."""
    for module in modules():
        if not module.__name__.startswith(within):
            continue
        for name, value in vars(module).items():
            said = value
            if inspect.isfunction(value) and value.__module__ == module.__name__ and not name.startswith("_"):
                hints = get_type_hints(value)
                if hints["return"] is Refusal:
                    said = value(**{n: sample(n, hints[n]) for n in inspect.signature(value).parameters})
            if isinstance(said, Refusal):
                yield f"{module.__name__}.{name}", said


def _plain(said: object) -> str:
    return said if isinstance(said, str) else " | ".join(str(part) for part in said if part)  # type: ignore[attr-defined]


def text() -> str:
    """The whole file: a heading for each module, a line for each sentence."""
    out: list[str] = []
    for module in modules():
        out += ["", f"== {module.__name__.removeprefix('rounds.')}", ""]
        out += [f"{name}: {said}" for name, said in rendered(module)]
    return "\n".join(out[1:]) + "\n"


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
