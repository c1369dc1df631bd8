"""Parse ``settings.yaml``: which key layout and which palette are in force when none is asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rounds.problems import BadInput, Problem
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document

PALETTE_NAMES = ("dark", "light", "terminal", "red")
"""Names of the palettes (in rounds.screens.palettes): what ``look`` in the file and ``--look`` may say."""


class Choices(NamedTuple):
    keys: str = "letters"
    palette: str = PALETTE_NAMES[0]


def choices(documents: Sequence[Document], layouts: Iterable[str]) -> Choices:
    """What is chosen; a later file goes before an earlier one. Raises BadInput with every problem."""
    problems: list[Problem] = []
    known = tuple(layouts)
    found = Choices()
    for doc in documents:
        top = Fields(doc, (), "settings", problems)
        top.only(("keys", "look"))
        found = Choices(top.word("keys", known, found.keys), top.word("look", PALETTE_NAMES, found.palette))
    if problems:
        raise BadInput(problems)
    return found
