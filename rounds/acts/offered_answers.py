"""Answers that the walk offers by digit because the books know few: batches of substrate, animals to pair.

Each is a name as it would be typed; any other text stays an answer too.
"""

from __future__ import annotations

from rounds.acts.fields import NOT_KNOWN
from rounds.acts.offer import Offer, OfferField
from rounds.acts.pairing_checks import wrong_female, wrong_male
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Batch, Content, Line
from rounds.records.whereabouts import species_of

MOST = 9
"""Answers that one digit can choose from."""
SEXES = {"female": "f", "males": "m"}
"""Fields of `pair` and the sex of those who can answer them."""


def by_digit(ledger: Ledger, enclosure: int, offer: Offer) -> Offer:
    """The offer with answers by digit, where there are few to choose from."""
    if offer.act == "rebed":
        which = OfferField("batch", "of which batch of substrate", ready=batches(ledger))
        return offer._replace(fields=(which, *offer.fields))
    if offer.act == "pair":
        fields = (
            f._replace(ready=grown(ledger, enclosure, SEXES[f.name])) if f.name in SEXES else f
            for f in offer.fields
        )
        return offer._replace(fields=tuple(fields))
    return offer


def batches(ledger: Ledger) -> tuple[str, ...]:
    """That it is not known, then the batches of which something is, the newest first."""
    known = [str(batch.name) for batch in ledger.rows(Batch) if batch.recipe or batch.made is not None]
    return (NOT_KNOWN, *reversed(known))[:MOST]


def grown(ledger: Ledger, enclosure: int, sex: str) -> tuple[str, ...]:
    """Grown animals of a sex that can be paired here, those in this enclosure first.

    Of its species where that is known. None when they are more than a digit can choose from.
    """
    kind = species_of(ledger, enclosure)
    found = []
    for at in ledger.rows(Content, Content.until.is_(None)):
        animal = ledger.row(Animal, at.animal) if at.animal is not None else None
        if animal is None or animal.sex != sex or not animal.grown:
            continue
        if not kind or ledger.row(Line, animal.line).species == kind:
            found.append((at.enclosure != enclosure, animal.id))
        if len(found) > 4 * MOST:  # a large house: not worth looking closer
            return ()
    names = tuple(
        animal_name(ledger, a)
        for _, a in sorted(found)
        if not (wrong_female(ledger, a) if sex == "f" else wrong_male(ledger, a, 0, enclosure))
    )
    return names if len(names) <= MOST else ()
