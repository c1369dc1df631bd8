"""A season's end, a batch and an arrival as tables for people and as records for programs."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rounds.acts.groups import name as group_name
from rounds.analysis.season import LineSeason
from rounds.husbandry.spans import Span, text
from rounds.records.column import Row
from rounds.records.ledger import Ledger
from rounds.records.origins import Descendant, Use
from rounds.reports.table_forms import Cell, Page, Part


def iso(day: int) -> str:
    return date.fromordinal(day).isoformat()


def season_page(lines: Sequence[LineSeason], first: int, last: int) -> Page:
    """By line: what was found and hatched, losses by stage beside how many entered it, beetles."""
    found = [
        (
            s.line,
            s.species,
            s.pairings,
            f"{s.searches} ({s.complete} complete)",
            str(s.eggs),
            str(s.larvae),
            s.broods,
            s.undated,
        )
        for s in lines
    ]
    hatch = [
        (s.line, str(s.eggs), str(s.hatched), str(s.hatch_unknown))
        for s in lines
        if s.eggs.n or s.eggs.at_least
    ]
    losses = [
        (
            s.line,
            x.stage,
            str(x.of),
            x.dead,
            x.missing,
            x.given,
            _share(x.dead + x.missing, x.of.n, x.of.at_least),
        )
        for s in lines
        for x in s.losses
        if x.of.n or x.dead or x.missing or x.given
    ]
    left = [(s.line, s.numbered, str(s.here), s.unexplained) for s in lines]
    grown = [(s.line, s.emerged, s.died, s.died_unknown, s.maybe) for s in lines]
    return Page(
        f"Season from {iso(first)} to {iso(last)}, by line",
        ("Counts are what was recorded; what nobody knows is said to be unknown and is not shared out.",),
        (
            Part("Found", ("line", "species", "pairings", "searches", "eggs", "larvae", "broods", "broods without a sure date"), found),
            Part("Eggs that were counted", ("line", "counted", "seen hatched", "fate unknown"), hatch),
            Part("Lost, by stage", ("line", "stage", "of", "found dead", "not found again", "given away", "lost of those counted"), losses),
            Part("What became of the young", ("line", "got a number", "still in a group", "unexplained"), left),
            Part("Beetles", ("line", "came up", "died", "of those, cause unknown", "day unsure"), grown),
        ),
    )  # fmt: skip


def _share(lost: int, of: int, at_least: bool) -> str:
    """``3 of 40 (8%)``; no share of nothing, and at most a share where more may have come in."""
    if not of:
        return f"{lost} of none counted" if lost else ""
    return f"{lost} of {of} ({'at most ' if at_least else ''}{100 * lost / of:.0f}%)"


SEASON_COLUMNS = (
    "line", "species", "pairings", "searches", "complete_searches", "broods", "undated_broods", "eggs", "eggs_at_least",
    "larvae", "larvae_at_least", "hatched", "hatch_unknown", "stage", "entered", "entered_at_least", "dead", "missing", "given_away",
    "numbered", "in_groups", "in_groups_at_least", "unexplained", "emerged", "died", "died_unknown", "day_unsure",
)  # fmt: skip


def season_records(lines: Sequence[LineSeason]) -> list[dict[str, Cell]]:
    """One object for each stage of each line; what concerns the whole line is repeated."""
    return [
        dict(zip(SEASON_COLUMNS, (
            s.line, s.species, s.pairings, s.searches, s.complete, s.broods, s.undated, s.eggs.n, s.eggs.at_least, s.larvae.n,
            s.larvae.at_least, s.hatched.n, s.hatch_unknown.n, x.stage, x.of.n, x.of.at_least, x.dead, x.missing, x.given,
            s.numbered, s.here.n, s.here.at_least, s.unexplained, s.emerged, s.died, s.died_unknown, s.maybe,
        ), strict=True))
        for s in lines for x in s.losses
    ]  # fmt: skip


BATCH_COLUMNS = ("enclosure", "stage", "since", "given", "litres", "holds")


def batch_records(ledger: Ledger, uses: Sequence[Use]) -> list[dict[str, Cell]]:
    """Where substrate of a batch went, with what is there now."""
    out = []
    for u in uses:
        box = ledger.row("enclosure", u.enclosure)
        inside = [r for _, r in ledger.rows("content", enclosure=u.enclosure, until=None)]
        row = (box["code"], box["stage"], _said(box["stage_since"]), _said(u.given), u.litres,
               ", ".join(_held(ledger, r) for r in inside))  # fmt: skip
        out.append(dict(zip(BATCH_COLUMNS, row, strict=True)))
    return out


LOT_COLUMNS = ("who", "species", "generation", "certain", "through", "sex", "state", "enclosure", "doubt")


def lot_records(ledger: Ledger, found: Sequence[Descendant]) -> list[dict[str, Cell]]:
    """Animals and groups that come from an arrival."""
    where = {
        r["animal"]: r["enclosure"] for _, r in ledger.rows("content", until=None) if r["animal"] is not None
    }
    out = []
    for d in found:
        if d.animal is not None:
            a = ledger.row("animal", d.animal)
            line = ledger.row("line", a["line"])
            box = where.get(d.animal)
            row: tuple[Cell, ...] = (
                f"{line['name']}/{a['number']}", line["species"], d.generation, d.certain, d.through, a["sex"], a["state"],
                None if box is None else ledger.row("enclosure", box)["code"], a["doubt"],
            )  # fmt: skip
        else:
            c = ledger.row("content", d.content or 0)
            species = ledger.row("line", c["line"])["species"] if c["line"] is not None else ""
            row = (_held(ledger, c), species, d.generation, d.certain, d.through, "", "alive",
                   ledger.row("enclosure", c["enclosure"])["code"], c["doubt"])  # fmt: skip
        out.append(dict(zip(LOT_COLUMNS, row, strict=True)))
    return out


def _said(span: Span | None) -> str:
    return "" if span is None else text(span)


def _held(ledger: Ledger, row: Row) -> str:
    """``UMBER/3``, or a group such as ``LOCH-01 L2 (at least 0.0.12)``."""
    if row["animal"] is not None:
        animal = ledger.row("animal", row["animal"])
        return f"{ledger.row('line', animal['line'])['name']}/{animal['number']}"
    return group_name(ledger, row)
