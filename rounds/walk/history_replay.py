"""Enclosures as they were: stage, inmates and shelf on a past day, put together from the book.

For judging rules over a history. Composes the store and the rules; touches nothing.

Only days on which the stage is certain are given: where the end of a stage is a span, the
days within it belong to neither stage. The instar of a group is the one last recorded, for
the books keep no other.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from operator import itemgetter

from rounds.config import Config
from rounds.husbandry.occupancy import company
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError
from rounds.records.ledger import Ledger
from rounds.records.observations import EnclosureState, Occupant, Visit
from rounds.records.tables import Animal, Content, Fewer, Line, StagePast
from rounds.rules.evaluate import RuleSet
from rounds.rules.replay import Replayed, Stay, replay
from rounds.rules.scene import Scene
from rounds.store import read
from rounds.store.book import Book
from rounds.store.ledger_store import load
from rounds.values.spans import FIRST, LAST, Span
from rounds.walk import walk_sentences
from rounds.walk.daily_summary import LOOK_BACK, by_shelf
from rounds.walk.past import HISTORY_VISITS

DAY_MS = 86_400_000
BACK_DAYS = 60
"""Days before the first one asked for that serve as history: more than 40 daily visits."""
AT_A_TIME = 500
"""Enclosures whose visits are held in memory together."""


def over(book: Book, config: Config, first: int, last: int) -> Replayed:
    """Every rule in force replayed from day ``first`` to ``last`` (both included)."""
    with book.reading():
        return replay(RuleSet(config.rules), stays(book, config, first, last), HISTORY_VISITS)


def stays(book: Book, config: Config, first: int, last: int) -> Iterator[Stay]:
    """Each enclosure as it was from ``first`` to ``last``, in stretches without a change.

    In the order of enclosures and days, as :func:`rounds.rules.replay.replay` wants them. The visits
    of some enclosures at a time are read, so that a large house does not fill the memory.
    """
    since = first - BACK_DAYS
    shelves = by_shelf(read.shelf_history(book, config.vocabulary.every_shelf, since).values(), config)
    was = Was(load(book))
    every = read.enclosures(book)
    for at in range(0, len(every), AT_A_TIME):
        some = every[at : at + AT_A_TIME]
        past = read.history(book, since_day=since, enclosures=[e.id for e in some])
        for e in some:
            visits = past.get(e.id, [])
            # Where it stood at its last look of a day: shelves are read once a day, not by the hour.
            stood = {v.day: v.shelf for v in visits if first <= v.day <= last}
            on = [((then, shelf), day) for day, shelf in sorted(stood.items()) if (then := was.on(e, day))]
            for (then, shelf), group in groupby(on, key=itemgetter(0)):
                days = [day for _, day in group]
                yield Stay(then, visits, days[0], days[-1], shelves.get(shelf, ()), lambda: config.species)


def scene_until(book: Book, config: Config, now: EnclosureState, day: int) -> Scene:
    """An enclosure at its last look up to ``day``, with as many visits as a walk looks back on.

    Judged on the day of that look: an answer of a month ago says nothing about today. Where
    nobody looked since it came into its stage it is judged on ``day``, with nothing read.
    Raises RoundsError when its stage on that day is not certain.
    """
    box = on_day(book, now, day)
    visits = visits_until(book, box.id, day)
    last = visits[-1] if visits else None
    if last is not None and box.stage_since is not None and last.day < box.stage_since.latest:
        last = None
    shown = last.day if last else day
    at_ms = last.at_ms if last else visits[-1].at_ms + (day - visits[-1].day) * DAY_MS if visits else 0
    shelf = box.place.shelf_name if box.place else ""
    read_there = read.shelf_visits(book, shelf, config.vocabulary.every_shelf, shown - LOOK_BACK)
    return Scene(box, visits, shown, at_ms, read_there, last is not None, lambda: config.species)


def visits_until(book: Book, enclosure: int, day: int) -> list[Visit]:
    """As many visits of one enclosure up to ``day`` as a walk looks back on, oldest first."""
    newest = read.last_visits(book, enclosure, HISTORY_VISITS)
    if any(v.day > day for v in newest):  # a day in the past was asked about
        newest = read.history(book, since_day=day - BACK_DAYS, enclosures=[enclosure]).get(enclosure, [])
    return [v for v in newest if v.day <= day][-HISTORY_VISITS:]


def on_day(book: Book, now: EnclosureState, day: int) -> EnclosureState:
    """The enclosure as it was on a day. Raises RoundsError when its stage then is not certain."""
    if now.stage_since is None or day >= now.stage_since.latest:
        return now  # the books are not read for what is known already
    then = Was(load(book)).on(now, day)
    if then is None:
        raise RoundsError(walk_sentences.stage_not_certain(now.code))
    return then


class _Period(NamedTuple):
    """A stage, and the first and last day on which the enclosure was certainly in it."""

    stage: str
    since: Span | None
    first: int
    last: int


class _Inmate(NamedTuple):
    """A row of contents: there from day ``first`` until the day before ``until``."""

    content: Occupant
    species: str
    first: int
    until: int
    fewer: tuple[tuple[int, int, int, int], ...]  # day, and by how many males, females, unsexed
    since: Span | None
    left: Span | None


class Was:
    """Past days of the books' enclosures."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger
        self._past: dict[int, list[StagePast]] = {}
        for past in ledger.rows(StagePast):
            self._past.setdefault(past.enclosure, []).append(past)
        self._inmates: dict[int, list[_Inmate]] = {}
        for enclosure, inmate in _inmates(ledger):
            self._inmates.setdefault(enclosure, []).append(inmate)
        self._last: tuple[EnclosureState, int, int, EnclosureState | None] | None = None

    def on(self, now: EnclosureState, day: int) -> EnclosureState | None:
        """The enclosure as it was on a day; None when its stage then is not certain."""
        if self._last is not None:  # most often it is asked for day after day, and nothing changes
            of, first, last, then = self._last
            if of is now and first <= day <= last:
                return then
        periods, inmates = _periods(now, self._past.get(now.id, ())), self._inmates.get(now.id, ())
        period = next((p for p in periods if p.first <= day <= p.last), None)
        then = None if period is None else _then(now, period, inmates, day)
        changes = [c for p in periods for c in (p.first, p.last + 1)]
        changes += [c for i in inmates for c in (i.first, i.until, *(f[0] for f in i.fewer))]
        since = max((c for c in changes if c <= day), default=FIRST)
        self._last = now, since, min((c for c in changes if c > day), default=LAST + 1) - 1, then
        return then


