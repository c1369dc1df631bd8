"""The register as the rows of the tables."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from itertools import pairwise
from typing import Any

from demo_data.chance import Chance
from demo_data.house import BOXES
from demo_data.params import LINES, SEED
from demo_data.register import BY_PLACE, CODE, END, START, TURN, Register, Spell, Stay, day
from demo_data.story import DOUBTS, MARK_LOST

SWAPPED = (day("2025-05-03"), day("2025-05-17"))

Rows = list[dict[str, object]]


def iso(value: Any) -> Any:
    """Ordinals of days as ISO dates; texts as they are."""
    return date.fromordinal(value).isoformat() if isinstance(value, int) and value > 700_000 else value


def tables(
    r: Register, locks: Iterable[dict[str, object]], due: Iterable[dict[str, object]]
) -> dict[str, Rows]:
    """Every table of the books but places, lines and enclosures; ``locks`` and ``due`` are those of the last day."""
    care(r)
    out = {name: [_told(row) for row in rows] for name, rows in r.rows.items()}
    out["animals"] = [
        {"line": line, "animal": number, **_told(row)} for (line, number), row in r.animals.items()
    ]
    for row in out["animals"]:
        if (row["line"], row["animal"]) in MARK_LOST:
            row |= {"mark": "white dot", "mark_lost": MARK_LOST[str(row["line"]), str(row["animal"])]}
    out["contents"] = [_stay(s) for s in r.stays]
    out["broods"] = [
        {
            "brood": b.name,
            "line": b.line,
            "pairing": b.pairing,
            "search": b.search or "",
            "found": iso(b.found),
            "hatch": b.hatch,
            "instar": b.instar,
            "unsexed": b.n,
            "at_least": "yes" if b.at_least else "",
            "doubt": b.doubt,
            "note": b.note,
        }
        for b in r.broods.values()
    ]
    out["stage_past"] = [
        {"enclosure": CODE[place], "stage": a.stage, "since": iso(a.first), "until": iso(b.first)}
        for place, spells in sorted(r.spells.items())
        for a, b in pairwise([*_joined(spells), *_again(place, spells)])
    ]
    for name in ("searches", "weights"):
        for n, row in enumerate(out[name], 1):
            out[name][n - 1] = {"id": n, **row}
    out["locks"] = [*out["locks"], *locks]
    out["due"] = [*out["due"], *due]
    return out


def _joined(spells: list[Spell]) -> list[Spell]:
    """Spells of one stage after another as one: for whom a box was laid up is not its stage."""
    return [s for i, s in enumerate(spells) if not i or s.stage != spells[i - 1].stage]


def _again(place: str, spells: list[Spell]) -> list[Spell]:
    """The last stage from the day the rack's list gives, when the box was in it before already."""
    since = day(BY_PLACE[place].since)
    return [spells[-1]._replace(first=since)] if _joined(spells)[-1].first < since else []


def _told(row: dict[str, Any]) -> dict[str, object]:
    out: dict[str, object] = {}
    for key, value in row.items():
        if key == "enclosure" and value in CODE:
            value = CODE[value]
        elif isinstance(value, tuple):
            value = "/".join(value)
        out[key] = "" if value is None else iso(value)
    return out


def _stay(s: Stay) -> dict[str, object]:
    males, females, unsexed = s.counts
    row: dict[str, object] = {
        "id": s.id,
        "enclosure": CODE[s.place],
        "line": s.line,
        "animal": s.number,
        "brood": s.brood,
        "lot": s.lot,
        "instar": s.instar,
        "since": (s.since_words or iso(s.since)).strip(),
        "until": iso(s.until) if s.until else "",
        "doubt": DOUBTS.get((s.place, s.line), "")
        if s.since <= SWAPPED[1] and (s.until or END) >= SWAPPED[0]
        else "",
    }
    if not s.number:
        row |= {
            "males": males or "",
            "females": females or "",
            "unsexed": unsexed or "",
            "at_least": "yes" if s.at_least else "",
        }
    return row


def care(r: Register) -> None:
    """Substrate mixed every month and what got it, weighings of full-grown larvae, protein on Sundays."""
    chance = Chance(SEED, "care")
    months = [(2025, m) for m in range(3, 13)] + [(2026, 1), (2026, 2)]
    for n, (year, month) in enumerate(months, 1):
        on = date(year, month, 4).toordinal()
        r.add("batches", batch=f"S-{n:02}", made=on, recipe="leaf mould and white-rotten wood, 3 to 1")
        for b in BOXES:
            spell = r.spell(b.place, on + 5)
            if spell is not None and spell.stage in ("larvae", "prepared") and (int(b.number) + month) % 2:
                r.add("batch_uses", batch=f"S-{n:02}", enclosure=b.place, given=on + 5, litres=b.litres)
    r.rows.setdefault("weights", [])
    for s in r.stays:
        if s.instar == "L3" and not s.number and s.place[0] in "CD" and s.line != "BRAMBLE":
            _weigh(r, s, chance)
    for on in range(day("2025-12-07"), END + 1, 7):
        left = on + 8 > END
        r.add(
            "protein",
            enclosure="C3-2",
            given=on,
            what="one pellet of about 1 g",
            out_by=on + 2,
            taken_out="" if left else on + 2,
        )


PEAK = {
    "Mecynorhina torquata": 29.0,
    "Dicronorhina derbyana": 13.0,
    "Eudicella smithi": 8.5,
    "Pachnoda marginata": 3.1,
}
"""g of a full-grown larva, about the mean of the sexes; an estimate."""


def _weigh(r: Register, s: Stay, chance: Chance) -> None:
    """Growth slows towards the peak: each weighing closes about half of what is missing."""
    peak = PEAK[LINES[s.line][0].latin] * (1 + 0.1 * chance.normal())
    grams = peak * 0.35
    for on in range(max(s.since + 10, START), min(s.until or TURN + 30, END), 35):
        r.add("weights", content=s.id, made=on, grams=f"{grams:.1f}", instar="L3")
        grams += (peak - grams) * 0.5
