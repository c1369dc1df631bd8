"""Pages made from a ledger alone: what pages ask, without a walk, a book or a thread."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, TypeVar

from rounds.due.kinds import DueWork
from rounds.husbandry.species import Species
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.observations import NOTHING, Action, DueNotice, Visit
from rounds.records.record import Record
from rounds.records.stops import Stop
from rounds.views.page import Link, OpenPage, Page
from rounds.views.page_registry import build
from rounds.views.sources import ActRecord, Correction, Found, Slow, Tell
from tests.acts.books import TODAY

T = TypeVar("T")
R = TypeVar("R", bound=Record)


class Archive:
    """Notes by enclosure: ``{enclosure: [(day, text)]}``."""

    def __init__(self, notes: Mapping[int, Sequence[tuple[int, str]]]) -> None:
        self._notes = notes

    def find(self, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        every = [f for box in self._notes for f in self.notes(box)]
        return [f for f in every if all(w in f.text for w in words)][:most]

    def deeds(self) -> Iterator[ActRecord]:
        return iter(())

    def corrections(self, most: int) -> list[Correction]:
        return []

    def notes(self, enclosure: int) -> list[Found]:
        found = [
            Found(Visit(f"{enclosure}.{n}".encode(), enclosure, day, day, {}, NOTHING, note=text), text)
            for n, (day, text) in enumerate(self._notes.get(enclosure, ()))
        ]
        return sorted(found, key=lambda f: -f.seen.day)


class OnBooks:
    """Sources over a ledger. ``wait`` leaves slow work undone, as it is when a page is first looked at."""

    kinds: Mapping[str, Any] = {}
    species: Mapping[str, Species] = {}

    def __init__(
        self,
        ledger: Ledger,
        notes: Mapping[int, Sequence[tuple[int, str]]] | None = None,
        wait: bool = False,
        dues: Sequence[tuple[int, DueNotice]] = (),
        works: Sequence[DueWork] | None = None,
    ) -> None:
        self.ledger, self.day, self.wait = ledger, TODAY, wait
        self._archive, self._dues, self._works = Archive(notes or {}), dues, works
        self._made: dict[Any, Any] = {}

    def index(self, of: type[R], column: Column[T]) -> Mapping[T, Sequence[R]]:
        def make() -> dict[T, list[R]]:
            out: dict[T, list[R]] = {}
            for record in self.ledger.rows(of):
                out.setdefault(record.value(column), []).append(record)
            return out

        return self.once(f"index {column}", make)

    def once(self, name: str, make: Callable[[], T]) -> T:
        if name not in self._made:
            self._made[name] = make()
        made: T = self._made[name]
        return made

    def moment(self, at_ms: int) -> str:
        return str(at_ms)

    def stops(self) -> Sequence[Stop]:
        return ()

    def seen(self, enclosure: int, most: int) -> Sequence[Visit]:
        return [f.seen for f in reversed(self._archive.notes(enclosure))][-most:]

    def last_looks(self) -> Mapping[int, int]:
        return {}

    def actions(self, enclosure: int) -> Sequence[Action]:
        return ()

    def sets_locks_aside(self, enclosure: int) -> bool:
        return False

    def dues(self) -> Sequence[tuple[int, DueNotice]]:
        return self._dues

    def works(self) -> Slow:
        return Slow(None, "working …") if self._works is None or self.wait else Slow(self._works)

    def slow(
        self, name: str, key: str, work: Callable[[Archive, Tell], T], *, of_visits: bool = False
    ) -> Slow:
        if self.wait:
            return Slow(None, "working …")
        return Slow(self.once(f"{name} {key}", lambda: work(self._archive, lambda *_: True)), "")

    def page(self, kind: str, id_: int = 0) -> Page:
        return build(OpenPage(Link(kind, id_)), self)


def text(page: Page) -> str:
    """Everything a page says, as lines."""
    out = [page.title, *(f"{label}: {said}" for label, said in page.facts), *page.drawn, page.hint]
    for part in page.parts:
        out.append(f"= {part.title}")
        out += [" | ".join(row.cells) for row in part.rows] or [part.empty]
    return "\n".join(out)


def part(page: Page, title: str) -> list[tuple[str, ...]]:
    """The cells of a part's rows."""
    return [row.cells for p in page.parts if p.title == title for row in p.rows]


def links(page: Page) -> list[Link]:
    return [row.link for p in page.parts for row in p.rows if row.link is not None]
