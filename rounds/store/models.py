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

import re
from typing import Any

from rounds.store.book_models import RECORD_MODELS
from rounds.store.orm import pw


def _to(model: Any, *, name: str, index: bool = False, null: bool = False) -> pw.ForeignKeyField[Any]:
    """A reference whose column bears the field's own name and which adds nothing to its target."""
    options: dict[str, Any] = {"index": index, "null": null, "backref": "+", "column_name": name}
    return pw.ForeignKeyField(model, **options)


def _day() -> pw.IntegerField[int | None]:
    return pw.IntegerField(null=True)


def _text(default: str = "") -> pw.TextField[str]:
    return pw.TextField(default=default)


class _Model(pw.Model):
    """A table named as its class without ``Model``: ``ActChangeModel`` is ``act_change``."""

    class Meta:
        legacy_table_names = False  # so that an index begins with its table's name

        @staticmethod
        def table_function(model: type[pw.Model]) -> str:
            return re.sub(r"(?<!^)([A-Z])", r"_\1", model.__name__.removesuffix("Model")).lower()


class BookMetaModel(_Model):
    """One row: which schema this file has, which book it is, and which program it needs."""

    schema = pw.IntegerField()
    needs = pw.TextField()  # the version of this program that brought in the schema
    book = pw.BlobField()  # 16 bytes, kept through backups and copies
    made_ms = pw.BigIntegerField()

    class Meta:
        table_name = "meta"


class SchemaStepModel(_Model):
    """Each schema version this file went through, recorded in the step's own transaction."""

    version = pw.IntegerField(primary_key=True)
    title = pw.TextField()
    at_ms = pw.BigIntegerField()


class HouseModel(_Model):
    """One row."""

    name = pw.TextField()
    zone = pw.TextField()
    day_starts = pw.IntegerField(default=240)  # minutes after midnight
    walk_order = _text("straight")  # or "serpentine"


class KeeperModel(_Model):
    name = pw.TextField(unique=True)


PlaceModel, EnclosureModel = RECORD_MODELS["place"], RECORD_MODELS["enclosure"]


class RoundModel(_Model):
    """One walk. ``bays`` is a JSON list of names; empty means the whole house."""

    uid = pw.BlobField(unique=True)
    keeper = _to(KeeperModel, name="keeper")
    day = pw.IntegerField(index=True)
    name = _text()
    zone = pw.TextField()
    bays = _text("[]")
    opened_ms = pw.BigIntegerField()
    closed_ms = pw.BigIntegerField(null=True)
    fingerprint = _text()
    at_enclosure = _to(EnclosureModel, null=True, name="at_enclosure")
    source = _text("walked")  # or "loaded"


class VisitModel(_Model):
    """One enclosure in one round. ``place`` is where it stood then."""

    uid = pw.BlobField(unique=True)
    enclosure = _to(EnclosureModel, name="enclosure")
    round = _to(RoundModel, name="round")
    seq = pw.IntegerField()
    at_ms = pw.BigIntegerField()
    place = _to(PlaceModel, null=True, name="place")

    class Meta:
        indexes = ((("enclosure", "round"), False),)


class KindModel(_Model):
    """The dictionary behind ``reading.kind``: a reading id at a depth (0 wall, 1 lid, 2 dug).

    ``form`` says what the number in such a cell is: 0 a number, 1 the id of a phrase, 2 that
    of a remark.
    """

    reading = pw.TextField()
    depth = pw.IntegerField(default=0)
    form = pw.IntegerField(default=0, constraints=[pw.SQL("DEFAULT 0")])

    class Meta:
        indexes = ((("reading", "depth", "form"), True),)


class PhraseModel(_Model):
    """Texts that come again and again (choices, what was confirmed), each stored once."""

    text = pw.TextField(unique=True)


class RemarkModel(_Model):
    """Texts of one cell only (notes); they change as they are typed."""

    text = pw.TextField()


class ReadingModel(_Model):
    """One cell of a visit: a count, a tick as 0 or 1, or the id of its text as ``kind.form`` says.

    NULL: the reading was taken back. A reading id has at most one cell in a visit.
    :class:`rounds.store.cell_codec.Dictionary` makes the columns from a value; texts have no
    column here, because even an empty one costs four bytes a visit.
    """

    visit = _to(VisitModel, name="visit")
    kind = _to(KindModel, name="kind")
    number = pw.DoubleField(null=True)

    class Meta:
        primary_key = pw.CompositeKey("visit", "kind")
        without_rowid = True


class ChangeModel(_Model):
    """A cell that held ``old`` and then ``new`` (both JSON, ``null`` for nothing)."""

    visit = _to(VisitModel, index=True, name="visit")
    kind = _to(KindModel, name="kind")
    old = pw.TextField()
    new = pw.TextField()
    at_ms = pw.BigIntegerField()
    keeper = _to(KeeperModel, null=True, name="keeper")
    why = _text()


