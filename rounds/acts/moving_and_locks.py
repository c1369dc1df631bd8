"""What acts share: the fields `on` and `note`, moving animals, setting and lifting locks."""

from __future__ import annotations

from rounds.acts import shared_act_sentences
from rounds.acts.act import ActRefused
from rounds.acts.fields import Field
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name
from rounds.records.tables import Animal, Content, Lock
from rounds.records.whereabouts import where_is
from rounds.values.spans import Span

ON = Field("on", "span", "when (today unless given)", default="today", past=True)


NOTE = Field("note", "text", "anything else")


def leave(draft: Draft, content: int, when: Span) -> None:
    """They are not there any more. Refused when they only came later than that."""
    since = draft.ledger.row(Content, content).since
    if since is not None and when.latest < since.earliest:
        raise ActRefused.at("on", shared_act_sentences.before_they_came())
    draft.set(Content.until, content, when)


def put(draft: Draft, animal: int, enclosure: int, when: Span) -> None:
    """Move an animal into an enclosure; it leaves where it was, and a larva stays what it is."""
    one = living(draft.ledger, animal)
    here = where_is(draft.ledger, animal)
    stays = draft.ledger.rows(Content, Content.animal.is_(animal))
    last = max(stays, key=lambda stay: stay.id, default=None)
    if here is not None:
        if draft.ledger.row(Content, here).enclosure == enclosure:
            return
        leave(draft, here, when)
    draft.add(
        Content(
            enclosure=enclosure,
            animal=animal,
            line=one.line,
            since=when,
            instar=last.instar if last is not None and not one.grown else "",
        )
    )
    draft.set(Animal.state, animal, "alive")
    for held in list(draft.ledger.rows(Lock, Lock.animal.is_(animal), Lock.lifted.is_(None))):
        draft.set(Lock.enclosure, held.id, enclosure)  # its own lock goes where it goes


def living(ledger: Ledger, animal: int, field: str = "animal") -> Animal:
    """The animal, which must not be dead or gone."""
    known = ledger.row(Animal, animal)
    if known.state in ("dead", "gone"):
        dead = known.state == "dead"
        refusal = shared_act_sentences.is_dead if dead else shared_act_sentences.has_left_the_house
        raise ActRefused.at(field, refusal(animal_name(ledger, animal)))
    return known


def lock(draft: Draft, enclosure: int, forbids: str, since: int, until: Span | None, reason: str) -> int:
    return draft.add(Lock(enclosure=enclosure, forbids=forbids, from_day=since, until=until, reason=reason))


def lift(draft: Draft, enclosure: int, what: str, day: int) -> int:
    """Lift the enclosure's own locks that forbid ``what``; how many there were."""
    found = [
        r.id
        for r in draft.ledger.rows(Lock, Lock.enclosure.is_(enclosure))
        if r.lifted is None and what in str(r.forbids).split()
    ]
    for i in found:
        draft.set(Lock.lifted, i, day)
    return len(found)


def first_day(span: Span, today: int) -> int:
    """A single day for what needs one: the earliest, never later than today."""
    return min(span.earliest, today)


def last_day(span: Span, today: int) -> int:
    """A single day for what needs one: the latest, never later than today."""
    return min(span.latest, today)