def _then(now: EnclosureState, period: _Period, inmates: Sequence[_Inmate], day: int) -> EnclosureState:
    there = [i for i in inmates if i.first <= day < i.until]
    gone = [i for i in inmates if i.until <= day]
    kinds = {i.species for i in there if i.species}
    return now._replace(
        stage=period.stage,
        stage_since=period.since,
        contents=tuple(_counted(i, day) for i in there),
        species=kinds.pop() if len(kinds) == 1 else now.species,
        company=company((i.since for i in there), (i.left for i in gone)),
    )


def _periods(now: EnclosureState, past: Sequence[StagePast]) -> list[_Period]:
    """The stages of an enclosure in order; a day that two of them claim is the later one's."""
    out: list[_Period] = []
    after = FIRST
    for before in sorted(past, key=lambda stage: stage.until.latest if stage.until else FIRST):
        since, until = before.since, before.until
        begins = max(after, since.latest if since else FIRST)
        out.append(_Period(before.stage, since, begins, until.earliest - 1 if until else begins - 1))
        after = max(after, until.latest if until else FIRST)
    since = now.stage_since
    return [*out, _Period(now.stage, since, max(after, since.latest if since else FIRST), LAST)]


def _inmates(ledger: Ledger) -> Iterator[tuple[int, _Inmate]]:
    lost: dict[int | None, list[tuple[int, int, int, int]]] = {}
    for fewer in ledger.rows(Fewer):
        made = fewer.made.earliest if fewer.made else FIRST
        lost.setdefault(fewer.content, []).append((made, fewer.males, fewer.females, fewer.unsexed))
    for content in ledger.rows(Content):
        animal = None if content.animal is None else ledger.row(Animal, content.animal)
        line_id = content.line if content.line is not None or animal is None else animal.line
        line = None if line_id is None else ledger.row(Line, line_id)
        occupant = Occupant(
            line.name if line else "",
            animal.number if animal else "",
            animal.sex if animal else "unknown",
            content.males,
            content.females,
            content.unsexed,
            content.at_least,
            content.instar,
        )
        since, until = content.since, content.until
        yield (
            content.enclosure,
            _Inmate(
                occupant,
                line.species if line else "",
                since.latest if since else FIRST,
                until.earliest if until else LAST + 1,
                tuple(lost.get(content.id, ())),
                since,
                until,
            ),
        )


def _counted(inmate: _Inmate, day: int) -> Occupant:
    """A group with those that were only later lost from it."""
    later = [f for f in inmate.fewer if f[0] > day]
    if not later:
        return inmate.content
    c = inmate.content
    return c._replace(
        males=c.males + sum(f[1] for f in later),
        females=c.females + sum(f[2] for f in later),
        unsexed=c.unsexed + sum(f[3] for f in later),
    )
