"""What becomes of a box once the last one has left it: asked, refused, or done."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from rounds.acts import effects_sentences
from rounds.acts.act import ActInput, ActRefused
from rounds.acts.fields import Field
from rounds.husbandry.stages import VACANT
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import Content, Enclosure, Search, StagePast
from rounds.records.whereabouts import inside

REST = Field(
    "rest",
    "word",
    "what becomes of the box when it was the last in it",
    words=("keep", "empty", "prepare", "later"),
)
"""``later``: it stays open as due work at the box."""
REST_LATER = REST._replace(default="later")

LOOKED = Field("looked", "yesno", "was it looked through for eggs and larvae first")

OF_A_PAIRING = ("to-laying", "parted", "male-out")
"""Acts that ask at once only where the pairing stood; elsewhere it stays open as due work."""

BREEDING = ("pairing", "laying", "colony")
"""Stages in which eggs may be in the substrate whether or not anybody has seen them."""


def vacate(
    before: Ledger, draft: Draft, given: ActInput, left: Sequence[int], clear: Callable[[int, str], None]
) -> None:
    """See to the boxes that stand vacant after an act, by its field ``rest`` where it has one.

    ``left`` are those that somebody left; ``clear`` empties one of them. Raises ActRefused when
    it was not told what becomes of one, or told for a box that others still live in.
    """
    rest = given.values.get("rest", "later")
    vacant = [
        box
        for box in left
        if inside(before, box)
        and not inside(draft.ledger, box)
        and draft.ledger.row(Enclosure, box).stage not in VACANT
    ]
    if rest in ("empty", "prepare") and not vacant and left:
        raise ActRefused.at("rest", effects_sentences.others_still_there(code(draft.ledger, left[0])))
    for box in vacant:
        stood = before.row(Enclosure, box).stage == "pairing"
        if rest is None and (stood or given.act not in OF_A_PAIRING):
            raise ActRefused.at("rest", effects_sentences.rest_missing(code(draft.ledger, box)))
        if rest in ("empty", "prepare"):
            may_be_cleared(draft.ledger, box, given)
            clear(box, "empty" if rest == "empty" else "prepared")


def may_be_cleared(ledger: Ledger, box: int, given: ActInput) -> None:
    """Refuse to clear a box that holds somebody, or that was not looked through for eggs and larvae.

    Where eggs may be in the substrate, a complete search must be in the books, made not
    certainly before the last animal left.
    """
    name = code(ledger, box)
    if inside(ledger, box):
        raise ActRefused.at("enclosure", effects_sentences.still_holds_animals(name))
    if given["looked"] is not True:
        raise ActRefused.at("looked", effects_sentences.not_looked_through(name))
    if _bred_in(ledger, box) and not _searched(ledger, box):
        raise ActRefused.at("looked", effects_sentences.may_hold_eggs(name))


def _bred_in(ledger: Ledger, box: int) -> bool:
    """May eggs be in the substrate? They may also where she, or he, was only held after the pairing."""
    stage = str(ledger.row(Enclosure, box).stage)
    if stage == "holding":
        past = [str(past_stage.stage) for past_stage in ledger.rows(StagePast, StagePast.enclosure.is_(box))]
        stage = next((s for s in reversed(past) if s != "holding"), "")
    return stage in BREEDING


def _searched(ledger: Ledger, box: int) -> bool:
    left = max(
        (
            content.until.earliest
            for content in ledger.rows(Content, Content.enclosure.is_(box))
            if content.until
        ),
        default=None,
    )
    if left is None:
        return True
    return any(
        search.complete and search.made is not None and search.made.latest >= left
        for search in ledger.rows(Search, Search.enclosure.is_(box))
    )
