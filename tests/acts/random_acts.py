"""Acts drawn at random from the registry: fields by their type, names from the books themselves.

Everything is drawn through one function ``pick(options)``, so that hypothesis and a plain
seeded generator can both drive it. An act that a later module registers is drawn too.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, NamedTuple

from rounds.acts import registry
from rounds.acts.act import ConfirmationRequired
from rounds.acts.fields import Field
from rounds.husbandry.stages import STAGES
from rounds.records.ledger import Ledger
from rounds.records.naming import name_of
from rounds.records.tables import TABLES, Animal, Place
from rounds.values import spans
from tests.acts.books import TODAY

Pick = Callable[[Sequence[Any]], Any]

NOT_EXERCISED: dict[str, str] = {}
"""Acts that random drawing cannot bring about, each with the reason. Best kept empty."""

TEXTS = ("A", "B", "C", "7", "07", "later")
SPANS = (
    "today",
    "today",
    "yesterday",
    "2026-05-16",
    "2026-05-01",
    "May 2026",
    "about 2026-05-06",
    "spring 2026",
    "before 2026-05-11",
    "after 2026-04-17",
    "between 2026-04-17 and 2026-05-06",
    "unknown",
)
COUNTS = ("1", "1", "2", "0.1.0", "1.0.0", "1.1.1", "2.3.4", "4.6.0", "at least 3", "0")


def names(ledger: Ledger, table: str) -> list[str]:
    if table == "animal":
        return [name_of(ledger, animal) for animal in ledger.rows(Animal)]
    if table == "place":
        return [place.address for place in ledger.rows(Place)]
    of = TABLES[table]
    named = of.column(of.key[0])  # an enclosure's code, the name of any other
    return [record.value(named) for record in ledger.rows(of)]


FITS = {"sibs": "f", "cross": "f", "sib_males": "m", "cross_males": "m"}
"""Fields of several animals at once: sexes without which they would hardly ever do, and one for each."""


def _one(field: Field, ledger: Ledger, pick: Pick) -> str:
    if field.name in FITS and field.of == "animal":
        sexes = [animal.sex for animal in ledger.rows(Animal)]
        fit = [n for n, sex in zip(names(ledger, "animal"), sexes, strict=True) if sex == FITS[field.name]]
        return str(pick(fit or ("nobody",)))
    match field.type:
        case "text":
            return str(pick(TEXTS))
        case "word":
            return str(pick(field.words))
        case "stage":
            return str(pick(STAGES))
        case "yesno":
            return str(pick(("yes", "yes", "no")))
        case "span":
            return str(pick(SPANS if field.past else (*SPANS, "2026-06-17")))
        case "day":
            return str(pick(("today", "2026-05-06", "+14", "+30")))
        case "whole" | "number":
            low = 1 if field.low is None else int(field.low) + 1
            return str(pick((low, low + 1, low + 9)))
        case "counts":
            return str(pick(COUNTS))
        case "ref":
            return str(pick(names(ledger, field.of) or ("nobody",)))
    raise AssertionError(f"no way to draw a field of type {field.type}")


def typed(act: registry.Act, ledger: Ledger, pick: Pick) -> dict[str, str]:
    """What somebody might type for an act: its required fields, and some of the others."""
    out = {}
    for field in act.fields:
        if field.required or pick((True, False, False)):
            parts = [_one(field, ledger, pick)]
            if field.many and field.name not in FITS and pick((True, False)):
                parts.append(_one(field, ledger, pick))
            out[field.name] = ",".join(parts)
    return out


class Tried(NamedTuple):
    """One attempt: ``recorded`` is None when it was refused."""

    name: str
    recorded: registry.Recorded | None


def attempt(name: str, ledger: Ledger, pick: Pick, uid: int) -> Tried:
    """Try to record an act with random fields; questions are answered with yes."""
    act = registry.known(name)
    subject = str(pick(names(ledger, act.on) or ("nobody",))) if act.on else ""
    fields = typed(act, ledger, pick)
    try:
        try:
            plan = registry.plan(name, subject, fields, ledger, TODAY)
        except ConfirmationRequired:
            plan = registry.plan(name, subject, fields, ledger, TODAY, sure=True)
    except registry.BadAct:
        return Tried(name, None)
    return Tried(name, registry.Recorded(uid.to_bytes(8, "big"), name, plan.changes))


def narrower(old: spans.Span | None, new: spans.Span | None) -> bool:
    """Says the second span more than the first?"""
    if new is None:
        return False
    if old is None:
        return not new.unknown
    return new.earliest > old.earliest or new.latest < old.latest
