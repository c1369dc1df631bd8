"""How a summary begins: the day in one sentence. No start of a walk needs it."""

from __future__ import annotations

from collections.abc import Sequence

from rounds.records import round_summary_sentences
from rounds.records.round_summary import BRING, BRING_ONE, Carry, amount_words


def opening(boxes: int, works: int, unseen: int, carry: Sequence[Carry], empty: int = 0) -> str:
    """A summary in one sentence: boxes that need something, jobs due and not done, boxes not seen, what to carry."""
    return round_summary_sentences.opening(boxes, works, unseen, empty, tuple(_brief(carry)))


def _brief(carry: Sequence[Carry]) -> list[str]:
    """What to carry, a thing at a time, whatever it is made of and wherever it goes."""
    out = []
    for what in dict.fromkeys(c.what for c in carry):
        known = [c for c in carry if c.what == what and c.codes]
        thing = BRING.get(what, what)
        if not known:
            out.append(thing.removeprefix("litres of "))
            continue
        least = sum(c.amount for c in known)
        most = sum(c.amount if c.most is None else c.most for c in known)
        total = Carry(what, least, known[0].codes, None if all(c.most is None for c in known) else most)
        if total.most is None and least == 1:
            thing = BRING_ONE.get(what, thing)
        said = f"{amount_words(total)} {thing}"
        more = any(c.unknown for c in carry if c.what == what)
        out.append(round_summary_sentences.and_more(said) if more else said)
    return out
