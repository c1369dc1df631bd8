"""What became of the young of a season's broods, stage by stage, with bounds that hold whatever nobody saw.

Every brood is followed by itself: those that were found beyond a count of "at least" in one brood
never stand in for those that are missing from another. An animal stands at the stage it was last
seen at; whether it went on from there unseen is not known, and is counted both ways.
"""

from __future__ import annotations

from collections.abc import Iterable

from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.parentage import first_brood
from rounds.records.tables import Animal, Brood, Content, Fewer

EGGS, UNSTATED, CELL, GROWN = "eggs", "instar not noted", "cell", "grown"
STAGES = (EGGS, UNSTATED, "L1", "L2", "L3", CELL, GROWN)
"""Stages in order. Larvae whose instar nobody noted may have been at any: they stand before the first."""
ALWAYS = ("eggs", "L1", "L2", "L3")
"""Stages that are told of even where nothing happened."""

DEAD, MISSING, GIVEN, HERE, UNFOLLOWED = "dead", "missing", "given away", "here", "unfollowed"
"""Fates. ``unfollowed``: counted again as another brood, or numbered and nobody wrote down as what animal."""
_OF_STATE = {"dead": DEAD, "missing": MISSING, "gone": GIVEN, "alive": HERE}


class Count(NamedTuple):
    """A number that was counted: there may be more (``at_least``) or fewer (``at_most``), or either."""

    n: int = 0
    at_least: bool = False
    at_most: bool = False

    def plus(self, n: int, *, at_least: bool = False, at_most: bool = False) -> Count:
        return Count(self.n + n, self.at_least or at_least, self.at_most or at_most)


class Fate(NamedTuple):
    """What became of some young, and the stage they were last seen at."""

    stage: str
    fate: str
    n: int
    at_least: bool = False
    numbered: bool = False


class Family(NamedTuple):
    """The young of one brood, those it was split into among them."""

    stage: str
    found: int
    at_least: bool
    fates: tuple[Fate, ...]

    @property
    def counted(self) -> int:
        """How many are known of: those that were found, or more where more were seen later."""
        return max(self.found, sum(fate.n for fate in self.fates))

    @property
    def unexplained(self) -> Count:
        """Of those counted, those in no group and in no loss: where a group is "at least", some may be in it."""
        left = self.counted - sum(fate.n for fate in self.fates)
        in_groups = any(fate.at_least for fate in self.fates)
        return Count(left, at_most=bool(left) and in_groups)

    def seen(self, stage: str, *fates: str) -> int:
        """How many were last seen at this stage and had one of these fates."""
        return sum(one.n for one in self.fates if one.stage == stage and one.fate in fates)


class Loss(NamedTuple):
    """What became of those who came to one stage, of the young that were counted.

    ``of`` were found at the stage or seen at it or later; ``perhaps`` more may have come to it
    unseen. ``dead`` were found dead at it, ``missing`` never found again, ``given`` left the
    house. ``perhaps_lost`` is the most that may have been lost at it unseen, beside ``missing``:
    ``perhaps_lost_of`` of them are not among ``of``.
    """

    stage: str
    of: Count
    perhaps: int
    dead: int
    missing: int
    given: int
    perhaps_lost: int
    perhaps_lost_of: int

    @property
    def lost_at_least(self) -> float | None:
        """The smallest share that may have been lost of those who came to it; None where nobody did."""
        most = self.of.n + self.perhaps
        return self.dead / most if most else None

    @property
    def lost_at_most(self) -> float | None:
        """The largest share that may have been lost of those who came to it."""
        came = self.of.n + self.perhaps_lost_of
        return (self.dead + self.missing + self.perhaps_lost) / came if came else None


def families(ledger: Ledger, broods: Iterable[Brood]) -> list[Family]:
    """The young of these broods (those that were first counted, not those that were split off)."""
    roots = {brood.id: brood for brood in broods}
    root_of = {b.id: b.id if b.id in roots else first_brood(ledger, b.id).id for b in ledger.rows(Brood)}
    fates: dict[int, list[Fate]] = {root: [] for root in roots}
    last_instar = {c.animal: c.instar for c in ledger.rows(Content) if c.animal is not None}
    for animal in ledger.rows(Animal):
        if (root := root_of.get(animal.brood or 0)) in fates:
            fates[root].append(_of_animal(animal, last_instar.get(animal.id, "")))
    numbered = {a.id for a in ledger.rows(Animal) if root_of.get(a.brood or 0) in fates}
    for fewer in ledger.rows(Fewer):
        root = root_of.get(fewer.brood or 0)
        if root in fates and not (fewer.how == "numbered" and fewer.animal in numbered):
            fate = fewer.how if fewer.how in (DEAD, MISSING, GIVEN) else UNFOLLOWED
            fates[root].append(
                Fate(stage_of(fewer.instar), fate, fewer.total, numbered=fewer.how == "numbered")
            )
    for group in ledger.rows(Content, Content.animal.is_(None), Content.until.is_(None)):
        if (root := root_of.get(group.brood or 0)) in fates and group.total:
            fates[root].append(Fate(stage_of(group.instar), HERE, group.total, group.at_least))
    return [
        Family(found_at(brood), brood.total, brood.at_least, tuple(fates[root]))
        for root, brood in roots.items()
    ]


