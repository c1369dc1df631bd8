"""Sib trials in the books: which are running, who is in them, and what they keep from view.

While a trial runs, nobody who walks is told which arm a brood is in, what its pairing was
made for, or its F. Who is in a box is never kept from anybody, and the keeper may know the
parents, so a trial kept this way is not fully blinded.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress

from rounds.acts import fields, trial_sentences
from rounds.acts.act import Recorded
from rounds.acts.act_checks import ActWarning
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Add, Change, Ledger, Set
from rounds.records.naming import animal_name
from rounds.records.parentage import males_of, origins
from rounds.records.tables import TABLES, Brood, Content, Pairing, PlannedPairing, Trial, TrialFemale
from rounds.values.spans import iso

ENDPOINTS = ("hatched", "L2", "L3", "cell", "adult")
"""How far an animal must come to count as survived; what follows is further."""

ARM_NAMES = {"sibs": "sib", "cross": "outcross"}
"""The arms' words in the books, and what a table of counts calls them. The second is compared with."""

ENDPOINT, LAST_DAY = "endpoint", "last day"
"""What of a trial may be changed after it began, as its note calls it."""

CHANGED, LOOKED = "changed on ", "looked at early on "
"""How parts of a trial's note begin that acts write there: what was changed after it began, who looked when."""

HIDDEN = "not shown while its trial runs"
"""What stands in the place of an arm, a purpose or an F."""


class Seat(NamedTuple):
    """A female's row in a trial, with the trial's."""

    id: int
    row: TrialFemale
    trial: int
    about: Trial


def written(trial: Trial) -> list[str]:
    """What acts wrote into a trial's note, the oldest first; whatever semicolons a reason has stay in it."""
    parts = re.split(f"; (?={re.escape(CHANGED)}|{re.escape(LOOKED)})", str(trial.note))
    return [part for part in parts if part.startswith((CHANGED, LOOKED))]


class Changed(NamedTuple):
    """What a trial had fixed and a keeper changed since: what it was at first, and the last day of a change (ISO)."""

    before: str
    day: str


def changed(trial: Trial, what: str) -> Changed | None:
    """Was ``what`` (:data:`ENDPOINT` or :data:`LAST_DAY`) changed after the trial began? None where it stands as fixed."""
    form = re.compile(rf"{re.escape(CHANGED)}(\S+)(?: by .*?)?: {what} (.+?) -> ")
    found = [match for part in written(trial) if (match := form.match(part))]
    return Changed(found[0][2], found[-1][1].rstrip(":")) if found else None


def running(ledger: Ledger) -> dict[int, Trial]:
    """Trials that are not closed, by row id."""
    return {trial.id: trial for trial in ledger.rows(Trial, Trial.closed.is_(None))}


def seat(ledger: Ledger, female: int) -> Seat | None:
    """Where a female sits in a running trial from which she has not dropped out, or None."""
    return next((s for s in _seats(ledger) if s.row.female == female and s.row.out is None), None)


def males(ledger: Ledger) -> dict[int, str]:
    """Males drawn for females that are still in a running trial, with the trial's name."""
    return {s.row.male: s.about.name for s in _seats(ledger) if s.row.out is None and s.row.male is not None}


def hidden(ledger: Ledger, pairing: int) -> bool:
    """Is a pairing of a running trial, or was it before it dropped out? Its arm, purpose and F are not shown then."""
    sits = _seats(ledger)
    if not sits:
        return False
    female = ledger.row(Pairing, pairing).female
    return any(
        s.row.pairing == pairing or (s.row.female == female and s.row.male in males_of(ledger, pairing))
        for s in sits
    )


def hidden_pair(ledger: Ledger, female: int | None, male: int | None) -> bool:
    """Were these two drawn for each other in a running trial? What is planned for them is not told then."""
    return any(s.row.female == female and s.row.male == male for s in _seats(ledger))


def purpose(ledger: Ledger, pairing: int) -> str:
    """What a pairing was made for, or :data:`HIDDEN`."""
    return HIDDEN if hidden(ledger, pairing) else str(ledger.row(Pairing, pairing).purpose)


def change(day: int) -> str:
    """How the note of a change begins (see :func:`written`)."""
    return f"{CHANGED}{iso(day)}"


def look(day: int) -> str:
    """How the note of an early look begins (see :func:`written`)."""
    return f"{LOOKED}{iso(day)}"


def other_than_drawn(ledger: Ledger, drawn: Seat, males: Iterable[int]) -> list[ActWarning]:
    """What is odd about pairing a female of a trial with these males; says nothing of her arm."""
    if drawn.row.pairing is not None:
        earlier = ledger.row(Pairing, drawn.row.pairing).name
        hers = animal_name(ledger, drawn.row.female)
        return [("female", trial_sentences.had_her_pairing(hers, drawn.about.name, earlier))]
    if list(males) == [drawn.row.male]:
        return []
    hers = animal_name(ledger, drawn.row.female)
    his = animal_name(ledger, drawn.row.male) if drawn.row.male is not None else ""
    return [("males", trial_sentences.drawn_for_another(hers, his, drawn.about.name))]


