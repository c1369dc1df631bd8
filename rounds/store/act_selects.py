"""Queries about acts, made with peewee's builder. Every model is imported here: not on a start."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import reduce
from operator import or_
from typing import Any

from rounds.store.act_models import ActChangeModel as C
from rounds.store.act_models import ActModel as A
from rounds.store.book_models import RECORD_MODELS
from rounds.store.orm import one_of, pw
from rounds.store.round_models import KeeperModel, VisitModel

__all__ = ["A"]


def acts() -> Any:
    """Every act: all its columns, its keeper's name, its visit's uid, and the act that it takes back."""
    undone: Any = A.alias()
    return (
        A.select(
            A.id,
            A.uid,
            A.name,
            A.subject_table,
            A.subject,
            A.given,
            A.day,
            A.at_ms,
            KeeperModel.name,
            VisitModel.uid,
            A.sure,
            A.undone_by,
            undone.select(undone.id).where(undone.undone_by == A.id),
        )
        .join(KeeperModel, pw.JOIN.LEFT_OUTER)
        .switch(A)
        .join(VisitModel, pw.JOIN.LEFT_OUTER)
    )


def standing(undo: str) -> Any:
    """Acts that were not taken back; no undos, which are called ``undo``."""
    return acts().where(A.undone_by.is_null(), A.name != undo)


def among(query: Any, ids: Sequence[int]) -> Any:
    """Only acts of these ids, however many: they stand in the text, where no build has a limit."""
    return query.where(A.id.in_(pw.SQL(f"({', '.join(map(str, ids))})")))


def named(names: Sequence[str]) -> Any:
    """An act of one of these names, if there is any."""
    return A.select(A.id).where(A.name.in_(names)).limit(1)


def done_to(table: str, row: int) -> Any:
    """The ids of acts whose subject is this row."""
    return A.select(A.id).where(A.subject_table == table, A.subject == row)


def changing(table: str, rows: Sequence[int]) -> Any:
    """The ids of acts that changed or added one of these rows."""
    return C.select(C.act).distinct().where(C.table == table, C.row.in_(one_of(rows)))


def changes_of(acts: Sequence[int]) -> Any:
    """What these acts changed, act by act in its order."""
    return (
        C.select(C.act, C.table, C.row, C.column, C.before, C.after)
        .where(C.act.in_(one_of(acts)))
        .order_by(C.act, C.seq)
    )


def referring(table: str, columns: Sequence[str], row: int) -> Any:
    """The ids of rows that have ``row`` in one of these columns (at least one)."""
    model: Any = RECORD_MODELS[table]
    return model.select(model.id).where(reduce(or_, [getattr(model, c) == row for c in columns]))


def new_act(values: Mapping[str, Any]) -> Any:
    """The insertion of an act; ``values`` by column."""
    return A.insert({getattr(A, name): value for name, value in values.items()})


def undone(act: int, by: int) -> Any:
    return A.update({A.undone_by: by}).where(A.id == act)


def id_of(uid: bytes) -> Any:
    return A.select(A.id).where(A.uid == uid)


def visit_id(uid: bytes) -> Any:
    return VisitModel.select(VisitModel.id).where(VisitModel.uid == uid)


def a_visit_to(enclosure: int) -> Any:
    """A visit to the enclosure, if there is any."""
    return VisitModel.select(VisitModel.id).where(VisitModel.enclosure == enclosure).limit(1)


def new_changes(rows: Sequence[tuple[Any, ...]]) -> Any:
    """The insertion of changes: act, seq, table, row, column, before, after."""
    return C.insert_many(rows, [C.act, C.seq, C.table, C.row, C.column, C.before, C.after])


def new_row(table: str, id_: int, cells: Sequence[tuple[str, Any]]) -> Any:
    model: Any = RECORD_MODELS[table]
    return model.insert({model.id: id_} | {getattr(model, name): value for name, value in cells})


def set_cells(table: str, id_: int, to: Sequence[tuple[str, Any]], was: Sequence[tuple[str, Any]]) -> Any:
    """Put ``to`` into a row whose cells are still what ``was`` says."""
    model: Any = RECORD_MODELS[table]
    query = model.update({getattr(model, name): value for name, value in to}).where(model.id == id_)
    for name, value in was:
        cell = getattr(model, name)
        query = query.where(cell.is_null() if value is None else cell == value)
    return query
