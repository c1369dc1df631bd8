"""The last five weeks' rack in the books, and what came in or went out by the door in the year."""

from __future__ import annotations

from demo_data.adults import AUTUMN, HOLDING
from demo_data.chance import Chance
from demo_data.house import ADULTS, BEFORE, BOXES, CELLS, EXTRA, Beetle, Box, founders
from demo_data.params import SEED
from demo_data.register import TURN, Brood, Register, Who, day
from demo_data.story import DIED

LAYING = {p.female[0]: p for p in AUTUMN}


def settle(r: Register) -> None:
    """Everyone who stands on the rack on the last day, each where it came from as far as is known."""
    for b in (*founders(), *ADULTS, *CELLS):
        _beetle(r, b)
    for b in BOXES:
        first = day(b.since)
        before = BEFORE.get(b.place)
        if before is not None:
            r.stage(b.place, before, min(TURN, _came(r, b)), b.line)
        r.stage(b.place, b.stage, first, b.line)
        if "." in b.who:
            _group(r, b)
        else:
            for who in [*((b.line, n) for n in b.animals), *EXTRA.get(b.place, [])]:
                if before is not None:
                    r.put(who, b.place, _came(r, b))
                r.put(who, b.place, first, b.since)
    for who, on in DIED.items():
        r.leave(who, day(on))
    _pairings(r)
    _doors(r)
    _colony(r)


def _beetle(r: Register, b: Beetle) -> None:
    died = DIED.get((b.line, b.number))
    row = {
        "sexed_how": b.how,
        "sire": b.sire,
        "dam": b.dam,
        "born": b.born,
        "emerged": b.emerged,
        "first_feed": b.first_feed,
        "mature": b.mature,
        "note": b.note,
    }
    r.animal((b.line, b.number), b.sex, day(b.first_feed) if b.first_feed else 0, **row)
    r.animals[b.line, b.number]["state"] = "dead" if died else b.state
    if died:
        r.animals[b.line, b.number] |= {"died": day(died), "last_seen": day(died) - 1, "cause": "unknown"}


def _came(r: Register, b: Box) -> int:
    """When those of a box that was something else first came there."""
    who = [*((b.line, n) for n in b.animals), *EXTRA.get(b.place, [])]
    back = 14 if b.stage == "pairing" else 18
    return min(day(b.since) - back, max(TURN - 10, *(r.feeds[w] for w in who)))


def _group(r: Register, b: Box) -> None:
    males, females, unsexed = (int(p) for p in b.who.rstrip("+").split("."))
    n = males + females + unsexed
    brood = "" if b.stage == "colony" else _claim(r, b, n).name
    stay = r.group(b.place, b.line, 0, day(b.since), b.instar or ("eggs" if b.stage == "eggs" else ""), brood)
    stay.counts, stay.at_least, stay.since_words = (males, females, unsexed), b.who.endswith("+"), b.since
    if b.stage == "colony":
        young = r.group(b.place, b.line, 40, day(b.since), "L3")
        young.at_least, young.since_words = True, " "


def _claim(r: Register, b: Box, n: int) -> Brood:
    """The brood they came from: what was found of their line when they were young enough."""
    on = day(b.since)
    youngest, oldest = {"eggs": (0, 0), "": (0, 0), "L1": (0, 20), "L2": (18, 60), "L3": (40, 230)}[b.instar]
    fits = [
        x for x in r.broods.values() if x.line == b.line and x.search and youngest <= on - x.found <= oldest
    ]
    if fits:
        brood = max(fits, key=lambda x: x.found)
        search = r.rows["searches"][(brood.search or 1) - 1]
        search["l1"] = int(search["l1"] or 0) + n
    else:
        at = on - youngest
        eggs = b.stage == "eggs"
        pair = LAYING[b.line]
        note = "in the bedding of the box the beetles feed in" if eggs else ""
        search = {
            "enclosure": HOLDING[b.line] if eggs else pair.laying,
            "pairing": "" if eggs else pair.name,
            "made": at,
            "eggs": n if eggs else "",
            "l1": "" if eggs else n,
            "note": note,
        }
        number = sum(x.line == b.line for x in r.broods.values()) + 1
        brood = Brood(
            f"{b.line}-{number:02}",
            b.line,
            str(search["pairing"]),
            r.add("searches", **search),
            at,
            "" if eggs else f"about {b.since}" if b.since[:2] == "20" else "",
            "eggs" if eggs else "L1",
            0,
        )
        r.broods[brood.name] = brood
    brood.n += n
    if b.who.endswith("+"):
        brood.at_least = True
        r.rows["searches"][(brood.search or 1) - 1]["at_least"] = "yes"
    return brood


