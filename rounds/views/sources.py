"""What a page may ask: the books, the readings, and what is worked out beside the keys."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, Protocol, TypeVar

from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.species import Species
from rounds.named_tuple import NamedTuple
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.observations import Action, DueNotice, ReadingChange, Visit
from rounds.records.record import Record
from rounds.records.stops import Stop

T = TypeVar("T")
R = TypeVar("R", bound=Record)


class Gone(KeyError):
    """What a page is about is no longer in the book: the act that added it was taken back."""


class Slow(NamedTuple):
    """Something worked out beside the keys: ``value`` is None until it is there; ``words`` say how far it is."""

    value: Any = None
    words: str = ""


class Found(NamedTuple):
    """A visit whose note or readings hold what was looked for."""

    seen: Visit
    text: str


class ActRecord(NamedTuple):
    """An act as it was recorded: its id and title, whom it was done to (a row of a table), what was typed.

    ``rows`` are the rows it added or changed, by table and id.
    """

    name: str
    title: str
    table: str
    subject: int
    given: Mapping[str, Any]
    day: int
    keeper: str = ""
    undone: bool = False
    rows: tuple[tuple[str, int], ...] = ()


class Tell(Protocol):
    """Says how far slow work is, and what it has come to so far; False: nobody wants it any more."""

    def __call__(self, words: str, so_far: Any = None, /) -> bool: ...


class Correction(NamedTuple):
    """A value that was replaced or taken back, and the enclosure it was read at."""

    enclosure: int
    day: int
    change: ReadingChange


class Archive(Protocol):
    """The visits in the book, for work beside the keys. Every method may take long."""

    def find(self, words: Sequence[str], most: int, tell: Tell) -> list[Found]:
        """Visits with all of these words (case and accents do not matter) in their note, newest first.

        ``tell`` is called with how far it is and what was found, and answers whether to go on.
        """

    def deeds(self) -> Iterator[ActRecord]:
        """Acts that were recorded, taken back or not, the newest first."""

    def corrections(self, most: int) -> list[Correction]:
        """The newest corrections of the book, and besides as many keys of typed notes.

        Each key of a note replaces its text and is a correction of its own here.
        """

    def notes(self, enclosure: int) -> list[Found]:
        """Every visit of an enclosure with a note, newest first."""


class Sources(Protocol):
    """The house as pages see it. ``day`` is today; ``index`` finds rows without going through a table."""

    day: int
    kinds: Mapping[str, ReadingKind]

    @property
    def species(self) -> Mapping[str, Species]: ...

    @property
    def ledger(self) -> Ledger: ...

    def index(self, of: type[R], column: Column[T]) -> Mapping[T, Sequence[R]]:
        """Records that count, by the value of one of their columns, oldest first; made once per state of the books."""

    def once(self, name: str, make: Callable[[], T]) -> T:
        """What ``make`` makes of the books alone (an order of many rows, say); once per state of them."""

    def moment(self, at_ms: int) -> str:
        """An instant by the house's clock: ``28 Feb 2026 07:31``."""

    def stops(self) -> Sequence[Stop]:
        """The enclosures of this walk in shelf order."""

    def seen(self, enclosure: int, most: int) -> Sequence[Visit]:
        """The last visits of an enclosure, oldest first, this round's too."""

    def last_looks(self) -> Mapping[int, int]:
        """The day each enclosure was last looked at, by id; those never looked at are left out."""

    def actions(self, enclosure: int) -> Sequence[Action]:
        """What is open at an enclosure, worst first, each with what keeps it back today."""

    def sets_locks_aside(self, enclosure: int) -> bool:
        """Does something foul, hot or flooded outweigh the locks there?"""

    def dues(self) -> Sequence[tuple[int, DueNotice]]:
        """Due work with its enclosure, by day and then shelf order, as far ahead as the walk looks."""

    def works(self) -> Slow:
        """All due work (rounds.due.kinds.DueWork), however far ahead, worked out beside the keys."""

    def slow(
        self, name: str, key: str, work: Callable[[Archive, Tell], T], *, of_visits: bool = False
    ) -> Slow:
        """Work for beside the keys: what it has come to by now.

        Asked again with the same ``key``, it goes on; with another key the earlier work under
        this ``name`` is given up, unless it was done. The screen is told when there is something
        new. ``of_visits``: it follows from visits, and is worked out anew once more are saved.
        """
