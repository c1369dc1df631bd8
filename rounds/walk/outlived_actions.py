"""Open actions that an act leaves without a cause, closed with it."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts.act import Recorded
from rounds.config import Config
from rounds.due.kinds import kind_of
from rounds.records.entries import SetActionEntry
from rounds.records.ledger import Ledger
from rounds.records.observations import Action
from rounds.records.tables import Animal, Content, Due, Enclosure, Fewer
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.rule_monitor import Watch

FOUND, MISSING = "found", "missing"
STATES_MISSING = "missing-here"
"""The act that is stated by the reading of how many were not found."""


def outlived(book: Book, config: Config, done: Recorded, day: int) -> list[SetActionEntry]:
    """What closes those of an act recorded outside a walk.

    At the enclosures it changed their stage is over or all have left; or the last one missing was found.
    """
    from rounds.store.ledger_store import load

    open_ = read.open_actions(book, day)
    if not open_:
        return []
    ledger = load(book)
    touched = set(_touched(ledger, done))
    watch = Watch(config.rules, day, config.fingerprint, lambda _box, _rule: b"", open_)
    animals = frozenset(k.id for k in config.vocabulary.kinds.values() if k.of_animals and not k.act)
    missed = frozenset(k.id for k in config.vocabulary.kinds.values() if k.act == STATES_MISSING)
    ended = found_again(watch, ledger, done, missed)
    for box in read.enclosures(book):
        if box.id in touched:
            left = animals if box.vacated else frozenset[str]()
            ended += watch.outlived(box.id, box.stage, of_animals=left)
    return [
        SetActionEntry(action._replace(state="withdrawn"), b"", done.at_ms, done.keeper, action.state)
        for action in dict.fromkeys(ended)
    ]


def found_again(watch: Watch, ledger: Ledger, act: Recorded, missed: frozenset[str]) -> list[Action]:
    """Open actions about some that were not found, at the enclosure from which the one found had gone.

    They stay open while anybody who was not found there since they were opened is missing still,
    or while it was not said who that is. ``ledger`` holds the act; ``missed`` are the readings of
    how many were not found.
    """
    if act.name != FOUND or act.subject is None:
        return []
    gone = _last_left(ledger, act.subject)
    if gone is None or gone.until is None:
        return []
    box, left = gone.enclosure, gone.until.latest
    return [
        action
        for action in watch.resting_on(box, missed)
        if left >= action.opened and not _still_missing(ledger, box, action.opened)
    ]


def _last_left(ledger: Ledger, animal: int) -> Content | None:
    """The last stay of an animal that has ended."""
    ended = [(s.until.latest, s.id, s) for s in ledger.rows(Content, Content.animal.is_(animal)) if s.until]
    return max(ended)[-1] if ended else None


def _still_missing(ledger: Ledger, box: int, since: int) -> bool:
    """Is anybody who went missing from a box on ``since`` or later not found yet, or is it unsaid who that is?"""
    if any(
        kind_of(due.what) == "who-is-missing"
        for due in ledger.rows(Due, Due.enclosure.is_(box), Due.done.is_(None))
    ):
        return True
    for animal in ledger.rows(Animal, Animal.state.is_(MISSING)):
        gone = _last_left(ledger, animal.id)
        if gone is not None and gone.enclosure == box and gone.until and gone.until.latest >= since:
            return True
    return any(  # those of a group are never found by name
        fewer.made is not None
        and fewer.made.latest >= since
        and ledger.row(Content, fewer.content).enclosure == box
        for fewer in ledger.rows(Fewer, Fewer.how.is_(MISSING))
    )


def _touched(ledger: Ledger, done: Recorded) -> Iterator[int]:
    for change in done.changes:
        if change.table == Enclosure.table:
            yield change.id
        elif change.table == Content.table:
            yield ledger.row(Content, change.id).enclosure
