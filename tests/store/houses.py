"""A small house in a book, walks through it, and what a book holds for comparing two."""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from rounds.records.entries import Assign, Entry, OpenRound, OpenVisit
from rounds.records.ledger import Add, Ledger
from rounds.records.observations import House
from rounds.records.tables import TABLES
from rounds.store.apply_entries import apply
from rounds.store.book import Book, create
from rounds.store.ids import Ids
from rounds.store.ledger_store import make

HOUSE = House("Tarn Lantern Beetle House", "Europe/Berlin")
DAY = 739_300  # 2025-02-22
NOON = 1_740_222_000_000


def furnish(book: Book, enclosures: int = 3, *, slots: int = 4) -> None:
    """Enclosures ``TL-001`` … with ids and numbers from 1, each in a slot of its own."""
    with book.writing():
        for i in range(enclosures):
            bay, shelf, slot = (
                "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[i // (4 * slots)],
                i // slots % 4 + 1,
                i % slots + 1,
            )
            book.run("INSERT INTO place (bay, shelf, slot) VALUES (?, ?, ?)", (bay, shelf, slot))
            book.run(
                "INSERT INTO enclosure (code, number, stage, place, slot_order, species, note)"
                " VALUES (?, ?, 'holding', ?, 0, 'Eudicella smithi', '')",
                (f"TL-{i + 1:03}", i + 1, i + 1),
            )


def new_house(path: Path, enclosures: int = 3, house: House = HOUSE) -> Book:
    book = create(path, house)
    furnish(book, enclosures)
    return book


def with_books(path: Path, ledger: Ledger) -> Book:
    """A book that holds exactly this ledger, and no act."""
    book = create(path, HOUSE)
    with book.writing():
        book.run("PRAGMA defer_foreign_keys = ON")  # rows of two tables may refer to each other
        for table in TABLES:
            for id_, record in ledger.table(table).items():
                make(book, Add(table, id_, record.values))
    return book


class Steady:
    """A clock that goes on by one millisecond whenever it is read."""

    def __init__(self, start: int = NOON) -> None:
        self.now = start

    def __call__(self) -> int:
        self.now += 1
        return self.now


def walk(
    ids: Ids,
    clock: Steady,
    day: int,
    enclosures: Sequence[int],
    cells: Sequence[tuple[str, Any]],
    keeper: str = "Ferrow",
) -> list[Entry]:
    """One round that reads ``cells`` at every enclosure."""
    round_ = ids.new()
    out: list[Entry] = [OpenRound(round_, keeper, day, clock(), HOUSE.zone)]
    for seq, enclosure in enumerate(enclosures, 1):
        visit = ids.new()
        out.append(OpenVisit(visit, round_, enclosure, seq, clock()))
        out += [Assign(visit, kind, 1, None, value, clock(), keeper) for kind, value in cells]
    return out


def fill(book: Book, days: int, enclosures: Sequence[int], cells: Sequence[tuple[str, Any]]) -> None:
    """``days`` rounds ending on DAY."""
    clock = Steady(NOON - days * 86_400_000)
    ids = Ids(clock, lambda n: bytes(n))
    for day in range(DAY - days + 1, DAY + 1):
        clock.now = NOON + (day - DAY) * 86_400_000
        with book.writing():
            apply(book, walk(ids, clock, day, enclosures, cells))


SAID = 150
"""Cells that each :func:`say` writes: some pages' worth, so that pages of two books cannot fit by luck."""


def say(book: Book, name: str) -> None:
    """A round of a keeper of this name."""
    round_, visit = os.urandom(16), os.urandom(16)
    cells = [Assign(visit, f"k{n}", 1, None, f"{name} {n}", n, name) for n in range(SAID)]
    with book.writing():
        apply(book, [OpenRound(round_, name, 1, 1, "UTC"), OpenVisit(visit, round_, 1, 1, 1), *cells])


def held(book: Book) -> dict[str, list[str]]:
    """Everything a walk writes, by names and uids instead of row ids, in a fixed order."""
    asked = {
        "rounds": "SELECT r.uid, k.name, day, r.name, zone, bays, opened_ms, closed_ms, fingerprint, at_enclosure, source"
        ' FROM "round" r JOIN keeper k ON k.id = r.keeper',
        "visits": 'SELECT v.uid, v.enclosure, r.uid, v.seq, v.at_ms, v.place FROM visit v JOIN "round" r ON r.id = v.round',
        "cells": "SELECT v.uid, c.reading, c.depth, c.number, c.text FROM cell c JOIN visit v ON v.id = c.visit",
        "changes": "SELECT v.uid, k.reading, k.depth, c.old, c.new, c.at_ms, p.name, c.why FROM change c"
        " JOIN visit v ON v.id = c.visit JOIN kind k ON k.id = c.kind LEFT JOIN keeper p ON p.id = c.keeper",
        "flags": "SELECT v.uid, rule, day, level, reason, todo, withheld, stands, fingerprint FROM flag f"
        " JOIN visit v ON v.id = f.visit",
        "actions": "SELECT a.uid, a.enclosure, rule, level, reason, todo, opened, v.uid, state, until, why, cause_gone,"
        " withheld, closed FROM action a LEFT JOIN visit v ON v.id = a.opened_visit",
        "action changes": "SELECT a.uid, v.uid, c.at_ms, p.name, c.state FROM action_change c"
        " JOIN action a ON a.id = c.action LEFT JOIN visit v ON v.id = c.visit LEFT JOIN keeper p ON p.id = c.keeper",
        "steps": 'SELECT r.uid, s.seq, subject, kind, depth, before, undone FROM step s JOIN "round" r ON r.id = s.round',
        "not seen": 'SELECT r.uid, n.enclosure FROM not_seen n JOIN "round" r ON r.id = n.round',
        "remarks": "SELECT text FROM remark",
    }
    return {
        name: sorted(
            json.dumps([x.hex() if isinstance(x, bytes) else x for x in row]) for row in book.rows(sql)
        )
        for name, sql in asked.items()
    }
