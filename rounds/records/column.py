"""What a column of a table is: its type, its meaning, and what it points to.

A column is declared in the body of a record class (:mod:`rounds.records.tables`). Asked of
the class it is the column itself (``Animal.sex``), which conditions and changes name; asked
of a record it is the record's value (``animal.sex``).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any, Generic, TypeVar, overload

from rounds.named_tuple import NamedTuple
from rounds.values.spans import Span

if TYPE_CHECKING:
    from rounds.records.record import Record

T = TypeVar("T")

Value = int | float | str | bool | Span | None
"""What a column can hold."""
Row = Mapping[str, Any]
"""The values of a record by column name: how they are written to a file or to the book."""


class Condition(NamedTuple):
    """A column and the value it must have."""

    column: str
    value: Any


class Column(Generic[T]):
    """One column.

    ``type`` is one of text, whole, number, yesno, day (an ordinal), span, ref (the id of a
    row of the table ``of``). ``words`` are a text's fixed answers. A ``required`` column has
    no default: nobody makes a record without it.
    """

    def __init__(
        self,
        type: str,
        meaning: str,
        *,
        default: Any,
        of: str = "",
        words: tuple[str, ...] = (),
        required: bool = False,
    ) -> None:
        self.type, self.meaning, self.default = type, meaning, default
        self.of, self.words, self.required = of, words, required
        self.name = ""
        self.table = ""

    def bound(self, table: str, name: str) -> Column[T]:
        """The same column as one of a table."""
        mine: Column[T] = Column(
            self.type,
            self.meaning,
            default=self.default,
            of=self.of,
            words=self.words,
            required=self.required,
        )
        mine.table, mine.name = table, name
        return mine

    def is_(self, value: T) -> Condition:
        """The condition that a record has this value here."""
        return Condition(self.name, value)

    @overload
    def __get__(self, record: None, owner: type) -> Column[T]: ...
    @overload
    def __get__(self, record: Record, owner: type) -> T: ...
    def __get__(self, record: Record | None, owner: type) -> Column[T] | T:
        # A record's values are in its ``__dict__``, which Python looks at first. Only a
        # record made without one of its columns would come by here.
        if record is None:
            return self
        raise AttributeError(f"this {owner.__name__} was made without {self.name}")

    if TYPE_CHECKING:  # lets the type checker know what a constructor takes; records are frozen

        def __set__(self, record: Record, value: T) -> None: ...

    def __repr__(self) -> str:
        return f"{self.table}.{self.name}"


_MISSING: Any = object()


def _made(type: str, meaning: str, default: Any, of: str = "", words: tuple[str, ...] = ()) -> Any:
    required = default is _MISSING
    return Column(type, meaning, default=None if required else default, of=of, words=words, required=required)


def text(meaning: str, *, words: tuple[str, ...] = (), default: str = _MISSING) -> Column[str]:
    """A text; ``words`` are its fixed answers, if it has any."""
    made: Column[str] = _made("text", meaning, default, words=words)
    return made


def whole(meaning: str, *, default: int | None = _MISSING) -> Any:
    """A whole number."""
    return _made("whole", meaning, default)


def number(meaning: str, *, default: float | None = _MISSING) -> Any:
    """A number that may have a fraction."""
    return _made("number", meaning, default)


def yesno(meaning: str, *, default: bool = _MISSING) -> Column[bool]:
    """Yes or no."""
    made: Column[bool] = _made("yesno", meaning, default)
    return made


def day(meaning: str, *, default: int | None = _MISSING) -> Any:
    """One day, as its proleptic Gregorian ordinal."""
    return _made("day", meaning, default)


def span(meaning: str, *, default: Span | None = _MISSING) -> Any:
    """A day that may be known only as a span."""
    return _made("span", meaning, default)


def ref(of: str, meaning: str, *, default: int | None = _MISSING) -> Any:
    """The id of a row of the table ``of``."""
    return _made("ref", meaning, default, of=of)
