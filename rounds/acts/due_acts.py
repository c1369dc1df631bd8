"""Acts on due work: done, and put off with a reason, whether the books hold it or it was computed.

What is done by an act of its own (a search, leftovers taken out) had better be recorded by
that act, because more follows from it; ticking it off alone is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from rounds.acts import due_sentences
from rounds.acts.act import ACTS, ActInput, ActRefused, act
from rounds.acts.act_checks import ActWarning, ask
from rounds.acts.fields import Field
from rounds.acts.moving_and_locks import ON, last_day
from rounds.due import work as due
from rounds.due.kinds import DueWork
from rounds.due.nearby import near
from rounds.husbandry.species import Species
from rounds.problems import nearest
from rounds.records.label_doubts import LABELS
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import Due
from rounds.values.spans import LAST, iso, text

DONE, OFF = "due-done", "due-off"
LABEL = 120
"""Characters of the name of work."""

OWN_ACT = {
    "first-search": ("search",),
    "next-search": ("search",),
    "left-over-eggs": ("search",),
    "re-bed": ("rebed",),
    "substrate": ("rebed",),
    "weigh-in": ("weigh",),
    "leftovers": ("protein-out",),
    "quarantine-end": ("quarantine-over",),
    "hatch": ("hatched",),
    "wandering": ("wandering",),
    "emergence": ("emerged",),
    "mature": ("mature",),
    "pairing-over": ("to-laying",),
    "planned-pairing": ("plan-made",),
    "loan-back": ("came-back", "went-back"),
    LABELS: ("labels-settled",),
}
"""The acts by one of which each kind of work is recorded with all that follows from it."""

_WORK = Field("work", "text", "which work, in its words or its key (needed where several are due)")


def open_at(ledger: Ledger, presets: Mapping[str, Species], enclosure: int, day: int) -> list[DueWork]:
    """Everything at one enclosure that is not done, however far ahead, the soonest to end first."""
    return due.at(due.works(near(ledger, {enclosure}), presets, day), enclosure, LAST)


def labels(ledger: Ledger, works: Iterable[DueWork]) -> dict[str, DueWork]:
    """Work by the words it is called by at its enclosure, in its order.

    ``first search``; where several are called so, with the animal or the window after it.
    """
    out: dict[str, DueWork] = {}
    every = list(works)
    said = [_short(w.what) for w in every]
    for work, words in zip(every, said, strict=True):
        name = words
        if said.count(words) > 1:
            name = f"{words} ({animal_name(ledger, work.animal) if work.animal is not None else text(work.window)})"
        n, first = 1, name
        while name in out:
            n += 1
            name = f"{first} {n}"
        out[name] = work
    return out


def _short(what: str) -> str:
    words = " ".join(what.split())
    return words if len(words) <= LABEL else f"{words[: LABEL - 1]}…"


def _chosen(draft: Draft, given: ActInput) -> tuple[str, DueWork]:
    """The work that was meant, with its name. Refused when it is not due there, or could be several."""
    box = given.subject
    named = labels(draft.ledger, open_at(draft.ledger, given.settings.species, box, given.today))
    if not named:
        raise ActRefused.at("enclosure", due_sentences.nothing_due(code(draft.ledger, box)))
    typed = given["work"]
    if typed is None:
        if len(named) > 1:
            raise ActRefused.at("work", due_sentences.which_work(named))
        return next(iter(named.items()))
    low = " ".join(str(typed).casefold().split())
    for name, work in named.items():
        if low in (name.casefold(), work.key.casefold()):
            return name, work
    alike = [(name, w) for name, w in named.items() if low in (_short(w.what).casefold(), w.kind)]
    if len(alike) == 1:
        return alike[0]
    if alike:
        raise ActRefused.at("work", due_sentences.due_more_than_once(typed, (n for n, _ in alike)))
    close = nearest(low, named)
    raise ActRefused.at("work", due_sentences.not_due_there(typed, code(draft.ledger, box), close, named))


@act(
    DONE,
    "due work done",
    _WORK,
    ON,
    on="enclosure",
    about="Work that was due here has been done.",
)
def due_done(draft: Draft, given: ActInput) -> None:
    name, work = _chosen(draft, given)
    day = last_day(given["on"], given.today)
    doubts: list[ActWarning] = []
    own = [ACTS[a].title for a in OWN_ACT.get(work.kind, ())]
    if own:
        told = due_sentences.only_ticked_off(name, own)
        doubts.append(("work", told))
    if work.withheld:
        doubts.append(("work", due_sentences.withheld(work.withheld)))
    if day < work.window.earliest:
        doubts.append(("on", due_sentences.before_it_was_due(iso(day), text(work.window))))
    row = work.row if work.row is not None else draft.add(due.as_row(work))
    draft.set(Due.done, row, day)
    if any(
        w.key == work.key for w in open_at(draft.ledger, given.settings.species, given.subject, given.today)
    ):
        # What it follows from came after that day: the row would be of something before it.
        raise ActRefused.at(
            "on", due_sentences.before_what_it_follows_from(iso(day), text(work.window), work.why)
        )
    ask(given, doubts)


@act(
    OFF,
    "due work put off",
    _WORK,
    Field("until", "day", "until when (a day, or +3 for in three days)", required=True),
    Field("because", "text", "why", required=True),
    on="enclosure",
    about="Work that is due here is put off to a day, with the reason.",
)
def due_off(draft: Draft, given: ActInput) -> None:
    until = given["until"]
    if until <= given.today:
        raise ActRefused.at("until", due_sentences.not_to_come(iso(until)))
    if until >= LAST:
        raise ActRefused.at("until", due_sentences.for_ever(iso(until)))
    _, work = _chosen(draft, given)
    row = work.row if work.row is not None else draft.add(due.as_row(work))
    draft.set(Due.off_until, row, until)
    draft.set(Due.off_why, row, given["because"])
    if not draft.changes:
        raise ActRefused.at("until", due_sentences.put_off_already(iso(until)))
