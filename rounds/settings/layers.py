"""The config files as they lie: shipped ones, the keeper's own laid over them, each file's content once."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem
from rounds.settings import config_sentences, where
from rounds.settings.document import MAX_BYTES, Document

PARTS = ("settings.yaml", "readings.yaml", "keys", "rules", "species", "checklists")


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
        raise BadInput([Problem(str(own), 0, 0, *config_sentences.NO_FOLDER)])
    return out


def files(layer: Layer) -> list[tuple[Path, str]]:
    """The YAML files of a layer that are read, each with its name in the layer, in a fixed order."""
    found: list[tuple[Path, str]] = []
    for part in PARTS:
        path = layer.root / part
        if path.is_dir():
            found += [(path / name, f"{part}/{name}") for name in _yaml_names(path)]
        elif path.is_file():
            found.append((path, part))
    return found


READ_APART = ("rules/tests", "standin")
"""Folders of a layer that only some commands read; of all others a start reads every file."""


def unread(layer: Layer) -> list[str]:
    """The YAML files of a layer that nobody ever reads, by their names in it: misspelt, or in another place."""
    known = {name for _, name in files(layer)}
    found = (p for depth in ("*", "*/*", "*/*/*") for p in layer.root.glob(depth) if p.is_file())
    yaml = [p.relative_to(layer.root) for p in found if p.suffix.casefold() in (".yaml", ".yml")]
    apart = {p for p in yaml if p.parent.as_posix() in READ_APART and p.suffix == ".yaml"}
    return sorted(p.as_posix() for p in yaml if p not in apart and p.as_posix() not in known)


class File(NamedTuple):
    """A file's content as it was when the config was put together; None: it cannot be read.

    ``known`` is what was parsed from these very bytes before, if that is remembered.
    """

    path: Path
    shown: str
    data: bytes | None
    known: Any = None

    def document(self) -> Document:
        """Raises BadInput with its one problem."""
        if self.known is not None:
            return Document(self.shown, self.known, {}, found_good=True)
        from rounds.settings import yamlfile

        if self.data is None:
            return yamlfile.read(self.path, self.shown)  # it says what is wrong with it
        return yamlfile.parse(self.data, self.shown)


Found = Mapping[str, Sequence[File]]
"""The files of one layer by the part they belong to."""


def collected(from_layers: Sequence[Layer]) -> tuple[list[Found], str]:
    """The content of every file, layer by layer, and the fingerprint of all of it."""
    digest = hashlib.sha256()
    out: list[Found] = []
    for layer in from_layers:
        found: dict[str, list[File]] = {part: [] for part in PARTS}
        for path, name in files(layer):
            data, shown = _bytes(path), f"{layer.shown}/{name}"
            digest.update(shown.encode() + b"\0" + (data or b"") + b"\0")
            found[name.partition("/")[0]].append(File(path, shown, data))
        out.append(found)
    return out, digest.hexdigest()[:12]


def documents(some: Sequence[File], wrong: list[Problem]) -> list[Document]:
    """The files that can be parsed, with what is wrong about the others."""
    out = []
    for file in some:
        try:
            out.append(file.document())
        except BadInput as e:
            wrong += e.problems
    return out


def _yaml_names(folder: Path) -> list[str]:
    """Names of the YAML files of a folder; none of one that may not be looked into."""
    try:
        return sorted(name for name in os.listdir(folder) if name.endswith(".yaml"))
    except PermissionError:
        return []


def _bytes(path: Path) -> bytes | None:
    try:
        with path.open("rb") as f:
            return f.read(MAX_BYTES + 1)
    except OSError:
        return None  # File.document says what is wrong with it
