"""The schema's history. Released books are brought up to date by these steps, in order.

To change :mod:`rounds.store.models`: add a :class:`Step` with the next version to ``STEPS``
that does the same to an existing book, and the new schema's file to the tests. A step is
never changed once a version with it was released.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

from rounds.store.orm import pw


class Step(NamedTuple):
    """From the version before to ``version``; ``run`` gets the connection inside a transaction.

    Foreign keys are not enforced while it runs, so that tables can be rebuilt; they are
    checked before it is committed.
    """

    version: int
    title: str
    run: Callable[[pw.SqliteDatabase], None]


FIRST = 1
STEPS: tuple[Step, ...] = ()
SCHEMA = STEPS[-1].version if STEPS else FIRST
"""The schema that :mod:`rounds.store.models` describes and new books are made with."""
