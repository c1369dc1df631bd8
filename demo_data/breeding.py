"""The year's pairings, laying boxes and searches, from the opening rack to the last five weeks."""

from __future__ import annotations

from demo_data.adults import (
    AUTUMN,
    FIRST_LAYING,
    HOLDING,
    NEIGHBOURS,
    SPRING,
    Pair,
    kin,
    lifespan,
    older,
    summer,
    trial_adults,
    trial_pairs,
)
from demo_data.chance import Chance
from demo_data.house import A_YEAR_BEFORE, ADULTS, BOXES, EXTRA, Beetle, Box
from demo_data.nursery import SCRIPTED, TRAYS, Diary, Nursery
from demo_data.params import FIRST_SEARCH, LINES, SEED
from demo_data.register import START, TURN, Brood, Register, Who, day
from rounds.husbandry.lock_sentences import LEFT_ALONE

YEAR = 365
DONE_AT_OPENING = 0.5
"""How far through its step a larva of the opening rack is, on the whole."""


def the_year(r: Register) -> None:
    """Everything up to the last five weeks."""
    diary = Diary()
    nursery = Nursery(r, diary)
    year = Year(r, diary, nursery)
    year.opening()
    year.scripted()
    summer(r)
    trial_adults(r)
    for pair in (*SPRING, *AUTUMN):
        year.pair(pair)
    for n, pair in enumerate(trial_pairs()):
        year.trial(pair, TRAYS[n])
    fixed(r)
    diary.run(TURN - 1)
    year.close()


def fixed(r: Register) -> None:
    """What was settled of the trial before it began; it ran to its last day."""
    r.add(
        "trials",
        trial="TR-01",
        species="Eudicella smithi",
        endpoint="L3",
        stops="2026-02-28",
        seed=612,
        eggs=33,
        rho=0.05,
        survival=0.5,
        opened="2025-06-02",
        closed="2026-02-28",
        closed_why="its last day had come",
    )
    for p in trial_pairs():
        r.add(
            "trial_females",
            trial="TR-01",
            arm=p.purpose,
            female="/".join(p.female),
            male="/".join(p.male),
            pairing=p.name,
            place=p.laying,
        )


