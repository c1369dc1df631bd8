"""What others committed is taken into the walk, where that moves nothing a hand is about to use.

For the box one stands at it waits until one has left it; an act, also until the books hold all
that this walk has recorded.
"""

from __future__ import annotations

from rounds.records.entries import Cell
from rounds.records.observations import Action, Visit
from rounds.store import changes_since, read
from rounds.store.book import Book
from rounds.walk import merging
from rounds.walk.desk import WalkDesk
from rounds.walk.machine import steps
from rounds.walk.machine.state import VisitDraft
from rounds.walk.past import cells_of
from rounds.walk.recorder import Recorder


class TakingIn:
    """What of others waits to be taken in.

    ``own_visits`` are row ids of this round's visits that differ from what is shown, by stop;
    ``actions`` those that were set elsewhere, by uid; ``past`` the stops whose past, and what is
    asked there, may be another; ``acts``: some were recorded; ``other_start``: another terminal
    has begun to walk this round; ``undone`` are steps of this walk that it took back.
    """

    def __init__(self, book: Book, desk: WalkDesk, recorder: Recorder) -> None:
        self._book, self._desk, self._recorder = book, desk, recorder
        self.own_visits: dict[int, int] = {}
        self.actions: dict[bytes, Action] = {}
        self.past: set[int] = set()
        self.acts = self.other_start = False
        self.undone: frozenset[int] = frozenset()
        self._restated: set[int] = set()  # stops that acts have changed

    @property
    def pending(self) -> bool:
        """Is there anything that was not taken in yet?"""
        return bool(
            self.own_visits
            or self.actions
            or self.past
            or self._restated
            or self.acts
            or self.other_start
            or self.undone
        )

    def settled(self) -> bool:
        """Is the walk itself in sight, with nothing open whose digits or rows could change?"""
        state = self._desk.round.state
        return state.mode.name == "walk" and not state.pages and state.earlier is None

    def merged(self, stop: int, visit: Visit, saved: int) -> tuple[dict[str, Cell], tuple[str, ...]]:
        """The cells of a stop with what the book had of them, and the kinds that changed.

        ``saved`` is how far this walk was saved before ``visit`` was read.
        """
        cells = self._desk.round.state.looks.get(stop, VisitDraft()).cells
        ticket = self._recorder.saving.ticket
        waiting = [k for k in cells if ticket((stop, None, k)) > saved]
        return merging.merged(cells, cells_of(visit), waiting)

    def take_in(self) -> bool:
        """Take in all that moves nothing; True when anything was."""
        desk, (held, uid) = self._desk, self._held()
        row = self._row_at_cursor()
        changed = self._take_in_steps()
        changed = self._take_in_books(held) or changed
        for stop in [s for s in self._restated if s != held]:
            self._restated.discard(stop)
            self._recorder.show([desk.enclosure_of(stop)])
            changed = True
        for action in list(self.actions.values()):
            stop_ = desk.stop_of(action.enclosure)
            if action.uid == uid or (stop_ is not None and stop_ == held):
                continue
            del self.actions[action.uid]
            desk.watch.set(action)
            if stop_ is not None:
                desk.round.ask_again(stop_)
            changed = True
        changed = self._take_in_visits(held) or changed
        if changed:
            desk.pages.changed()
            self._back_to_row(row)
        return changed

    def _take_in_steps(self) -> bool:
        """What another terminal made, or took back, is not taken back from here."""
        desk, round_ = self._desk, self._desk.round
        gone: set[int] = set()
        if self.other_start:
            gone |= set(desk.undo.made_elsewhere())
        gone |= self.undone & {s.seq for s in round_.state.steps}
        self.other_start, self.undone = False, frozenset()
        if gone:
            desk.undo.forget(gone)
            round_.drop_steps(gone)
        return bool(gone)

    def _take_in_books(self, held: int | None) -> bool:
        """Acts of others: the books are brought up to date, and every box they concern, but the one stood at."""
        saving, dues, books = self._recorder.saving, self._recorder.dues, self._desk.books
        if not self.acts or saving.waiting or saving.refused:
            return False
        if books.at_hand is None and dues.finder is not None and not dues.said:
            return False  # a thread reads them
        from rounds.records import enclosure_view  # of the books, which no look needs that finds no act

        ledger = books.ledger
        changes = books.catch_up()
        self.acts = False
        touched = enclosure_view.touched(books.ledger, changes)
        touched |= enclosure_view.touched(ledger, [c for c in changes if c.id in ledger.table(c.table)])
        stops = [s for e in touched if (s := self._desk.stop_of(e)) is not None]
        self._recorder.show([self._desk.enclosure_of(s) for s in stops if s != held])
        if held in stops and held is not None:
            self._restate_held(held)
        return True

    def _restate_held(self, held: int) -> None:
        """The box one stands at is shown as it is now, unless that would ask something else of it."""
        desk, state = self._desk, self._desk.round.state
        before = desk.route.stops[held]
        rows = steps.rows(state, desk)
        desk.route.put(held, desk.acts.stop(before.enclosure.id, before))
        if state.at != held or steps.rows(state, desk) != rows:
            desk.route.put(held, before)
            self._restated.add(held)
        self.past.add(held)
        self._recorder.dues.look_again()
        desk.pages.changed(books=True)

    def _take_in_visits(self, held: int | None) -> bool:
        desk, round_ = self._desk, self._desk.round
        on_walk = round_.state.at < desk.count()
        changed = False
        for stop, id_ in list(self.own_visits.items()):
            if stop == held and not on_walk:
                continue
            del self.own_visits[stop]
            saved = self._recorder.saving.saved_up_to
            visit = changes_since.visit(self._book, id_)  # as it is now: keys were pressed since it was told
            changed = (visit is not None and self._take_in_own(stop, visit, saved)) or changed
        if not self._recorder.saving.waiting:  # what was corrected here is in the book by then
            for stop in [s for s in self.past if s != held]:
                self.past.discard(stop)
                desk.past.forget(stop)
                round_.ask_again(stop)
                changed = True
            if changed:
                desk.pages.visits_changed()
        return changed

    def _take_in_own(self, stop: int, visit: Visit, saved: int) -> bool:
        desk, round_ = self._desk, self._desk.round
        state = round_.state
        cells, changed = self.merged(stop, visit, saved)
        if not changed:
            return False
        round_.visits[stop] = visit.uid
        shown = steps.rows(state, desk)
        depth = steps.depth_of(state, desk, stop)
        asked = {a.kind.id for a in desk.asks(stop, depth)}
        extra = [
            k for k in changed if k in desk.kinds and k not in asked and desk.kinds[k].subject != "shelf"
        ]
        state = merging.with_cells(state, stop, cells, extra)
        if stop == state.at:
            state = merging.anchored(state, shown, steps.rows(state, desk))
        round_.state = state
        for kind in changed:
            round_.note_put(stop, kind)
        desk.watch.recall(visit.enclosure, visit.uid, read.flags_of_visit(self._book, visit.uid))
        return True

    def _held(self) -> tuple[int | None, bytes | None]:
        """The stop one stands at; on the summary that of the row at the cursor, and its action."""
        state = self._desk.round.state
        if state.at < self._desk.count():
            return state.at, None
        return self._row_at_cursor() or (None, None)

    def _row_at_cursor(self) -> tuple[int, bytes | None] | None:
        """On the summary, the stop and the action that the row at the cursor is about."""
        state = self._desk.round.state
        rows = self._summary_rows() if state.at == self._desk.count() else []
        return rows[state.cursor] if state.cursor < len(rows) else None

    def _back_to_row(self, row: tuple[int, bytes | None] | None) -> None:
        """On the summary, the cursor on the row it was on, wherever that stands now."""
        if row is None:
            return
        rows = self._summary_rows()
        if row in rows:
            self._desk.round.state = self._desk.round.state._replace(cursor=rows.index(row))

    def _summary_rows(self) -> list[tuple[int, bytes | None]]:
        return [(stop, None if action is None else action.uid) for stop, action in self._desk.listed()]
