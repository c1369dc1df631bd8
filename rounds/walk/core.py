"""The walk itself: a key in; saved rows, flags and what to show out. No screen, no SQL.

One ``Walk`` holds the state of the pure machine (:mod:`rounds.walk.machine.press`), turns its
effects into entries for the writer, and judges the enclosure again after every answer.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.config import Config, for_acts
from rounds.husbandry.round_day import round_day
from rounds.husbandry.stages import Depth
from rounds.records.entries import (
    ACT,
    Assign,
    CloseRound,
    Entry,
    OpenRound,
    OpenVisit,
    RecordActEntry,
    SetActionEntry,
    StandAt,
    UndoActEntry,
    UndoStep,
)
from rounds.records.stops import Stop
from rounds.store import read, rescue
from rounds.store.book import open_book
from rounds.store.ids import Ids, now_ms
from rounds.store.writer import Writer
from rounds.walk.machine.press import press
from rounds.walk.machine.state import Effect, Leave, Move, Put, RecordAct, SetAction, UndoAct, Undone
from rounds.walk.machine.steps import start
from rounds.walk.resume import take_up
from rounds.walk.round_state import Standing
from rounds.walk.rule_monitor import state_of
from rounds.walk.saved_count import SavedCount
from rounds.walk.saving import Saving

if TYPE_CHECKING:
    from rounds.views.page import Link, OpenPage, Page
    from rounds.walk.page_cache import LookUp

CARRY_DAYS = 15  # the past that carry rules are given for enclosures the walk did not come by

__all__ = ["Stop", "Walk", "now_ms", "round_day"]


class Walk(Standing):
    """A keeper's round over some bays of one house on one day.

    Opening reads the book and resumes the day's round where it stood; nothing is written
    before the first key that records something. Raises BookError when the book cannot be
    used. ``press`` takes one key; a listener is told whenever the writer saved something
    or failed to (from the writer's thread).
    """

    def __init__(
        self,
        path: Path,
        config: Config,
        *,
        keeper: str = "",
        day: int | None = None,
        name: str = "",
        bays: Sequence[str] = (),
        clock: Callable[[], int] = now_ms,
        writer: type[Writer] = Writer,
    ) -> None:
        book = open_book(path)
        taken_in = [*book.notes, *rescue.replay(book, lambda: for_acts(config))]
        self.house, self.first_ever = read.house(book), not read.walked(book)
        self.path, self.ids, self._book_id = path, Ids(clock), book.identity
        self._latest_ms = 0
        today = day or round_day(clock(), self.house.zone, self.house.day_starts)
        keeper = keeper or next(iter(read.keepers(book)), "keeper")
        super().__init__(book, config, today, tuple(bays), self.ids, keeper, clock)
        self.name, self.bays = name, tuple(bays)
        self._step_rows: dict[int, list[UndoStep]] = {}
        self._visited = 0  # visits of this round so far
        self._resume()
        self._kept = SavedCount(step for rows in self._step_rows.values() for step in rows)
        if taken_in:
            self.say(" ".join(taken_in))
        self.pending_shown = False
        self._cautioned: set[str] = set()
        self.refusal = ""  # an act that the books no longer allowed, until it was read
        self.saving = Saving(book, config, writer)

    def _resume(self) -> None:
        found = read.round_of(self.book, self.keeper, self.day, self.name)
        self.opened = found is not None
        self.round = found.uid if found else self.ids.new()
        at = 0
        if found is not None:
            taken = take_up(self, self.round)
            self.state = self.state._replace(looks=taken.looks, steps=taken.steps, seq=taken.seq)
            self._step_rows, self._visited = taken.rows, taken.visited
            at = (
                len(self.stops)
                if found.at_enclosure is None
                else self.by_enclosure.get(found.at_enclosure, 0)
            )
        self.state = start(self.state._replace(at=at), self)
        self.take_stock()

    # The books as pages

    @cached_property
    def lookup(self) -> LookUp:
        """The books as pages, from the first look at one on: no start needs them."""
        from rounds.walk.page_cache import LookUp

        made = LookUp(
            self, lambda stop: self.seen(stop) if stop in self.visits else None, lambda: self.saving.wake()
        )
        made.saved(self.saving.saved_up_to)
        return made

    def page(self, opened: OpenPage) -> Page:
        return self.lookup.page(opened)

    def first_row(self, link: Link, stop: int) -> int:
        return self.lookup.first_row(link, stop)

    def _look_again(self, *, books: bool = False) -> None:
        if "lookup" in self.__dict__:
            self.lookup.changed(books=books)

    def take_found(self) -> None:
        """Show on the pages what was saved or worked out meanwhile."""
        if "lookup" in self.__dict__:
            self.lookup.saved(self.saving.saved_up_to)
            self.lookup.changed()

    # Keys

    def press(self, key: str) -> None:
        """One key: the state moves, entries go to the writer, the enclosure is judged again."""
        self.state, effects = press(self.state, key, self)
        if self.refusal and self.state.mode.name in ("help", "acts"):
            self.refusal = ""  # it was read
        if effects:
            self._carry_out(effects)

    def _carry_out(self, effects: Sequence[Effect]) -> None:
        entries: list[Entry] = []
        cells: list[tuple[int, bytes | None, str]] = []
        undoing = {e.seq for e in effects if isinstance(e, Undone)}
        for effect in effects:
            match effect:
                case Put(seq, stop, visit, kind, depth, before, after, why):
                    uid = visit or self._visit(stop, entries)
                    entries.append(
                        Assign(uid, kind, int(depth), before, after, self._now(), self.keeper, why)
                    )
                    if seq not in undoing:
                        entries += self._step(seq, uid, kind, depth)
                    if visit is not None:
                        self.correct(stop, visit, kind, after)
                    cells.append((stop, visit, kind))
                    if visit is None:
                        self.note_put(stop, kind)
                case SetAction(seq, stop, action):
                    if seq not in undoing:
                        entries += self._step(seq, action.uid, "", Depth.WALL)
                    self.watch.set(action)
                    self.ask_again(stop)
                    entries.append(
                        SetActionEntry(action, self.visits.get(stop, b""), self._now(), self.keeper)
                    )
                    cells.append((stop, None, ""))
                case RecordAct(seq, stop, act, whom, typed, sure):
                    entries += self._record(seq, stop, act, whom, typed, sure)
                    cells.append((stop, None, ACT))
                case UndoAct(seq, stop):
                    entries += self._take_back(seq, stop)
                    cells.append((stop, None, ACT))
                case Undone(seq):
                    entries += [s._replace(undone=True) for s in self._step_rows.pop(seq, ())]
                    self._kept.drop(seq)
                case Move():
                    entries.append(self._standing())
                case Leave():
                    pass
        if cells:
            self._look_again()
        for stop in dict.fromkeys(stop for stop, _, _ in cells):
            if stop in self.visits:
                entries += self.watch.judge(
                    self.scene(stop), self.stops[stop].locks, self.visits[stop], self._now(), self.keeper
                )
        if self.opened or cells:  # looking about writes nothing before a round's first record
            self._put(entries, cells)

    def _record(
        self, seq: int, stop: int, act: str, whom: str, typed: tuple[tuple[str, str], ...], sure: bool
    ) -> list[Entry]:
        uid = self.ids.new()
        self._see(self.acts.record(uid, act, whom, dict(typed), sure))
        caution = self.acts.caution(act)
        if caution and act not in self._cautioned:  # once, and never in the way of a key
            self._cautioned.add(act)
            self.say(f"{self.state.message}. {caution}")
        visit = self.visits.get(stop, b"")
        recorded = RecordActEntry(
            uid, act, whom, dict(typed), self.day, self._now(), self.keeper, visit, sure
        )
        return [recorded, *self._step(seq, uid, ACT, Depth.WALL)]

    def _take_back(self, seq: int, stop: int) -> list[Entry]:
        taken = self._step_rows[seq][0].subject
        self._see(self.acts.take_back(taken))
        return [
            UndoActEntry(
                self.ids.new(), taken, self.day, self._now(), self.keeper, self.visits.get(stop, b"")
            )
        ]

    def keeps(self, seq: int) -> str:
        """Why the act of a step cannot be taken back yet ("" when it can)."""
        return self.acts.keeps(self._step_rows[seq][0].subject)

    def look_ahead(self) -> None:
        """Between two keys: get ready what the next enclosure shows, and let go of what was long passed."""
        if self.waiting or self.state.mode.name != "walk" or self.over:
            return
        self.let_go(self.state.at)
        ahead = self.state.at + 1
        if ahead < len(self.stops):
            self.asks(ahead, self.starts_at(ahead))
            self.flags(ahead)

    def look_up_dues(self) -> None:
        """Have all due work worked out beside the keys; the listener is told, and take_dues shows it."""
        self.find_dues(lambda: self.saving.wake())

    def _see(self, enclosures: Iterable[int]) -> None:
        """Show at once what an act changed about these enclosures."""
        self.refresh(enclosures)
        self._look_again(books=True)
        self.state = start(self.state, self)

    def _now(self) -> int:
        """An instant no other entry has: typed in one burst, keys leave the trace they leave typed slowly."""
        self._latest_ms = max(self.clock(), self._latest_ms + 1)
        return self._latest_ms

    def _put(self, entries: list[Entry], cells: Iterable[tuple[int, bytes | None, str]]) -> None:
        if not entries:
            return
        if not self.opened:
            entries = [*self._opening(), *entries, self._standing()]
            self.opened = True
        self.saving.put(entries, cells)
        self._kept.sent(self.saving.put_up_to)

    def _standing(self) -> StandAt:
        at = self.state.at
        return StandAt(self.round, self.stops[at].enclosure.id if at < len(self.stops) else None)

    def _step(self, seq: int, subject: bytes, kind: str, depth: Depth) -> list[UndoStep]:
        """The row undo will need; one for a whole session of typing a note."""
        rows = self._step_rows.setdefault(seq, [])
        if any(r.subject == subject and r.kind == kind for r in rows):
            return []
        undoable = next(u for u in reversed(self.state.steps) if u.seq == seq and u.kind == kind)
        before = undoable.before if undoable.action is None else state_of(undoable.action)
        rows.append(UndoStep(self.round, seq, subject, kind, int(depth), before))
        self._kept.add(rows[-1])
        return rows[-1:]

    def _visit(self, stop: int, entries: list[Entry]) -> bytes:
        uid = self.visits.get(stop)
        if uid is None:
            uid = self.visits[stop] = self.ids.new()
            self._visited += 1
            entries.append(
                OpenVisit(uid, self.round, self.stops[stop].enclosure.id, self._visited, self.clock())
            )
        return uid

    def _opening(self) -> list[Entry]:
        """Close what earlier days left open, then begin this round."""
        closing = [
            CloseRound(old, self.clock(), read.unseen_of_round(self.book, old))
            for old in read.unfinished_rounds(self.book, self.day)
        ]
        begun = OpenRound(
            self.round,
            self.keeper,
            self.day,
            self.clock(),
            self.house.zone,
            self.name,
            self.bays,
            self.config.fingerprint,
        )
        return [*closing, begun]

    # Saving and leaving

    def is_saved(self, stop: int, visit: bytes | None, kind: str) -> bool:
        """Whether the cell's newest value is committed (values of an earlier start are)."""
        return self.saving.is_saved((stop, visit, kind))

    @property
    def waiting(self) -> int:
        """How many recorded keys are not committed yet."""
        return self.saving.waiting

    @property
    def saved_count(self) -> int:
        """How many recorded keys of this start are committed."""
        return self.saving.count

    @property
    def kept(self) -> int:
        """How many answers and acts of this round the book holds: a note once, and nothing that was taken back."""
        return self._kept.count(self.saving.saved_up_to)

    @property
    def said(self) -> str:
        """Why nothing can be saved at the moment, or nothing."""
        return self.saving.said

    def take_refusals(self) -> None:
        """Acts that the books did not allow when they were written: another hand had been quicker.

        They are no part of this round, and what is shown follows the books again.
        """
        while self.saving.refused:
            entry, why = self.saving.refused.popleft()
            uid = entry.uid if isinstance(entry, RecordActEntry) else b""
            gone = {seq for seq, rows in self._step_rows.items() if any(r.subject == uid for r in rows)}
            for seq in gone:
                del self._step_rows[seq]
                self._kept.drop(seq)
            self.state = self.state._replace(steps=tuple(u for u in self.state.steps if u.seq not in gone))
            self.acts.reread()
            self._see([s.enclosure.id for s in self.stops])
            self.refusal = f"NOT recorded: {why}"

    def say(self, message: str) -> None:
        """Show a message that no key brought about."""
        self.state = self.state._replace(message=message)

    def leave(self) -> None:
        """No more keys: only what waits is still saved."""
        from rounds.walk.machine.left_mode import Left

        self.state = self.state._replace(mode=Left())

    def drain(self, timeout: float) -> bool:
        """Wait until everything put so far is committed; False when it was not in time."""
        return self.saving.writer.drain(timeout)

    def close(self, timeout: float) -> Path | None:
        """Save what waits and let the book go.

        What cannot be saved within ``timeout`` seconds is written to a rescue file, whose
        path is returned; the next start puts it into the book.
        """
        if self.due_work is not None:
            self.due_work.stop()
        if "lookup" in self.__dict__:
            self.lookup.behind.stop()
        left = self.saving.writer.close(timeout)
        self.book.close()
        return rescue.write(self.path, left, self._book_id) if left else None
