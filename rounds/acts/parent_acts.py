"""Acts on whose offspring a brood is, found out after it was counted."""

from __future__ import annotations

from rounds.acts import parent_sentences as sentences
from rounds.acts.act import ActInput, act
from rounds.acts.act_checks import ActWarning, ask, changed, stays_right
from rounds.acts.fields import Field
from rounds.acts.identity_sentences import UNDO_THE_OTHER_ACT
from rounds.records.invariants import faults
from rounds.records.ledger import Draft, Ledger
from rounds.records.tables import Animal, Brood, Pairing, PairingMale
from rounds.values.spans import told

_PAIRING = "pairing"


@act(
    "brood-parents",
    "brood's parents are",
    Field(_PAIRING, "ref", "the pairing it is of", required=True, of="pairing"),
    on="brood",
    about="Of which pairing a brood is, found out later; animals numbered from it follow it.",
)
def brood_parents(draft: Draft, given: ActInput) -> None:
    ledger, brood = draft.ledger, draft.ledger.row(Brood, given.subject)
    pairing = ledger.row(Pairing, given[_PAIRING])
    draft.set(Brood.pairing, brood.id, pairing.id)
    draft.set(Brood.paternity, brood.id, pairing.paternity)
    changed(draft, _PAIRING, brood.name)
    stays_right(ledger, draft, faults, _PAIRING, UNDO_THE_OTHER_ACT)
    doubts: list[ActWarning] = []
    if brood.pairing not in (None, pairing.id):
        known = ledger.row(Pairing, brood.pairing).name
        doubts.append((_PAIRING, sentences.another_pairing_known(brood.name, known, pairing.name)))
    if brood.found is not None and pairing.since is not None and pairing.since.earliest > brood.found.latest:
        doubts.append((_PAIRING, sentences.began_later(pairing.name, told(pairing.since))))
    lines = _lines(ledger, pairing)
    if brood.line is not None and brood.line not in lines:
        doubts.append((_PAIRING, sentences.other_line(brood.name, pairing.name)))
    ask(given, doubts)


def _lines(ledger: Ledger, pairing: Pairing) -> set[int]:
    """The lines of its animals: numbers of the brood's animals are written with one of them."""
    males = (partner.male for partner in ledger.rows(PairingMale, PairingMale.pairing.is_(pairing.id)))
    return {ledger.row(Animal, animal).line for animal in (pairing.female, *males) if animal is not None}
