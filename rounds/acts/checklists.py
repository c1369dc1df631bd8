"""Checklists for setting an enclosure up and for clearing it: steps in order, and which are done.

The lists come from ``config/checklists/*.yaml`` (parsed in
:mod:`rounds.acts.checklists_file`). A step that was not ticked stays open; ticks of an
earlier use of the same enclosure do not count.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING

from rounds.acts import checklist_sentences
from rounds.husbandry.species import PRESETS, Species
from rounds.husbandry.stages import VACANT
from rounds.named_tuple import NamedTuple
from rounds.records.round_summary import Need
from rounds.records.tables import Enclosure, Tick
from rounds.values.spans import FIRST, Span

if TYPE_CHECKING:  # a config is read without the books
    from rounds.due.kinds import DueWork
    from rounds.records.ledger import Ledger

USES = ("set-up", "clearing")
LOOK = "look"
"""The step every clearing list begins with: a look for eggs and larvae."""
LITRES = "litres"
"""An amount to bring that is as much as the enclosure holds."""

PLACES = re.compile(r"\{([^{}]*)\}")
"""A place in a step's text that is filled in from the species file."""

UNMEASURED = checklist_sentences.FULL_AMOUNT_UNKNOWN

NEXT_STAGE = {"pairing-over": "laying"}
"""Due work that needs an enclosure set up for another stage before it can be done."""


class ChecklistStep(NamedTuple):
    """One step. ``without`` is its text where the species file lacks a value it names.

    ``headline`` says it in a few words.
    """

    id: str
    do: str
    why: str
    without: str = ""
    bring: Mapping[str, float | str] = {}
    headline: str = ""


class Checklist(NamedTuple):
    """Steps in the order in which they are done; ``species`` empty: for any."""

    id: str
    title: str
    use: str
    stages: tuple[str, ...]
    species: tuple[str, ...]
    steps: tuple[ChecklistStep, ...]


class ChecklistLine(NamedTuple):
    """One step as it is shown: its words for this species, and when it was done (None: open)."""

    step: ChecklistStep
    words: str
    done: Span | None


def find(lists: Iterable[Checklist], use: str, stage: str, species: str) -> Checklist | None:
    """The list for a use and stage: one that names the species before one for any; the last wins."""
    fitting = [
        c for c in lists if c.use == use and stage in c.stages and (not c.species or species in c.species)
    ]
    return max(fitting, key=lambda c: bool(c.species), default=None) if fitting else None


def words(step: ChecklistStep, species: Species | None, stage: str) -> str:
    """The step with the values of the species, or its ``without`` where one of them is unknown."""
    names = PLACES.findall(step.do)
    values = {name: value(species, name, stage) for name in names}
    if not all(values.values()):
        return step.without
    return PLACES.sub(lambda m: str(values[m[1]]), step.do)


def value(species: Species | None, preset: str, stage: str) -> str:
    """A preset of the species for a stage as words ("" when it is unknown)."""
    if species is None:
        return ""
    by = ("L3", stage) if preset == "larva_litres" else (stage,)
    if PRESETS[preset].kind == "words":
        return next(iter(species.words(preset, *by)), "")
    found = species.range(preset, *by)
    return str(found) if found is not None else ""


def lines(
    ledger: Ledger, enclosure: int, checklist: Checklist, species: Species | None, stage: str, since: int
) -> list[ChecklistLine]:
    """Every step in order with its words; ticks made before the day ``since`` do not count.

    ``stage`` is the one the enclosure is set up for, or is cleared from.
    """
    done: dict[str, Span] = {}
    for tick in ledger.rows(Tick, Tick.enclosure.is_(enclosure), Tick.list.is_(checklist.id)):
        when: Span | None = tick.done
        if when is not None and when.latest >= since:
            done[tick.item] = when
    return [ChecklistLine(s, words(s, species, stage), done.get(s.id)) for s in checklist.steps]


def to_bring(open_: Iterable[ChecklistLine], litres: float | None) -> dict[str, float]:
    """Materials that the open steps need; what depends on an unknown size is left out."""
    out: dict[str, float] = {}
    for line in open_:
        if line.done is not None:
            continue
        for what, amount in line.step.bring.items():
            number = litres if isinstance(amount, str) else amount
            if number is not None:
                out[what] = out.get(what, 0.0) + number
    return out


