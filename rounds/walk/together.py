"""Others who write into the same book: seen once a second, told at once, taken in where it moves nothing.

What anybody committed is told in a line, and what was read today stands in today's column at
once: neither changes what a key does. All else (the books, open actions, the past of a box, the
cells of one's own round) is taken in only while the walk itself is in sight and no key was
pressed just now, and for the box one stands at only once one has left it. So an open card or
list keeps its digits, a burst of keys meets one state of the house, and neither the place in
the walk nor the row that is asked ever moves. An act or a decision that rests on what is no
longer so is refused where it is written.
"""

from __future__ import annotations

import time
from typing import NamedTuple

from rounds.records.entries import Cell
from rounds.records.observations import Action, Visit
from rounds.store import changes_since, read
from rounds.store.book import Book
from rounds.store.changes_since import Committed, SeenVisit
from rounds.store.read_rounds import NewestRows
from rounds.text.cleaning import clean
from rounds.walk import merging, together_sentences
from rounds.walk.desk import WalkDesk
from rounds.walk.machine import steps
from rounds.walk.machine.state import VisitDraft
from rounds.walk.others_words import action_words, clock_words, visit_words
from rounds.walk.past import cells_of
from rounds.walk.recorder import Recorder

CALM = 0.4
"""Seconds without a key after which what others did is taken in: a burst meets one state of the house."""
PATIENCE = 0.7
"""Seconds that a look is put off while something of this walk is on its way to the book."""
PRESENT = 600.0
"""Seconds since somebody last wrote or went on, for which they are taken to stand where the book has them."""
TOLD = 5.0
"""Seconds for which a piece of news is kept beside newer ones."""
MOST_TOLD = 5
"""Pieces of news in one line, as far as it is wide."""
EVER = 400
"""Today's visits of others that are remembered as they were last told."""


class News(NamedTuple):
    """Something somebody else committed, when it was seen here (monotonic seconds)."""

    seen: float
    text: str


class Partner(NamedTuple):
    """Somebody else's open round: who, at which enclosure, and when it was last seen to go on."""

    keeper: str
    enclosure: int | None
    since: float