class Year:
    def __init__(self, r: Register, diary: Diary, nursery: Nursery) -> None:
        self.r, self.diary, self.nursery = r, diary, nursery
        self.chance = Chance(SEED, "breeding")
        self.paired = {w for p in (*SPRING, *AUTUMN, *trial_pairs()) for w in (p.female, p.male)}

    # the opening rack

    def opening(self) -> None:
        last = {(b.line, b.number): b for b in ADULTS}
        for b in (A_YEAR_BEFORE.get(now.place, now) for now in BOXES):
            since = day(b.since) - YEAR
            if b.stage in ("holding", "pairing", "laying", "resting"):
                for who in [*((b.line, n) for n in b.animals), *EXTRA.get(b.place, [])]:
                    self._older(last[who], b, since)
                self.r.stage(b.place, b.stage, since, b.line)
                if b.place in FIRST_LAYING:
                    self._laying_at_opening(b, since)
            elif b.stage in ("eggs", "larvae", "cell"):
                self._young(b, since)
            else:
                self.r.stage(
                    b.place, b.stage if b.stage != "quarantine" else "prepared", min(since, START), b.line
                )

    def _older(self, then: Beetle, b: Box, since: int) -> None:
        who = older(then.line, then.number)
        emerged = day(then.emerged) - YEAR
        feeds = day(then.first_feed) - YEAR if then.first_feed else day("2025-03-20")
        kin(self.r, who, then.sex, emerged, feeds, (then.sire.partition("/")[2], then.dam.partition("/")[2]))
        self.r.put(who, b.place, since)
        end = max(feeds + lifespan(who[0], Chance(SEED, "older", *who)), START + 12)
        if b.place in FIRST_LAYING:
            end = day(FIRST_LAYING[b.place])
        elif who in self.paired:
            end = max(end, day("2025-04-08"))
            if any(p.female == who for p in SPRING):
                return
        if b.stage == "resting":
            self.diary.at(feeds, lambda d: self._awake(who, b, d))
        self.diary.at(end, lambda d: self._dies(who, d))

    def _awake(self, who: Who, b: Box, on: int) -> None:
        self.r.put(who, HOLDING[who[0]], on)
        self.r.stage(b.place, "prepared", on, b.line)
        self.nursery.taken[b.place] = on

    def _dies(self, who: Who, on: int) -> None:
        if self.r.animals[who]["state"] == "alive":
            stay = self.r.here(who)
            self.r.dies(who, on, "old age")
            if stay is not None and not self.r.inside(stay.place, on) and stay.place in FIRST_LAYING:
                self.r.stage(stay.place, "prepared", on + 1, who[0])

    def _laying_at_opening(self, b: Box, since: int) -> None:
        """Her pairing was in a notebook that is lost; her searches were not."""
        for at in range(since + 28, day(FIRST_LAYING[b.place]), 21):
            if at >= START:
                self.diary.at(at, lambda d: self._search(b.place, b.line, "", d, 0.3))

    def _young(self, b: Box, since: int) -> None:
        n = sum(int(p) for p in b.who.rstrip("+").split(".")) if "." in b.who else 1
        instar = "eggs" if b.stage == "eggs" else b.instar or "L3"
        brood = f"{b.line}-00"
        self._brood(
            brood,
            b.line,
            "",
            None,
            day("2024-12-15"),
            "autumn 2024",
            "L1",
            "from the notebook of the year before",
        )
        self.r.broods[brood].n += n
        if b.stage == "cell":
            stay = self.r.group(b.place, b.line, n, since, "L3", brood)
            self.nursery.close(stay, since)
        else:
            self.nursery.come(b.place, b.line, n, since, instar, brood, self.chance.between(0, 3) / 10)

    def scripted(self) -> None:
        """Turns of the year that need somebody at a place: a cell to be knocked, two larvae to fall ill."""
        for place, line, instar in (
            ("A3-4", "UMBER", "cell"),
            ("C4-1", "TALLOW", "L3"),
            ("C4-2", "TALLOW", "L3"),
        ):
            self.diary.at(SCRIPTED[place] + 2, lambda d, p=place, x=line, i=instar: self._set_in(p, x, i, d))  # type: ignore[misc]
        for place, iso_ in (("C4-1", "2025-12-09"), ("C4-2", "2025-12-11")):
            self.diary.at(day(iso_), lambda d, p=place: self._falls_ill(p, d))  # type: ignore[misc]

    def _set_in(self, place: str, line: str, instar: str, on: int) -> None:
        brood = self.r.broods[f"{line}-00"]
        brood.n += 1
        if instar == "cell":
            self.nursery.close(self.r.group(place, line, 1, on, "L3", brood.name), on)
            return
        self.r.group(place, line, 1, on, "L3", brood.name)
        self.r.stage(place, "larvae", on, line)
        self.nursery.taken[place] = 10**7

    def _falls_ill(self, place: str, on: int) -> None:
        (stay,) = (s for s in self.r.inside(place, on) if not s.number)
        self.r.fewer(stay, 1, "dead", on, cause="limp and dark: suspected disease")
        self.r.found_dead[place, on] = 1
        stay.counts, stay.until = (0, 0, 0), on + 1
        self.r.stage(place, "empty", on + 1, stay.line)

    # pairings

    def pair(self, p: Pair) -> None:
        since, lays, ends = day(p.since), day(p.lays), day(p.ends)
        self.diary.at(since, lambda d: self._together(p, d))
        self.diary.at(lays, lambda d: self._lays(p, d))
        for n, at in enumerate(range(lays + 28, ends, 21)):
            self.diary.at(
                at,
                lambda d, n=n: self._search(
                    p.laying, p.female[0], p.name, d, (0.4, 0.3, 0.2, 0.1)[min(n, 3)]
                ),
            )  # type: ignore[misc]
        self.diary.at(ends, lambda d: self._over(p, d))

    def _together(self, p: Pair, on: int) -> None:
        r, until = self.r, day(p.ends if p.box == p.laying else p.lays)
        r.stage(p.box, "pairing", on, p.female[0])
        for who in (p.female, p.male):
            if (here := r.here(who)) is None or here.place != p.box:
                r.put(who, p.box, on)
        r.add(
            "pairings",
            pairing=p.name,
            female=p.female,
            enclosure=p.laying,
            purpose=p.purpose,
            paternity="certain" if p.name.startswith("T-") else "likely",
            since=on,
            until=until,
            note=p.note,
        )
        r.add("pairing_males", pairing=p.name, male=p.male, since=on, until=until)

    def _lays(self, p: Pair, on: int) -> None:
        r = self.r
        r.put(p.female, p.laying, on)
        r.stage(p.laying, "laying", on, p.female[0])
        r.stage(p.box, "prepared", on, p.female[0])
        if p.male == ("SORREL", "N5"):
            r.put(p.male, "A2-2", on)
        else:
            r.put(p.male, HOLDING[p.male[0]], on)
            end = max(r.feeds[p.male] + lifespan(p.male[0], Chance(SEED, "male", *p.male)), on + 5)
            self.diary.at(min(end, TURN - 4), lambda d: self._dies(p.male, d))
        self._lock(p.laying, on)

    def _lock(self, place: str, on: int) -> None:
        self.r.add(
            "locks",
            enclosure=place,
            forbids="dig",
            **{"from": on},
            until=on + FIRST_SEARCH[0] - 1,
            lifted=on + FIRST_SEARCH[1],
            reason=LEFT_ALONE,
        )
        self.r.add(
            "due",
            enclosure=place,
            what="first search",
            earliest=on + FIRST_SEARCH[0],
            likely=on + FIRST_SEARCH[1],
            latest=on + FIRST_SEARCH[2],
            done=on + FIRST_SEARCH[1],
            why="28 days after she went in",
        )

    def _over(self, p: Pair, on: int) -> None:
        self.r.dies(p.female, on, "old age")
        self.r.stage(p.laying, "prepared", on + 1, p.female[0])

    # searches

    def _brood(
        self,
        name: str,
        line: str,
        pairing: str,
        search: int | None,
        on: int,
        hatch: str,
        instar: str,
        note: str = "",
    ) -> Brood:
        if name not in self.r.broods:
            self.r.broods[name] = Brood(name, line, pairing, search, on, hatch, instar, 0, note=note)
        return self.r.broods[name]

    def _search(self, place: str, line: str, pairing: str, on: int, share: float) -> None:
        """What she laid since, less what was not found; new larvae go to a tub, eggs stay where they are."""
        mean = {"Mecynorhina torquata": 26, "Dicronorhina derbyana": 28, "Eudicella smithi": 24}[
            LINES[line][0].latin
        ]
        n = max(0, round(mean * share * (1 + 0.35 * self.chance.normal())))
        if place == "B3-2" and day("2025-05-07") <= on <= day("2025-05-08"):
            n //= 2  # the other half was lost to the water
        eggs = 3 if (pairing, on) == ("P-01", day("2025-04-16")) else 0
        if eggs:
            n = 14
        search = self.r.add(
            "searches",
            enclosure=place,
            pairing=pairing,
            made=on,
            complete="" if eggs else "yes",
            eggs=eggs or "",
            l1=n or "",
            at_least="yes" if eggs else "",
            note="three eggs left in place" if eggs else "",
        )
        if not n:
            return
        number = sum(b.line == line for b in self.r.broods.values()) + 1
        egg = round(LINES[line][0].egg / 14)
        brood = self._brood(
            f"{line}-{number:02}",
            line,
            pairing,
            search,
            on,
            f"between {_iso(on - 28 + egg)} and {_iso(on - 3)}",
            "L1",
        )
        brood.n, brood.at_least = n, bool(eggs)
        self._house(place, brood, n, on)

    def _house(self, place: str, brood: Brood, n: int, on: int) -> None:
        keep, seat = min(n, 12), self.nursery.seat("young", on)
        if seat is None:
            # A day's stay in the box they were found in, then a neighbour's tubs.
            stay = self.r.group(place, brood.line, n, on, "L1", brood.name)
            self.r.fewer(stay, n, "given away", on, cause=NEIGHBOURS[n % 2])
            stay.counts, stay.until = (0, 0, 0), on
            return
        stay = self.nursery.come(seat, brood.line, n, on, "L1", brood.name)
        if n > keep:
            self.nursery.give(stay, on, n - keep)

    # the trial

    def trial(self, p: Pair, tray: str) -> None:
        """One family: the pair stays together and lays, its young share a tray, counted at first sight."""
        begin, lays, ends = day(p.since), day(p.lays), day(p.ends)
        chance = Chance(SEED, "family", p.name)
        whole = max(12, round(33 * (1 + 0.25 * chance.normal())))
        self.diary.at(begin, lambda d: self._together(p, d))
        self.diary.at(
            lays, lambda d: (self.r.stage(p.laying, "laying", d, p.female[0]), self._lock(p.laying, d))
        )  # type: ignore[arg-type,return-value]
        self.diary.at(lays + 28, lambda d: self._count(p, tray, d, round(whole * 0.45)))
        self.diary.at(lays + 49, lambda d: self._count(p, tray, d, round(whole * 0.35)))
        self.diary.at(
            ends - 1, lambda d: self._count(p, tray, d, whole - round(whole * 0.45) - round(whole * 0.35))
        )
        self.diary.at(ends - chance.between(6, 25), lambda d: self._dies(p.male, d))
        self.diary.at(ends, lambda d: self._over(p, d))
        reached = 0.40 if p.purpose == "sibs" else 0.46
        share = min(0.8, max(0.15, reached + 0.08 * chance.normal()))
        self.diary.at(day("2025-10-01"), lambda d: self._thin(p, d, 1 - (1 - share) * 0.75, chance))
        self.diary.at(
            day("2025-12-18"), lambda d: self._closes(p, tray, d, share / (1 - (1 - share) * 0.75), chance)
        )

    def _family(self, p: Pair) -> list[Brood]:
        return [b for b in self.r.broods.values() if b.pairing == p.name]

    def _count(self, p: Pair, tray: str, on: int, n: int) -> None:
        search = self.r.add(
            "searches",
            enclosure=p.laying,
            pairing=p.name,
            made=on,
            complete="yes",
            eggs=n // 4 or "",
            l1=n - n // 4,
        )
        name = f"{p.name}{'abc'[len(self._family(p))]}"
        brood = self._brood(
            name, "TALLOW", p.name, search, on, f"between {_iso(on - 16)} and {_iso(on + 4)}", "L1", p.note
        )
        brood.n = n
        self.r.group(tray, "TALLOW", n, on, "L1", name)
        self.r.stage(tray, "larvae", on, "TALLOW")

    def _of(self, p: Pair, on: int) -> list:  # type: ignore[type-arg]
        mine = {b.name for b in self._family(p)}
        return [s for s in self.r.stays if s.brood in mine and s.until is None and s.since <= on]

    def _thin(self, p: Pair, on: int, survives: float, chance: Chance) -> None:
        for stay in self._of(p, on):
            n = stay.counts[2]
            left = sum(chance.happens(survives) for _ in range(n))
            dead = (n - left) // 4
            self.r.fewer(stay, dead, "dead", on, cause="unknown")
            self.r.fewer(
                stay, n - left - dead, "missing", on, cause="counted again when the tray was changed"
            )
            stay.counts, stay.instar = (0, 0, left), "L3"

    def _closes(self, p: Pair, tray: str, on: int, reaches: float, chance: Chance) -> None:
        for stay in self._of(p, on):
            n = stay.counts[2]
            well = sum(chance.happens(reaches) for _ in range(n))
            dead = (n - well + 1) // 2
            self.r.fewer(stay, well, "given away", on, cause="Moss Gate, in their cells: reached")
            self.r.fewer(stay, dead, "dead", on, cause="unknown")
            self.r.fewer(stay, n - well - dead, "missing", on, cause="not found when the tray was cleared")
            stay.counts, stay.until = (0, 0, 0), on
        self.r.stage(tray, "prepared", on, "TALLOW")

    # the last five weeks begin

    def close(self) -> None:
        """Whoever of the older ones is left goes to a neighbour: the last weeks have their own."""
        for who, row in self.r.animals.items():
            if row["state"] == "alive" and self.r.here(who) is not None:
                self.r.goes(who, TURN - 1, NEIGHBOURS[len(who[1]) % 2])
        for stay in self.r.stays:
            if stay.until is None and not stay.number and stay.place != "B3-4":
                self.nursery.give(stay, TURN - 1)


def _iso(on: int) -> str:
    from datetime import date

    return date.fromordinal(on).isoformat()
