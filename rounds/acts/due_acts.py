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
from rounds.acts.life import kind_of_lock
from rounds.acts.moving_and_locks import ON, last_day
from rounds.due import work as due
from rounds.due.kinds import DUE_KINDS, DueWork
from rounds.due.nearby import near
from rounds.due.planned_pairings import AnotherF
from rounds.husbandry import lock_sentences
from rounds.husbandry.life_table import LIFE_OF_STAGES
from rounds.husbandry.species import Species
from rounds.problems import nearest
from rounds.records.label_doubts import LABELS
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import animal_name, code
from rounds.records.tables import Due, Enclosure, Lock
from rounds.text.cleaning import day_and_year
from rounds.values.spans import LAST, Span, told

DONE, OFF = "due-done", "due-off"
CONFIRM = "plan-confirm"
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
    "who-died": ("dead", "dead-some"),
    "who-is-missing": ("missing", "missing-some"),
    "which-pair": ("mating-seen",),
    "loan-back": ("came-back", "went-back"),
    LABELS: ("labels-settled",),
}
"""The acts by one of which each kind of work is recorded with all that follows from it."""

TOLD_OF = {"re-bed": (("part", "all"),), "substrate": (("part", "two thirds"),)}
"""What the act that does a kind of work is told already, for the work says so itself."""

_WORK = Field("work", "text", "which work, in its words or its key (needed where several are due)")


def open_at(
    ledger: Ledger,
    presets: Mapping[str, Species],
    enclosure: int,
    day: int,
    another: Mapping[int, AnotherF] | None = None,
) -> list[DueWork]:
    """Everything at one enclosure that is not done, however far ahead, the soonest to end first.

    ``another`` are plans whose F is another by now.
    """
    return due.at(due.works(near(ledger, {enclosure}), presets, day, another), enclosure, LAST)


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
            name = f"{words} ({animal_name(ledger, work.animal) if work.animal is not None else told(work.window)})"
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
        doubts.append(("work", due_sentences.only_ticked_off(name, own)))
    if work.withheld:
        doubts.append(("work", due_sentences.withheld(work.withheld)))
    if day < work.window.earliest:
        doubts.append(("on", due_sentences.before_it_was_due(day_and_year(day), told(work.window))))
    row = work.row if work.row is not None else draft.add(due.as_row(work))
    draft.set(Due.done, row, day)
    if work.kind == "lock-end":
        _lift(draft, work, day)
    if any(
        w.key == work.key for w in open_at(draft.ledger, given.settings.species, given.subject, given.today)
    ):
        # What it follows from came after that day: the row would be of something before it.
        raise ActRefused.at(
            "on", due_sentences.before_what_it_follows_from(day_and_year(day), told(work.window), work.why)
        )
    ask(given, doubts)


def _lift(draft: Draft, work: DueWork, day: int) -> None:
    """The locks that end by this work are lifted on the day of it, so that they hold no more."""
    on = Lock.animal.is_(work.animal) if work.animal is not None else Lock.enclosure.is_(work.enclosure)
    for lock in list(draft.ledger.rows(Lock, on, Lock.lifted.is_(None))):
        if lock.until is not None and lock.until[:2] == work.window[:2]:
            draft.set(Lock.lifted, lock.id, day)


def waiting(act: str, works: Iterable[DueWork], day: int, *, likely_cell: bool) -> tuple[str, ...]:
    """Why the work that an act does has to wait at an enclosure with these works by a day; nothing when it may be done."""
    why = [w.withheld for w in works if w.withheld and act in OWN_ACT.get(w.kind, ()) and w.begins() <= day]
    if likely_cell and any(act in acts and "dig" in DUE_KINDS[kind].needs for kind, acts in OWN_ACT.items()):
        why.append(lock_sentences.MAY_BE_IN_CELL)
    return tuple(dict.fromkeys(why))


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
        raise ActRefused.at("until", due_sentences.not_to_come(day_and_year(until)))
    if until >= LAST:
        raise ActRefused.at("until", due_sentences.for_ever(day_and_year(until)))
    _, work = _chosen(draft, given)
    row = work.row if work.row is not None else draft.add(due.as_row(work))
    draft.set(Due.off_until, row, until)
    draft.set(Due.off_why, row, given["because"])
    if not draft.changes:
        raise ActRefused.at("until", due_sentences.put_off_already(day_and_year(until)))


SEARCHES = ("first-search", "next-search")


@act(
    "search-sooner",
    "next search brought forward",
    Field("to", "day", "to which day (a day, or +1 for tomorrow)", default="+1"),
    Field("because", "text", "why", required=True),
    on="enclosure",
    about="The next search here is made earlier; from that day on its eggs need not be left alone any longer.",
    stages=("laying",),
)
def search_sooner(draft: Draft, given: ActInput) -> None:
    box, day, why = given.subject, given["to"], given["because"]
    if day < given.today:
        raise ActRefused.at("to", due_sentences.day_over(day_and_year(day)))
    stage = draft.ledger.row(Enclosure, box).stage
    if not {*LIFE_OF_STAGES[stage].work, *LIFE_OF_STAGES[stage].asked} & {*SEARCHES}:
        raise ActRefused.at("enclosure", due_sentences.not_searched(code(draft.ledger, box), stage))
    searches = [
        w for w in open_at(draft.ledger, given.settings.species, box, given.today) if w.kind in SEARCHES
    ]
    if not searches:  # the species file does not say when, but a keeper can
        draft.add(
            Due(
                enclosure=box,
                what=DUE_KINDS["next-search"].what,
                earliest=day,
                likely=day,
                latest=day,
                why=why,
            )
        )
    else:
        work = searches[0]
        if work.planned(given.today) <= day:
            raise ActRefused.at(
                "to", due_sentences.planned_by_then(work.what, day_and_year(work.planned(given.today)))
            )
        row = work.row if work.row is not None else draft.add(due.as_row(work))
        for column in (Due.earliest, Due.likely, Due.latest):
            draft.set(column, row, day)
        draft.set(Due.words, row, "")
        draft.set(Due.why, row, due_sentences.brought_forward(work.why, told(work.window), why))
        draft.set(Due.off_until, row, None)
        draft.set(Due.off_why, row, "")
    for lock in list(draft.ledger.rows(Lock, Lock.enclosure.is_(box), Lock.lifted.is_(None))):
        over = lock.until is not None and lock.until.latest < day
        if over or kind_of_lock(lock, stage) != "first-search":
            continue  # a keeper's own lock stays
        if day == given.today:
            draft.set(Lock.lifted, lock.id, day)
        else:
            draft.set(Lock.until, lock.id, Span(day - 1, day - 1))
