"""What every record of the books is: an immutable value with an id, made from one table's columns."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, ClassVar, Protocol, Self, dataclass_transform

from rounds.records import column as c
from rounds.records.column import Column, Row, T


class _HasCounts(Protocol):
    @property
    def males(self) -> int: ...
    @property
    def females(self) -> int: ...
    @property
    def unsexed(self) -> int: ...


class Counted:
    """Beside a record that counts males, females and unsexed ones."""

    @property
    def total(self: _HasCounts) -> int:
        """All of them together."""
        return self.males + self.females + self.unsexed


@dataclass_transform(
    kw_only_default=True,
    frozen_default=True,
    field_specifiers=(c.text, c.whole, c.number, c.yesno, c.day, c.span, c.ref),
)
class Record:
    """One row of one table.

    A subclass declares the table: its columns in their order, and ``key``, the columns by
    which people name a row (none: its rows have no name). The values lie in the instance's
    ``__dict__``, so that reading one costs what an attribute costs: 35 dataclasses instead would
    take an eighth of a start, and properties a call at every read.

    ``id`` is 0 until the record has a place in the book. ``void`` marks a row that an undone
    act had added: it counts for nothing.
    """

    table: ClassVar[str] = ""
    meaning: ClassVar[str] = ""
    columns: ClassVar[tuple[Column[Any], ...]] = ()
    key: ClassVar[tuple[str, ...]] = ()
    defaults: ClassVar[Row] = {}

    id: int = 0
    void: Column[bool] = c.yesno("it was taken back and counts for nothing", default=False)

    def __init_subclass__(cls, *, table: str = "", key: tuple[str, ...] = (), **other: Any) -> None:
        super().__init_subclass__(**other)
        if not table:
            return
        cls.table, cls.key = table, key
        doc = cls.__doc__ or ""
        cls.meaning = doc[:1].lower() + doc[1:].partition("\n")[0].removesuffix(".")
        own = [(name, value) for name, value in vars(cls).items() if isinstance(value, Column)]
        cls.columns = tuple(value.bound(table, name) for name, value in own)
        for one in (*cls.columns, Record.__dict__["void"].bound(table, "void")):
            setattr(cls, one.name, one)
        cls.defaults = {one.name: one.default for one in cls.columns} | {"void": False}

    def __init__(self, **values: Any) -> None:
        unknown = values.keys() - self.defaults.keys() - {"id"}
        missing = [one.name for one in self.columns if one.required and one.name not in values]
        if unknown or missing:
            said = [f"{self.table} has no column {name}" for name in sorted(unknown)]
            raise TypeError("; ".join([*said, *(f"{self.table} needs {name}" for name in missing)]))
        object.__setattr__(self, "__dict__", {"id": 0, **self.defaults, **values})

    @classmethod
    def column(cls, name: str) -> Column[Any]:
        """The column of this name, ``void`` too. KeyError when there is none."""
        found = cls.__dict__.get(name)
        if not isinstance(found, Column):
            raise KeyError(f"{cls.table} has no column {name}")
        return found

    @classmethod
    def from_values(cls, id: int, values: dict[str, Any]) -> Self:
        """The record of a row that was read: every column is in ``values``, which becomes the record's own."""
        made = cls.__new__(cls)
        values["id"] = id
        object.__setattr__(made, "__dict__", values)
        return made

    @property
    def values(self) -> Row:
        """Every column with its value, ``void`` too, without the id."""
        return {name: value for name, value in self.__dict__.items() if name != "id"}

    def value(self, column: Column[T]) -> T:
        """What this record has in a column that was chosen at run time."""
        found: T = self.__dict__[column.name]
        return found

    def changed(self, column: Column[T], value: T) -> Self:
        """The same record with another value in one of its columns. KeyError for a column of another table."""
        if column.table != self.table:
            raise KeyError(f"{column} is no column of {self.table}")
        return self.from_values(self.id, {**self.__dict__, column.name: value})

    if not TYPE_CHECKING:  # a type checker that saw these would let any name be set

        def __setattr__(self, name: str, value: object) -> None:
            raise AttributeError(f"records do not change; use a draft to set {self.table}.{name}")

        def __delattr__(self, name: str) -> None:
            raise AttributeError(f"records do not change; {self.table}.{name} stays")

    def __eq__(self, other: object) -> bool:
        return type(other) is type(self) and other.__dict__ == self.__dict__

    def __hash__(self) -> int:
        return hash((self.table, self.id))

    def __repr__(self) -> str:
        told = {n: v for n, v in self.__dict__.items() if n == "id" or v != self.defaults[n]}
        return f"{type(self).__name__}({', '.join(f'{n}={v!r}' for n, v in told.items())})"