def second_male(ledger: Ledger, pairing: int) -> list[ActWarning]:
    """What is odd about one more male in a pairing of a running trial; nothing for another pairing."""
    name = next((s.about.name for s in _seats(ledger) if s.row.pairing == pairing), None)
    if name is None:
        return []
    return [("male", trial_sentences.another_male_in_a_trial(name))]


def at(ledger: Ledger, enclosure: int) -> list[tuple[str, str]]:
    """What may be said at a box of a running trial: its name, and its animals that are in the box.

    ``[("TR-01", "TALLOW/11, TALLOW/21")]``. The young of a trial's pairing are told by their brood's name.
    """
    here = list(ledger.rows(Content, Content.enclosure.is_(enclosure), Content.until.is_(None)))
    adults = {content.animal for content in here if content.animal is not None}
    broods = {content.brood for content in here if content.brood is not None}
    found: dict[str, dict[str, None]] = {}
    for s in _seats(ledger):
        names = [animal_name(ledger, a) for a in (s.row.female, s.row.male) if a in adults]
        if s.row.pairing is not None and broods:
            names += [
                str(ledger.row(Brood, b).name)
                for b in sorted(broods)
                if _root_pairing(ledger, b) == s.row.pairing
            ]
        if names:
            found.setdefault(str(s.about.name), {}).update(dict.fromkeys(names))
    return [(name, ", ".join(whom)) for name, whom in found.items()]


def _root_pairing(ledger: Ledger, brood: int) -> int | None:
    """The pairing a brood, or the one it was split from, came of."""
    return next((b.pairing for b in origins(ledger, brood) if b.pairing is not None), None)


def _seats(ledger: Ledger) -> list[Seat]:
    open_ = running(ledger)
    if not open_:
        return []
    return [
        Seat(drawn.id, drawn, drawn.trial, open_[drawn.trial])
        for drawn in ledger.rows(TrialFemale)
        if drawn.trial in open_
    ]


# Acts as they may be shown

DRAWN = ("sibs", "sib_males", "cross", "cross_males", "places", "seed")
"""Fields of ``trial-open`` that tell the arms."""

_TELLS = frozenset({"purpose", "why", "because", "arm", "seed"})
"""Columns, and fields of acts on a pair, that tell an arm."""


def masked(act: Recorded, ledger: Ledger) -> Recorded:
    """An act as it may be shown: what tells an arm of a running trial is left out of it.

    For every listing of acts: histories, what an act changed, what was found in acts. The
    book itself, and the tables written from it, hold everything.
    """
    if not running(ledger):
        return act
    given = told(act.name, act.table, act.subject, act.given, ledger)
    secret = any(_tells(ledger, c) for c in act.changes)
    if given is act.given and not secret:
        return act
    changes = tuple(_blank(ledger, c) for c in act.changes if not _only(ledger, c))
    return act._replace(given=given, changes=changes)


def told(
    name: str, table: str, subject: int | None, given: Mapping[str, str], ledger: Ledger
) -> Mapping[str, str]:
    """What was typed for an act, as it may be shown; the very same when nothing of it tells an arm."""
    if not running(ledger):
        return given
    secret = {k for k in given if k in DRAWN} if name == "trial-open" else set()
    if name != "trial-open" and _TELLS & given.keys():
        whom = set() if table != "animal" or subject is None else {subject}
        for field in ("female", "males", "with"):
            whom |= _meant(ledger, given.get(field, ""))
        sits = _seats(ledger)
        if any(s.row.female in whom and s.row.male in whom for s in sits):
            secret = {*given} & _TELLS
    if not secret:
        return given
    return {**{k: v for k, v in given.items() if k not in secret}, "arms": HIDDEN}


def _meant(ledger: Ledger, typed: str) -> set[int]:
    out = set()
    for part in filter(None, (p.strip() for p in typed.split(","))):
        with suppress(ValueError):  # no animal of the books has that name now: then it is in no trial
            out.add(fields.ref("animal", part, ledger))
    return out


def _tells(ledger: Ledger, change: Change) -> bool:
    table, id_ = change.table, change.id
    if table == Trial.table:
        return ledger.row(Trial, id_).closed is None
    if table == TrialFemale.table:
        return ledger.row(TrialFemale, id_).trial in running(ledger)
    if table == Pairing.table:
        return hidden(ledger, id_)
    if table != PlannedPairing.table:
        return False
    planned = ledger.row(PlannedPairing, id_)
    return hidden_pair(ledger, planned.female, planned.male)


def _only(ledger: Ledger, change: Change) -> bool:
    """A change of nothing but what is not shown."""
    return isinstance(change, Set) and change.column in _TELLS and _tells(ledger, change)


def _blank(ledger: Ledger, change: Change) -> Change:
    if not isinstance(change, Add) or not _tells(ledger, change):
        return change
    usual: Mapping[str, object] = {c.name: c.default for c in TABLES[change.table].columns}
    kept = {k: (usual.get(k) if k in _TELLS else v) for k, v in change.values.items()}
    return change._replace(values=kept)
