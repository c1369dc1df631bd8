"""Young from the egg to the beetle: which tub they are in, when they move on, who is lost on the way.

Tubs are few. Who finds none, or has to make room for what stands there in the last weeks,
is given to a neighbour.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from demo_data.adults import HOLDING, NEIGHBOURS, kin, lifespan
from demo_data.chance import Chance
from demo_data.house import A_YEAR_BEFORE
from demo_data.params import DICRONORHINA, LINES, ROOM, SEED, SHELF, SURVIVAL, T0
from demo_data.register import BY_PLACE, TURN, Register, Stay, day

TRIAL_FROM = day("2025-07-10")
TRAYS = ("B1-1", "B1-2", "B1-3", "B1-4", "C1-1", "C1-2", "C1-3", "C1-4", "B4-2", "B4-3", "B4-4", "D1-1")
"""Trays of the trial's families in the order of their pairs."""

ROLES = {
    "eggs": ("B4-2", "B4-3", "B4-4", "C1-1"),
    "young": ("B1-1", "B1-2", "B1-3", "B1-4", "C1-2", "C1-3", "C1-4", "D1-1", "D1-2"),
    "late": (
        "C2-1",
        "C2-2",
        "C2-3",
        "C2-4",
        "C3-1",
        "C3-2",
        "C3-3",
        "C3-4",
        "C4-1",
        "C4-2",
        "C4-3",
        "C4-4",
        "D1-3",
        "D1-4",
    ),
    "cell": ("A3-4", "D2-1", "D2-2", "D2-3", "D2-4", "D3-1"),
    "resting": ("A4-1", "A4-2", "A4-3", "A4-4"),
}
SCRIPTED = {"A3-4": day("2025-08-20"), "C4-1": day("2025-11-20"), "C4-2": day("2025-11-20")}
"""From when a tub is wanted for a scripted turn of the year."""

Event = Callable[[int], None]


@dataclass
class Diary:
    """What is still to happen, by day; :meth:`run` lets it happen in order."""

    waiting: list[tuple[int, int, Event]] = field(default_factory=list)
    n: int = 0

    def at(self, on: int, event: Event) -> None:
        self.n += 1
        self.waiting.append((on, self.n, event))

    def run(self, until: int) -> None:
        while due := sorted(w for w in self.waiting if w[0] <= until):
            self.waiting.remove(due[0])
            due[0][2](due[0][0])