def found_at(brood: Brood) -> str:
    """The stage a brood was first counted at."""
    return brood.instar if brood.instar in STAGES else UNSTATED


def stage_of(instar: str) -> str:
    """The stage of a group; a group without an instar is grown."""
    return (instar if instar in STAGES else UNSTATED) if instar else GROWN


def _of_animal(animal: Animal, instar: str) -> Fate:
    """What became of a young animal that got a number of its own; once grown it is a beetle's life."""
    if animal.grown:
        return Fate(GROWN, HERE, 1, numbered=True)
    in_cell = animal.cell is not None or animal.wandering is not None
    stage = CELL if in_cell else (instar if instar in STAGES else UNSTATED)
    return Fate(stage, _OF_STATE[animal.state], 1, numbered=True)


def losses(young: Iterable[Family]) -> tuple[Loss, ...]:
    """Losses stage by stage; beside eggs and instars, only stages at which young were lost or given away."""
    young = tuple(young)
    found = (_at_stage(young, stage) for stage in STAGES)
    return tuple(loss for loss in found if loss.stage in ALWAYS or loss.dead or loss.missing or loss.given)


def _at_stage(young: tuple[Family, ...], stage: str) -> Loss:
    here = STAGES.index(stage)
    of, perhaps, perhaps_lost, perhaps_lost_of = Count(), 0, 0, 0
    for family in young:
        started = STAGES.index(family.stage)
        unseen = family.seen(stage, UNFOLLOWED) + (family.seen(stage, HERE) if stage == EGGS else 0)
        if started == here:
            of = of.plus(family.counted, at_least=family.at_least)
            perhaps_lost += family.unexplained.n + unseen
        elif started < here:
            came = sum(fate.n for fate in family.fates if STAGES.index(fate.stage) >= here)
            open_count = family.at_least or any(fate.at_least for fate in family.fates)
            of = of.plus(came, at_least=open_count)
            went_on, vanished = _earlier(family, here)
            perhaps += went_on
            perhaps_lost += vanished + unseen
            perhaps_lost_of += vanished
        elif stage == UNSTATED:  # found at a stage that was noted, and at the end nobody noted it
            of = of.plus(sum(fate.n for fate in family.fates if fate.stage == UNSTATED))
            perhaps_lost += unseen
    dead, missing, given = (sum(f.seen(stage, fate) for f in young) for fate in (DEAD, MISSING, GIVEN))
    return Loss(stage, of, perhaps, dead, missing, given, perhaps_lost, perhaps_lost_of)


def _earlier(family: Family, here: int) -> tuple[int, int]:
    """Those last seen before a stage: how many may have come to it unseen, how many may have been lost at it."""
    went_on = vanished = family.unexplained.n
    for fate in family.fates:
        ended_there = fate.fate == GIVEN or (fate.fate == DEAD and fate.stage != UNSTATED)
        if STAGES.index(fate.stage) >= here or ended_there:
            continue
        went_on += fate.n
        eggs_unseen = fate.stage == EGGS and fate.fate == HERE
        if eggs_unseen or fate.fate in (MISSING, UNFOLLOWED, DEAD):
            vanished += fate.n
    return went_on, vanished


def hatch(young: Iterable[Family]) -> tuple[Count, Count]:
    """Of the eggs that were counted: those later seen as anything older, and those nobody saw again."""
    hatched, unknown = Count(), Count()
    for family in young:
        if family.stage != EGGS:
            continue
        older = [fate for fate in family.fates if fate.stage != EGGS]
        seen = sum(fate.n for fate in older)
        more = any(fate.at_least for fate in older)
        left = family.counted - seen - family.seen(EGGS, DEAD)
        hatched = hatched.plus(seen, at_least=more)
        unknown = unknown.plus(left, at_least=family.at_least, at_most=more and bool(left))
    return hatched, unknown


def in_groups(young: Iterable[Family]) -> Count:
    """Those still in a group, as they were last counted."""
    found = Count()
    for fate in (fate for family in young for fate in family.fates):
        if fate.fate == HERE and not fate.numbered:
            found = found.plus(fate.n, at_least=fate.at_least)
    return found


def unexplained(young: Iterable[Family]) -> Count:
    """Those found, and in no group, in no loss, and under no number."""
    found = Count()
    for family in young:
        found = found.plus(family.unexplained.n, at_most=family.unexplained.at_most)
    return found
