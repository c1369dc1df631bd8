"""What the law says of the species that arrive: shown with the arrival, and asked about where one is protected."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date

from rounds.husbandry import species_sentences
from rounds.husbandry.species import Species
from rounds.records.ledger import Ledger
from rounds.records.tables import Line
from rounds.text.cleaning import day_and_year

PROTECTED = "protected"


def named(species: str, presets: Mapping[str, Species]) -> Species | None:
    """The species of that Latin name, however it was capitalised."""
    return presets.get(species.strip().capitalize())


def spelt(species: str, presets: Mapping[str, Species]) -> str:
    """The species as its file spells it, however it was typed; one without a file as it was typed."""
    found = named(species, presets)
    return species.strip() if found is None else found.name


def said_of(species: str, presets: Mapping[str, Species]) -> str:
    """What is on file about a species and the law, or that nothing is."""
    found = named(species, presets)
    if found is None or not found.legal:
        return species_sentences.no_law_known(species.strip())
    entries = [
        (e.where, e.says, e.authority, day_and_year(date.fromisoformat(e.looked_up).toordinal()))
        for e in found.legal
    ]
    return species_sentences.law(found.name, entries)


def is_protected(species: str, presets: Mapping[str, Species]) -> bool:
    """Is it protected anywhere that is on file?"""
    found = named(species, presets)
    return found is not None and any(entry.status == PROTECTED for entry in found.legal)


def at_arrival(
    act: str,
    ledger: Ledger,
    whom: str,
    typed: Mapping[str, str],
    presets: Callable[[], Mapping[str, Species]],
) -> str:
    """What to say of the law when an act brings animals in; "" for every other act, which reads no presets."""
    if act == "arrival":
        species = typed.get("species", "")
    elif act == "loan-in":
        species = next((row.species for row in ledger.rows(Line) if row.name == whom), "")
    else:
        return ""
    return said_of(species, presets()) if species.strip() else ""
