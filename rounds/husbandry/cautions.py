"""Which caution belongs to which act and which rule: the one table of them.

The texts stand in :mod:`rounds.husbandry.caution_sentences`; the acts, the explanation of a
rule and the stand-in's sheet all take theirs from here. What to mind is common practice, no
source, but for allergy to insects (Centers for Disease Control 1984, Morbidity and Mortality
Weekly Report 33(31):448-454; Ganseman et al. 2022, International Journal of Molecular
Sciences 24:86).
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry import caution_sentences as said
from rounds.named_tuple import NamedTuple


class Caution(NamedTuple):
    """What to mind: a headline for the card, and the whole text behind it."""

    headline: str
    text: str


CAUTIONS: Mapping[str, Caution] = {
    "dust": Caution(said.DUST_HEADLINE, said.DUST),
    "foul": Caution(said.FOUL_HEADLINE, said.FOUL),
    "electric": Caution(said.ELECTRIC_HEADLINE, said.ELECTRIC),
    "lifting": Caution(said.LIFTING_HEADLINE, said.LIFTING),
    "marking": Caution(said.MARKING_HEADLINE, said.MARKING),
    "claws": Caution(said.CLAWS_HEADLINE, said.CLAWS),
    "freezer": Caution(said.FREEZER_HEADLINE, said.FREEZER),
    "quarantine": Caution(said.QUARANTINE_HEADLINE, said.QUARANTINE),
    "young": Caution(said.YOUNG_HEADLINE, said.YOUNG),
    "heads": Caution(said.HEADS_HEADLINE, said.HEADS),
    "renewing": Caution(said.RENEWING_HEADLINE, said.RENEWING),
    "numbers": Caution(said.NUMBERS_HEADLINE, said.NUMBERS),
    "surplus": Caution(said.SURPLUS_HEADLINE, said.SURPLUS),
    "escape": Caution(said.ESCAPE_HEADLINE, said.ESCAPE),
    "release": Caution(said.RELEASE_HEADLINE, said.RELEASE),
    "travel": Caution(said.TRAVEL_HEADLINE, said.TRAVEL),
}
"""Every caution, in the order in which several are shown: people, then animals, then the law."""

ACT_CAUTIONS: Mapping[str, tuple[str, ...]] = {
    # animals come and go
    "arrival": ("quarantine", "travel"),
    "loan-in": ("claws", "quarantine", "travel"),
    "came-back": ("quarantine",),
    "quarantine-over": ("quarantine",),
    "given-away": ("release", "travel"),
    "given-away-some": ("release", "travel"),
    "lent": ("claws", "travel"),
    "went-back": ("claws", "travel"),
    "missing": ("escape",),
    "missing-some": ("escape",),
    "dead": ("freezer", "release"),
    "dead-some": ("freezer", "release"),
    "dead-here": ("freezer", "release"),
    "missing-here": ("escape",),
    # substrate is turned over
    "search": ("dust", "lifting", "claws", "young"),
    "rebed": ("dust", "lifting", "renewing"),
    "substrate": ("dust",),
    "substrate-used": ("dust",),
    "split": ("dust", "heads"),
    "split-some": ("dust", "heads"),
    "merge": ("dust",),
    "counted": ("dust",),
    "hatched": ("heads",),
    "protein-out": ("dust",),
    "emptied": ("dust", "foul", "lifting", "freezer", "release"),
    "cleaned": ("dust", "freezer"),
    # hands in a box with adults
    "pair": ("claws", "numbers"),
    "plan-made": ("claws", "numbers"),
    "male-in": ("claws",),
    "male-out": ("claws",),
    "parted": ("claws",),
    "to-laying": ("lifting", "claws"),
    "move": ("claws",),
    "move-some": ("claws",),
    "sexed": ("claws",),
    "sexed-some": ("claws",),
    "weigh": ("dust", "claws"),
    "weigh-one": ("dust", "claws"),
    "emerged": ("claws",),
    "first-feed": ("claws",),
    "found": ("claws",),
    "marked": ("marking", "claws"),
    # boxes are carried
    "move-box": ("lifting",),
    "swap-boxes": ("lifting",),
    "trial-open": ("surplus",),
}
"""The cautions of each act that has any."""

RULE_CAUTIONS: Mapping[str, tuple[str, ...]] = {
    "foul-smell": ("dust", "foul", "claws"),
    "hot-substrate": ("dust", "foul", "lifting", "claws"),
    "warm-substrate": ("foul", "claws"),
    "mould": ("dust", "claws"),
    "mould-and-dead": ("dust", "lifting", "claws", "freezer"),
    "mites": ("dust", "claws"),
    "flies": ("dust", "claws"),
    "on-its-back": ("claws",),
    "found-dead": ("claws", "freezer"),
    "missing": ("escape",),
    "lid-open": ("claws", "escape"),
    "not-eating": ("claws",),
    "no-sign-of-life": ("claws",),
    "female-long-below": ("claws",),
    "unused-food": ("electric", "claws"),
    "eating-less": ("electric", "claws"),
    "cup-change": ("claws",),
    "colony-cup-change": ("claws",),
    "fruit-change": ("claws",),
    "substrate-spent": ("dust",),
    "cannibals-together": ("dust",),
    "fruit-spoiled": ("dust", "claws"),
    "larvae-surfaced": ("dust", "foul"),
    "larva-surfaced": ("dust", "foul"),
    "standing-water": ("dust", "foul", "electric", "lifting", "claws"),
    "wet-too-long": ("dust", "electric", "claws"),
    "cell-wet": ("electric",),
    "cell-dry": ("electric",),
    "dry-too-long": ("dust", "electric"),
    "bring-water": ("electric",),
    "shelf-unlikely": ("electric",),
    "shelf-warm": ("electric", "claws"),
    "shelf-jump": ("electric",),
    "too-warm-for-species": ("electric", "lifting"),
    "too-cold-for-species": ("electric",),
}
"""The cautions of each shipped rule that sends somebody where they are needed."""


def of_act(act: str) -> tuple[Caution, ...]:
    """What to mind with an act, people first; nothing for an act without any."""
    return _named(ACT_CAUTIONS.get(act, ()))


def of_rule(rule: str) -> tuple[Caution, ...]:
    """What to mind when a rule sends somebody to a box."""
    return _named(RULE_CAUTIONS.get(rule, ()))


def text_of(cautions: tuple[Caution, ...]) -> str:
    """The whole texts of several, one after the other; closing words that several share stand once, last."""
    texts = [caution.text.removesuffix(said.END).rstrip() for caution in cautions]
    shared = [said.END] if any(caution.text.endswith(said.END) for caution in cautions) else []
    return " ".join([*texts, *shared])


def _named(ids: tuple[str, ...]) -> tuple[Caution, ...]:
    return tuple(CAUTIONS[id_] for id_ in CAUTIONS if id_ in ids)
