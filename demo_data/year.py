"""The year's looks at one box, before the last five weeks, from what the books say was in it."""

from __future__ import annotations

from demo_data.chance import Chance
from demo_data.house import Box
from demo_data.life import Life
from demo_data.params import LINES, PACHNODA, SEED
from demo_data.register import START, Register, Stay, Who


class YearLife(Life):
    """The state of a box whose stage, line and inmates change; see :class:`Life`."""

    def __init__(self, box: Box, r: Register) -> None:
        super().__init__(box)
        self.r, self.chance, self.first = r, Chance(SEED, box.code, "year"), START
        self.cup_age = self.chance.between(0, 2)
        self.stays = [s for s in r.stays if s.place == box.place]
        self.today = START
        self.was = ""

    def stage(self, day: int) -> str:
        self.today = day
        spell = self.r.spell(self.box.place, day)
        now = spell.stage if spell else "prepared"
        self.species = LINES[spell.line if spell else self.box.line][0]
        if now != self.was:
            # Laid up afresh: nothing of what was before is left in it.
            self.moisture, self.odd, self.gone_g, self.told, self.cup_age = "right", set(), 0.0, 0, 9
            self.was = now
        return now

    def eaters(self, day: int) -> list[float]:
        day = day or self.today
        female, male = self.species.food
        if self.species is PACHNODA:
            return [female] * 9 + [male] * 6
        here = {(s.line, s.number) for s in self._inside(day) if s.number}
        return [
            male if self.r.animals[w]["sex"] == "m" else female for w in sorted(here) if self._eats(w, day)
        ]

    def _inside(self, day: int) -> list[Stay]:
        return [s for s in self.stays if s.since <= day and (s.until is None or s.until > day)]

    def _eats(self, who: Who, day: int) -> bool:
        """From the first feed until a few days before the end."""
        return self.r.feeds[who] <= day < self.r.dead.get(who, day + 9) - len(who[1]) % 4
