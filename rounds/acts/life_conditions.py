"""The conditions that rows of the table of life name, looked up in the book."""

from __future__ import annotations

from collections.abc import Callable

from rounds.acts.act import ActInput
from rounds.husbandry.stages import INSTARS, VACANT
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Content, Enclosure, Pairing, Protein, Search
from rounds.records.whereabouts import inside


def no_pairing_open(ledger: Ledger, box: int, _: ActInput) -> bool:
    return not any(ledger.rows(Pairing, Pairing.until.is_(None), Pairing.enclosure.is_(box)))


def _one_sex_left(ledger: Ledger, box: int, given: ActInput) -> bool:
    """Somebody stayed behind where a pairing stood, and without the other sex.

    Told late, it is about those who were there then, wherever they are by now.
    """
    then = given["on"].latest
    there = [
        c.animal
        for c in ledger.rows(Content, Content.enclosure.is_(box))
        if (c.since is None or c.since.earliest <= then) and (c.until is None or c.until.earliest > then)
    ]
    if not there or None in there or not no_pairing_open(ledger, box, given):
        return False
    sexes = {ledger.row(Animal, animal).sex for animal in there}
    return len(there) == 1 or sexes in ({"m"}, {"f"})


def _paired_here(ledger: Ledger, box: int, given: ActInput) -> bool:
    """A female who leaves now had a pairing that ended in this box, her male dead or taken out, say."""
    leaving = {
        stay.animal
        for stay in ledger.rows(Content, Content.enclosure.is_(box))
        if stay.animal is not None and stay.until == given["on"]
    }
    searched = [
        search.made.earliest
        for search in ledger.rows(Search, Search.enclosure.is_(box), Search.complete.is_(True))
        if search.made is not None
    ]
    return any(
        pairing.female in leaving
        and pairing.until is not None
        and not any(day > pairing.until.latest for day in searched)
        for pairing in ledger.rows(Pairing, Pairing.enclosure.is_(box))
    )


def _nobody_left(ledger: Ledger, box: int, _: ActInput) -> bool:
    return not inside(ledger, box) and ledger.row(Enclosure, box).stage not in VACANT


def _nothing_said(ledger: Ledger, box: int, given: ActInput) -> bool:
    return _nobody_left(ledger, box, given) and given.values.get("rest") in (None, "later")


def _not_later(ledger: Ledger, box: int, given: ActInput) -> bool:
    """A search that is told late answers nothing that a later one has answered already."""
    return not any(
        search.made is not None and search.made.earliest > given["on"].latest
        for search in ledger.rows(Search, Search.enclosure.is_(box))
    )


def _may_lay_or_eggs(ledger: Ledger, box: int, given: ActInput) -> bool:
    return _not_later(ledger, box, given) and _lays_or_eggs(ledger, box)


def _lays_or_eggs(ledger: Ledger, box: int) -> bool:
    return any(
        content.instar == "eggs"
        or (content.animal is not None and ledger.row(Animal, content.animal).sex != "m")
        or (content.animal is None and not content.instar)
        for content in inside(ledger, box)
    )


def _searched_since(ledger: Ledger, box: int, given: ActInput) -> bool:
    """Told late: there was nobody to lay, nor an egg, when it was searched since."""
    return not _lays_or_eggs(ledger, box) and not _not_later(ledger, box, given)


def _larvae(ledger: Ledger, box: int, _: ActInput) -> bool:
    return any(content.instar in INSTARS for content in inside(ledger, box))


def _only_eggs(ledger: Ledger, box: int, _: ActInput) -> bool:
    there = [content.instar for content in inside(ledger, box)]
    return bool(there) and set(there) == {"eggs"}


def _not_only_eggs(ledger: Ledger, box: int, given: ActInput) -> bool:
    return bool(inside(ledger, box)) and not _only_eggs(ledger, box, given)


def is_out(animal: Animal) -> bool:
    """Has it left its cell, by anything that was recorded of it?"""
    return any(day is not None for day in (animal.emerged, animal.first_feed, animal.mature))


def _here(ledger: Ledger, box: int, so: Callable[[Animal], bool]) -> bool:
    """Is it so of everybody here? Groups are not known one by one, so it is not so of them."""
    there: list[Content] = inside(ledger, box)
    return bool(there) and all(c.animal is not None and so(ledger.row(Animal, c.animal)) for c in there)


def _grown(ledger: Ledger, box: int, _: ActInput) -> bool:
    return _here(ledger, box, lambda animal: animal.grown)


def _out(ledger: Ledger, box: int, _: ActInput) -> bool:
    return _here(ledger, box, is_out)


def _no_protein(ledger: Ledger, box: int, _: ActInput) -> bool:
    return not any(ledger.rows(Protein, Protein.enclosure.is_(box), Protein.taken_out.is_(None)))


CONDITIONS: dict[str, Callable[[Ledger, int, ActInput], bool]] = {
    "no pairing is open here": no_pairing_open,
    "one sex is left, in no pairing": _one_sex_left,
    "she was paired here, and nobody searched it since": _paired_here,
    "nobody is left": _nobody_left,
    "nobody is left, and what becomes of it was not said": _nothing_said,
    "nobody searched later": _not_later,
    "somebody may lay here, or eggs lie here, and nobody searched later": _may_lay_or_eggs,
    "somebody searched later, and nobody lays here": _searched_since,
    "larvae are here": _larvae,
    "only eggs are here": _only_eggs,
    "others than eggs are here": _not_only_eggs,
    "all here are grown": _grown,
    "all here have left their cells": _out,
    "no protein is in it": _no_protein,
}
"""Every condition by the words of the table."""
