"""The tables of a book.

Nothing here is bound to a database: a process holds several connections (the writer
thread's and the reader's), and peewee's binding is global. Run a query on one book with
``query.execute(book.db)``, or hand SQL to :meth:`rounds.store.book.Book.rows`.

Each model ends in ``Model``, because the record of the same thing has the plain name. The
tables that acts write are not here: they are made from their registry
(:mod:`rounds.store.book_models`). Here is what a walk writes, and the acts themselves.

Days are proleptic Gregorian ordinals, instants UTC epoch milliseconds. A span is three
columns, ``NAME_earliest``, ``NAME_latest`` and ``NAME_words``; all three are NULL when
nothing was recorded. Foreign keys have an index only where something is looked up by
them, because every index on ``visit`` costs some fifteen bytes a visit for ever.

Rounds are inserted in the order of their days, so that a range of days is nearly a range
of round ids: ``visit`` is looked up by (enclosure, round), never by the clock, which may
be wrong. Rounds loaded later for earlier days are found all the same, only slower.

A change to this file or to the registry is a change of the schema: it needs a step in
:mod:`rounds.store.migration_steps` and a new version there.
"""

from __future__ import annotations

from typing import Any

from rounds.records.observations import House
from rounds.store.act_models import ActChangeModel, ActModel, AttachmentModel, TaggedModel, TagModel
from rounds.store.book_models import RECORD_MODELS
from rounds.store.model_columns import BookModel
from rounds.store.orm import pw
from rounds.store.reading_models import (
    ActionChangeModel,
    ActionModel,
    ChangeModel,
    FlagModel,
    KindModel,
    PhraseModel,
    ReadingModel,
    RemarkModel,
)
from rounds.store.round_models import (
    HouseModel,
    KeeperModel,
    NotSeenModel,
    RoundModel,
    StepModel,
    VisitModel,
)


class BookMetaModel(BookModel):
    """One row: which schema this file has, which book it is, and which program it needs."""

    schema = pw.IntegerField()
    needs = pw.TextField()  # the version of this program that brought in the schema
    book = pw.BlobField()  # 16 bytes, kept through backups and copies
    made_ms = pw.BigIntegerField()

    class Meta:
        table_name = "meta"


class SchemaStepModel(BookModel):
    """Each schema version this file went through, recorded in the step's own transaction."""

    version = pw.IntegerField(primary_key=True)
    title = pw.TextField()
    at_ms = pw.BigIntegerField()


MODELS: tuple[type[pw.Model], ...] = (
    BookMetaModel,
    SchemaStepModel,
    HouseModel,
    KeeperModel,
    *RECORD_MODELS.values(),
    RoundModel,
    VisitModel,
    ActModel,
    ActChangeModel,
    KindModel,
    PhraseModel,
    RemarkModel,
    ReadingModel,
    ChangeModel,
    FlagModel,
    ActionModel,
    ActionChangeModel,
    StepModel,
    NotSeenModel,
    AttachmentModel,
    TagModel,
    TaggedModel,
)
"""Every table, each after those it refers to; those that acts write refer to each other freely."""

BY_NAME: dict[str, Any] = {model._meta.table_name: model for model in MODELS}

VIEWS: tuple[str, ...] = (
    "CREATE VIEW cell AS SELECT g.visit, g.kind, k.reading, k.depth,"
    " CASE WHEN k.form = 0 THEN g.number END AS number, coalesce(p.text, m.text) AS text"
    " FROM reading g JOIN kind k ON k.id = g.kind LEFT JOIN phrase p ON k.form = 1 AND p.id = g.number"
    " LEFT JOIN remark m ON k.form = 2 AND m.id = g.number",
)
"""``cell`` is ``reading`` with names and texts put back: (visit, kind, reading, depth, number, text)."""


def first_rows(version: int, program: str, book: bytes, now_ms: int, house: House) -> list[Any]:
    """What a new book begins with: the insertions of its only rows."""
    meta, step, home = BookMetaModel, SchemaStepModel, HouseModel
    return [
        meta.insert({meta.schema: version, meta.needs: program, meta.book: book, meta.made_ms: now_ms}),
        step.insert({step.version: version, step.title: "made with this schema", step.at_ms: now_ms}),
        home.insert(
            {
                home.name: house.name,
                home.zone: house.zone,
                home.day_starts: house.day_starts,
                home.walk_order: house.order,
            }
        ),
    ]
