"""The first start, without a book: asks in lines, then opens the invented house or makes the keeper's own book."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.husbandry.round_day import round_day
from rounds.line_ui import first_start_sentences as sentences
from rounds.line_ui.first_start import FirstStart
from rounds.line_ui.run_lines import Door, columns, signals, use_utf8
from rounds.problems import EXIT_FINE
from rounds.records.entries import RecordActEntry
from rounds.records.observations import House
from rounds.store.book import create
from rounds.store.ids import Ids, now_ms
from rounds.text.cleaning import clean

if TYPE_CHECKING:
    from rounds.line_ui.new_rack import NewRack
    from rounds.store.book import Book


def offered(book: Path) -> bool:
    """Is there no book, and somebody at a terminal who can be asked?"""
    return not book.exists() and all(
        stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout, sys.stderr)
    )


def begin(book: Path, today: int | None, *, plain: bool) -> tuple[str, int]:
    """Ask what to begin with: ``("demo", 0)``, ``("walk", 0)`` once the book is made, or ``("", exit code)``.

    ``plain``: the round is walked in lines. Nothing is made before the last question is
    answered, and then all of it or nothing. Raises BookError and BadAct.
    """
    use_utf8()
    door = Door(sys.stdin, sys.stdout, columns("terminal"))
    with signals(door.on_signal):
        state = _asked(door, book)
        if state is None or door.ended_by or state.outcome == "leave":
            door.say(sentences.LEFT)
            return "", 128 + door.ended_by if door.ended_by else EXIT_FINE
        if state.outcome == "demo":
            return "demo", EXIT_FINE
        rack = state.rack
        door.say(sentences.MAKING)
        make(book, rack, today)
        door.say(sentences.made(clean(str(book), 400)))
        first = clean(rack.codes()[0])
        door.say(sentences.next_steps_in_lines(first) if plain else sentences.next_steps(first))
        if door.ask(sentences.BEGINS) is None:
            return "", 128 + door.ended_by if door.ended_by else EXIT_FINE
    return "walk", EXIT_FINE


def _asked(door: Door, book: Path) -> FirstStart | None:
    """Ask until the answers have an outcome; None when no more lines come."""
    door.say(sentences.no_book_yet(clean(str(book), 400)))
    door.say(sentences.HELP)
    state = FirstStart()
    while not state.outcome:
        line = door.ask(state.prompt)
        if line is None:
            return None
        state = state.take(line)
        if state.message:
            door.say(state.message)
    return state


def make(path: Path, rack: NewRack, today: int | None) -> None:
    """Make the book of a new house with its rack and first boxes: all of it, or nothing is there."""
    import pendulum

    from rounds.store.recording import record_all

    house = House(rack.house, str(pendulum.now().timezone_name))
    ids, now = Ids(), now_ms()
    day = today or round_day(now, house.zone, house.day_starts)

    def put_up(book: Book) -> None:
        record_all(
            book,
            [RecordActEntry(ids.new(), act, "", typed, day, now, rack.keeper) for act, typed in rack.acts()],
        )

    create(path, house, put_up).close()
