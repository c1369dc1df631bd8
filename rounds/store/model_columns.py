"""What the models of a book are made with: their base, and the columns that come again and again."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

from rounds.store.orm import pw


def to(model: Any, *, name: str, index: bool = False, null: bool = False) -> pw.ForeignKeyField[Any]:
    """A reference whose column bears the field's own name and which adds nothing to its target."""
    options: dict[str, Any] = {"index": index, "null": null, "backref": "+", "column_name": name}
    return pw.ForeignKeyField(model, **options)


def day() -> pw.IntegerField[int | None]:
    return pw.IntegerField(null=True)


def text(default: str = "") -> pw.TextField[str]:
    return pw.TextField(default=default)


class BookModel(pw.Model):
    """A table named as its class without ``Model``: ``ActChangeModel`` is ``act_change``."""

    if TYPE_CHECKING:
        id: Any  # made by peewee, where there is no other key

    class Meta:
        legacy_table_names = False  # so that an index begins with its table's name

        @staticmethod
        def table_function(model: type[pw.Model]) -> str:
            return re.sub(r"(?<!^)([A-Z])", r"_\1", model.__name__.removesuffix("Model")).lower()


def crc() -> pw.BigIntegerField[int | None]:
    """A checksum over the rest of the row (:mod:`rounds.store.row_checksums`). NULL: none was kept."""
    return pw.BigIntegerField(null=True)


def void() -> pw.BooleanField[bool]:
    """The row was taken back and counts for nothing."""
    return pw.BooleanField(default=False, constraints=[pw.SQL("DEFAULT FALSE")])
