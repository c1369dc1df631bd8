"""How a value becomes the cell of a visit, and back.

A cell is ``(kind id, number)``. Choices and the JSON of what was confirmed repeat by the
thousand, so they are stored once in ``phrase`` and the cell holds that id as its number.
Notes and long texts have a row of their own in ``remark``. The kind's ``form`` tells what
the number is.
"""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

from rounds.records.entries import AS_EXPECTED, NOTE, Cell
from rounds.store.orm import pw, run
from rounds.store.row_checksums import seal

NUMBER, PHRASE, REMARK = 0, 1, 2
"""Forms of a kind: what the number in its cells is."""

PHRASE_LIMIT = 600  # bytes; a longer text is hardly ever met twice, and an index row must stay small


class Unsavable(ValueError):
    """A value or an entry that can never be written, whatever the state of the disk."""


def pack(value: object) -> str:
    """JSON for what the book keeps as text; bytes (ids) become ``{"$bytes": "hex"}``.

    Raises Unsavable for what JSON cannot hold (a number that is not finite, other types).
    """
    try:
        text = json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"), default=_plain)
    except (TypeError, ValueError) as error:
        raise Unsavable(f"a value that cannot be kept: {error}") from error
    return storable(text)


def _plain(value: object) -> object:
    if isinstance(value, bytes):
        return {"$bytes": value.hex()}
    if isinstance(value, Mapping):
        return dict(value)
    raise TypeError(f"{type(value).__name__} {value!r}")


def unpack(text: str) -> Any:
    """The inverse of :func:`pack`; lists stay lists."""
    return json.loads(text, object_hook=_bytes_back)


def _bytes_back(found: dict[str, Any]) -> Any:
    if found.keys() == {"$bytes"}:
        return bytes.fromhex(found["$bytes"])
    return found


def storable(text: str) -> str:
    """``text`` itself. Raises Unsavable for a NUL or a lone surrogate, which no file can give back."""
    if "\0" in text:
        raise Unsavable("a text with a NUL character in it")
    try:
        text.encode()
    except UnicodeEncodeError as error:
        raise Unsavable(f"a text that is not Unicode: {error.reason}") from error
    return text


def encode(kind: str, value: Cell) -> tuple[int, float | None, str | None]:
    """``(form, number, text)`` of a value; a text still has to be given its id.

    Raises Unsavable for a number that is not finite and for a text with NUL or lone surrogates.
    """
    if value is None:
        return NUMBER, None, None
    if isinstance(value, (bool, int, float)):
        try:
            number = float(value)
        except OverflowError as error:
            raise Unsavable(f"{kind}: the number is too large") from error
        if not math.isfinite(number):
            raise Unsavable(f"{kind}: {value} is not a number that can be counted")
        return NUMBER, number, None
    text = storable(value) if isinstance(value, str) else pack(value)
    return REMARK if kind == NOTE or len(text.encode()) > PHRASE_LIMIT else PHRASE, None, text


def decode(kind: str, number: float | None, text: str | None) -> Any:
    """The value of a cell by its row in the view ``cell``: a text's id was replaced by the text.

    Whole numbers come back as int (a tick as 0 or 1); what was confirmed as a dict whose
    ranges are ``(low, high)``; nothing, or a reading taken back, as None.
    """
    if text is not None:
        if kind != AS_EXPECTED:
            return text
        return {k: tuple(v) if isinstance(v, list) else v for k, v in json.loads(text).items()}
    if number is None:
        return None
    return int(number) if number.is_integer() else number


def settled(kind: str, value: Cell) -> Any:
    """``value`` as it will come back once it was stored. Raises Unsavable as :func:`encode` does."""
    _, number, text = encode(kind, value)
    return decode(kind, number, text)


class Dictionary:
    """The kinds and phrases of one book, for as long as one transaction lasts.

    It adds what is missing. Do not keep it after a rollback: ids it handed out are gone.
    """

    def __init__(self, db: pw.Database) -> None:
        self._db = db
        self._kinds: dict[tuple[str, int, int], int] = {}
        self._phrases: dict[str, int] = {}

    def cell(self, reading: str, depth: int, value: Cell) -> tuple[int, float | None]:
        """``(kind, number)`` ready for ``reading``. Raises Unsavable as :func:`encode` does."""
        form, number, text = encode(reading, value)
        if text is not None:
            number = float(self.phrase(text) if form == PHRASE else self.remark(text))
        return self.kind(reading, depth, form), number

    def kind(self, reading: str, depth: int, form: int) -> int:
        key = (reading, int(depth), form)
        found = self._kinds.get(key)
        if found is None:
            find = "SELECT id FROM kind WHERE reading = ? AND depth = ? AND form = ?"
            row = run(self._db, find, key).fetchone()
            if row is None:
                run(self._db, "INSERT INTO kind (reading, depth, form) VALUES (?, ?, ?)", key)
                seal(self._db, "kind", "reading = ? AND depth = ? AND form = ?", key)
                row = run(self._db, find, key).fetchone()
            found = self._kinds[key] = int(row[0])
        return found

    def remark(self, text: str) -> int:
        """A new row for a text of one cell."""
        run(self._db, "INSERT INTO remark (text) VALUES (?)", (text,))
        made = int(run(self._db, "SELECT max(id) FROM remark").fetchone()[0])  # ours: writers are alone
        seal(self._db, "remark", "id = ?", (made,))
        return made

    def phrase(self, text: str) -> int:
        found = self._phrases.get(text)
        if found is None:
            find = "SELECT id FROM phrase WHERE text = ?"
            row = run(self._db, find, (text,)).fetchone()
            if row is None:
                run(self._db, "INSERT INTO phrase (text) VALUES (?)", (text,))
                seal(self._db, "phrase", "text = ?", (text,))
                row = run(self._db, find, (text,)).fetchone()
            found = self._phrases[text] = int(row[0])
        return found
