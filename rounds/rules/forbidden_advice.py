"""What a text may never tell a keeper to do in a stage (common practice, no source).

Cells break and most flower beetles build no second one; pre-pupae must not be turned or
wetted; eggs are lost when dug for or handled; what is poured into a box of larvae, or out of it,
reaches the base or takes them along; resting adults neither eat nor want digging
out. A text may still forbid these things: "do not spray" is fine.
"""

from __future__ import annotations

import re

FORBIDDEN: dict[str, tuple[str, ...]] = {
    "cell": ("spray", "mist", "soak", "dig", "shake", "tilt", "tap", "feed", "warmer", "rebed", "re-bed"),
    "wandering": (
        "spray",
        "mist",
        "soak",
        "dig",
        "shake",
        "tilt",
        "tap",
        "feed",
        "warmer",
        "rebed",
        "re-bed",
    ),
    "eggs": ("dig", "turn", "stir", "wash", "soak", "pour"),
    "larvae": ("pour",),
    "colony": ("pour",),
    "laying": ("dig", "stir", "soak", "pour"),
    "resting": ("dig", "feed", "soak"),
}

_WORD = re.compile(r"[a-z][a-z'-]*|[.;:!?]")
_NO = frozenset(("not", "never", "no", "without", "nor", "don't", "avoid", "neither"))
_SKIPPED = frozenset(("or", "and", "to", "the", "it", "them", "any", "a"))
_REACH = 4
"""How many words a "not" reaches forward: "do not open, tilt or spray" forbids all three."""


def breaks(stage: str, text: str) -> str:
    """The first word of ``text`` that the stage forbids and the text does not, or ""."""
    words = FORBIDDEN.get(stage)
    if not words:
        return ""
    forms = _FORMS[stage]
    reach = 0
    for word in _WORD.findall(text.lower()):
        if word in _NO:
            reach = _REACH
        elif not word[0].isalpha() or word in ("but", "then", "instead"):
            reach = 0
        elif word in forms and not reach:
            return forms[word]
        elif word not in _SKIPPED:
            reach = max(0, reach - 1)
    return ""


def _forms(word: str) -> tuple[str, ...]:
    """The word as an instruction bends it: dig, digs, digging. "Soaked" describes and is fine."""
    stem = word.removesuffix("e")
    return (word, word + "s", word + "es", stem + "ing", stem + word[-1] + "ing")


_FORMS = {
    stage: {form: word for word in words for form in _forms(word)} for stage, words in FORBIDDEN.items()
}
