"""Queries of :mod:`rounds.store.visit_search`, made with peewee's builder; not loaded on a start.

``CROSS JOIN`` holds SQLite to the order written, as in :mod:`rounds.store.read_visits`.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rounds.store.act_models import ActChangeModel, ActModel
from rounds.store.orm import pw
from rounds.store.reading_models import ChangeModel, KindModel, ReadingModel, RemarkModel
from rounds.store.round_models import KeeperModel, RoundModel, VisitModel

_fn: Any = pw.fn


def last_visit() -> Any:
    return VisitModel.select(_fn.MAX(VisitModel.id))


def last_remark() -> Any:
    return RemarkModel.select(_fn.MAX(RemarkModel.id))


def last_act() -> Any:
    return ActModel.select(_fn.MAX(ActModel.id))


def kinds_of(reading: str) -> Any:
    return KindModel.select(KindModel.id).where(KindModel.reading == reading)


def cells_between(after: int, upto: int, kinds: Sequence[int]) -> Any:
    """(visit, number) of cells of these kinds, of visits of ids above ``after`` and up to ``upto``."""
    g = ReadingModel
    where = (g.visit > after, g.visit <= upto, g.kind.in_(kinds), ~g.number.is_null())
    return g.select(g.visit, g.number).where(*where)


def texts_between(after: int, upto: int) -> Any:
    return RemarkModel.select(RemarkModel.id, RemarkModel.text).where(
        RemarkModel.id > after, RemarkModel.id <= upto
    )


def changed_between(after: int, upto: int) -> Any:
    """(act, table, row) of what acts of these ids changed, each once."""
    c = ActChangeModel
    return c.select(c.act, c.table, c.row).distinct().where(c.act > after, c.act <= upto)


def acts_between(after: int, upto: int, undo: str) -> Any:
    """Acts of these ids, the newest first, with their keepers' names; no undos."""
    a = ActModel
    return (
        a.select(a.id, a.name, a.subject_table, a.subject, a.given, a.day, KeeperModel.name, a.undone_by)
        .join(KeeperModel, pw.JOIN.LEFT_OUTER)
        .where(a.id > after, a.id <= upto, a.name != undo)
        .order_by(a.id.desc())
    )


def notes_of(enclosure: int, kinds: Sequence[int]) -> Any:
    """(visit, text) of every note at an enclosure."""
    v, g, m = VisitModel, ReadingModel, RemarkModel
    return (
        v.select(v.id, m.text)
        .join(g, pw.JOIN.CROSS)
        .join(m, pw.JOIN.CROSS)
        .where(v.enclosure == enclosure, g.visit == v.id, g.kind.in_(kinds), m.id == g.number)
    )


def corrections(notes: Sequence[int], most: int, *, of_notes: bool) -> Any:
    """The newest ``most`` changes of notes, or of all but notes."""
    c, v, r, k, p = ChangeModel, VisitModel, RoundModel, KindModel, KeeperModel
    return (
        c.select(v.enclosure, r.day, v.uid, k.reading, k.depth, c.old, c.new, c.at_ms, p.name, c.why)
        .join(v, pw.JOIN.CROSS)
        .join(r, pw.JOIN.CROSS)
        .join(k, pw.JOIN.CROSS)
        .join(p, pw.JOIN.LEFT_OUTER, on=(p.id == c.keeper))
        .where(
            v.id == c.visit,
            r.id == v.round,
            k.id == c.kind,
            c.kind.in_(notes) if of_notes else c.kind.not_in(notes),
        )
        .order_by(c.id.desc())
        .limit(most)
    )
