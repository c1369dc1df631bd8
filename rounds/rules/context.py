"""What conditions read: a view of a scene, and with it whatever can be derived from it."""

from __future__ import annotations

from typing import Any

from rounds.rules.measures import compute
from rounds.rules.visit_view import View


class EvaluationContext(View):
    """A view whose derived measures are worked out when they are asked for, each once.

    Beside the ids of readings its keys are ``=name`` and ``=name of reading``.
    """

    __slots__ = ()

    def __missing__(self, key: str) -> Any:
        value = compute(self, key) if key[0] == "=" else None
        self[key] = value
        return value
