"""The one line that says what to do about due work; its headline is the kind's ``what``."""

from __future__ import annotations

from rounds.due import instruction_sentences


def line_to_do(kind: str) -> str:
    """What to do now for a kind of :data:`rounds.due.kinds.DUE_KINDS`; "" for what a keeper asked for in own words."""
    said: str = getattr(instruction_sentences, kind.upper().replace("-", "_"), "")
    return said
