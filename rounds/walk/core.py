"""The walk itself: a key in; saved rows, flags and what to show out. No screen, no SQL.

One ``Walk`` puts its parts together and gives each key to the pure machine
(:mod:`rounds.walk.machine.press`); what came of it is recorded by one part and shown by others.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from rounds.config import Config, for_acts
from rounds.husbandry.round_day import in_doubt, round_day
from rounds.problems import DayInDoubt
from rounds.records.entries import LeaveRound
from rounds.records.observations import CALL, House
from rounds.store import read, rescue
from rounds.store.book import open_book
from rounds.store.ids import Ids, action_id, now_ms, round_id
from rounds.store.start_notes import start_notes
from rounds.store.writer import Writer
from rounds.text.cleaning import long_day
from rounds.walk import walk_sentences
from rounds.walk.books import Books
from rounds.walk.desk import WalkDesk
from rounds.walk.lazy_pages import Pages
from rounds.walk.machine.press import press
from rounds.walk.machine.state import State
from rounds.walk.machine.steps import key_for, start, stop_after
from rounds.walk.past import Past
from rounds.walk.recorder import Recorder
from rounds.walk.resume import take_up
from rounds.walk.round_state import RoundState
from rounds.walk.route import read_route
from rounds.walk.rule_monitor import Watch
from rounds.walk.saving import Saving
from rounds.walk.stage_questions import StageQuestions
from rounds.walk.undo_steps import UndoSteps
from rounds.walk.walk_dues import WalkDues

if TYPE_CHECKING:
    from rounds.records.observations import Visit
    from rounds.walk.act_queries import ActDesk
    from rounds.walk.lessons import Lessons
    from rounds.walk.page_cache import LookUp
    from rounds.walk.together import Together

JOINED_MS = 600_000
"""A round whose newest visit is younger than this may be walked at another terminal right now."""
OTHERS = 12
"""Newest visits to a stop among which those of today are."""


class Walk:
    """A keeper's round over some bays of one house on one day.

    Opening reads the book and resumes the day's round where it stood; nothing is written
    before the first key that records something. Without a ``day`` it is the clock's. Raises
    BookError when the book cannot be used, and DayInDoubt when the clock's day hardly follows
    that of the last round. ``press`` takes one key; a listener (``saving.wake``) is told whenever the writer
    saved something or failed to (from the writer's thread).

    The parts: ``route`` has the stops; ``past`` their earlier visits; ``questions`` what is
    asked there; ``watch`` flags and actions; ``books`` the ledger; ``dues`` due work; ``round``
    what this round has seen; ``undo`` what can be taken back; ``pages`` the books as pages;
    ``saving`` the writer. ``desk`` answers the machine out of them.
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
        stand_in: bool = False,
        clock: Callable[[], int] = now_ms,
        writer: type[Writer] = Writer,
    ) -> None:
        self.book = book = open_book(path)
        taken_in = [*book.notes, *start_notes(book, clock()), *rescue.replay(book, lambda: for_acts(config))]
        house, self.first_ever = read.house(book), not read.walked(book)
        self.path, self.config, self.name, self.bays = path, config, name, tuple(bays)
        self._book_id = book.identity
        self.banner = config.banner  # what the keeper must be told of the config
        self.day = day = day or self._day_by_the_clock(clock(), house)
        ids = Ids(clock)
        keepers = read.keepers(book)
        keeper = keeper or next(iter(keepers), "keeper")

        visits: dict[int, bytes] = {}
        vocabulary = config.vocabulary
        self.route = read_route(book, day, self.bays)
        self._newest = read.newest_rows(book)  # before anything is read: what comes later is told of
        self.watch = Watch(
            config.rules,
            day,
            config.fingerprint,
            lambda box, rule: action_id(box, rule, day),
            read.known_actions(book, day),
        )
        self.past = Past(book, self.route, visits, vocabulary.every_shelf, day)
        self.questions = StageQuestions(vocabulary, day, self.route, self.past, self.watch, stand_in=stand_in)
        self.books = Books(book, self._newest.act)
        self.dues = WalkDues(book.path, config, day, self.route, self.books)
        self.round = RoundState(
            book,
            config,
            day=day,
            keeper=keeper,
            clock=clock,
            route=self.route,
            past=self.past,
            visits=visits,
            questions=self.questions,
            watch=self.watch,
            dues=self.dues,
        )
        self.undo = UndoSteps(ids.new())
        self._together: Together | None = None  # from the first look on: no start needs it
        self._joined = ""
        self._pressed_at = 0.0
        self.pages = Pages(self._look_up)
        self.desk = WalkDesk(
            config,
            config.commands,
            self.route,
            self.past,
            self.questions,
            self.watch,
            self.books,
            self.round,
            self.undo,
            self.pages,
        )
        self.desk.others_today = self.others_today
        if stand_in:
            others = (name for name in keepers if name != keeper)
            self.desk.call_instead = next(others, walk_sentences.THE_KEEPER)
        self._resume()
        if stand_in:
            self.say(walk_sentences.stands_in(self.desk.call_instead, key_for(self.desk, "record")))
        elif calls := self._calls():
            taken_in = [walk_sentences.called_to(calls), *taken_in]
        if taken_in:
            self.say(" ".join(taken_in))
        self.pending_shown = False
        self.lessons: Lessons | None = None  # what the first boxes teach: in the invented house alone
        self.refusal = ""  # an act that the books no longer allowed, until it was read
        self.saving = Saving(book, config, writer)
        self._recorder = Recorder(
            book, config, house, ids, name, self.bays, self.desk, self.dues, self.saving
        )

    def _day_by_the_clock(self, at_ms: int, house: House) -> int:
        day, last = round_day(at_ms, house.zone, house.day_starts), read.last_round_day(self.book)
        if last is not None and in_doubt(day, last):
            self.book.close()
            raise DayInDoubt(walk_sentences.day_in_doubt(long_day(day), long_day(last)), day, last)
        return day

    def _calls(self) -> tuple[str, ...]:
        """Codes of the boxes to which a stand-in has called the keeper, in shelf order, until it is done."""
        called = {a.enclosure for some in self.watch.every_open().values() for a in some if a.rule == CALL}
        return tuple(s.enclosure.code for s in self.route.stops if s.enclosure.id in called)

    def _resume(self) -> None:
        round_, at = self.round, stop_after(self.desk, -1)
        found = read.round_of(self.book, round_.keeper, self.day, self.name)
        round_.opened = found is not None
        round_.uid = found.uid if found else round_id(self._book_id, round_.keeper, self.day, self.name)
        if found is not None:
            taken = take_up(self.book, self.desk)
            round_.state = round_.state._replace(looks=taken.looks, steps=taken.steps, seq=taken.seq)
            round_.visited = taken.visited
            self._joining(taken.latest_ms, taken.visited)
            self.undo.take_up(taken.rows)
            if found.at_enclosure is None:
                at = self.route.count()
            else:
                at = self.route.by_enclosure.get(found.at_enclosure, at)
        round_.state = start(round_.state._replace(at=at), self.desk)
        round_.take_stock()

    def _joining(self, latest_ms: int, visited: int) -> None:
        """A round that was walked only just now and never left goes on at another terminal: say that this one joined it."""
        lately = bool(visited) and self.round.clock() - latest_ms < JOINED_MS
        if lately and read.walked_elsewhere(self.book, self.round.uid):
            self._joined = walk_sentences.joined(visited, self.route.count())

    def _look_up(self) -> LookUp:
        from rounds.walk.page_cache import LookUp  # no start needs it

        made = LookUp(
            self.book,
            self.config,
            route=self.route,
            books=self.books,
            watch=self.watch,
            dues=self.dues,
            round_=self.round,
            tell=self._wake,
        )
        made.saved(self.saving.saved_up_to)
        return made

    @property
    def state(self) -> State:
        """Where the walk stands."""
        return self.round.state

    @state.setter
    def state(self, state: State) -> None:
        self.round.state = state

    @property
    def keeper(self) -> str:
        """Who walks."""
        return self.round.keeper

    @property
    def acts(self) -> ActDesk:
        """Acts in the book."""
        return self.desk.acts

    @property
    def over(self) -> bool:
        """Whether the walk stands at its end, past the last enclosure."""
        return self.round.over

    @property
    def kept(self) -> int:
        """How many answers and acts of this round the book holds: a note once, and nothing that was taken back."""
        return self.undo.saved.count(self.saving.saved_up_to)

    # Others who write into the same book

    def look_about(self) -> bool:
        """See what others committed since the last look; True when there is something new to show.

        Costs next to nothing while nobody does. Called once a second, never while a key is taken.
        """
        if self._together is None:
            from rounds.walk.together import Together  # no start needs it

            self._together = Together(self.book, self.desk, self._recorder, self._newest)
        return self._together.look(self._pressed_at)

    @property
    def news(self) -> str:
        """What others did last, or that this start joined a round that goes on; "" when there is nothing to say."""
        told = self._together.news.said() if self._together is not None else ""
        return told or self._joined

    @property
    def zone(self) -> str:
        """The time zone of the house."""
        return self._recorder.house.zone

    @property
    def unsettled(self) -> bool:
        """Is there anything of others that was told and not taken in yet?"""
        return self._together is not None and self._together.pending

    def others_today(self, stop: int) -> tuple[Visit, ...]:
        """Today's visits of other keepers to a stop, the oldest first."""
        found = {
            v.uid: v for v in self.past.of(stop)[-OTHERS:] if v.day == self.day and v.keeper != self.keeper
        }
        if self._together is not None:
            found |= self._together.today.get(stop, {})
        return tuple(found.values())

    def others_here(self, stop: int) -> tuple[str, ...]:
        """Other keepers who stand at a stop now."""
        return () if self._together is None else self._together.here(self.route.enclosure_of(stop))

    # Keys

    def press(self, key: str) -> None:
        """One key: the state moves, entries go to the writer, the enclosure is judged again."""
        self._pressed_at = time.monotonic()
        self._joined = ""
        self.state, effects = press(self.state, key, self.desk)
        if self.refusal and self.state.mode.name in ("help", "acts"):
            self.refusal = ""  # it was read
        if effects:
            self._recorder.carry_out(effects)
        if effects and self.lessons is not None:
            self.lessons.learn(effects, self._raised_today)

    def teach(self) -> None:
        """Have the first boxes say what can be tried at them, until it is done."""
        from rounds.walk.lessons import Lessons  # no start of a keeper's own needs it

        self.lessons = Lessons(self.desk)

    @property
    def lesson(self) -> str:
        """What can be tried at the box the walk stands at; "" when nothing is taught."""
        return self.lessons.said(self.state.at) if self.lessons is not None and not self.over else ""

    def _raised_today(self, stop: int) -> bool:
        """Is there a flag at a stop that no action was open for before today?"""
        older = {a.rule for a in self.desk.actions(stop) if a.opened < self.day}
        return any(flag.rule not in older for flag in self.round.flags(stop))

    def say(self, message: str) -> None:
        """Show a message that no key brought about."""
        self.round.say(message)

    # Between two keys

    def look_ahead(self) -> None:
        """Get ready what the next enclosure shows, and let go of what was long passed."""
        if self.saving.waiting or self.state.mode.name != "walk" or self.over:
            return
        for stop in self.past.let_go(self.state.at):
            self.questions.forget(stop)
        ahead = stop_after(self.desk, self.state.at)
        if ahead < self.route.count():
            self.questions.asks(ahead, self.questions.starts_at(ahead))
            self.round.flags(ahead)

    def look_up_dues(self) -> None:
        """Have all due work worked out beside the keys; the listener is told, and take_dues shows it."""
        self.dues.look_up(self._wake)

    def take_dues(self) -> None:
        """Show the due work that was worked out meanwhile, if there is any."""
        if self.dues.take():
            self.desk.acts.know_another(self.dues.another)
            self.banner = self.banner or self.config.presets.banner

    def take_found(self) -> None:
        """Show on the pages what was saved or worked out meanwhile."""
        self.pages.saved(self.saving.saved_up_to)
        self.pages.changed()

    def take_refusals(self) -> None:
        """Acts that the books did not allow when they were written: another hand had been quicker."""
        while self.saving.refused:
            self.refusal = self._recorder.take_refusal(*self.saving.refused.popleft())
            self.state = self.state._replace(unrecorded=True)

    def _wake(self) -> None:
        self.saving.wake()

    # Leaving

    def leave(self) -> None:
        """No more keys: only what waits is still saved."""
        from rounds.walk.machine.left_mode import Left  # no start needs it

        self.state = self.state._replace(mode=Left())

    def drain(self, timeout: float) -> bool:
        """Wait until everything put so far is committed; False when it was not in time."""
        return self.saving.writer.drain(timeout)

    def close(self, timeout: float) -> Path | None:
        """Save what waits and let the book go.

        What cannot be saved within ``timeout`` seconds is written to a rescue file, whose
        path is returned; the next start puts it into the book.
        """
        self.dues.stop()
        self.pages.stop()
        self._recorder.leave()
        left = [e for e in self.saving.writer.close(timeout) if not isinstance(e, LeaveRound)]
        rescued = rescue.write(self.path, left, self._book_id) if left else None
        self.book.close()  # after that: of a damaged book it may fail
        return rescued
