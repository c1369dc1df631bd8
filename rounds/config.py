"""The config in force: shipped files, the keeper's own laid over them, or the last good copy.

A walk must open even when somebody broke a file an hour ago. So every good load leaves a
copy beside the book, and a bad one falls back to it and says so.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.husbandry.readings import Vocabulary
from rounds.husbandry.readings_file import vocabulary
from rounds.keys.card_commands import STANDARD
from rounds.keys.layout_file import Layout, chosen, layouts
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem
from rounds.rules.rule import Rule
from rounds.rules.rule_parser import parse as parse_rules
from rounds.settings import fall_back_sentences as sentences
from rounds.settings import where
from rounds.settings.choices import Choices, choices
from rounds.settings.last_good import PRESETS, WALK, is_kept, keep, kept_layers, remembering
from rounds.settings.layers import Found, Layer, collected, documents, layers

if TYPE_CHECKING:  # species and checklists are read when they are needed: see Presets
    from rounds.acts.act import Settings
    from rounds.acts.checklists import Checklist
    from rounds.husbandry.species import Species

    Known = tuple[Mapping[str, Species], tuple[Checklist, ...]]


class Presets:
    """Species and checklists, parsed when they are first asked for: no start of a walk needs them.

    ``recalled`` gives the same files with what was parsed from them before. ``fall_back`` gives
    the config to use instead should they turn out bad then; what it says is ``banner`` from
    there on. Threads may ask at the same time.
    """

    def __init__(
        self,
        found: Sequence[Found] = (),
        fall_back: Callable[[BadInput], Config] | None = None,
        recalled: Callable[[Sequence[Found]], Sequence[Found]] = tuple,
    ) -> None:
        self.banner = ""
        self._found, self._fall_back, self._recalled = found, fall_back, recalled
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
                self._found = ()  # read to the end: nobody asks for the files again
            return self._known

    def _parsed(self) -> Known:
        from rounds.acts.checklists_file import checklists
        from rounds.husbandry.species_file import species

        wrong: list[Problem] = []
        parts = {
            part: [documents(layer.get(part, ()), wrong) for layer in self._recalled(self._found)]
            for part in ("species", "checklists")
        }
        if wrong:
            raise BadInput(wrong)
        known: Mapping[str, Species] = {}
        lists: tuple[Checklist, ...] = ()
        try:
            known = species(parts["species"])
        except BadInput as e:
            wrong += e.problems
        try:
            lists = checklists(parts["checklists"], known)
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

    ``commands`` are those of the layout in force, by key; ``card_keys`` those of a card.
    """

    vocabulary: Vocabulary
    rules: tuple[Rule, ...]
    commands: Mapping[str, str]
    fingerprint: str
    banner: str = ""
    presets: Presets = Presets()
    layouts: Mapping[str, Layout] = {}
    choices: Choices = Choices()
    card_keys: Mapping[str, str] = STANDARD

    def with_keys(self, name: str, option: str = "--keys") -> Config:
        """The same with another key layout in force. Raises RoundsError for a name nobody gave one."""
        found = chosen(self.layouts, name, option)
        return self._replace(
            commands=found.commands, card_keys=found.card, choices=self.choices._replace(keys=name)
        )

    @property
    def species(self) -> Mapping[str, Species]:
        """What is known of each species, by its Latin name."""
        return self.presets.read()[0]

    @property
    def checklists(self) -> tuple[Checklist, ...]:
        """Checklists for setting up and clearing."""
        return self.presets.read()[1]


def for_acts(config: Config) -> Settings:
    """What acts ask of the config: times and days of the species, the steps of each checklist, F worked out again."""
    from rounds.acts.act import Settings
    from rounds.analysis.pairing.plans_again import PlansRemembered
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
        about=config.choices.about,
        plans_again=PlansRemembered(),
    )


def read(from_layers: Sequence[Layer]) -> Config:
    """Read and check everything. Raises BadInput with the problems of every file."""
    return _config(*collected(from_layers), whole=True)


def in_force(config: str | None, book: Path, *, places: bool = False) -> Config:
    """The config for a walk on ``book``: never fails because a keeper's file is bad.

    Falls back to the copy kept beside the book, then to the shipped files alone; raises
    BadInput only when the shipped files themselves are bad. Files that were found good
    before, to the byte, are only parsed as far as every walk needs them. With ``places`` they
    are read again all the same, so that every rule knows its file and line.
    """
    try:
        from_layers = layers(config)
        found, fingerprint = collected(from_layers)
        known = is_kept(book, fingerprint)
        walked: Sequence[Found] = found
        recalled: Callable[[Sequence[Found]], Sequence[Found]] = tuple
        if known and not places:
            recalled = partial(remembering, book=book, which=PRESETS)
            walked = remembering(found, book, WALK)
        good = _config(
            walked,
            fingerprint,
            whole=not known,
            fall_back=lambda bad: _fallback(bad, book),
            recalled=recalled,
        )
    except BadInput as e:
        return _fallback(e, book)
    if not known:
        keep(from_layers, found, book, fingerprint)
    return good


def _config(
    found: Sequence[Found],
    fingerprint: str,
    *,
    whole: bool,
    fall_back: Callable[[BadInput], Config] | None = None,
    recalled: Callable[[Sequence[Found]], Sequence[Found]] = tuple,
) -> Config:
    """Parse what was collected; ``whole``: species and checklists at once, to tell all that is wrong."""
    wrong: list[Problem] = []
    readings = [d for layer in found for d in documents(layer["readings.yaml"], wrong)]
    keys = [d for layer in found for d in documents(layer["keys"], wrong)]
    settings = [d for layer in found for d in documents(layer["settings.yaml"], wrong)]
    rules = [documents(layer["rules"], wrong) for layer in found]
    later = Presets(found, None if whole else fall_back, recalled)
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
    layout = by_name[choice.keys]
    return Config(words, tuple(parsed), layout.commands, fingerprint, "", later, by_name, choice, layout.card)


def _fallback(bad: BadInput, book: Path) -> Config:
    trouble = sentences.trouble(str(bad.problems[0]), len(bad.problems) - 1)
    candidates = [
        (kept_layers(book), sentences.LAST_GOOD),
        ([Layer(where.shipped("config"), "config")], sentences.SHIPPED),
    ]
    for from_layers, said in candidates:
        if not from_layers:
            continue
        try:
            return read(from_layers)._replace(banner=sentences.instead(trouble, said))
        except BadInput:
            continue  # this copy is no better; the last candidate's failure is raised below
    raise bad
