"""Texts as they are compared when something is looked for: a keyboard at the rack may lack a letter."""

from __future__ import annotations

import unicodedata


def folded(text: str) -> str:
    """Without case, accents and typographic forms: ``Größe`` is ``grosse``, ``ﬁne`` is ``fine``.

    Compatibility decomposition with the combining marks left out (Unicode Standard Annex 15,
    NFKD), between two case foldings, so that it is the same however an accent was typed.
    """
    text = text.casefold()
    if text.isascii():
        return text
    apart = unicodedata.normalize("NFKD", text)
    return "".join(c for c in apart if not unicodedata.combining(c)).casefold()