def carry(
    ledger: Ledger,
    lists: Sequence[Checklist],
    presets: Mapping[str, Species],
    works: Iterable[DueWork],
    today: int,
) -> dict[int, dict[str, float]]:
    """What to bring for set-ups that were begun, and for those that work of tomorrow needs.

    By enclosure id: the one that is being set up, or the one whose work needs another. An
    enclosure that is prepared for the species already serves one such work.
    """
    out: dict[int, dict[str, float]] = {}
    for id_, open_, litres in _set_ups(ledger, lists, presets, works, today):
        mine = out.setdefault(id_, {})
        for what, amount in to_bring(open_, litres).items():
            mine[what] = mine.get(what, 0.0) + amount
    return {id_: mine for id_, mine in out.items() if mine}


def lacking(
    ledger: Ledger,
    lists: Sequence[Checklist],
    presets: Mapping[str, Species],
    works: Iterable[DueWork],
    today: int,
) -> dict[int, tuple[Need, ...]]:
    """What :func:`carry` has no amount of: as much as an enclosure holds, which nobody wrote down."""
    out: dict[int, tuple[Need, ...]] = {}
    for id_, open_, litres in _set_ups(ledger, lists, presets, works, today):
        if litres is None:
            things = {w for x in open_ for w, much in x.step.bring.items() if isinstance(much, str)}
            out[id_] = tuple(Need(w, 0, None, "", UNMEASURED) for w in sorted(things))
    return {id_: some for id_, some in out.items() if some}


def _set_ups(
    ledger: Ledger,
    lists: Sequence[Checklist],
    presets: Mapping[str, Species],
    works: Iterable[DueWork],
    today: int,
) -> Iterator[tuple[int, Sequence[ChecklistLine], float | None]]:
    """The set-ups to carry for: where, the steps that are open, and how much the enclosure holds."""
    taken: set[int] = set()
    for box in ledger.rows(Enclosure):
        if box.stage in VACANT:
            open_ = _begun(ledger, box.id, lists, presets)
            if any(line.step.bring for line in open_):
                taken.add(box.id)
                yield box.id, open_, box.litres
    ready = [r.species for r in ledger.rows(Enclosure) if r.stage == "prepared" and r.id not in taken]
    for work in works:
        stage = NEXT_STAGE.get(work.kind)
        if (
            stage is None
            or work.enclosure is None
            or work.done is not None
            or work.planned(today) > today + 1
        ):
            continue
        box = ledger.row(Enclosure, work.enclosure)
        free = next((s for s in (box.species, "") if s in ready), None)
        if free is not None:
            ready.remove(free)
            continue
        checklist = find(lists, "set-up", stage, box.species)
        if checklist is not None:
            every = lines(
                ledger, work.enclosure, checklist, presets.get(box.species), stage, work.planned(today)
            )
            yield work.enclosure, [line._replace(done=None) for line in every], box.litres


class Begun(NamedTuple):
    """A checklist of which some steps are done and some are not."""

    checklist: Checklist
    lines: tuple[ChecklistLine, ...]

    @property
    def open(self) -> tuple[ChecklistLine, ...]:
        return tuple(line for line in self.lines if line.done is None)


def begun(
    ledger: Ledger, id_: int, lists: Iterable[Checklist], presets: Mapping[str, Species]
) -> tuple[Begun, ...]:
    """The checklists begun at an enclosure since it is in its stage, each with its steps in order."""
    box = ledger.row(Enclosure, id_)
    since: Span | None = box.stage_since
    day = since.earliest if since is not None else FIRST
    out = []
    for checklist in lists:
        every = lines(ledger, id_, checklist, presets.get(box.species), checklist.stages[0], day)
        if any(line.done for line in every) and not all(line.done for line in every):
            out.append(Begun(checklist, tuple(every)))
    return tuple(out)


def _begun(
    ledger: Ledger, id_: int, lists: Sequence[Checklist], presets: Mapping[str, Species]
) -> tuple[ChecklistLine, ...]:
    """The open steps of a set-up that has at least one tick."""
    for found in begun(ledger, id_, (c for c in lists if c.use == "set-up"), presets):
        return found.open
    return ()
