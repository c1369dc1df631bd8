"""The life of boxes and animals in one table: what ends, what begins, and which stage a box is in then.

It has two parts. :data:`LIFE_OF_STAGES` says, stage by stage, which locks and which due work can
stand in it: whatever else stood in a box ends when the stage begins. :data:`LIFE` says what follows
from the acts, row by row. Acts, due work, locks and questions are all derived from these rows
(:mod:`rounds.acts.life` applies them); whoever keeps beetles can read and check them here.

The stages and what they forbid are common practice, no source: most flower beetles build no
second cell, and eggs fail when they are moved.
"""

from __future__ import annotations

from rounds.husbandry import lock_sentences
from rounds.husbandry.stages import STAGES
from rounds.named_tuple import NamedTuple


class LockOfLife(NamedTuple):
    """A lock that follows from what lives in a box.

    ``reason`` is how the books hold it, so that it is known again. One with other words, from an
    older notebook, is known by its shape: in a stage where this lock can stand it forbids only
    what this lock does, and ``at_least`` so many of them.
    """

    forbids: tuple[str, ...]
    reason: str
    at_least: int = 1


LOCKS = {
    "quarantine": LockOfLife(("move",), lock_sentences.QUARANTINE),
    "first-search": LockOfLife(("dig",), lock_sentences.LEFT_ALONE),
    "eggs": LockOfLife(("dig", "move"), lock_sentences.EGGS_LIE, at_least=2),
    "cell": LockOfLife(("dig", "open", "move", "wet"), lock_sentences.CELL_BUILT, at_least=2),
}
"""The locks that end by themselves. Any other was set by a keeper, who lifts it."""


PRACTICE = "common practice, no source"


class WorkOfLife(NamedTuple):
    """Due work that an act asks for: days after it by ``preset`` of the species file, else ``days``."""

    kind: str
    preset: str = ""
    days: tuple[int, int] = (0, 0)
    source: str = PRACTICE


class StageLife(NamedTuple):
    """A stage of a box.

    ``forbids`` (and why) holds by the stage's nature while somebody lives in the box. Only these
    ``locks`` of :data:`LOCKS` can stand in the stage, and only this due work: ``work`` follows from
    the stage by itself, what is in ``asked`` only where an act asked for it.
    """

    stage: str
    forbids: tuple[str, ...] = ()
    reason: str = ""
    locks: tuple[str, ...] = ()
    work: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()


LIFE_OF_STAGES = {
    row.stage: row
    for row in (
        StageLife("quarantine", locks=("quarantine",), work=("quarantine-end",)),
        StageLife("holding", asked=("left-over-eggs", "next-search")),
        StageLife("pairing", asked=("pairing-over", "left-over-eggs", "next-search")),
        StageLife(
            "laying",
            locks=("first-search",),
            work=("first-search", "next-search", "re-bed", "hatch"),
            asked=("left-over-eggs",),
        ),
        StageLife(
            "eggs",
            ("dig",),
            lock_sentences.EGGS_LIE,
            locks=("eggs",),
            work=("hatch",),
            asked=("next-search",),
        ),
        StageLife("larvae", locks=("cell",), work=("substrate", "weigh-in", "hatch", "wandering")),
        StageLife(
            "wandering",
            ("dig", "move"),
            lock_sentences.CHOOSING,
            locks=("cell",),
            work=("emergence",),
        ),
        StageLife(
            "cell",
            ("dig", "open", "move", "wet"),
            lock_sentences.BROKEN_CELL,
            locks=("cell",),
            work=("emergence",),
        ),
        StageLife(
            "resting", ("dig", "wet"), lock_sentences.LEAVES_BY_ITSELF, locks=("cell",), work=("emergence",)
        ),
        StageLife("colony", asked=("next-search", "left-over-eggs", "re-bed")),
        StageLife("prepared", work=("prepared",)),
        StageLife("empty"),
    )
}
"""Every stage. Work named in none of them belongs to no stage: see :data:`WHATEVER_THE_STAGE`."""

WHATEVER_THE_STAGE = (
    "leftovers",
    "mature",
    "planned-pairing",
    "loan-back",
    "lock-end",
    "vacant",
    "who-died",
    "who-is-missing",
    "which-pair",
    "labels",
    "own",
)
"""Due work that a change of stage does not end."""

