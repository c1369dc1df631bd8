"""Who an unrecorded parent may have been: nobody related, a founder's sib, or an animal of that line.

The assumption behind "at most". A parent that nobody recorded may be

- an animal related to nobody;
- a full sib of the line's founders, who are taken as offspring of full sibs;
- any animal of that line that was mature and alive when the egg was laid, as far as days are
  recorded (without days: any that is not a descendant). A male counts if he lived at any time
  in the dam's adult life, because females store sperm.

"That line" is the line of the animal or of its recorded parent; an animal without a line may be
of any. An animal with neither parent recorded is a founder from outside, for which only the first
two remain, unless the books show that it was bred here, or that animals of its line were grown for
certain before it was laid: then those may be its parents. An animal that may not be the one its
label says may be any of its line: both parents are open, whenever it was laid.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.analysis.pedigree.pedigree_table import UNKNOWN, Life, Pedigree
from rounds.named_tuple import NamedTuple

SPERM_STORED = 300
"""Days before an egg in which its sire may have died, where the dam's adult life is not known (estimate)."""


class Slots(NamedTuple):
    """The parents of one animal as choices: sires and dams by animal, and lines whose founders' sibs count.

    Empty ``lines`` mean that every parent is recorded, if only as one of several sires. ``founder``
    is an animal of whose parents neither is recorded and none can have been here.
    """

    sires: tuple[int, ...]
    dams: tuple[int, ...]
    sire_open: bool
    dam_open: bool
    lines: tuple[str, ...]
    founder: bool = False


class Alike(NamedTuple):
    """What makes two animals without offspring as related to all others: parents, line, sex, days of laying."""

    sires: tuple[int, ...]
    dam: int
    line: str
    sex: str
    laid: tuple[int | None, int | None]
    outside: bool
    bred_here: bool


def alike(p: Pedigree, i: int) -> Alike:
    """The same for animals that stand for each other, as long as they have no offspring and no doubt."""
    life = p.lives.get(i, Life())
    sires = p.sires.get(i, (p.sire[i],))
    laid = (life.laid_from, life.laid_to)
    outside = i in p.founders or life.outside
    return Alike(sires, p.dam[i], p.line[i], p.sex[i], laid, outside, life.bred_here)


def sire_is_open(p: Pedigree, i: int) -> bool:
    """May the sire of ``i`` be an animal that nobody recorded?"""
    return UNKNOWN in p.sires[i] if i in p.sires else p.sire[i] < 0


def is_open(p: Pedigree, i: int) -> bool:
    """Is a parent of ``i`` not recorded or in doubt, and ``i`` not declared a founder?"""
    if i in p.doubts:
        return True
    return i not in p.founders and (p.dam[i] < 0 or sire_is_open(p, i))


class Choices:
    """Possible parents, animals alike in all that matters represented by two of them.

    ``keep`` are animals that stand for themselves, whoever else is like them.
    """

    def __init__(self, p: Pedigree, keep: Iterable[int]) -> None:
        self.p = p
        parents = {x for i in range(len(p.names)) for x in p.parents(i)}
        self.alone = parents.union(keep, p.doubts)
        self.offspring: dict[int, list[int]] = {}
        for i in range(len(p.names)):
            certain = (UNKNOWN if i in p.sires else p.sire[i], p.dam[i])
            for x in certain:
                if x >= 0:
                    self.offspring.setdefault(x, []).append(i)
        self.lives: dict[int, Life] = {}
        self.of_line: dict[str, list[int]] = {}
        self._represent()
        self.known: dict[tuple[object, ...], tuple[int, ...]] = {}

    def _represent(self) -> None:
        p = self.p
        members: dict[Alike, list[int]] = {}
        for i in range(len(p.names)):
            if i in self.alone:
                self._offer(i, p.lives.get(i, Life()))
            else:
                members.setdefault(alike(p, i), []).append(i)
        for some in members.values():
            lives = [p.lives.get(i, Life()) for i in some]
            grown = [x.mature_from for x in lives if x.mature_from is not None]
            gone = [x.alive_to for x in lives if x.alive_to is not None]
            widest = lives[0]._replace(
                mature_from=min(grown) if len(grown) == len(lives) else None,
                alive_to=max(gone) if len(gone) == len(lives) else None,
            )
            for i in some[:2]:
                self._offer(i, widest)

    def _offer(self, i: int, life: Life) -> None:
        self.lives[i] = life
        self.of_line.setdefault(self.p.line[i], []).append(i)

    def slots(self, i: int) -> Slots:
        """The choices of both parents of ``i``."""
        p = self.p
        sires = tuple(s for s in dict.fromkeys(p.sires.get(i, (p.sire[i],))) if s >= 0)
        dams: tuple[int, ...] = (p.dam[i],) if p.dam[i] >= 0 else ()
        if not is_open(p, i):
            return Slots(sires, dams, sire_open=False, dam_open=False, lines=())
        lines = self._lines(i)
        sire_open, dam_open = sire_is_open(p, i) or i in p.doubts, p.dam[i] < 0 or i in p.doubts
        outside = not p.parents(i) and i not in p.doubts and p.lives.get(i, Life()).outside
        if not outside:
            below = self.descendants(i)
            if sire_open:
                sires += tuple(s for s in self._eligible(i, lines, "f") if s not in below and s not in sires)
            if dam_open:
                dams += tuple(d for d in self._eligible(i, lines, "m") if d not in below and d not in dams)
        return Slots(sires, dams, sire_open, dam_open, lines, founder=not (sires or dams))

    def _lines(self, i: int) -> tuple[str, ...]:
        """The lines an unrecorded parent may be of."""
        p = self.p
        own = dict.fromkeys((p.line[i], *(p.line[x] for x in p.parents(i))))
        return tuple(sorted(set(p.line))) if "" in own else tuple(own)

    def _eligible(self, i: int, lines: Sequence[str], not_sex: str) -> tuple[int, ...]:
        """Animals of these lines, mature and alive when ``i`` was laid, that are not of one sex."""
        p = self.p
        life = p.lives.get(i, Life()) if i not in p.doubts else Life()
        dam = p.lives.get(p.dam[i], Life()) if p.dam[i] >= 0 and i not in p.doubts else Life()
        since = life.laid_from
        if not_sex == "f":
            if dam.mature_from is not None:
                since = dam.mature_from
            elif since is not None:
                since -= SPERM_STORED
        surely = not p.parents(i) and i not in p.doubts and not life.bred_here
        key = (lines, not_sex, since, life.laid_to, surely)
        if key not in self.known:
            found = []
            for line in dict.fromkeys((*lines, "")):
                for x in self.of_line.get(line, ()):
                    theirs = self.lives[x]
                    if p.sex[x] == not_sex or not theirs.may_breed(since, life.laid_to):
                        continue
                    if not surely or theirs.grown_before(life.laid_to):
                        found.append(x)
            self.known[key] = tuple(found)
        return self.known[key]

    def descendants(self, i: int) -> set[int]:
        """``i`` and every certain descendant (through a possible sire it may be none)."""
        seen, waiting = {i}, [i]
        while waiting:
            for child in self.offspring.get(waiting.pop(), ()):
                if child not in seen:
                    seen.add(child)
                    waiting.append(child)
        return seen
