"""The config in force: shipped files, the keeper's own laid over them, or the last good copy.

A walk must open even when somebody broke a file an hour ago. So every good load leaves a
copy beside the book, and a bad one falls back to it and says so.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from rounds.husbandry.checklists import Checklist
from rounds.husbandry.checklists_file import checklists as parse_checklists
from rounds.husbandry.keys_file import layout
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.husbandry.species import Species
from rounds.husbandry.species_file import species as parse_species
from rounds.problems import BadInput, Problem
from rounds.rules.model import Rule
from rounds.rules.parse import parse as parse_rules
from rounds.settings import where, yamlfile
from rounds.settings.yamlfile import Document

if TYPE_CHECKING:
    from rounds.husbandry.acts import Settings

PARTS = ("readings.yaml", "keys", "rules", "species", "checklists")


class Config(NamedTuple):
    """Everything a walk needs from files; ``banner`` is what the keeper must be told."""

    vocabulary: Vocabulary
    rules: tuple[Rule, ...]
    commands: Mapping[str, str]
    fingerprint: str
    banner: str = ""
    species: Mapping[str, Species] = {}
    checklists: tuple[Checklist, ...] = ()


def for_acts(config: Config) -> Settings:
    """What acts ask of the config: times and days of the species, and the steps of each checklist."""
    from rounds.husbandry.acts import Settings
    from rounds.husbandry.species import times

    def days(species: str, preset: str) -> tuple[float, float, str] | None:
        known = config.species.get(species)
        found = known.range(preset) if known is not None else None
        return None if found is None else (found.low, found.high, found.source)

    return Settings(
        times=lambda species: times(config.species.get(species)),
        days=days,
        checklists={c.id: tuple(s.id for s in c.steps) for c in config.checklists},
    )


class Layer(NamedTuple):
    """One folder of config files, and the name its files are shown with."""

    root: Path
    shown: str


def layers(config: str | None = None) -> list[Layer]:
    """The shipped config, then the keeper's own where there is one."""
    out = [Layer(where.shipped("config"), "config")]
    own = where.user_config(config)
    if own.is_dir():
        out.append(Layer(own, str(own)))
    elif config:
        raise BadInput([Problem(str(own), 0, 0, "is not a folder.", "Name the folder that holds your config.")])
    return out


def files(layer: Layer) -> list[tuple[Path, str]]:
    """The YAML files of a layer that are read, with their shown names, in a fixed order."""
    found: list[Path] = []
    for part in PARTS:
        path = layer.root / part
        found += sorted(path.glob("*.yaml")) if path.is_dir() else ([path] if path.is_file() else [])
    return [(p, f"{layer.shown}/{p.relative_to(layer.root).as_posix()}") for p in found]


def read(from_layers: Sequence[Layer]) -> Config:
    """Read and check everything. Raises BadInput with the problems of every file."""
    problems: list[Problem] = []
    digest = hashlib.sha256()
    readings: list[Document] = []
    rules: list[list[Document]] = []
    species: list[list[Document]] = []
    lists: list[list[Document]] = []
    keys: list[Document] = []
    for layer in from_layers:
        rules.append([])
        species.append([])
        lists.append([])
        part_of = {
            "readings.yaml": readings, "keys": keys, "rules": rules[-1], "species": species[-1],
            "checklists": lists[-1],
        }  # fmt: skip
        for path, shown in files(layer):
            digest.update(shown.encode() + b"\0" + _bytes(path) + b"\0")
            try:
                document = yamlfile.read(path, shown)
            except BadInput as e:
                problems += e.problems
                continue
            part_of[path.relative_to(layer.root).parts[0]].append(document)
    if problems:
        raise BadInput(problems)
    words = vocabulary(readings)
    parsed, wrong = parse_rules(rules, words)
    commands: Mapping[str, str] = {}
    for document in keys:
        try:
            commands = layout(document, words)
        except BadInput as e:
            wrong = [*wrong, *e.problems]
    presets: Mapping[str, Species] = {}
    steps: tuple[Checklist, ...] = ()
    try:
        presets = parse_species(species)
    except BadInput as e:
        wrong = [*wrong, *e.problems]
    try:
        steps = parse_checklists(lists, presets)
    except BadInput as e:
        wrong = [*wrong, *e.problems]
    if wrong:
        raise BadInput(wrong)
    return Config(words, tuple(parsed), commands, digest.hexdigest()[:12], species=presets, checklists=steps)


def in_force(config: str | None, book: Path) -> Config:
    """The config for a walk on ``book``: never fails because a keeper's file is bad.

    Falls back to the copy kept beside the book, then to the shipped files alone; raises
    BadInput only when the shipped files themselves are bad.
    """
    try:
        found = layers(config)
        good = read(found)
    except BadInput as e:
        return _fallback(e, book)
    _keep(found, book, good.fingerprint)
    return good


def _fallback(bad: BadInput, book: Path) -> Config:
    kept = where.kept_config(book)
    more = f" (and {len(bad.problems) - 1} more)" if len(bad.problems) > 1 else ""
    trouble = f"{bad.problems[0]}{more}"
    candidates = [
        ([Layer(kept / n, n) for n in ("shipped", "own") if (kept / n).is_dir()], "the last good config stays in force"),
        ([Layer(where.shipped("config"), "config")], "the shipped config is in force, without your own"),
    ]
    for from_layers, said in candidates:
        if not from_layers:
            continue
        try:
            return read(from_layers)._replace(banner=f"{trouble} Until that is mended {said}.")
        except BadInput:
            continue  # this copy is no better; the last candidate's failure is raised below
    raise bad


def _keep(good: Sequence[Layer], book: Path, fingerprint: str) -> None:
    """Copy the files of a good config beside the book, unless that copy is already there."""
    kept = where.kept_config(book)
    mark = kept / "fingerprint"
    if not book.exists() or (mark.is_file() and mark.read_text(encoding="utf-8") == fingerprint):
        return
    fresh = kept.with_name(kept.name + ".new")
    try:
        shutil.rmtree(fresh, ignore_errors=True)
        for layer, name in zip(good, ("shipped", "own"), strict=False):
            for path, _ in files(layer):
                to = fresh / name / path.relative_to(layer.root)
                to.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
                shutil.copyfile(path, to)
        (fresh / "fingerprint").write_text(fingerprint, encoding="utf-8")
        os.chmod(fresh, 0o700)
        shutil.rmtree(kept, ignore_errors=True)
        fresh.rename(kept)
    except OSError:
        shutil.rmtree(fresh, ignore_errors=True)  # a full or read-only disk: the book's own checks speak of that


def _bytes(path: Path) -> bytes:
    try:
        with path.open("rb") as f:
            return f.read(yamlfile.MAX_BYTES + 1)
    except OSError:
        return b""  # yamlfile.read says what is wrong with it