class Together:
    """What others commit to the book of one walk.

    ``newest`` are the rows from before the walk read anything. ``today`` are others' visits of
    the day by stop, as far as they came while this walk went on.
    """

    def __init__(self, book: Book, desk: WalkDesk, recorder: Recorder, newest: NewestRows) -> None:
        self._book, self._desk, self._recorder, self._newest = book, desk, recorder, newest
        self._version: int | None = None
        self._again: frozenset[int] = frozenset()
        self.today: dict[int, dict[bytes, Visit]] = {}
        self.news: list[News] = []
        self.partners: dict[bytes, Partner] = {}
        self.shared = False  # another terminal of the same keeper walks this round
        self._told: dict[bytes, Visit] = {}
        self._mine: dict[
            int, int
        ] = {}  # row ids of this round's visits that differ from what is shown, by stop
        self._actions: dict[bytes, Action] = {}
        self._stale: set[int] = set()  # stops whose past, and what is asked there, may be another
        self._restated: set[int] = set()  # stops that acts have changed
        self._acts = self._elsewhere = False
        self._undone: frozenset[int] = frozenset()
        self._looked = self._put_off = 0.0

    # Looking

    def look(self, pressed_at: float) -> bool:
        """See what was committed since the last look; True when there is something new to show.

        ``pressed_at`` is when the last key was pressed (monotonic seconds).
        """
        now = time.monotonic()
        version = changes_since.version(self._book)
        shown = False
        if version is not None and version != self._version and self._in_time(now):
            saving, round_ = self._recorder.saving, self._desk.round
            waiting, saved = saving.waiting, saving.saved_up_to
            found = changes_since.since(
                self._book,
                self._newest,
                round_.day,
                round_.uid,
                self._desk.undo.walk,
                self._again,
                shared=self.shared,
            )
            if found is not None:
                self._version, self._looked = version, now
                after = found.newest
                if (
                    waiting
                ):  # of actions that are being set here the book has an older state: they are read again
                    after, self._version = after._replace(action_change=self._newest.action_change), None
                    found = found._replace(actions=())
                self._newest = after
                shown = self._take(found, now, saved)
        if self.pending and now - pressed_at >= CALM and self._settled():
            shown = self._take_in() or shown
        return shown

    def _in_time(self, now: float) -> bool:
        """Is nothing of this walk on its way to the book, or has it been for too long?"""
        self._put_off = 0.0 if not self._recorder.saving.waiting else self._put_off or now
        return not self._put_off or now - max(self._put_off, self._looked) > PATIENCE

    @property
    def pending(self) -> bool:
        """Is there anything that was not read, or told and not taken in yet?"""
        return bool(
            self._put_off
            or self._mine
            or self._actions
            or self._stale
            or self._restated
            or self._acts
            or self._elsewhere
            or self._undone
        )

    def _take(self, found: Committed, now: float, saved: int) -> bool:
        told, stood = len(self.news), {r: p.enclosure for r, p in self.partners.items()}
        self._again = frozenset(s.visit.id for s in found.visits)
        for seen in found.visits:
            self._take_visit(seen, now, saved)
        self._take_standing(found, now)
        for action, code, keeper, at_ms in found.actions:
            if self._desk.watch.known(action.uid) != action:
                self._actions[action.uid] = action
                decided = action.state in ("done", "off")  # what a rule raised stands at the box
                if decided and (keeper != self._desk.round.keeper or self.shared):
                    self._tell(now, at_ms, keeper, code, action_words(action))
        for act in found.acts:
            if act.uid not in self._recorder.acts_made:
                self._acts = True
                self._tell(now, act.at_ms, act.keeper, act.subject, _act_words(act.name, act.given))
        if found.other_start and not self.shared:
            self.shared = self._elsewhere = True
            self.news.append(News(now, together_sentences.SHARED))
        if self.shared:
            self._undone |= found.undone
        return len(self.news) > told or stood != {r: p.enclosure for r, p in self.partners.items()}

    def _take_visit(self, seen: SeenVisit, now: float, saved: int) -> None:
        round_, visit = self._desk.round, seen.visit
        stop = self._desk.stop_of(visit.enclosure)
        if seen.round == round_.uid:
            if stop is not None and self._merged(stop, visit, saved)[1]:
                self._mine[stop] = visit.id
                self._tell_visit(now, visit, seen.code, mine=True)
            return
        if stop is not None:
            self._stale.add(stop)
        if visit.day == round_.day and visit.keeper != round_.keeper:
            if stop is not None:
                self.today.setdefault(stop, {})[visit.uid] = visit
            self._tell_visit(now, visit, seen.code, mine=False)

    def _merged(self, stop: int, visit: Visit, saved: int) -> tuple[dict[str, Cell], tuple[str, ...]]:
        """The cells of a stop with what the book had of them; ``saved`` is how far this walk was saved before it was read."""
        cells = self._desk.round.state.looks.get(stop, VisitDraft()).cells
        ticket = self._recorder.saving.ticket
        waiting = [k for k in cells if ticket((stop, None, k)) > saved]
        return merging.merged(cells, cells_of(visit), waiting)

    def _take_standing(self, found: Committed, now: float) -> None:
        moved = {s.round for s in found.visits}
        for round_, keeper, enclosure in found.standing:
            if round_ == self._desk.round.uid:
                continue
            known = self.partners.get(round_)
            went_on = round_ in moved or (known is not None and known.enclosure != enclosure)
            since = now if went_on else known.since if known is not None else now - PRESENT
            self.partners[round_] = Partner(keeper, enclosure, since)

    # Telling

    def _tell_visit(self, now: float, visit: Visit, code: str, *, mine: bool) -> None:
        desk = self._desk
        before = self._told.get(visit.uid)
        if before is None and mine:
            stop = desk.stop_of(visit.enclosure)
            before = None if stop is None or stop not in desk.round.visits else desk.round.visit_at(stop)
        self._told[visit.uid] = visit
        if len(self._told) > EVER:
            del self._told[next(iter(self._told))]
        words = visit_words(before, visit, desk.kinds, desk.skips)
        if words:
            at_ms = visit.at_ms if before is None else max(visit.at_ms, desk.round.clock())
            self._tell(now, at_ms, "" if mine else visit.keeper, code, ", ".join(words), mine=mine)

    def _tell(self, now: float, at_ms: int, keeper: str, code: str, what: str, *, mine: bool = False) -> None:
        when = clock_words(at_ms, self._recorder.house.zone)
        text = (
            together_sentences.of_your_round(when, code, what)
            if mine
            else together_sentences.news(when, keeper, code, what)
        )
        self.news.append(News(now, text))
        del self.news[:-50]

    def said(self) -> str:
        """The newest news, newest first, in one line; "" while there is none."""
        if not self.news:
            return ""
        last = self.news[-1].seen
        recent = [n.text for n in reversed(self.news) if n.seen > last - TOLD]
        return together_sentences.and_more(" · ".join(recent[:MOST_TOLD]), max(0, len(recent) - MOST_TOLD))

    def here(self, enclosure: int) -> tuple[str, ...]:
        """Other keepers who stand at this enclosure now."""
        now, me = time.monotonic(), self._desk.round.keeper
        found = (
            p.keeper for p in self.partners.values() if p.enclosure == enclosure and now - p.since < PRESENT
        )
        return tuple(dict.fromkeys(k for k in found if k != me))

    # Taking in

    def _settled(self) -> bool:
        """Is the walk itself in sight, with nothing open whose digits or rows could change?"""
        state = self._desk.round.state
        return state.mode.name == "walk" and not state.pages and state.earlier is None

    def _held(self) -> tuple[int | None, bytes | None]:
        """The stop one stands at; on the summary that of the row at the cursor, and its action."""
        state = self._desk.round.state
        if state.at < self._desk.count():
            return state.at, None
        listed = self._desk.listed()
        if state.cursor >= len(listed):
            return None, None
        stop, action = listed[state.cursor]
        return stop, action.uid if action is not None else None

    def _take_in(self) -> bool:
        desk, (held, uid) = self._desk, self._held()
        row = self._row_at_cursor()
        changed = self._take_in_steps()
        changed = self._take_in_books(held) or changed
        for stop in [s for s in self._restated if s != held]:
            self._restated.discard(stop)
            self._recorder.show([desk.enclosure_of(stop)])
            changed = True
        for action in list(self._actions.values()):
            stop_ = desk.stop_of(action.enclosure)
            if action.uid == uid or (stop_ is not None and stop_ == held):
                continue
            del self._actions[action.uid]
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
        if self._elsewhere:
            gone |= set(desk.undo.made_elsewhere())
        gone |= self._undone & {s.seq for s in round_.state.steps}
        self._elsewhere, self._undone = False, frozenset()
        if gone:
            desk.undo.forget(gone)
            left = tuple(s for s in round_.state.steps if s.seq not in gone)
            round_.state = round_.state._replace(steps=left)
        return bool(gone)

    def _take_in_books(self, held: int | None) -> bool:
        """Acts of others: the books are brought up to date, and every box they concern, but the one stood at."""
        saving, dues, books = self._recorder.saving, self._recorder.dues, self._desk.books
        if not self._acts or saving.waiting or saving.refused:
            return False
        if books.at_hand is None and dues.finder is not None and not dues.said:
            return False  # a thread reads them
        from rounds.records import enclosure_view  # of the books, which no look needs that finds no act

        ledger = books.ledger
        changes = books.catch_up()
        self._acts = False
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
        desk.route.stops[held] = desk.acts.stop(before.enclosure.id, before)
        if state.at != held or steps.rows(state, desk) != rows:
            desk.route.stops[held] = before
            self._restated.add(held)
        self._stale.add(held)
        self._recorder.dues.look_again()
        desk.pages.changed(books=True)

    def _take_in_visits(self, held: int | None) -> bool:
        desk, round_ = self._desk, self._desk.round
        on_walk = round_.state.at < desk.count()
        changed = False
        for stop, id_ in list(self._mine.items()):
            if stop == held and not on_walk:
                continue
            del self._mine[stop]
            saved = self._recorder.saving.saved_up_to
            visit = changes_since.visit(
                self._book, id_
            )  # as it is now: keys were pressed since it was told of
            changed = (visit is not None and self._take_in_mine(stop, visit, saved)) or changed
        if not self._recorder.saving.waiting:  # what was corrected here is in the book by then
            for stop in [s for s in self._stale if s != held]:
                self._stale.discard(stop)
                desk.past.forget(stop)
                round_.ask_again(stop)
                changed = True
            if changed:
                desk.pages.visits_changed()
        return changed

    def _take_in_mine(self, stop: int, visit: Visit, saved: int) -> bool:
        desk, round_ = self._desk, self._desk.round
        state = round_.state
        cells, changed = self._merged(stop, visit, saved)
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

    def _row_at_cursor(self) -> tuple[int, bytes] | None:
        """On the summary, what the row at the cursor is about."""
        state = self._desk.round.state
        if state.at < self._desk.count():
            return None
        listed = self._desk.listed()
        if state.cursor >= len(listed):
            return None
        stop, action = listed[state.cursor]
        return stop, action.uid if action is not None else b""

    def _back_to_row(self, row: tuple[int, bytes] | None) -> None:
        """On the summary, the cursor on the row it was on, wherever that stands now."""
        if row is None:
            return
        listed = [(stop, a.uid if a is not None else b"") for stop, a in self._desk.listed()]
        if row in listed:
            self._desk.round.state = self._desk.round.state._replace(cursor=listed.index(row))


def _act_words(name: str, given: tuple[str, ...]) -> str:
    if name == changes_since.UNDO:
        return together_sentences.TAKEN_BACK
    from rounds.acts import registry

    known = registry.all_acts().get(name)
    title = known.title if known is not None else name
    return together_sentences.act(title, clean(", ".join(filter(None, given)), 60))
