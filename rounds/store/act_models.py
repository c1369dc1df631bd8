"""Acts and what they changed, and what is hung on rows of any table: files and tags.

``subject`` is the id of a row of the table ``subject_table``.
"""

from __future__ import annotations

from rounds.store import model_columns as columns
from rounds.store.model_columns import BookModel
from rounds.store.orm import pw
from rounds.store.round_models import KeeperModel, VisitModel


class ActModel(BookModel):
    """One act that was recorded, undone or not; an undo is an act called ``undo``.

    ``subject`` is the row it was done to in ``subject_table``; neither for an act of the
    house. ``given`` is what was typed, as JSON. ``undone_by`` is the undo that took it back.
    """

    uid = pw.BlobField(unique=True)
    name = pw.TextField()
    subject_table = columns.text()
    subject = pw.IntegerField(null=True)
    given = columns.text("{}")
    day = pw.IntegerField()
    at_ms = pw.BigIntegerField()
    keeper = columns.to(KeeperModel, null=True, name="keeper")
    visit = columns.to(VisitModel, null=True, name="visit")
    sure = pw.BooleanField(default=False)  # the keeper said yes to a doubtful value
    undone_by = columns.to("self", null=True, name="undone_by", index=True)
    crc = columns.crc()

    class Meta:
        indexes = ((("subject_table", "subject"), False),)


class ActChangeModel(BookModel):
    """One change an act made: a cell from ``before`` to ``after``, or a new row (no ``column``).

    Both are JSON, a span as ``[earliest, latest, words]``; of a new row ``after`` has all columns.
    """

    act = columns.to(ActModel, name="act")
    seq = pw.IntegerField()
    table = pw.TextField()
    row = pw.IntegerField()
    column = pw.TextField(null=True)
    before = pw.TextField()
    after = pw.TextField()
    crc = columns.crc()

    class Meta:
        primary_key = pw.CompositeKey("act", "seq")
        without_rowid = True


ActChangeModel.add_index(ActChangeModel.table, ActChangeModel.row, name="actchange_table_row")  # as released


class AttachmentModel(BookModel):
    """A file that belongs to a row: its ``bytes`` in the book, or else its ``path`` beside it."""

    uid = pw.BlobField(unique=True)
    subject_table = pw.TextField()
    subject = pw.IntegerField()
    name = pw.TextField()  # what the file is called
    media_type = pw.TextField()
    size = pw.BigIntegerField()  # in bytes
    sha256 = pw.BlobField()
    bytes = pw.BlobField(null=True)
    path = pw.TextField(null=True)
    at_ms = pw.BigIntegerField()
    keeper = columns.to(KeeperModel, null=True, name="keeper")
    void = columns.void()
    crc = columns.crc()

    class Meta:
        indexes = ((("subject_table", "subject"), False),)


class TagModel(BookModel):
    name = pw.TextField(unique=True)
    crc = columns.crc()


class TaggedModel(BookModel):
    """A row that bears a tag."""

    tag = columns.to(TagModel, name="tag")
    subject_table = pw.TextField()
    subject = pw.IntegerField()
    at_ms = pw.BigIntegerField()
    keeper = columns.to(KeeperModel, null=True, name="keeper")
    void = columns.void()
    crc = columns.crc()

    class Meta:
        primary_key = pw.CompositeKey("subject_table", "subject", "tag")
        without_rowid = True
