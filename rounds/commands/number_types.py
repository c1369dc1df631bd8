"""Numbers as options take them: read like everywhere else, with a point or a comma before the decimals."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import click


class NumberType(click.ParamType[Any]):
    """An option's number; ``parse`` raises UnreadableValue for what is none."""

    def __init__(self, name: str, parse: Callable[[str], float]) -> None:
        self.name, self.parse = name, parse

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        from rounds.values.unreadable import UnreadableValue

        if not isinstance(value, str):
            return value  # a default
        try:
            return self.parse(value)
        except UnreadableValue as e:
            self.fail(str(e), param, ctx)


def _decimal(text: str) -> float:
    from rounds.values.numbers import parse_decimal

    return parse_decimal(text)


def _whole(text: str) -> float:
    from rounds.values.numbers import parse_whole

    return parse_whole(text)


NUMBER = NumberType("float", _decimal)
WHOLE = NumberType("integer", _whole)
