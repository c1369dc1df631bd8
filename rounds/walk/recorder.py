"""What a key brought about becomes entries for the writer, and is seen on the walk at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence

from rounds.config import Config
from rounds.records.entries import (
    ACT,
    Assign,
    CloseRound,
    Entry,
    LeaveRound,
    OpenRound,
    OpenVisit,
    RecordActEntry,
    SetActionEntry,
    StandAt,
    UndoActEntry,
    UndoStep,
)
from rounds.records.observations import Action, House
from rounds.store import read
from rounds.store.book import Book
from rounds.store.ids import Ids, visit_id
from rounds.walk import walk_sentences
from rounds.walk.desk import WalkDesk
from rounds.walk.machine.questions import TO_SAY
from rounds.walk.machine.state import (
    Effect,
    Leave,
    Move,
    Put,
    RecordAct,
    SetAction,
    UndoAct,
    Undone,
    UndoOlderAct,
)
from rounds.walk.machine.steps import rows, start, to_next_to_say
from rounds.walk.saving import CellPlace, Saving
from rounds.walk.walk_dues import WalkDues


class Recorder:
    """Records for one round of a book; ``name`` and ``bays`` are the round's."""

    def __init__(
        self,
        book: Book,
        config: Config,
        house: House,
        ids: Ids,
        name: str,
        bays: tuple[str, ...],
        desk: WalkDesk,
        dues: WalkDues,
        saving: Saving,
    ) -> None:
        self.book, self.config, self.house, self.ids = book, config, house, ids
        self.name, self.bays = name, bays
        self.desk, self.dues, self.saving = desk, dues, saving
        self.acts_made: set[bytes] = set()
        """Acts of this walk, and acts that take others back: those of other hands are not among them."""
        self._latest_ms = 0
        self._ended: dict[bytes, list[Action]] = {}  # by the act that they ended with

    def carry_out(self, effects: Sequence[Effect]) -> None:
        """Record the effects of one key, and judge the enclosures they concern again."""
        entries: list[Entry] = []
        cells: list[CellPlace] = []
        undoing = {e.seq for e in effects if isinstance(e, Undone)}
        said_before = self._to_say()
        for effect in effects:
            match effect:
                case Put():
                    entries += self._put(effect, new=effect.seq not in undoing)
                    entries += self._stated(effect, new=effect.seq not in undoing)
                    cells.append((effect.stop, effect.visit, effect.kind))
                case SetAction():
                    entries += self._set_action(effect, new=effect.seq not in undoing)
                    cells.append((effect.stop, None, ""))
                case RecordAct():
                    entries += self._record(effect)
                    cells.append((effect.stop, None, ACT))
                case UndoAct():
                    entries += self._take_back(effect)
                    cells.append((effect.stop, None, ACT))
                case UndoOlderAct():
                    entries += self._undo_older(effect.stop, effect.uid)
                    cells.append((effect.stop, None, ACT))
                case Undone(seq):
                    entries += self.desk.undo.take_back(seq)
                case Move():
                    entries.append(self._standing())
                case Leave():
                    pass
        if cells:
            self.desk.pages.changed()
        entries += self._judged(dict.fromkeys(stop for stop, _, _ in cells))
        if cells and not undoing:  # what a reading asks for is the next row
            round_ = self.desk.round
            answered = any(_answers_a_row(effect, round_.state.said) for effect in effects)
            round_.state = to_next_to_say(round_.state, self.desk, said_before, answered=answered)
        if self.desk.round.opened or cells:  # looking about writes nothing before a round's first record
            self._send(entries, cells)

    def _to_say(self) -> frozenset[str]:
        """The rows in sight that are no readings: what a look left to be said."""
        state = self.desk.round.state
        if state.earlier is not None or state.pages or self.desk.round.over:
            return frozenset()
        return frozenset(a.kind.id for a in rows(state, self.desk) if a.kind.id.startswith(TO_SAY))

    def _put(self, put: Put, *, new: bool) -> list[Entry]:
        round_, entries = self.desk.round, list[Entry]()
        uid = put.visit or self._visit(put.stop, entries)
        entries.append(
            Assign(uid, put.kind, int(put.depth), put.before, put.after, self._now(), round_.keeper, put.why)
        )
        if new:
            entries += self._step(put.seq, uid, put.kind)
        if put.visit is not None:
            self.desk.past.correct(put.stop, put.visit, put.kind, put.after)
            round_.ask_again(put.stop)
        else:
            round_.note_put(put.stop, put.kind)
        return entries

    def _stated(self, put: Put, *, new: bool) -> list[Entry]:
        """The act that a reading states is recorded with it, in the same step, and taken back with it.

        What the books do not allow stays a reading, and the walk says why.
        """
        desk, entries = self.desk, list[Entry]()
        kind = desk.kinds.get(put.kind)
        if kind is None or not kind.act or put.visit is not None:
            return entries
        visit, told, undo = desk.round.visits[put.stop], kind.states(put.after), desk.undo
        before = undo.answered(visit, put.kind, before=put.seq)
        if kind.states(put.before) is not None:
            taken = undo.act_of(put.seq if not new else before or 0)
            if taken is not None:
                if resting := desk.acts.keeps(taken):
                    desk.round.say(resting)
                    return entries
                self.refresh(desk.acts.take_back(taken))
                entries += [self._undo_act(taken, visit), *undo.drop_act(taken), *self._revived(taken, visit)]
        at = put.seq if new else before
        if told is None or at is None:
            return entries
        told = {**told, **dict(put.told)}
        whom = desk.label(put.stop)
        doubted = bool(desk.acts.draft(kind.act, whom, told, sure=False).question)  # but it was seen so
        drafted = desk.acts.draft(kind.act, whom, told, sure=doubted)
        if drafted.refused:
            desk.round.say(walk_sentences.only_a_reading(kind.title, drafted.refused))
            return entries
        uid = self._act_id()
        touched = desk.acts.record(uid, kind.act, whom, told, sure=doubted)
        self.refresh(touched)
        day, keeper = desk.round.day, desk.round.keeper
        now = self._now()
        entries.append(RecordActEntry(uid, kind.act, whom, told, day, now, keeper, visit, doubted))
        return [*entries, *undo.add_act(desk.round.uid, at, uid), *self._outlived(uid, touched, visit, now)]

    def _undo_act(self, taken: bytes, visit: bytes) -> UndoActEntry:
        round_ = self.desk.round
        return UndoActEntry(self._act_id(), taken, round_.day, self._now(), round_.keeper, visit)

    def _set_action(self, put: SetAction, *, new: bool) -> list[Entry]:
        round_ = self.desk.round
        steps = self._step(put.seq, put.after.uid, "") if new else []
        known = self.desk.watch.known(put.after.uid)
        self.desk.watch.set(put.after)
        round_.ask_again(put.stop)
        visit = round_.visits.get(put.stop, b"")
        knew = known.state if known is not None else None
        return [*steps, SetActionEntry(put.after, visit, self._now(), round_.keeper, knew)]

    def _record(self, act: RecordAct) -> list[Entry]:
        round_, uid, typed = self.desk.round, self._act_id(), dict(act.typed)
        visit = round_.visits.get(act.stop, b"")
        corrected = self._undo_older(act.stop, act.instead) if act.instead else []
        touched = self.desk.acts.record(uid, act.act, act.whom, typed, sure=act.sure)
        self.refresh(touched)
        if law := self.desk.acts.law(act.act, act.whom, typed):
            round_.say(walk_sentences.and_the_law(round_.state.message, law))
        now = self._now()
        recorded = RecordActEntry(
            uid, act.act, act.whom, typed, round_.day, now, round_.keeper, visit, act.sure
        )
        steps = self._step(act.seq, uid, ACT)
        return [*corrected, recorded, *steps, *self._outlived(uid, touched, visit, now)]

    def _undo_older(self, stop: int, uid: bytes) -> list[Entry]:
        """Take back an act of any day; one of this round is no step of it any more."""
        steps = self._dropped(self.desk.undo.steps_about(uid))
        self.refresh(self.desk.acts.take_back(uid))
        visit = self.desk.round.visits.get(stop, b"")
        return [self._undo_act(uid, visit), *steps, *self._revived(uid, visit)]

    def _dropped(self, seqs: Collection[int]) -> list[UndoStep]:
        """The rows of steps that cannot be taken back any more, marked so."""
        dropped = [row for seq in seqs for row in self.desk.undo.take_back(seq)]
        self.desk.round.drop_steps(seqs)
        return dropped

    def _take_back(self, act: UndoAct) -> list[Entry]:
        taken, visit = self.desk.undo.subject(act.seq), self.desk.round.visits.get(act.stop, b"")
        self.refresh(self.desk.acts.take_back(taken))
        return [self._undo_act(taken, visit), *self._revived(taken, visit)]

    def _outlived(self, act: bytes, enclosures: Iterable[int], visit: bytes, at_ms: int) -> list[Entry]:
        """Open actions that ended with an act: their stage is over, those they were about have left or are found.

        They end at the act's own instant: so a later walk knows what to open again with its undo.
        """
        from rounds.walk.outlived_actions import STATES_MISSING, found_again  # no start needs it

        desk = self.desk
        animals = frozenset(k.id for k in desk.kinds.values() if k.of_animals and not k.act)
        missed = frozenset(k.id for k in desk.kinds.values() if k.act == STATES_MISSING)
        ended = found_again(desk.watch, desk.acts.ledger, desk.acts.books.recorded[-1], missed)
        for id_ in enclosures:
            stop = desk.stop_of(id_)
            if stop is not None:
                box = desk.route.stops[stop].enclosure
                left = animals if box.vacated else frozenset[str]()
                ended += desk.watch.outlived(id_, box.stage, of_animals=left)
        out = list[Entry]()
        for action in dict.fromkeys(ended):
            self._ended.setdefault(act, []).append(action)
            out.append(self._change(action._replace(state="withdrawn"), visit, action.state, at_ms))
            stop = desk.stop_of(action.enclosure)
            if stop is not None:
                desk.round.ask_again(stop)
        return out

    def _revived(self, act: bytes, visit: bytes) -> list[Entry]:
        """The act is taken back, and the actions that ended with it are open again."""
        ended = self._ended.pop(act, None)
        if ended is None and act not in self.acts_made:  # recorded before this walk began, or by others
            from rounds.store.ended_actions import ended_with  # no start needs it

            ended = ended_with(self.book, act)
        return [self._change(action, visit, "withdrawn", self._now()) for action in ended or ()]

    def _change(self, action: Action, visit: bytes, knew: str, at_ms: int) -> SetActionEntry:
        self.desk.watch.set(action)
        return SetActionEntry(action, visit, at_ms, self.desk.round.keeper, knew)

    def _act_id(self) -> bytes:
        uid = self.ids.new()
        self.acts_made.add(uid)
        return uid

    def refresh(self, enclosures: Iterable[int]) -> None:
        """Show at once what an act changed about these enclosures, and ask what waits for an answer now."""
        self.show(enclosures)
        self.desk.round.state = start(self.desk.round.state, self.desk)

    def show(self, enclosures: Iterable[int]) -> None:
        """Show these enclosures as the books have them; the cursor stays where it is."""
        desk = self.desk
        for id_ in enclosures:
            stop = desk.stop_of(id_)
            if stop is not None:
                desk.route.put(stop, desk.acts.stop(id_, desk.route.stops[stop]))
                desk.round.ask_again(stop)
                self.dues.put(id_, desk.acts.works(id_))
        self.dues.look_again()
        desk.pages.changed(books=True)

    def take_refusal(self, entry: Entry, why: str) -> str:
        """An act that the books did not allow is no part of the round: all is shown as they have it; what to say.

        Nor is a decision about an action that somebody else had taken before.
        """
        about = entry.action.uid if isinstance(entry, SetActionEntry) else b""
        about = entry.uid if isinstance(entry, RecordActEntry) else about
        gone = self.desk.undo.steps_about(about, newest=isinstance(entry, SetActionEntry))
        dropped = self._dropped(gone)
        if dropped:
            self.saving.put(list[Entry](dropped), ())
        if not isinstance(entry, SetActionEntry):
            self.desk.books.reread()
            self.refresh([s.enclosure.id for s in self.desk.route.stops])
        return walk_sentences.not_recorded(why)

    def _judged(self, stops: Iterable[int]) -> list[Entry]:
        desk, round_, out = self.desk, self.desk.round, list[Entry]()
        for stop in stops:
            if stop in round_.visits:
                locks, visit = desk.route.stops[stop].locks, round_.visits[stop]
                out += desk.watch.judge(round_.scene(stop), locks, visit, self._now(), round_.keeper)
        return out

    def _now(self) -> int:
        """An instant no other entry has: typed in one burst, keys leave the trace they leave typed slowly."""
        self._latest_ms = max(self.desk.round.clock(), self._latest_ms + 1)
        return self._latest_ms

    def _send(self, entries: list[Entry], cells: Iterable[CellPlace]) -> None:
        if not entries:
            return
        if not self.desk.round.opened:
            entries = [*self._opening(), *entries, self._standing()]
            self.desk.round.opened = True
        self.saving.put(entries, cells)
        self.desk.undo.saved.sent(self.saving.put_up_to)

    def _standing(self) -> StandAt:
        round_, route = self.desk.round, self.desk.route
        return StandAt(round_.uid, None if round_.over else route.enclosure_of(round_.state.at))

    def leave(self) -> None:
        """This terminal is left: whoever goes on with the round joins nobody."""
        if self.desk.undo.walked and not self.saving.said:
            self.desk.undo.walked = False
            self.saving.put([LeaveRound(self.desk.round.uid, self.desk.undo.walk)], ())

    def _step(self, seq: int, subject: bytes, kind: str) -> list[UndoStep]:
        round_ = self.desk.round
        undoable = next(u for u in reversed(round_.state.steps) if u.seq == seq and u.kind == kind)
        return self.desk.undo.add(round_.uid, undoable, subject)

    def _visit(self, stop: int, entries: list[Entry]) -> bytes:
        round_ = self.desk.round
        uid = round_.visits.get(stop)
        if uid is None:
            enclosure = self.desk.route.enclosure_of(stop)
            uid = round_.visits[stop] = visit_id(round_.uid, enclosure)
            round_.visited += 1
            entries.append(OpenVisit(uid, round_.uid, enclosure, round_.visited, round_.clock()))
        return uid

    def _opening(self) -> list[Entry]:
        """Close what earlier days left open, then begin this round."""
        round_ = self.desk.round
        closing = [
            CloseRound(old, round_.clock(), read.unseen_of_round(self.book, old))
            for old in read.unfinished_rounds(self.book, round_.day)
        ]
        begun = OpenRound(
            round_.uid,
            round_.keeper,
            round_.day,
            round_.clock(),
            self.house.zone,
            self.name,
            self.bays,
            self.config.fingerprint,
        )
        return [*closing, begun]


def _answers_a_row(effect: Effect, said: int) -> bool:
    """Is it the answer of a row that is no reading? ``said`` is the newest step that such a row took."""
    match effect:
        case RecordAct(seq):
            return seq == said
        case Put():
            return bool(effect.told)
    return False
