"""Parse ``settings.yaml``: which key layout, palette and signs are in force when none are asked for."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem
from rounds.settings import config_sentences
from rounds.settings.config_fields import Fields
from rounds.settings.document import Document
from rounds.text.terminal_signs import FITTING, SIGN_CHOICES
from rounds.values.rough_width import USUAL, RoughWidth

PALETTE_NAMES = ("dark", "light", "terminal", "red")
"""Names of the palettes (in rounds.screens.palettes): what ``look`` in the file and ``--look`` may say."""


class Choices(NamedTuple):
    keys: str = "letters"
    palette: str = PALETTE_NAMES[0]
    about: RoughWidth = USUAL
    signs: str = FITTING


WIDEST_PERCENT, WIDEST = 50, 100
"""How far "about" may be made to reach: beyond, a rough count says nothing."""


def choices(documents: Sequence[Document], layouts: Iterable[str]) -> Choices:
    """What is chosen; a later file goes before an earlier one. Raises BadInput with every problem."""
    problems: list[Problem] = []
    known = tuple(layouts)
    found = Choices()
    for doc in documents:
        top = Fields(doc, (), "settings", problems)
        top.only(("keys", "look", "signs", "about_percent", "about_least"))
        found = Choices(
            top.word("keys", known, found.keys),
            top.word("look", PALETTE_NAMES, found.palette),
            RoughWidth(
                _whole(top, "about_percent", found.about.percent, WIDEST_PERCENT),
                _whole(top, "about_least", found.about.least, WIDEST),
            ),
            top.word("signs", SIGN_CHOICES, found.signs),
        )
    if problems:
        raise BadInput(problems)
    return found


def _whole(top: Fields, key: str, default: int, most: int) -> int:
    """A whole number from 0."""
    found: int = top.get(key, int, default)
    if 0 <= found <= most:
        return found
    top.problem(
        (key,), *config_sentences.cannot_be(top.what, key, str(found), config_sentences.from_none_to(most))
    )
    return default
