"""Walks: the house and its keepers, rounds, visits, what undo needs, and what was not seen."""

from __future__ import annotations

from rounds.store import model_columns as columns
from rounds.store.book_models import RECORD_MODELS
from rounds.store.model_columns import BookModel
from rounds.store.orm import pw

PlaceModel, EnclosureModel = RECORD_MODELS["place"], RECORD_MODELS["enclosure"]


class HouseModel(BookModel):
    """One row."""

    name = pw.TextField()
    zone = pw.TextField()
    day_starts = pw.IntegerField(default=240)  # minutes after midnight
    walk_order = columns.text("straight")  # or "serpentine"
    crc = columns.crc()


class KeeperModel(BookModel):
    name = pw.TextField(unique=True)
    crc = columns.crc()


class RoundModel(BookModel):
    """One walk. ``bays`` is a JSON list of names; empty means the whole house."""

    uid = pw.BlobField(unique=True)
    keeper = columns.to(KeeperModel, name="keeper")
    day = pw.IntegerField(index=True)
    name = columns.text()
    zone = pw.TextField()
    bays = columns.text("[]")
    opened_ms = pw.BigIntegerField()
    closed_ms = pw.BigIntegerField(null=True)
    fingerprint = columns.text()
    at_enclosure = columns.to(EnclosureModel, null=True, name="at_enclosure")
    source = columns.text("walked")  # or "loaded"
    crc = columns.crc()


class VisitModel(BookModel):
    """One enclosure in one round. ``place`` is where it stood then."""

    uid = pw.BlobField(unique=True)
    enclosure = columns.to(EnclosureModel, name="enclosure")
    round = columns.to(RoundModel, name="round")
    seq = pw.IntegerField()
    at_ms = pw.BigIntegerField()
    place = columns.to(PlaceModel, null=True, name="place")
    crc = columns.crc()  # of its cells too

    class Meta:
        indexes = ((("enclosure", "round"), False),)


class StepModel(BookModel):
    """What undo needs while a round is open; ``subject`` is a visit's or an action's uid.

    One key may set several cells: its steps share a ``seq`` and are undone together. ``walk``
    is the start of the program that made it: a round can be walked at two terminals at once.
    """

    round = columns.to(RoundModel, name="round")
    seq = pw.IntegerField()
    subject = pw.BlobField()
    kind = columns.text()
    depth = pw.IntegerField(default=0)
    before = pw.TextField()  # JSON
    undone = pw.BooleanField(default=False)
    walk = pw.BlobField(null=True)

    class Meta:
        indexes = ((("round", "seq", "subject", "kind"), True),)


class NotSeenModel(BookModel):
    """An enclosure nobody looked at in a round that is over."""

    round = columns.to(RoundModel, name="round")
    enclosure = columns.to(EnclosureModel, name="enclosure")
    crc = columns.crc()

    class Meta:
        primary_key = pw.CompositeKey("round", "enclosure")
