"""What was recorded since is worked out again when an animal turns out to have left, or died, on a day before.

A keeper tells a death when it is found, and sometimes a week late. Pairings that were ended since
ended on its day; a brood found since is not hers where the substrate had been searched through
after her death. What a later act rests on by its own words stays as it was told.
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import effects_sentences
from rounds.acts.act import ActInput, ActRefused
from rounds.acts.act_checks import ActWarning, ask
from rounds.acts.laying_history import Site, doubt_of, line_of, site
from rounds.records.ledger import Draft, Ledger, Set
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Brood, Content, Fewer, Mating, Pairing, PairingMale, Search
from rounds.values.spans import Span, told


def worked_out_again(before: Ledger, draft: Draft, given: ActInput, animal: int) -> None:
    """Draft what follows for the pairings and broods of an animal that left on the act's day, and ask about it."""
    when: Span = given["on"]
    _stay_ends(draft, animal, when)
    doubts = list(_pairings(draft, animal, when))
    doubts += _broods(before, draft, animal, when)
    ask(given, doubts)


def after(day: Span | None, when: Span) -> bool:
    """Is it certainly later?"""
    return day is not None and day.earliest > when.latest


def _stay_ends(draft: Draft, animal: int, when: Span) -> None:
    """Missing since a later day: it had left its box already."""
    stays = list(draft.ledger.rows(Content, Content.animal.is_(animal)))
    if stays and not any(stay.until is None for stay in stays):
        last = max(stays, key=lambda stay: stay.id)
        if after(last.until, when) and not after(last.since, when):
            draft.set(Content.until, last.id, when)


def _pairings(draft: Draft, animal: int, when: Span) -> Iterator[ActWarning]:
    ledger = draft.ledger
    partners = [
        p for p in ledger.rows(PairingMale) if animal in (p.male, ledger.row(Pairing, p.pairing).female)
    ]
    for partner in partners:
        pairing = ledger.row(Pairing, partner.pairing)
        if not after(partner.until, when):
            continue
        if after(partner.since, when):
            raise ActRefused.at(
                "on", effects_sentences.before_pairing_began(pairing.name, told(partner.since or when))
            )
        draft.set(PairingMale.until, partner.id, when)
        for mating in ledger.rows(Mating, Mating.pairing.is_(pairing.id)):
            of_it = pairing.female == animal or mating.male == animal
            if of_it and mating.seen is not None and after(mating.seen, when):
                who = animal_name(ledger, animal)
                yield "on", effects_sentences.mated_later(who, pairing.name, told(mating.seen))
    for id_ in dict.fromkeys(partner.pairing for partner in partners):
        pairing = draft.ledger.row(Pairing, id_)
        ends = [p.until for p in draft.ledger.rows(PairingMale, PairingMale.pairing.is_(id_))]
        if after(pairing.until, when) and all(end is not None and not after(end, when) for end in ends):
            draft.set(Pairing.until, id_, when)


def _broods(before: Ledger, draft: Draft, animal: int, when: Span) -> Iterator[ActWarning]:
    """Broods found since, where another could have laid them, or nobody that is known."""
    boxes = {content.enclosure for content in before.rows(Content, Content.animal.is_(animal))}
    for search in list(before.rows(Search)):
        if search.enclosure not in boxes or search.made is None or not after(search.made, when):
            continue
        was, now = (_site_of(books, search, search.made) for books in (before, draft.ledger))
        if (was.pairing, was.mothers) == (now.pairing, now.mothers) or search.pairing != was.pairing:
            continue
        draft.set(Search.pairing, search.id, now.pairing)
        for brood in [b for b in before.rows(Brood, Brood.search.is_(search.id)) if b.pairing == was.pairing]:
            _another_mother(draft, brood, was, now, search.made)
            who = animal_name(before, animal)
            yield "on", effects_sentences.not_hers(brood.name, told(search.made), who)


def _site_of(ledger: Ledger, search: Search, made: Span) -> Site:
    """The box as it stood for a search: without the search and what it found."""
    broods = {brood.id for brood in ledger.rows(Brood, Brood.search.is_(search.id))}
    found = [(Content.table, content.id) for content in ledger.rows(Content) if content.brood in broods]
    unmade = [Set(t, id_, "void", before=False, after=True) for t, id_ in ((Search.table, search.id), *found)]
    return site(ledger.after(unmade), search.enclosure, made)


def _another_mother(draft: Draft, brood: Brood, was: Site, now: Site, made: Span) -> None:
    ledger = draft.ledger
    line = line_of(ledger, now, made)
    draft.set(Brood.pairing, brood.id, now.pairing)
    draft.set(Brood.line, brood.id, line)
    sure = "" if now.pairing is None else ledger.row(Pairing, now.pairing).paternity
    draft.set(Brood.paternity, brood.id, sure)
    gone = doubt_of(ledger, was)
    parts = [part for part in brood.doubt.split("; ") if part and part != gone]
    draft.set(Brood.doubt, brood.id, "; ".join(filter(None, (doubt_of(ledger, now), *parts))))
    if line is not None and any(
        ledger.row(Animal, a.id).line != line for a in ledger.rows(Animal, Animal.brood.is_(brood.id))
    ):
        return  # those numbered from it keep the line that their number is written with
    for content in list(ledger.rows(Content, Content.brood.is_(brood.id))):
        draft.set(Content.line, content.id, line)
    for fewer in list(ledger.rows(Fewer, Fewer.brood.is_(brood.id))):
        draft.set(Fewer.line, fewer.id, line)
