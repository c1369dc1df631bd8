"""What was read at visits, and what was raised there: cells, changes, flags and actions."""

from __future__ import annotations

from rounds.store import model_columns as columns
from rounds.store.act_models import ActModel
from rounds.store.model_columns import BookModel
from rounds.store.orm import pw
from rounds.store.round_models import EnclosureModel, KeeperModel, VisitModel


class KindModel(BookModel):
    """The dictionary behind ``reading.kind``: a reading id at a depth (0 wall, 1 lid, 2 dug).

    ``form`` says what the number in such a cell is: 0 a number, 1 the id of a phrase, 2 that
    of a remark.
    """

    reading = pw.TextField()
    depth = pw.IntegerField(default=0)
    form = pw.IntegerField(default=0, constraints=[pw.SQL("DEFAULT 0")])
    crc = columns.crc()

    class Meta:
        indexes = ((("reading", "depth", "form"), True),)


class PhraseModel(BookModel):
    """Texts that come again and again (choices, what was confirmed), each stored once."""

    text = pw.TextField(unique=True)
    crc = columns.crc()


class RemarkModel(BookModel):
    """Texts of one cell only (notes); they change as they are typed."""

    text = pw.TextField()
    crc = columns.crc()


class ReadingModel(BookModel):
    """One cell of a visit: a count, a tick as 0 or 1, or the id of its text as ``kind.form`` says.

    NULL: the reading was taken back. A reading id has at most one cell in a visit.
    :class:`rounds.store.cell_codec.Dictionary` makes the columns from a value; texts have no
    column here, because even an empty one costs four bytes a visit.
    """

    visit = columns.to(VisitModel, name="visit")
    kind = columns.to(KindModel, name="kind")
    number = pw.DoubleField(null=True)
    act = columns.to(ActModel, null=True, name="act")  # the act that it was taken with, if any

    class Meta:
        primary_key = pw.CompositeKey("visit", "kind")
        without_rowid = True


class ChangeModel(BookModel):
    """A cell that held ``old`` and then ``new`` (both JSON, ``null`` for nothing)."""

    visit = columns.to(VisitModel, index=True, name="visit")
    kind = columns.to(KindModel, name="kind")
    old = pw.TextField()
    new = pw.TextField()
    at_ms = pw.BigIntegerField()
    keeper = columns.to(KeeperModel, null=True, name="keeper")
    why = columns.text()
    crc = columns.crc()


class FlagModel(BookModel):
    """What a rule raised at a visit; ``day`` repeats its round's day so that a day is one look-up."""

    visit = columns.to(VisitModel, name="visit")
    rule = pw.TextField()
    day = pw.IntegerField(index=True)
    level = pw.TextField()
    reason = columns.text()
    todo = columns.text()
    withheld = columns.text()
    stands = pw.BooleanField()
    fingerprint = columns.text()
    crc = columns.crc()

    class Meta:
        primary_key = pw.CompositeKey("visit", "rule")


class ActionModel(BookModel):
    uid = pw.BlobField(unique=True)
    enclosure = columns.to(EnclosureModel, index=True, name="enclosure")
    rule = pw.TextField()
    level = pw.TextField()
    reason = columns.text()
    todo = columns.text()
    opened = pw.IntegerField()
    opened_visit = columns.to(VisitModel, null=True, name="opened_visit")
    state = pw.TextField(index=True)  # open, done, off, withdrawn
    until = columns.day()
    why = columns.text()
    cause_gone = pw.BooleanField(default=False)
    withheld = columns.text()
    closed = columns.day()
    crc = columns.crc()


class ActionChangeModel(BookModel):
    """Every state an action was given, the first included; ``state`` is JSON of all its fields."""

    action = columns.to(ActionModel, name="action")
    visit = columns.to(VisitModel, null=True, name="visit")
    at_ms = pw.BigIntegerField()
    keeper = columns.to(KeeperModel, null=True, name="keeper")
    state = pw.TextField()
    crc = columns.crc()


ActionChangeModel.add_index(ActionChangeModel.action, name="actionchange_action")  # as released
