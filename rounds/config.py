"""The config in force: shipped files, the keeper's own laid over them, or the last good copy.

A walk must open even when somebody broke a file an hour ago. So every good load leaves a
copy beside the book, and a bad one falls back to it and says so.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import threading
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from rounds import __version__
from rounds.husbandry.keys_file import Layout, chosen, layouts
from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.problems import BadInput, Problem
from rounds.rules.model import Rule
from rounds.rules.parse import parse as parse_rules
from rounds.settings import where
from rounds.settings.choices import Choices, choices
from rounds.settings.document import MAX_BYTES, Document

if TYPE_CHECKING:  # species and checklists are read when they are needed: see Presets
    from rounds.books.acts import Settings
    from rounds.books.checklists import Checklist
    from rounds.husbandry.species import Species

    Known = tuple[Mapping[str, Species], tuple[Checklist, ...]]

PARTS = ("settings.yaml", "readings.yaml", "keys", "rules", "species", "checklists")


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
            return Document(self.shown, self.known, {})
        from rounds.settings import yamlfile

        if self.data is None:
            return yamlfile.read(self.path, self.shown)  # it says what is wrong with it
        return yamlfile.parse(self.data, self.shown)


Found = Mapping[str, Sequence[File]]
"""The files of one layer by the part they belong to."""


class Presets:
    """Species and checklists, parsed when they are first asked for: no start of a walk needs them.

    ``fall_back`` gives the config to use instead should they turn out bad then; what it
    says is ``banner`` from there on. Threads may ask at the same time.
    """

    def __init__(
        self, found: Sequence[Found] = (), fall_back: Callable[[BadInput], Config] | None = None
    ) -> None:
        self.banner = ""
        self._found, self._fall_back = found, fall_back
        self._known: Known | None = None
        self._reading = threading.Lock()

    def read(self) -> Known:
        """Species by Latin name, and the checklists. Raises BadInput with every problem."""
        with self._reading:
            if self._known is None:
                try:
                    self._known = self._parsed()
                except BadInput as bad:
                    if self._fall_back is None:
                        raise
                    instead = self._fall_back(bad)
                    self.banner, self._known = instead.banner, instead.presets.read()
            return self._known

    def _parsed(self) -> Known:
        from rounds.books.checklists_file import checklists
        from rounds.husbandry.species_file import species

        wrong: list[Problem] = []
        documents = {
            part: [_documents(layer.get(part, ()), wrong) for layer in self._found]
            for part in ("species", "checklists")
        }
        if wrong:
            raise BadInput(wrong)
        known: Mapping[str, Species] = {}
        lists: tuple[Checklist, ...] = ()
        try:
            known = species(documents["species"])
        except BadInput as e:
            wrong += e.problems
        try:
            lists = checklists(documents["checklists"], known)
        except BadInput as e:
            wrong += e.problems
        if wrong:
            raise BadInput(wrong)
        return known, lists

    def __eq__(self, other: object) -> bool:
        return self.read() == other.read() if isinstance(other, Presets) else NotImplemented

    __hash__ = None  # type: ignore[assignment]


class Config(NamedTuple):
    """Everything a walk needs from files; ``banner`` is what the keeper must be told.

    ``commands`` are those of the layout in force, by key.
    """

    vocabulary: Vocabulary
    rules: tuple[Rule, ...]
    commands: Mapping[str, str]
    fingerprint: str
    banner: str = ""
    presets: Presets = Presets()
    layouts: Mapping[str, Layout] = {}
    choices: Choices = Choices()

    def with_keys(self, name: str, option: str = "--keys") -> Config:
        """The same with another key layout in force. Raises RoundsError for a name nobody gave one."""
        found = chosen(self.layouts, name, option)
        return self._replace(commands=found.commands, choices=self.choices._replace(keys=name))

    @property
    def species(self) -> Mapping[str, Species]:
        """What is known of each species, by its Latin name."""
        return self.presets.read()[0]

    @property
    def checklists(self) -> tuple[Checklist, ...]:
        """Checklists for setting up and clearing."""
        return self.presets.read()[1]


def for_acts(config: Config) -> Settings:
    """What acts ask of the config: times and days of the species, and the steps of each checklist."""
    from rounds.books.acts import Settings
    from rounds.husbandry.species import times

    def days(species: str, preset: str) -> tuple[float, float, str] | None:
        known = config.species.get(species)
        found = known.range(preset) if known is not None else None
        return None if found is None else (found.low, found.high, found.source)

    return Settings(
        times=lambda species: times(config.species.get(species)),
        days=days,
        checklists={c.id: tuple(s.id for s in c.steps) for c in config.checklists},
        species=config.species,
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
        raise BadInput(
            [Problem(str(own), 0, 0, "is not a folder.", "Name the folder that holds your config.")]
        )
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
    return _config(*_collected(from_layers), whole=True)


def presets(from_layers: Sequence[Layer]) -> Presets:
    """The species and checklists alone."""
    return Presets(_collected(from_layers)[0])


def in_force(config: str | None, book: Path, *, places: bool = False) -> Config:
    """The config for a walk on ``book``: never fails because a keeper's file is bad.

    Falls back to the copy kept beside the book, then to the shipped files alone; raises
    BadInput only when the shipped files themselves are bad. Files that were found good
    before, to the byte, are only parsed as far as every walk needs them. With ``places`` they
    are read again all the same, so that every rule knows its file and line.
    """
    try:
        from_layers = layers(config)
        found, fingerprint = _collected(from_layers)
        known = _is_kept(book, fingerprint)
        if known and not places:
            found = _remembering(found, book)
        good = _config(found, fingerprint, whole=not known, fall_back=lambda bad: _fallback(bad, book))
    except BadInput as e:
        return _fallback(e, book)
    if not known:
        _keep(from_layers, found, book, fingerprint)
    return good


def _collected(from_layers: Sequence[Layer]) -> tuple[list[Found], str]:
    """The content of every file, layer by layer, and the fingerprint of all of it."""
    digest = hashlib.sha256()
    out: list[Found] = []
    for layer in from_layers:
        found: dict[str, list[File]] = {part: [] for part in PARTS}
        for path, shown in files(layer):
            data = _bytes(path)
            digest.update(shown.encode() + b"\0" + (data or b"") + b"\0")
            found[path.relative_to(layer.root).parts[0]].append(File(path, shown, data))
        out.append(found)
    return out, digest.hexdigest()[:12]


def _config(
    found: Sequence[Found],
    fingerprint: str,
    whole: bool,
    fall_back: Callable[[BadInput], Config] | None = None,
) -> Config:
    """Parse what was collected; ``whole``: species and checklists at once, to tell all that is wrong."""
    wrong: list[Problem] = []
    readings = [d for layer in found for d in _documents(layer["readings.yaml"], wrong)]
    keys = [d for layer in found for d in _documents(layer["keys"], wrong)]
    settings = [d for layer in found for d in _documents(layer["settings.yaml"], wrong)]
    rules = [_documents(layer["rules"], wrong) for layer in found]
    later = Presets(found, None if whole else fall_back)
    if whole:
        try:
            later.read()
        except BadInput as e:
            wrong += e.problems
    if wrong:
        raise BadInput(wrong)
    words = vocabulary(readings)
    parsed, wrong = parse_rules(rules, words)
    by_name: Mapping[str, Layout] = {}
    choice = Choices()
    try:
        by_name = layouts(keys, words)
        choice = choices(settings, by_name)
    except BadInput as e:
        wrong = [*wrong, *e.problems]
    if wrong:
        raise BadInput(wrong)
    commands = by_name[choice.keys].commands
    return Config(words, tuple(parsed), commands, fingerprint, "", later, by_name, choice)


def _documents(some: Sequence[File], wrong: list[Problem]) -> list[Document]:
    """The files that can be parsed, with what is wrong about the others."""
    out = []
    for file in some:
        try:
            out.append(file.document())
        except BadInput as e:
            wrong += e.problems
    return out


def _fallback(bad: BadInput, book: Path) -> Config:
    kept = where.kept_config(book)
    more = f" (and {len(bad.problems) - 1} more)" if len(bad.problems) > 1 else ""
    trouble = f"{bad.problems[0]}{more}"
    candidates = [
        (
            [Layer(kept / n, n) for n in ("shipped", "own") if (kept / n).is_dir()],
            "the last good config stays in force",
        ),
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


def _mark(fingerprint: str) -> str:
    """What a kept copy is marked with: another version of the program may find other things wrong."""
    return f"{fingerprint} {__version__}"


def _is_kept(book: Path, fingerprint: str) -> bool:
    """Whether these very files were found good by this program and are kept beside the book."""
    mark = where.kept_config(book) / "fingerprint"
    try:
        return mark.read_text(encoding="utf-8") == _mark(fingerprint)
    except (OSError, ValueError):
        return False  # there is none, or nobody can read it: everything is checked again


WALK_PARTS = ("settings.yaml", "readings.yaml", "keys", "rules")
"""What every start of a walk needs: parsed once, then remembered beside the book."""


def _remembering(found: list[Found], book: Path) -> list[Found]:
    """The files with what was parsed from them before, where the kept copy has it.

    They are known to be good, so that only their data is needed, not the place of each
    value; and the YAML parser need not even be imported.
    """
    import json

    try:
        raw = (where.kept_config(book) / "parsed.json").read_text(encoding="utf-8")
        plain = json.loads(raw)
    except (OSError, ValueError):
        return found  # none there, or not whole: the files themselves are parsed
    if not isinstance(plain, dict):
        return found
    return [
        {
            part: [f._replace(known=plain.get(f.shown)) for f in some] if part in WALK_PARTS else some
            for part, some in layer.items()
        }
        for layer in found
    ]


def _keep(good: Sequence[Layer], found: Sequence[Found], book: Path, fingerprint: str) -> None:
    """Copy the files of a good config beside the book, and what was parsed from them."""
    import json

    if not book.exists():
        return
    kept = where.kept_config(book)
    fresh = kept.with_name(kept.name + ".new")
    try:
        shutil.rmtree(fresh, ignore_errors=True)
        for layer, name in zip(good, ("shipped", "own"), strict=False):
            for path, _ in files(layer):
                to = fresh / name / path.relative_to(layer.root)
                to.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
                shutil.copyfile(path, to)
        plain = {f.shown: f.document().data for layer in found for part in WALK_PARTS for f in layer[part]}
        (fresh / "parsed.json").write_text(json.dumps(plain, ensure_ascii=False), encoding="utf-8")
        (fresh / "fingerprint").write_text(_mark(fingerprint), encoding="utf-8")
        os.chmod(fresh, 0o700)
        shutil.rmtree(kept, ignore_errors=True)
        fresh.rename(kept)
    except OSError:
        shutil.rmtree(
            fresh, ignore_errors=True
        )  # a full or read-only disk: the book's own checks speak of that


def _bytes(path: Path) -> bytes | None:
    try:
        with path.open("rb") as f:
            return f.read(MAX_BYTES + 1)
    except OSError:
        return None  # File.document says what is wrong with it
