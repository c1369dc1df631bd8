"""The books sorted for finding due work, and the arithmetic of "so many days after"."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Protocol, TypeVar

from rounds.due.kinds import WorkSource
from rounds.due.stage_lengths import StageLengths
from rounds.due.windows import WorkWindow, work_window
from rounds.due.work_sentences import MISSED
from rounds.husbandry.species import Species, SpeciesRange
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.record import Record
from rounds.records.tables import (
    Animal,
    BatchUse,
    Content,
    Due,
    Enclosure,
    Line,
    Loan,
    Pairing,
    Protein,
    Search,
    Weight,
)
from rounds.records.whereabouts import vacated
from rounds.values.spans import UNKNOWN, Span, told

T = TypeVar("T")
R = TypeVar("R", bound=Record)


class DueIndex:
    """The books, sorted by enclosure and by animal so that each row is looked at once."""

    def __init__(self, ledger: Ledger, presets: Mapping[str, Species], today: int) -> None:
        self.ledger, self.presets, self.today = ledger, presets, today
        self.lengths = StageLengths(ledger, today)
        self.no_digging: dict[int, int] = {}
        """The day from which larvae of an enclosure may be wandering or in their cells, as far as it was worked out."""
        self.contents = by(ledger.rows(Content, Content.until.is_(None)), enclosure_of)
        self.vacated = vacated(ledger)
        self.searches = by(ledger.rows(Search), enclosure_of)
        self.bedding = by(ledger.rows(BatchUse), enclosure_of)
        self.protein = by(ledger.rows(Protein), enclosure_of)
        self.loans = by(ledger.rows(Loan), lambda loan: loan.animal)
        self.pairings = by(ledger.rows(Pairing), lambda pairing: pairing.female)
        self.dues = by(ledger.rows(Due), enclosure_of)
        self.weights: dict[int, list[Span]] = {}
        self.box_of: dict[int, int] = {}
        box_of_content: dict[int, int] = {}
        for box, contents in self.contents.items():
            for content in contents:
                box_of_content[content.id] = box
                if content.animal is not None:
                    self.box_of[content.animal] = box
        for weight in ledger.rows(Weight):
            at = None
            if weight.animal is not None:
                at = self.box_of.get(weight.animal)
            elif weight.content is not None:
                at = box_of_content.get(weight.content)
            if at is not None and weight.made is not None:
                self.weights.setdefault(at, []).append(weight.made)

    def species(self, box: Enclosure, contents: Sequence[Content] = ()) -> Species | None:
        """The species of an enclosure: its own, or that of the one line in it."""
        if box.species:
            return self.presets.get(box.species)
        lines = {content.line for content in contents if content.line is not None}
        if len(lines) != 1:
            return None
        return self.presets.get(self.ledger.row(Line, lines.pop()).species)

    def animal(self, id_: int) -> str:
        return animal_name(self.ledger, id_)


def by(records: Iterable[R], key: Callable[[R], int | None]) -> dict[int, list[R]]:
    """Records by the id that ``key`` gives of each; those of which it gives None are left out."""
    out: dict[int, list[R]] = {}
    for record in records:
        id_ = key(record)
        if id_ is not None:
            out.setdefault(id_, []).append(record)
    return out


class AtEnclosure(Protocol):
    """A record that names an enclosure, or may."""

    @property
    def enclosure(self) -> int | None: ...


def enclosure_of(record: AtEnclosure) -> int | None:
    """The enclosure a record is about."""
    return record.enclosure


Because = Callable[[str, str, str], str]
"""A sentence: since when (in words), after how many days, and who says so."""


def counted(
    kind: str,
    id_: int,
    anchor: str,
    since: Span | None,
    days: SpeciesRange | None,
    because: Because,
    done: int | None = None,
    animal: int | None = None,
) -> WorkSource:
    """A fact whose window is ``days`` after ``since``."""
    return sourced(kind, id_, anchor, since, days, because, work_window(since, days), done, animal)


def sourced(
    kind: str,
    id_: int,
    anchor: str,
    since: Span | None,
    days: SpeciesRange | None,
    because: Because,
    found: WorkWindow | None,
    done: int | None = None,
    animal: int | None = None,
    brood: int | None = None,
) -> WorkSource:
    """A fact with the window that was found for it, or none."""
    known = UNKNOWN if since is None else since
    if found is None or days is None:
        return WorkSource(kind, id_, animal, anchor, known, None, None, "", done, brood=brood)
    why = because(told(known), str(days), days.source)
    if found.reason:
        why = f"{why}. {found.reason}"
    return WorkSource(
        kind,
        id_,
        animal,
        anchor,
        known,
        found.window,
        found.likely,
        why,
        done,
        what=MISSED.get(kind, "") if found.missed else "",
        brood=brood,
        shown=found.shown,
    )


def preset_range(species: Species | None, preset: str) -> SpeciesRange | None:
    return species.range(preset) if species is not None else None


def added(ranges: list[SpeciesRange]) -> SpeciesRange | None:
    if len(ranges) < 2:
        return ranges[0] if ranges else None
    likely = None if any(r.likely is None for r in ranges) else sum(r.likely or 0 for r in ranges)
    sources = "; ".join(dict.fromkeys(r.source for r in ranges))
    return SpeciesRange(sum(r.low for r in ranges), sum(r.high for r in ranges), likely, sources)


def of_animal(index: DueIndex, content: Content, column: Column[T]) -> T | None:
    """What the animal that is this content has in a column; None for a group."""
    return index.ledger.row(Animal, content.animal).value(column) if content.animal is not None else None
