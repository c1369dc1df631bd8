"""Classes of named tuples that cost a start little: some hundred of them are made before the first paint.

They are written as classes of ``typing.NamedTuple`` are, and a type checker takes them for those.
That one compiles a function for each class and an expression for each annotation, which took a
twentieth of a start. Here classes share their methods, annotations stay as they are written, and
what reads and makes values is taken from a named tuple of the standard library with as many fields.
"""

from __future__ import annotations

from collections import namedtuple
from collections.abc import Iterable
from functools import cache
from types import FunctionType
from typing import TYPE_CHECKING, Any, ClassVar, Self


class _Shared(tuple[Any, ...]):
    """What all classes of named tuples have in common; ``collections.namedtuple`` says what each does."""

    __slots__ = ()
    if TYPE_CHECKING:  # annotations would be taken for those of every class
        _fields: ClassVar[tuple[str, ...]]

    @classmethod
    def _make(cls, values: Iterable[Any]) -> Self:
        made = tuple.__new__(cls, values)
        if len(made) != len(cls._fields):
            raise TypeError(f"Expected {len(cls._fields)} arguments, got {len(made)}")
        return made

    def _replace(self, /, **changed: Any) -> Self:
        made = tuple.__new__(type(self), map(changed.pop, self._fields, self))
        if changed:
            raise ValueError(f"Got unexpected field names: {list(changed)!r}")
        return made

    def _asdict(self) -> dict[str, Any]:
        return dict(zip(self._fields, self, strict=True))

    def __getnewargs__(self) -> tuple[Any, ...]:
        return tuple(self)

    def __repr__(self) -> str:
        told = ", ".join(f"{name}={value!r}" for name, value in zip(self._fields, self, strict=True))
        return f"{type(self).__name__}({told})"


@cache
def _of_size(fields: int) -> Any:
    """A named tuple of the standard library with so many fields, called ``p0``, ``p1`` …"""
    make: Any = namedtuple  # mypy would have the names written out
    return make("Places", [f"p{i}" for i in range(fields)])


class _Body(type):
    """Makes a class of named tuples from the body of a class: its annotations are the fields."""

    def __new__(cls, name: str, bases: tuple[type, ...], body: dict[str, Any]) -> Any:
        fields = tuple(body.get("__annotations__", ()))
        defaults = {field: body[field] for field in fields if field in body}
        if len(bases) > 1:
            raise TypeError(f"{name} is a named tuple and can be nothing else")
        if fields[len(fields) - len(defaults) :] != tuple(defaults):
            raise TypeError(f"{name} has a field without a default after one with a default")
        like = _of_size(len(fields))
        new = like.__new__
        code = new.__code__.replace(co_varnames=("_cls", *fields), co_qualname=f"{name}.__new__")
        body["__new__"] = FunctionType(code, new.__globals__, "__new__", tuple(defaults.values()))
        for field, place in zip(fields, like._fields, strict=True):
            body[field] = vars(like)[place]
        body |= {"__slots__": (), "__match_args__": fields, "_fields": fields, "_field_defaults": defaults}
        return type(name, (_Shared,), body)


if TYPE_CHECKING:
    from typing import NamedTuple as NamedTuple
else:
    NamedTuple = type.__new__(_Body, "NamedTuple", (), {})
