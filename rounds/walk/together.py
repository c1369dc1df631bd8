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

from rounds.named_tuple import NamedTuple
from rounds.records.observations import Visit
from rounds.store import changes_since
from rounds.store.book import Book
from rounds.store.changes_since import Committed, CommittedVisit
from rounds.store.read_rounds import NewestRows
from rounds.walk.desk import WalkDesk
from rounds.walk.others_news import OthersNews
from rounds.walk.recorder import Recorder
from rounds.walk.taking_in import TakingIn

CALM = 0.4
"""Seconds without a key after which what others did is taken in: a burst meets one state of the house."""
PATIENCE = 0.7
"""Seconds that a look is put off while something of this walk is on its way to the book."""
PRESENT = 600.0
"""Seconds since somebody last wrote or went on, for which they are taken to stand where the book has them."""


class Partner(NamedTuple):
    """Somebody else's open round: who, at which enclosure, and when it was last seen to go on."""

    keeper: str
    enclosure: int | None
    since: float


class Together:
    """What others commit to the book of one walk: ``news`` tells it, ``taking_in`` takes it in.

    ``newest`` are the rows from before the walk read anything. ``today`` are others' visits of
    the day by stop, as far as they came while this walk went on.
    """

    def __init__(self, book: Book, desk: WalkDesk, recorder: Recorder, newest: NewestRows) -> None:
        self._book, self._desk, self._recorder, self._newest = book, desk, recorder, newest
        self.news = OthersNews(desk, recorder.house.zone)
        self.taking_in = TakingIn(book, desk, recorder)
        self.today: dict[int, dict[bytes, Visit]] = {}
        self._partners: dict[bytes, Partner] = {}
        self._shared = False  # another terminal of the same keeper walks this round
        self._version: int | None = None
        self._again: frozenset[int] = frozenset()  # row ids of visits that are read once more
        self._looked = self._put_off = 0.0

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
                shared=self._shared,
            )
            if found is not None:
                self._version, self._looked = version, now
                after = found.newest
                if waiting:
                    # Of actions that are being set here the book has an older state: they are read again.
                    after, self._version = after._replace(action_change=self._newest.action_change), None
                    found = found._replace(actions=())
                self._newest = after
                shown = self._take(found, now, saved)
        if self.pending and now - pressed_at >= CALM and self.taking_in.settled():
            shown = self.taking_in.take_in() or shown
        return shown

    def _in_time(self, now: float) -> bool:
        """Is nothing of this walk on its way to the book, or has it been for too long?"""
        self._put_off = 0.0 if not self._recorder.saving.waiting else self._put_off or now
        return not self._put_off or now - max(self._put_off, self._looked) > PATIENCE

    @property
    def pending(self) -> bool:
        """Is there anything that was not read, or told and not taken in yet?"""
        return bool(self._put_off) or self.taking_in.pending

    def _take(self, found: Committed, now: float, saved: int) -> bool:
        """Tell what was found and put it where it waits to be taken in; True when there is something new to show."""
        round_, told, stood = self._desk.round, self.news.newest, self._standing()
        self._again = frozenset(s.visit.id for s in found.visits)
        for seen in found.visits:
            self._take_visit(seen, now, saved)
        self._take_standing(found, now)
        for set_ in found.actions:
            if self._desk.watch.known(set_.action.uid) != set_.action:
                self.taking_in.actions[set_.action.uid] = set_.action
                decided = set_.action.state in ("done", "off")  # what a rule raised stands at the box
                if decided and (set_.keeper != round_.keeper or self._shared):
                    self.news.tell_action(now, set_)
        for act in found.acts:
            if act.uid not in self._recorder.acts_made:
                self.taking_in.acts = True
                self.news.tell_act(now, act)
        if found.other_start and not self._shared:
            self._shared = self.taking_in.other_start = True
            self.news.tell_shared(now)
        if self._shared:
            self.taking_in.undone |= found.undone
        return self.news.newest is not told or stood != self._standing()

    def _take_visit(self, seen: CommittedVisit, now: float, saved: int) -> None:
        round_, visit = self._desk.round, seen.visit
        stop = self._desk.stop_of(visit.enclosure)
        if seen.round == round_.uid:
            if stop is not None and self.taking_in.merged(stop, visit, saved)[1]:
                self.taking_in.own_visits[stop] = visit.id
                self.news.tell_visit(now, seen, own_round=True)
            return
        if stop is not None:
            self.taking_in.past.add(stop)
        if visit.day == round_.day and visit.keeper != round_.keeper:
            if stop is not None:
                self.today.setdefault(stop, {})[visit.uid] = visit
            self.news.tell_visit(now, seen, own_round=False)

    def _standing(self) -> dict[bytes, int | None]:
        return {round_: partner.enclosure for round_, partner in self._partners.items()}

    def _take_standing(self, found: Committed, now: float) -> None:
        moved, before = {s.round for s in found.visits}, self._partners
        self._partners = {}
        for round_, keeper, enclosure in found.standing:
            if round_ == self._desk.round.uid:
                continue
            known = before.get(round_)
            went_on = round_ in moved or (known is not None and known.enclosure != enclosure)
            since = now if went_on else known.since if known is not None else now - PRESENT
            self._partners[round_] = Partner(keeper, enclosure, since)

    def here(self, enclosure: int) -> tuple[str, ...]:
        """Other keepers who stand at this enclosure now."""
        now, me = time.monotonic(), self._desk.round.keeper
        found = (
            p.keeper for p in self._partners.values() if p.enclosure == enclosure and now - p.since < PRESENT
        )
        return tuple(dict.fromkeys(k for k in found if k != me))
