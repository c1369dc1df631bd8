"""Pairings: those that run, those that are planned, those that are over; the newest first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rounds.books import trials
from rounds.husbandry.pages import Column, Link, Open, Page, Part, Row
from rounds.husbandry.spans import FIRST
from rounds.pages import kin, words
from rounds.pages.sources import Sources
from rounds.shown import span_words

COLUMNS = (
    Column("name", 6), Column("female", 11, 1), Column("males", 11, 1), Column("from – to", 20),
    Column("matings", 7), Column("young", 17),
)  # fmt: skip
PLANNED = (
    Column("plan", 7), Column("female", 13, 1), Column("male", 13, 1), Column("when", 16), Column("for", 16, 1),
)  # fmt: skip
NONE = (
    "No pairing is recorded yet. Go to the enclosure the animals are put together in; the record key there"
    " offers it."
)


def build(opened: Open, sources: Sources) -> Page:  # noqa: ARG001
    running, over = sources.once("pairings", lambda: _ordered(sources))
    planned = [*_planned(sources)]

    def make(id_: int) -> Row:
        return row(sources, id_)

    parts = [Part("together now", COLUMNS, kin.Made(running, make), "none")]
    if planned:
        parts.append(Part("planned, not yet made", PLANNED, planned))
    parts.append(Part("over", COLUMNS, kin.Made(over, make), "none"))
    hint = "" if running or over or planned else words.first_of_all(sources.ledger, NONE)
    return Page(
        "pairings", parts=tuple(parts) if not hint else (), hint=hint,
        about="Which males were with which female. What was found of each stands last; at least stays at least.",
    )  # fmt: skip


def _ordered(sources: Sources) -> tuple[list[int], list[int]]:
    ledger = sources.ledger
    ids = newest(sources, [i for i, _ in ledger.rows("pairing")])
    running = [i for i in ids if ledger.row("pairing", i)["until"] is None]
    return running, [i for i in ids if ledger.row("pairing", i)["until"] is not None]


def newest(sources: Sources, ids: Iterable[int]) -> list[int]:
    """Pairings by the day they began, the newest first."""

    def began(id_: int) -> tuple[int, int]:
        since = sources.ledger.row("pairing", id_)["since"]
        return (FIRST if since is None else since.earliest), id_

    return sorted(ids, key=began, reverse=True)


def row(sources: Sources, id_: int) -> Row:
    """One pairing in the columns of :data:`COLUMNS`."""
    ledger = sources.ledger
    r = ledger.row("pairing", id_)
    female = words.animal(ledger, r["female"]) if r["female"] is not None else kin.NOT_RECORDED
    when = kin.stretch(r["since"], r["until"], sources.day)
    return Row(
        (r["name"], female, kin.names(sources, kin.males(sources, id_)) or kin.NOT_RECORDED, when,
         kin.matings(sources, id_).removesuffix(" seen"), kin.offspring(sources, id_)),
        Link("pairing", id_), enclosure=box(sources, id_),
    )  # fmt: skip


def box(sources: Sources, pairing: int) -> int | None:
    """The enclosure a pairing concerns: where they are together, or else where the female is now."""
    r = sources.ledger.row("pairing", pairing)
    if r["until"] is None and r["enclosure"] is not None:
        return int(r["enclosure"])
    return None if r["female"] is None else kin.box_of(sources, r["female"])


def _planned(sources: Sources) -> Iterator[Row]:
    ledger = sources.ledger
    for _, r in ledger.rows("plan", pairing=None, dropped=None):
        kept_back = trials.hidden_pair(ledger, r["female"], r["male"])
        when = (
            span_words(r["earliest"], r["latest"])
            if None not in (r["earliest"], r["latest"])
            else kin.NOT_RECORDED
        )
        pair = [
            words.animal(ledger, a) if a is not None else kin.NOT_RECORDED for a in (r["female"], r["male"])
        ]
        at = r["enclosure"] if r["enclosure"] is not None else kin.box_of(sources, r["female"])
        yield Row(
            (r["name"], *pair, when, "in a trial" if kept_back else r["purpose"]),
            Link("animal", r["female"]) if r["female"] is not None else None, enclosure=at,
        )  # fmt: skip
