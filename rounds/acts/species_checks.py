"""Names of species as they are typed: which known one is meant, and a question before an unknown one is taken."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from rounds.acts import arrival_sentences as sentences
from rounds.acts.act import ActInput
from rounds.acts.act_checks import ActWarning
from rounds.husbandry.species import Species
from rounds.records.ledger import Add, Draft, Ledger
from rounds.records.tables import Enclosure, Line, Lot
from rounds.records.whereabouts import species_of

FIELD = "species"


def known(ledger: Ledger, presets: Mapping[str, Species]) -> tuple[str, ...]:
    """The species that are kept or came once, then those that have a file."""
    boxes = [box.species for box in ledger.rows(Enclosure)]
    kept = [*boxes, *(line.species for line in ledger.rows(Line)), *(lot.species for lot in ledger.rows(Lot))]
    return tuple(dict.fromkeys([*filter(None, kept), *presets]))


def offered(ledger: Ledger, enclosure: int, presets: Mapping[str, Species]) -> tuple[str, ...]:
    """The same, that of this enclosure first."""
    return tuple(dict.fromkeys(filter(None, (species_of(ledger, enclosure), *known(ledger, presets)))))


def meant(typed: str, names: Iterable[str]) -> tuple[str, ...]:
    """The known species that what was typed can mean: that of this name, else those with a word that begins so."""
    low, every = typed.strip().casefold(), tuple(names)
    exact = tuple(name for name in every if name.casefold() == low)
    return exact or tuple(name for name in every if low and f" {low}" in f" {name.casefold()}")


def doubts(ledger: Ledger, draft: Draft, given: ActInput) -> Iterator[ActWarning]:
    """A question for each species that an act writes down and that neither was kept before nor has a file."""
    names = dict.fromkeys(filter(None, (_species(change) for change in draft.changes)))
    presets = given.settings.species if names else {}
    if not presets:  # nothing is known that a name could be held against
        return
    for name in (name for name in names if name not in presets):
        every = known(ledger, presets)
        if name.casefold() not in {k.casefold() for k in every}:
            from difflib import get_close_matches  # only for a name that nobody knows

            near = get_close_matches(name, list(every), n=1, cutoff=0.55)
            yield FIELD, sentences.unknown_species(name, next(iter(near), ""))


def _species(change: object) -> str:
    """The species that a change writes down; "" for none."""
    if isinstance(change, Add):
        return str(change.values.get(FIELD) or "")
    return str(getattr(change, "after", "") or "") if getattr(change, "column", "") == FIELD else ""
