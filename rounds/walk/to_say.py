"""What a look left to be said, as rows of the walk: who was found dead, when it was last seen alive.

The reading is saved by then; each row is a question about it whose answer is an act. Left
unanswered, who it was stays due at the box, and the row is there again at the next look.
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts.act import Recorded
from rounds.acts.offered_subjects import animal
from rounds.husbandry.readings import Choice, ReadingKind
from rounds.husbandry.stages import Depth
from rounds.records.ledger import Add, Change, Set
from rounds.records.tables import Animal, Fewer
from rounds.walk import walk_sentences
from rounds.walk.act_queries import ActDesk
from rounds.walk.machine.questions import TO_SAY, Ask
from rounds.walk.machine.state import ToldByRow

ACT_OF = {"who-died": "dead", "who-is-missing": "missing", "which-pair": "mating-seen"}
"""The act by which each kind of such work is said."""
STATES = {"who-died": "dead-here", "who-is-missing": "missing-here", "which-pair": "mated-here"}
"""The act that a reading stated, which left it to be said."""
SEEN = "seen"
LEFT_HERE = {"dead": "dead-here", "missing": "missing-here"}
MOST = 9


def rows(acts: ActDesk, enclosure: int, act: bytes | None) -> Iterator[tuple[str, Ask]]:
    """Each row with the act of the reading that it stands below.

    ``act`` is the one recorded last here, by a reading or by such a row: of one that died or
    is missing it is asked when it was last seen alive.
    """
    kinds = dict.fromkeys(w.kind for w in acts.works(enclosure) if w.kind in ACT_OF and w.done is None)
    for kind in kinds:
        choices = _choices(acts, enclosure, kind)
        if choices:
            yield STATES[kind], _row(kind, walk_sentences.TO_SAY_TITLES[kind], choices)
    recorded = _recorded(acts, act)
    if recorded is not None and (below := _left(recorded)) is not None:
        field = acts.card(enclosure, below.removesuffix("-here"), "", ()).field(SEEN)
        days = field.answers[:MOST] if field is not None else ()
        yield below, _row(SEEN, walk_sentences.TO_SAY_TITLES[SEEN], [(d.typed, d.shown) for d in days])


def told(acts: ActDesk, row: str, choice: str, act: bytes | None, box: str) -> ToldByRow | None:
    """What the answer of a row tells which act; ``box`` is the enclosure's code. None when it is not asked."""
    kind = row.removeprefix(TO_SAY)
    if kind == "which-pair":
        return ToldByRow(ACT_OF[kind], box, (("pairing", choice),))
    if kind in ACT_OF:
        return ToldByRow(ACT_OF[kind], choice)
    recorded = _recorded(acts, act)
    if recorded is None:
        return None
    seen = (SEEN, choice)
    if recorded.name in LEFT_HERE:
        whom = animal(acts.ledger, recorded.subject or 0)[0]
        given = tuple(a for a in recorded.given.items() if a[0] != SEEN)
        return ToldByRow(recorded.name, whom, (*given, seen), instead=recorded.uid)
    return ToldByRow(recorded.name, box, (seen,), by_reading=True)


def _choices(acts: ActDesk, enclosure: int, kind: str) -> list[tuple[str, str]]:
    if kind == "which-pair":
        field = acts.card(enclosure, ACT_OF[kind], "", ()).field("pairing")
        return [(a.typed, a.shown) for a in field.answers[:MOST]] if field is not None else []
    offer = next((o for o in acts.offers(enclosure) if o.act == ACT_OF[kind]), None)
    return list(offer.whom[:MOST]) if offer is not None else []


def _row(id_: str, title: str, choices: list[tuple[str, str]]) -> Ask:
    answers = tuple(Choice(typed, shown, str(i)) for i, (typed, shown) in enumerate(choices, 1))
    about = walk_sentences.TO_SAY_ABOUT[id_]
    return Ask(ReadingKind(f"{TO_SAY}{id_}", title, "choice", choices=answers, about=about), Depth.WALL)


def _recorded(acts: ActDesk, act: bytes | None) -> Recorded | None:
    if act is None:
        return None
    return next((a for a in reversed(acts.books.recorded) if a.uid == act and not a.undone), None)


def _left(act: Recorded) -> str | None:
    """The stating act below whose reading it is asked when somebody was last seen; None where it is not."""
    if SEEN in act.given:
        return None
    if act.name in LEFT_HERE:
        return LEFT_HERE[act.name]
    gone = act.name in LEFT_HERE.values() and any(map(_leaves, act.changes))
    return act.name if gone else None


def _leaves(change: Change) -> bool:
    """Did somebody leave by it? (Else it has yet to be said who.)"""
    if isinstance(change, Add):
        return change.table == Fewer.table
    return isinstance(change, Set) and (change.table, change.column) == (Animal.table, Animal.state.name)