ANY = ("any act",)
HERE, INTO, LEFT, APART, ANIMAL = "here", "into", "left", "apart", "animal"
OUT = ("emerged", "first-feed", "mature")
GONE = ("dead", "given-away", "lent", "went-back")
EVERY = ("everything",)


class Follows(NamedTuple):
    """One row: what follows from ``acts``.

    ``at`` is the box it concerns (the one the act is done at, that somebody came into, that
    somebody left, or where a pairing is apart), or the animal itself. ``stages`` are those the box is in before (none
    named: any), ``only_when`` a condition that :mod:`rounds.acts.life` looks up in the books.
    Work that the act ``does`` is done by it; work that it ``ends`` has no cause any more.
    ``stage`` is the one the box is in from then on ("" as before).
    """

    name: str
    acts: tuple[str, ...]
    at: str
    stages: tuple[str, ...] = ()
    only_when: str = ""
    ends_locks: tuple[str, ...] = ()
    does: tuple[str, ...] = ()
    ends: tuple[str, ...] = ()
    begins_lock: str = ""
    begins_work: WorkOfLife | None = None
    stage: str = ""


LIFE = (
    # Coming into the house.
    Follows(
        "newcomers stand apart",
        ("arrival", "loan-in"),
        INTO,
        begins_lock="quarantine",
        begins_work=WorkOfLife("quarantine-end"),
        stage="quarantine",
    ),
    Follows(
        "quarantine is over",
        ("quarantine-over",),
        HERE,
        ends_locks=("quarantine",),
        does=("quarantine-end",),
    ),
    # Pairing and laying.
    Follows(
        "put together",
        ("pair", "plan-made"),
        INTO,
        stages=tuple(s for s in STAGES if s not in ("laying", "colony")),
        begins_work=WorkOfLife("pairing-over", "together_days", (14, 21)),
        stage="pairing",
    ),
    Follows("apart again", ANY, APART, only_when="no pairing is open here", does=("pairing-over",)),
    Follows(
        "those of one sex stay behind",
        ANY,
        APART,
        stages=("pairing",),
        only_when="one sex is left, in no pairing",
        stage="holding",
    ),
    Follows("the male is free", ("parted", "male-out"), INTO, stages=("prepared", "empty"), stage="holding"),
    Follows(
        "she lays",
        ("to-laying",),
        INTO,
        begins_lock="first-search",
        begins_work=WorkOfLife("first-search", "first_search_days", (28, 28)),
        stage="laying",
    ),
    Follows(
        "she may have laid where she was",
        ("to-laying",),
        LEFT,
        stages=("pairing",),
        only_when="no pairing is open here",
        begins_work=WorkOfLife("left-over-eggs", days=(14, 28)),
    ),
    Follows(
        "she may have laid where she was left without a male",
        ("to-laying",),
        LEFT,
        stages=("holding",),
        only_when="she was paired here, and nobody searched it since",
        begins_work=WorkOfLife("left-over-eggs", days=(14, 28)),
    ),
    Follows(
        "searched",
        ("search",),
        HERE,
        only_when="nobody searched later",
        ends_locks=("first-search",),
        does=("first-search", "next-search", "left-over-eggs"),
    ),
    Follows(
        "to be searched again",
        ("search",),
        HERE,
        stages=("laying", "eggs", "colony", "pairing", "holding"),
        only_when="somebody may lay here, or eggs lie here, and nobody searched later",
        begins_work=WorkOfLife("next-search", "next_search_days", (14, 28)),
    ),
    Follows(
        "it was searched after the last that lays had left",
        ANY,
        LEFT,
        only_when="somebody searched later, and nobody lays here",
        ends=("next-search",),
    ),
    # Eggs and larvae.
    Follows(
        "eggs in a box that was free",
        ANY,
        INTO,
        stages=("prepared", "empty"),
        only_when="only eggs are here",
        stage="eggs",
    ),
    Follows(
        "larvae in a box that was free",
        ANY,
        INTO,
        stages=("prepared", "empty"),
        only_when="others than eggs are here",
        stage="larvae",
    ),
    Follows(
        "larvae among the eggs", ANY, INTO, stages=("eggs",), only_when="larvae are here", stage="larvae"
    ),
    Follows(
        "eggs counted as larvae",
        ("counted",),
        HERE,
        stages=("eggs",),
        only_when="larvae are here",
        stage="larvae",
    ),
    Follows(
        "all substrate changed",
        ("rebed", "substrate", "substrate-used"),
        INTO,
        does=("re-bed", "substrate"),
    ),
    Follows("weighed", ("weigh", "weigh-one"), HERE, does=("weigh-in",)),
    Follows(
        "protein is in",
        ("protein",),
        HERE,
        begins_work=WorkOfLife("leftovers", "leftovers_days", (2, 3), "from memory"),
    ),
    Follows(
        "leftovers are out",
        ("protein-out",),
        HERE,
        only_when="no protein is in it",
        does=("leftovers",),
    ),
    # From larva to adult.
    Follows("it wanders", ("wandering",), HERE, does=("wandering",), stage="wandering"),
    Follows("it wanders, and only a lock is set", ("wandering: lock",), HERE, begins_lock="cell"),
    Follows("it has its cell", ("cell",), HERE, does=("wandering",), stage="cell"),
    Follows("its cell is left alone until a day", ("cell: until",), HERE, begins_lock="cell"),
    Follows(
        "it rests in its cell",
        ("eclosed",),
        HERE,
        stages=("larvae", "wandering", "cell"),
        only_when="all here are grown",
        stage="resting",
    ),
    Follows("it has left its cell", OUT, ANIMAL, ends_locks=("cell",), does=("emergence", "wandering")),
    Follows(
        "all have left their cells",
        OUT,
        HERE,
        stages=("larvae", "wandering", "cell", "resting"),
        only_when="all here have left their cells",
        stage="holding",
    ),
    Follows(
        "adults in a box whose cells are empty",
        ANY,
        INTO,
        stages=("larvae", "wandering", "cell", "resting"),
        only_when="all here have left their cells",
        stage="holding",
    ),
    Follows(
        "adults stay where the last cell was",
        ANY,
        LEFT,
        stages=("larvae", "wandering", "cell", "resting"),
        only_when="all here have left their cells",
        stage="holding",
    ),
    Follows("it is ready to breed", ("mature",), ANIMAL, does=("mature",)),
    # What a look found, and whom it concerns.
    Follows("who died has to be said", ("dead-here",), HERE, begins_work=WorkOfLife("who-died", days=(0, 1))),
    Follows("it was said who died", ("dead", "dead-some"), LEFT, does=("who-died",)),
    Follows(
        "who is missing has to be said",
        ("missing-here",),
        HERE,
        begins_work=WorkOfLife("who-is-missing", days=(0, 1)),
    ),
    Follows("it was said who is missing", ("missing", "missing-some"), LEFT, does=("who-is-missing",)),
    Follows(
        "which pair has to be said",
        ("mated-here",),
        HERE,
        begins_work=WorkOfLife("which-pair", days=(0, 1)),
    ),
    Follows("it was said which pair", ("mating-seen",), HERE, does=("which-pair",)),
    # Leaving.
    Follows("it is gone", GONE, ANIMAL, ends_locks=EVERY, ends=EVERY),
    Follows(
        "the last one is out",
        ANY,
        LEFT,
        only_when="nobody is left",
        ends_locks=("quarantine", "cell"),
        ends=("quarantine-end", "hatch", "wandering", "emergence", "weigh-in", "substrate"),
    ),
    Follows(
        "what becomes of the box",
        ANY,
        LEFT,
        only_when="nobody is left, and what becomes of it was not said",
        begins_work=WorkOfLife("vacant", days=(0, 7)),
    ),
    Follows("it is lived in again", ANY, INTO, ends=("vacant",)),
    Follows("emptied", ("emptied: empty",), HERE, ends_locks=EVERY, ends=EVERY, stage="empty"),
    Follows("made ready", ("emptied: prepared",), HERE, ends_locks=EVERY, ends=EVERY, stage="prepared"),
)
"""Every row. An act that is named in none changes no stage and neither ends nor begins anything but itself."""


def needs_somebody() -> frozenset[str]:
    """Due work that has no cause in a box that everybody has left."""
    return frozenset(
        kind for row in LIFE if row.only_when == "nobody is left" and row.at == LEFT for kind in row.ends
    )