class Nursery:
    def __init__(self, r: Register, diary: Diary) -> None:
        self.r, self.diary = r, diary
        self.chance = Chance(SEED, "nursery")
        self.taken: dict[str, int] = {}  # until which day (far ahead while nobody knows)
        self.next_number: dict[str, int] = {}

    def reserved(self, place: str, on: int) -> int:
        """The day a tub must be free again."""
        if place in TRAYS and on < TRIAL_FROM:
            return TRIAL_FROM
        if place in SCRIPTED and on <= SCRIPTED[place] + 1:
            return SCRIPTED[place]
        next_ = A_YEAR_BEFORE.get(place, BY_PLACE[place])
        return max(min(TURN, day(next_.since) - 1), on)

    def seat(self, role: str, on: int, least: int = 25) -> str | None:
        for place in ROLES[role]:
            if place in TRAYS and TRIAL_FROM <= on < TURN:
                continue
            if self.taken.get(place, 0) <= on and self.reserved(place, on) >= on + least:
                return place
        return None

    def days(self, line: str, place: str, step: str) -> int:
        """Days a step takes at the mean warmth of the shelf, a little more or less."""
        species = LINES[line][0]
        k = {
            "eggs": species.egg,
            "L1": species.l1,
            "L2": species.l2,
            "L3": sum(species.l3) / 2,
            "wandering": species.wander / 2,
            "cell": species.wander / 2 + species.pupa,
        }[step]
        warmth = ROOM + SHELF[int(place[1]) - 1] - T0
        return round(k / warmth * (1 + 0.12 * self.chance.normal()))

    def come(
        self, place: str, line: str, n: int, on: int, instar: str, brood: str, done: float = 0.0
    ) -> Stay:
        """A group is put into a tub; ``done`` is the share of its present step that is over."""
        stay = self.r.group(place, line, n, on, instar, brood)
        stage = {"eggs": "eggs"}.get(instar, "larvae")
        self.r.stage(place, stage, on, line)
        self.taken[place] = 10**7
        self._next(stay, on, self.days(line, place, instar) * (1 - done))
        return stay

    def _next(self, stay: Stay, on: int, days: float) -> None:
        room = self.reserved(stay.place, on)
        when = on + max(2, round(days))
        if when >= room:
            self.diary.at(room, lambda d: self._make_room(stay, d))
        else:
            self.diary.at(when, lambda d: self._step(stay, d))

    def _gone(self, stay: Stay, on: int) -> None:
        stay.until = on
        self.taken[stay.place] = on
        self.r.stage(stay.place, "prepared", on, stay.line)

    def give(self, stay: Stay, on: int, n: int | None = None) -> None:
        """All of them, or ``n``, go to a neighbour."""
        whole = stay.counts[2]
        n = whole if n is None else min(n, whole)
        self.r.fewer(stay, n, "given away", on, cause=NEIGHBOURS[stay.id % 2])
        stay.counts = (0, 0, whole - n)
        if whole == n:
            self._gone(stay, on)

    def _make_room(self, stay: Stay, on: int) -> None:
        role = {"eggs": "young", "L1": "young", "L2": "young", "L3": "late"}[stay.instar]
        place = self.seat(role, on)
        if place is None:
            self.give(stay, on)
        else:
            self._move(stay, place, on, stay.instar)

    def _move(self, stay: Stay, place: str, on: int, instar: str) -> None:
        n = stay.counts[2]
        self._gone(stay, on)
        self.come(place, stay.line, n, on, instar, stay.brood)

    def lose(self, stay: Stay, on: int, survives: float) -> bool:
        """Some die of a step: a part of them is found. False when nobody is left."""
        n = stay.counts[2]
        lost = sum(not self.chance.happens(survives) for _ in range(n))
        found = sum(self.chance.happens(0.6) for _ in range(lost)) if stay.instar != "eggs" else 0
        self.r.fewer(stay, found, "dead", on, cause="unknown")
        self.r.fewer(stay, lost - found, "missing", on, cause="not found when it was changed")
        stay.counts = (0, 0, n - lost)
        if found and stay.place[0] in "BCD":
            self.r.found_dead[stay.place, on] = self.r.found_dead.get((stay.place, on), 0) + found
        if n == lost:
            self._gone(stay, on)
        return n > lost

    def _step(self, stay: Stay, on: int) -> None:
        if not self.lose(stay, on, SURVIVAL[stay.instar]):
            return
        step = {"eggs": "L1", "L1": "L2", "L2": "L3", "L3": "cell"}[stay.instar]
        if step == "cell":
            self._wander(stay, on)
            return
        place = self.seat("young" if step != "L3" else "late", on) if step != "L2" else None
        if place is not None and step == "L3":
            self._part(stay, on)
        elif place is not None:
            self._move(stay, place, on, step)
        elif stay.instar == "eggs" or step == "L2" or self.reserved(stay.place, on) > on + 25:
            if stay.instar == "eggs":
                self.r.stage(stay.place, "larvae", on, stay.line)
            stay.instar = step
            self._next(stay, on, self.days(stay.line, stay.place, step))
        else:
            self.give(stay, on)

    def _part(self, stay: Stay, on: int) -> None:
        """Full-grown larvae: a tub for the group, or one for each as far as there are tubs."""
        together = LINES[stay.line][0] is DICRONORHINA
        self.give(stay, on, max(0, stay.counts[2] - (8 if together else 5)))
        n = stay.counts[2]
        stay.counts = (0, 0, 0)
        self._gone(stay, on)
        for some in [n] if together else [1] * n:
            place = self.seat("late", on)
            if place is not None:
                self.come(place, stay.line, some, on, "L3", stay.brood)
            else:
                self.r.fewer(stay, some, "given away", on, cause=NEIGHBOURS[on % 2])

    def _wander(self, stay: Stay, on: int) -> None:
        self.r.stage(stay.place, "wandering", on, stay.line)
        room, settled = self.reserved(stay.place, on), on + self.days(stay.line, stay.place, "wandering")
        if settled >= room:
            self.diary.at(room, lambda d: self.give(stay, d))
        else:
            self.diary.at(settled, lambda d: self._cell(stay, d))

    def _cell(self, stay: Stay, on: int) -> None:
        place = self.seat("cell", on, 70) if stay.counts[2] == 1 else None
        if place is not None:
            self._gone(stay, on)
            moved = self.r.group(place, stay.line, 1, on, "L3", stay.brood)
            self.taken[place] = 10**7
            stay = moved
        self.close(stay, on)

    def close(self, stay: Stay, on: int, done: float = 0.0) -> None:
        """In the cell until it is a beetle and comes up, or the tub is needed."""
        self.taken[stay.place] = 10**7
        self.r.stage(stay.place, "cell", on, stay.line)
        up = on + round(self.days(stay.line, stay.place, "cell") * (1 - done)) + LINES[stay.line][0].rest
        room = self.reserved(stay.place, on)
        self.r.add(
            "locks",
            enclosure=stay.place,
            forbids="open move wet",
            **{"from": on},
            until=min(up, room),
            lifted=min(up, room),
            reason="in its cell until it comes up",
        )
        if up >= room:
            self.diary.at(room, lambda d: self.give(stay, d))
        else:
            self.diary.at(up, lambda d: self._up(stay, d))

    def _up(self, stay: Stay, on: int) -> None:
        knocked = stay.place == "A3-4" and on > SCRIPTED["A3-4"]
        note = "wings gape, its cell was knocked in October" if knocked else ""
        if not self.lose(stay, on, 1.0 if knocked else SURVIVAL["cell"]):
            return
        n = stay.counts[2]
        for _ in range(n):
            self.r.fewer(stay, 1, "numbered", on, animal=self.emerge(stay.line, stay.brood, on, note))
        stay.counts = (0, 0, 0)
        self._gone(stay, on)

    def emerge(self, line: str, brood: str, on: int, note: str = "") -> str:
        """A beetle came up by itself: it gets its number, and a place or a new house."""
        r, n = self.r, self.next_number.get(line, 70)
        self.next_number[line] = n + 1
        number = {"KESTREL": "K", "SORREL": "S-", "LOCH": "0"}.get(line, "") + str(n)
        who = (line, number)
        sex = "m" if self.chance.happens(0.5) else "f"
        feeds = on + self.chance.between(6, 16)
        kin(r, who, sex, on, feeds)
        r.animals[who] |= {"brood": brood, "note": note}
        place = HOLDING[line]
        if len(r.inside(place, on)) < 3 and day(BY_PLACE[place].since) > on + 40:
            r.put(who, place, on)
            self.diary.at(feeds + lifespan(line, self.chance), lambda d: self._dies(who, d))
            self.diary.at(day(BY_PLACE[place].since) - 1, lambda d: self._leaves(who, d))
        else:
            r.put(who, place, on)  # for the night before it is fetched
            r.goes(who, on + 1, NEIGHBOURS[n % 2])
        return f"{line}/{number}"

    def _dies(self, who: tuple[str, str], on: int) -> None:
        if self.r.animals[who]["state"] == "alive" and on < TURN:
            self.r.dies(who, on, "old age")

    def _leaves(self, who: tuple[str, str], on: int) -> None:
        stay = self.r.here(who)
        if self.r.animals[who]["state"] == "alive" and stay is not None:
            self.r.goes(who, on, NEIGHBOURS[len(who[1]) % 2])
