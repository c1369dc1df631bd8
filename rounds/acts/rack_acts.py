"""Acts on the rack itself: a shelf is put up, a box or tub comes into use."""

from __future__ import annotations

from rounds.acts import arrival_law, enclosure_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.fields import Field, FieldError
from rounds.acts.moving_and_locks import NOTE, ON
from rounds.husbandry.stages import VACANT
from rounds.records.ledger import Draft
from rounds.records.naming import free_number
from rounds.records.tables import Enclosure, Place


@act(
    "shelf",
    "a shelf with its slots",
    Field("bay", "text", "the bay's letter or letters, without digits", required=True),
    Field("shelf", "whole", "which shelf, counted from the top", required=True, low=1, high=99),
    Field("slots", "whole", "how many slots it has", required=True, low=1, high=99),
    on="",
    about="A shelf is put up, or got more slots; what stands elsewhere is not touched.",
)
def shelf(draft: Draft, given: ActInput) -> None:
    bay = str(given["bay"]).strip()
    if not bay.isalpha():
        raise ActRefused.at("bay", enclosure_sentences.no_bay(bay))
    known = {
        place.slot for place in draft.ledger.rows(Place, Place.bay.is_(bay), Place.shelf.is_(given["shelf"]))
    }
    new = [n for n in range(1, given["slots"] + 1) if n not in known]
    if not new:
        raise ActRefused.at("slots", enclosure_sentences.shelf_has_slots(bay, given["shelf"], len(known)))
    for slot in new:
        draft.add(Place(bay=bay, shelf=given["shelf"], slot=slot))


@act(
    "box",
    "a new box",
    Field("code", "text", "its own code, which stays with it when it moves", required=True, label=True),
    Field("number", "whole", "its short number (the next free one unless given)", low=1, high=999_999),
    Field("place", "ref", "where it stands (B3-2)", of="place"),
    Field("stage", "word", "empty or prepared", words=VACANT, default="empty"),
    Field("species", "text", "what it is meant for"),
    Field("litres", "number", "how much it holds", low=0.01, high=10_000),
    ON,
    NOTE,
    on="",
    about="A box or tub comes into use; it holds nobody yet.",
)
def box(draft: Draft, given: ActInput) -> None:
    boxes = list(draft.ledger.rows(Enclosure))
    code, number = given["code"], given["number"]
    slips = []
    if any(str(r.code).casefold() == code.casefold() for r in boxes):
        slips.append(FieldError.of("code", enclosure_sentences.code_taken(code)))
    if number in {r.number for r in boxes}:
        slips.append(FieldError.of("number", enclosure_sentences.number_taken(number)))
    if slips:
        raise ActRefused(*slips)
    draft.add(
        Enclosure(
            code=code,
            number=number or free_number(draft.ledger),
            stage=given["stage"],
            stage_since=given["on"],
            place=given["place"],
            species=arrival_law.spelt(given["species"] or "", given.settings.species),
            litres=given["litres"],
            note=given["note"] or "",
        )
    )
