"""Our classes of named tuples do what those of the standard library do, whose values they are compared with."""

from __future__ import annotations

import copy
import pickle
import re
import typing
from pathlib import Path
from typing import Any, get_type_hints

import pytest

import rounds
from rounds.named_tuple import NamedTuple

WIDE = [f"field_{i}" for i in range(60)]


class Ours(NamedTuple):
    """A box on a shelf."""

    code: str
    litres: float | None
    asked: tuple[str, ...] = ()
    empty: bool = True

    limit = 3  # no annotation: no field

    @property
    def said(self) -> str:
        return f"{self.code} of {self.litres} l"


class Theirs(typing.NamedTuple):
    """A box on a shelf."""

    code: str
    litres: float | None
    asked: tuple[str, ...] = ()
    empty: bool = True

    limit = 3

    @property
    def said(self) -> str:
        return f"{self.code} of {self.litres} l"


CALLS: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    (("A1", 2.5), {}),
    (("A1", None, ("x",), False), {}),
    ((), {"litres": 1.0, "code": "B"}),
    (("A1",), {"litres": 2, "empty": 0}),
]
WRONG: list[tuple[tuple[Any, ...], dict[str, Any]]] = [
    ((), {}),
    (("A1",), {}),
    (("A1", 1, (), True, 5), {}),
    (("A1", 1), {"code": "B"}),
    (("A1", 1), {"colour": "red"}),
]


@pytest.mark.parametrize(("values", "by_name"), CALLS)
def test_a_value_is_what_the_standard_library_makes(values: tuple[Any, ...], by_name: dict[str, Any]) -> None:
    ours, theirs = Ours(*values, **by_name), Theirs(*values, **by_name)
    assert ours == theirs == tuple(ours)
    assert hash(ours) == hash(theirs)
    assert repr(ours) == repr(theirs).replace("Theirs", "Ours")
    assert ours._asdict() == theirs._asdict()
    assert [ours.code, ours.litres, ours.asked, ours.empty, ours.said] == [*theirs, theirs.said]
    changed = ours._replace(litres=9, empty="no")
    assert changed == theirs._replace(litres=9, empty="no")
    assert type(changed) is Ours
    assert Ours._make(theirs) == ours
    with pytest.raises(AttributeError):
        ours.code = "B"  # type: ignore[misc]
    with pytest.raises(AttributeError):
        ours.colour = "red"  # type: ignore[attr-defined]  # no room for one either
    for again in (copy.copy(ours), copy.deepcopy(ours), pickle.loads(pickle.dumps(ours))):
        assert again == ours
        assert type(again) is Ours


@pytest.mark.parametrize(("values", "by_name"), WRONG)
def test_wrong_arguments_are_told_as_the_standard_library_tells_them(
    values: tuple[Any, ...], by_name: dict[str, Any]
) -> None:
    with pytest.raises(TypeError) as theirs:
        Theirs(*values, **by_name)
    with pytest.raises(TypeError) as ours:
        Ours(*values, **by_name)
    assert str(ours.value) == str(theirs.value).replace("Theirs", "Ours")


def test_making_and_replacing_with_what_is_no_field_fails() -> None:
    for kind in (Ours, Theirs):
        with pytest.raises(TypeError, match="Expected 4 arguments, got 2"):
            kind._make(("A1", 1))
        with pytest.raises(ValueError, match=r"unexpected field names: \['colour'\]"):
            kind("A1", 1)._replace(colour="red")


def test_a_class_tells_the_same_of_itself() -> None:
    assert Ours._fields == Theirs._fields == Ours.__match_args__
    assert Ours._field_defaults == Theirs._field_defaults
    assert (Ours.limit, Ours.__doc__, Ours.__name__) == (3, Theirs.__doc__, "Ours")
    assert get_type_hints(Ours) == get_type_hints(Theirs)
    match Ours("A1", 2.0):
        case Ours(code, _, _, True):
            assert code == "A1"
        case _:
            raise AssertionError("no pattern took it")


def test_as_many_fields_as_one_likes_and_none_at_all() -> None:
    body: dict[str, Any] = {"__module__": __name__, "__annotations__": dict.fromkeys(WIDE, int)}
    wide: Any = type(NamedTuple)("Wide", (NamedTuple,), dict(body))
    made = wide(*range(60))
    assert [getattr(made, name) for name in WIDE] == list(range(60))
    none: Any = type(NamedTuple)("Nothing", (NamedTuple,), {"__module__": __name__})
    assert none() == ()
    assert repr(none()) == "Nothing()"


def test_a_class_that_could_not_work_is_refused() -> None:
    after: dict[str, Any] = {"__annotations__": {"a": "int", "b": "int"}, "a": 1}
    with pytest.raises(TypeError, match="Wrong has a field without a default after one with a default"):
        type(NamedTuple)("Wrong", (NamedTuple,), after)
    with pytest.raises(TypeError, match="Wrong is a named tuple and can be nothing else"):
        type(NamedTuple)("Wrong", (NamedTuple, dict), {})


def test_no_module_makes_the_other_kind() -> None:
    """A class of ``typing``'s works as well; each costs ten times as much, and a start makes a hundred."""
    other = re.compile(r"^\s*from typing import .*\bNamedTuple\b|\btyping\.NamedTuple\(", re.M)
    assert other.search("from typing import Any, NamedTuple\n")
    own = Path(rounds.__file__).with_name("named_tuple.py")
    modules = (path for path in own.parent.rglob("*.py") if path != own)
    assert [str(path) for path in modules if other.search(path.read_text(encoding="utf-8"))] == []
