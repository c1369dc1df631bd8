"""The newest result of a function, kept for as long as it is asked the same again.

A key makes the walk ask for the same thing many times over. The arguments are told apart by
identity, not by comparing what is in them: the walk's states and records are never changed in
place, so the same object says the same. Whole numbers, texts and truth values are compared.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar, cast

P = ParamSpec("P")
T = TypeVar("T")
COMPARED = (int, str, bool)


def kept_last(function: Callable[P, T]) -> Callable[P, T]:
    """``function`` of positional arguments, worked out anew only when one of them is another.

    Whatever else the result rests on has to be among the arguments, if only as a number that changes with it.
    """
    known: tuple[object, ...] = ()
    result: object = None

    @wraps(function)
    def kept(*args: P.args, **kwargs: P.kwargs) -> T:
        nonlocal known, result
        if len(args) == len(known):
            for a, b in zip(args, known, strict=True):
                if a is not b and (type(a) is not type(b) or type(a) not in COMPARED or a != b):
                    break
            else:
                return cast(T, result)
        result = made = function(*args, **kwargs)
        known = args
        return made

    return kept
