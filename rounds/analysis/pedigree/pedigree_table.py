"""Who comes from whom: rows as recorded, and the pedigree that kinship can be computed from.

An animal is known by the text the keeper writes on its tub. A parent may be one animal, a
group (a brood or colony whose members are not told apart), or one of several possible
sires; a blank parent is unknown, which is never the same as unrelated.
"""

from __future__ import annotations

from collections.abc import Sequence

from rounds.analysis.pedigree.pedigree_sentences import and_more, not_in_pedigree
from rounds.named_tuple import NamedTuple
from rounds.problems import RoundsError

UNKNOWN = -1
"""The index that stands for a parent nobody recorded."""

SOMEONE = "?"
"""Among several possible sires: "or a male that is not recorded"."""

GROUP = "group"


class Life(NamedTuple):
    """Days (ordinals) in which an animal was laid and may have bred; None where nothing tells.

    ``mature_from`` is the first day on which it may have been mature, ``grown_by`` one by which it
    was grown for certain. ``outside`` says that it came from elsewhere, so that its unrecorded
    parents were not here; ``bred_here`` that they were.
    """

    laid_from: int | None = None
    laid_to: int | None = None
    mature_from: int | None = None
    alive_to: int | None = None
    grown_by: int | None = None
    outside: bool = False
    bred_here: bool = False

    def may_breed(self, since: int | None, until: int | None) -> bool:
        """May it have been mature and alive on some day from ``since`` to ``until``?"""
        grown = self.mature_from is None or until is None or self.mature_from <= until
        return grown and (self.alive_to is None or since is None or self.alive_to >= since)

    def grown_before(self, day: int | None) -> bool:
        """Was it grown by a day for certain?"""
        return self.grown_by is not None and day is not None and self.grown_by <= day


class PedigreeRow(NamedTuple):
    """One animal as recorded.

    ``sires`` is empty (unknown), one name, or several possible names of which
    :data:`SOMEONE` may be one. ``founder`` says the animal is known to be unrelated to its
    line's other founders (wild caught at another place, say). ``number`` is the line in the
    file it came from, 0 if none. ``life`` are its days, ``state`` whether it lives ("" where
    nobody says), ``doubt`` why it may be another animal than its label says.
    """

    animal: str
    sires: tuple[str, ...] = ()
    dam: str = ""
    sex: str = ""  # m, f, group, or empty for unknown
    line: str = ""
    founder: bool = False
    number: int = 0
    life: Life | None = None
    state: str = ""
    doubt: str = ""


class Pedigree(NamedTuple):
    """A checked pedigree of n animals, parents before their offspring.

    ``sire`` and ``dam`` hold indices or :data:`UNKNOWN`; for an animal in ``sires`` (several
    possible sires, :data:`UNKNOWN` among them for "someone else") ``sire`` is UNKNOWN.
    ``related`` holds declared kinships of founders, both indices sorted, ``(i, i)`` for a
    founder's kinship with itself. ``listed`` gives the animals in the order they were
    recorded, those only named as parents last. ``lives`` are the days of animals, where any
    are known; ``states`` says who is alive; ``doubts`` why an animal may not be the one its
    label says.
    """

    names: tuple[str, ...]
    sire: list[int]
    dam: list[int]
    sex: list[str]
    line: list[str]
    at: dict[str, int]
    listed: tuple[int, ...]
    founders: frozenset[int] = frozenset()
    sires: dict[int, tuple[int, ...]] = {}  # noqa: RUF012 - never written to; a NamedTuple field is not shared state
    related: dict[tuple[int, int], float] = {}  # noqa: RUF012
    lives: dict[int, Life] = {}  # noqa: RUF012
    states: dict[int, str] = {}  # noqa: RUF012
    doubts: dict[int, str] = {}  # noqa: RUF012

    def parents(self, i: int) -> tuple[int, ...]:
        """Every animal that is, or may be, a parent of ``i``; unknown ones left out."""
        both = (*self.sires.get(i, (self.sire[i],)), self.dam[i])
        return tuple(p for p in both if p >= 0)

    def find(self, name: str) -> int:
        """The index of an animal; raises :class:`NoSuchAnimal`."""
        return self.find_all([name])[0]

    def find_all(self, names: Sequence[str]) -> list[int]:
        """The indices of animals; raises :class:`NoSuchAnimal` naming every one that is missing."""
        missing = [name for name in dict.fromkeys(names) if name not in self.at]
        if missing:
            raise NoSuchAnimal(missing, self.names)
        return [self.at[name] for name in names]


class NoSuchAnimal(RoundsError):
    """Animals asked about that are not in the pedigree: a line each, with the nearest name."""

    def __init__(self, missing: Sequence[str], known: Sequence[str]) -> None:
        self.missing = tuple(missing)
        lines = [" ".join(not_in_pedigree(name, tuple(known))).strip() for name in missing[:20]]
        if len(missing) > 20:
            lines.append(and_more(len(missing) - 20))
        super().__init__("\n".join(lines))