def _pairings(r: Register) -> None:
    """Of the last weeks: five pairs together, and the eight females that lay."""
    males = {
        "UMBER": ("UMBER", "11"),
        "KESTREL": ("KESTREL", "K13"),
        "LOCH": ("LOCH", "013"),
        "SORREL": ("SORREL", "S-13"),
        "TALLOW": ("TALLOW", "14"),
        "RUSH": ("TALLOW", "14"),
    }
    n = 12
    for b in BOXES:
        if b.stage not in ("pairing", "laying"):
            continue
        sex = {(x.line, x.number): x.sex for x in ADULTS}
        inside = [*((b.line, a) for a in b.animals), *EXTRA.get(b.place, [])]
        female = next(w for w in inside if sex[w] == "f")
        male = next((w for w in inside if sex[w] == "m"), males[b.line])
        since = day(b.since) if b.stage == "pairing" else _came(r, b)
        until = "" if b.stage == "pairing" else day(b.since)
        note = "" if b.stage == "pairing" else "he was put in for some evenings"
        r.add(
            "pairings",
            pairing=f"P-{n}",
            female=female,
            enclosure=b.place,
            purpose="cross",
            paternity="likely",
            since=since,
            until=until,
            note=note,
        )
        r.add("pairing_males", pairing=f"P-{n}", male=male, since=since, until=until)
        n += 1


def _doors(r: Register) -> None:
    """Arrivals and loans."""
    for name, who, sex, place, came, note in (
        ("MG-25", ("KESTREL", "K9"), "f", "D4-2", "2025-03-05", "mated before it came: unknown"),
        ("MG-26", ("KESTREL", "K20"), "f", "D4-2", "2026-02-12", ""),
    ):
        on = day(came)
        r.add(
            "lots",
            lot=name,
            species="Mecynorhina torquata",
            arrived=on,
            from_whom="Moss Gate",
            papers=f"{name}, one page",
            origin="wild type, caught as a beetle's young, forest edge, as told on the telephone",
            mated_before="unknown",
            quarantine_until=on + 30,
            females=1,
        )
        if who not in r.animals:
            r.animal(who, sex, on, sexed_how="as adult", emerged="unknown", first_feed=on, note=note)
            r.put(who, HOLDING["KESTREL"], on + 31)
            r.dies(who, day("2025-06-11"), "unknown")
            first = r.stays[-1]
            r.stays.append(type(first)(len(r.stays) + 1, place, *who, on, on + 31))
        r.animals[who]["lot"] = name
        arrived = r.group(place, "KESTREL", 0, on, "", lot=name)
        arrived.until = on
        r.add(
            "fewer",
            content=arrived.id,
            line="KESTREL",
            lot=name,
            how="numbered",
            animal="/".join(who),
            females=1,
            made=on,
        )
    r.animals["SORREL", "N7"]["owner"] = "Nine Alders"
    terms = "a third of the larvae are theirs"
    r.add(
        "loans",
        animal="SORREL/N7",
        way="in",
        owner="Nine Alders",
        since=day("2026-01-28"),
        due_back="about 2026-05-01",
        terms=terms,
    )
    r.add(
        "loans",
        animal="SORREL/N5",
        way="in",
        owner="Nine Alders",
        since=day("2025-09-01"),
        due_back="January 2026",
        back=day("2026-01-12"),
        terms=terms,
    )


def loan(r: Register) -> None:
    """The male that came in autumn: quarantined thirty days, then paired."""
    who: Who = ("SORREL", "N5")
    r.animal(
        who,
        "m",
        day("2025-09-01"),
        sexed_how="as adult",
        emerged="unknown",
        owner="Nine Alders",
        note="on loan from Nine Alders",
    )
    r.put(who, "D4-1", day("2025-09-01"))
    r.stage("D4-1", "quarantine", day("2025-09-01"), "SORREL")
    r.stage("D4-1", "prepared", day("2025-10-02"), "SORREL")


def _colony(r: Register) -> None:
    """The colony is thinned in December: the beetles that came up in autumn go to the neighbours."""
    chance = Chance(SEED, "colony")
    stay = r.group("B3-4", "BRAMBLE", 0, day("2024-03-01"), "")
    stay.until, stay.since_words = day("2025-12-08"), "spring 2024"
    for on, some in (("2025-08-16", 24), ("2025-12-08", 60)):
        r.add(
            "fewer",
            content=stay.id,
            line="BRAMBLE",
            how="given away",
            males=some // 2 + chance.between(-4, 4),
            females=some // 2 + chance.between(-4, 4),
            made=day(on),
            cause="Nine Alders, adults of the year",
        )
