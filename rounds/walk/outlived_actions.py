"""Open actions that an act recorded outside a walk leaves without a cause, closed with it."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts.act import Recorded
from rounds.config import Config
from rounds.records.entries import SetActionEntry
from rounds.records.tables import Content, Enclosure
from rounds.store import read
from rounds.store.book import Book
from rounds.walk.rule_monitor import Watch


def outlived(book: Book, config: Config, done: Recorded, day: int) -> list[SetActionEntry]:
    """What closes them: at the enclosures the act changed, their stage is over or all have left."""
    touched = set(_touched(book, done))
    open_ = {id_: some for id_, some in read.open_actions(book, day).items() if id_ in touched}
    if not open_:
        return []
    watch = Watch(config.rules, day, config.fingerprint, lambda _box, _rule: b"", open_)
    animals = frozenset(k.id for k in config.vocabulary.kinds.values() if k.of_animals and not k.act)
    out = []
    for box in read.enclosures(book):
        left = animals if box.vacated else frozenset[str]()
        for action in watch.outlived(box.id, box.stage, of_animals=left):
            closed = action._replace(state="withdrawn")
            out.append(SetActionEntry(closed, b"", done.at_ms, done.keeper, action.state))
    return out


def _touched(book: Book, done: Recorded) -> Iterator[int]:
    from rounds.store.ledger_store import load

    ledger = load(book)
    for change in done.changes:
        if change.table == Enclosure.table:
            yield change.id
        elif change.table == Content.table:
            yield ledger.row(Content, change.id).enclosure
