"""The act of parting a pair, and how a pairing ends whatever ends it."""

from __future__ import annotations

from rounds.acts import pairing_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ask, kept_in, refuse
from rounds.acts.fields import Field, FieldError
from rounds.acts.life import follow
from rounds.acts.moving_and_locks import ON, living, put
from rounds.acts.pairing_checks import (
    came_later,
    not_usable,
    over,
    too_early,
)
from rounds.acts.vacating import LOOKED, REST
from rounds.due.planned_pairings import OPEN_TO
from rounds.husbandry.life_table import INTO
from rounds.records.ledger import Draft
from rounds.records.naming import code
from rounds.records.tables import Pairing, PairingMale
from rounds.records.whereabouts import box_of
from rounds.values.spans import Span


@act(
    "parted",
    "parted",
    Field("female_to", "ref", "the box the female is in now, when she was moved", of="enclosure"),
    Field("males_to", "ref", "the box the males are in now, when they were moved", of="enclosure"),
    Field(
        "who",
        "word",
        "who left: she, he (or the males) or both (follows from the boxes)",
        words=("she", "he", "both"),
    ),
    REST,
    LOOKED,
    ON,
    Field("note", "text", "why, and anything else"),
    on="pairing",
    about="The pairing is over; female and males are apart.",
    stages=("pairing", "laying"),
)
def parted(draft: Draft, given: ActInput) -> None:
    pairing, when = given.subject, given["on"]
    ledger = draft.ledger
    about = ledger.row(Pairing, pairing)
    female = about.female
    if female is None and given["female_to"] is not None:
        raise ActRefused.at("female_to", pairing_sentences.no_female_to_move(about.name))
    males = [
        partner.male
        for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing))
        if partner.until is None
    ]
    moves: list[tuple[int, int | None, str]] = [(male, given["males_to"], "males_to") for male in males]
    if female is not None:
        moves.insert(0, (female, given["female_to"], "female_to"))
    moved = [(a, to, f) for a, to, f in moves if to is not None]
    refuse(
        *over(ledger, pairing),
        *_who_left(given),
        *too_early(about.since, when, about.name),
        *(s for f in ("female_to", "males_to") if given[f] for s in not_usable(ledger, given[f], f, OPEN_TO)),
        *(s for a, to, _ in moved for s in came_later(ledger, [a], to, when)),
    )
    ask(given, [d for a, to, f in moved if to != box_of(ledger, a) for d in kept_in(ledger, a, given, f)])
    for animal, to, field in moved:
        living(draft.ledger, animal, field)
        follow(draft, given, INTO, to)
        put(draft, animal, to, when)
    hers = box_of(draft.ledger, female) if female is not None else None
    if hers is not None and hers in [box_of(draft.ledger, male) for male in males]:
        raise ActRefused.at(
            "female_to" if moved else "who", pairing_sentences.still_together(code(draft.ledger, hers))
        )
    if given["note"]:
        draft.set(Pairing.note, pairing, "; ".join(filter(None, (about.note, given["note"]))))
    close(draft, pairing, when)


def _who_left(given: ActInput) -> list[FieldError]:
    """What ``who`` wants told of the enclosures, and what it contradicts."""
    who, out = given["who"], []
    for field, left, missing, stayed in (
        ("female_to", "she", pairing_sentences.where_is_she, pairing_sentences.she_stayed),
        ("males_to", "he", pairing_sentences.where_is_he, pairing_sentences.he_stayed),
    ):
        if who in (left, "both") and given[field] is None:
            out.append(FieldError.of(field, missing()))
        elif who not in (None, left, "both") and given[field] is not None:
            out.append(FieldError.of(field, stayed(who)))
    return out


def close(draft: Draft, pairing: int, when: Span) -> None:
    """A pairing and all that is open of it end."""
    draft.set(Pairing.until, pairing, when)
    for partner in list(
        draft.ledger.rows(PairingMale, PairingMale.pairing.is_(pairing), PairingMale.until.is_(None))
    ):
        draft.set(PairingMale.until, partner.id, when)