class FlagModel(_Model):
    """What a rule raised at a visit; ``day`` repeats its round's day so that a day is one look-up."""

    visit = _to(VisitModel, name="visit")
    rule = pw.TextField()
    day = pw.IntegerField(index=True)
    level = pw.TextField()
    reason = _text()
    todo = _text()
    withheld = _text()
    stands = pw.BooleanField()
    fingerprint = _text()

    class Meta:
        primary_key = pw.CompositeKey("visit", "rule")


class ActionModel(_Model):
    uid = pw.BlobField(unique=True)
    enclosure = _to(EnclosureModel, index=True, name="enclosure")
    rule = pw.TextField()
    level = pw.TextField()
    reason = _text()
    todo = _text()
    opened = pw.IntegerField()
    opened_visit = _to(VisitModel, null=True, name="opened_visit")
    state = pw.TextField(index=True)  # open, done, off, withdrawn
    until = _day()
    why = _text()
    cause_gone = pw.BooleanField(default=False)
    withheld = _text()
    closed = _day()


class ActionChangeModel(_Model):
    """Every state an action was given, the first included; ``state`` is JSON of all its fields."""

    action = _to(ActionModel, name="action")
    visit = _to(VisitModel, null=True, name="visit")
    at_ms = pw.BigIntegerField()
    keeper = _to(KeeperModel, null=True, name="keeper")
    state = pw.TextField()


ActionChangeModel.add_index(ActionChangeModel.action, name="actionchange_action")  # as released


class StepModel(_Model):
    """What undo needs while a round is open; ``subject`` is a visit's or an action's uid.

    One key may set several cells: its steps share a ``seq`` and are undone together.
    """

    round = _to(RoundModel, name="round")
    seq = pw.IntegerField()
    subject = pw.BlobField()
    kind = _text()
    depth = pw.IntegerField(default=0)
    before = pw.TextField()  # JSON
    undone = pw.BooleanField(default=False)

    class Meta:
        indexes = ((("round", "seq", "subject", "kind"), True),)


class NotSeenModel(_Model):
    """An enclosure nobody looked at in a round that is over."""

    round = _to(RoundModel, name="round")
    enclosure = _to(EnclosureModel, name="enclosure")

    class Meta:
        primary_key = pw.CompositeKey("round", "enclosure")


class ActModel(_Model):
    """One act that was recorded, undone or not; an undo is an act called ``undo``.

    ``subject`` is the row it was done to in ``subject_table``; neither for an act of the
    house. ``given`` is what was typed, as JSON. ``undone_by`` is the undo that took it back.
    """

    uid = pw.BlobField(unique=True)
    name = pw.TextField()
    subject_table = _text()
    subject = pw.IntegerField(null=True)
    given = _text("{}")
    day = pw.IntegerField()
    at_ms = pw.BigIntegerField()
    keeper = _to(KeeperModel, null=True, name="keeper")
    visit = _to(VisitModel, null=True, name="visit")
    sure = pw.BooleanField(default=False)  # the keeper said yes to a doubtful value
    undone_by = _to("self", null=True, name="undone_by", index=True)

    class Meta:
        indexes = ((("subject_table", "subject"), False),)


class ActChangeModel(_Model):
    """One change an act made: a cell from ``before`` to ``after``, or a new row (no ``column``).

    Both are JSON, a span as ``[earliest, latest, words]``; of a new row ``after`` has all columns.
    """

    act = _to(ActModel, name="act")
    seq = pw.IntegerField()
    table = pw.TextField()
    row = pw.IntegerField()
    column = pw.TextField(null=True)
    before = pw.TextField()
    after = pw.TextField()

    class Meta:
        primary_key = pw.CompositeKey("act", "seq")
        without_rowid = True


ActChangeModel.add_index(ActChangeModel.table, ActChangeModel.row, name="actchange_table_row")  # as released


MODELS: tuple[type[pw.Model], ...] = (
    BookMetaModel,
    SchemaStepModel,
    HouseModel,
    KeeperModel,
    *RECORD_MODELS.values(),
    RoundModel,
    VisitModel,
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
    ActModel,
    ActChangeModel,
)
"""Every table, each after those it refers to; those that acts write refer to each other freely."""

VIEWS: tuple[str, ...] = (
    "CREATE VIEW cell AS SELECT g.visit, g.kind, k.reading, k.depth,"
    " CASE WHEN k.form = 0 THEN g.number END AS number, coalesce(p.text, m.text) AS text"
    " FROM reading g JOIN kind k ON k.id = g.kind LEFT JOIN phrase p ON k.form = 1 AND p.id = g.number"
    " LEFT JOIN remark m ON k.form = 2 AND m.id = g.number",
)
"""``cell`` is ``reading`` with names and texts put back: (visit, kind, reading, depth, number, text)."""
