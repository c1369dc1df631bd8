"""Applying what a walk writes. Every entry is an assignment: applied again it changes nothing.

All functions run inside the caller's transaction (:meth:`Book.writing`) and raise
:class:`Unsavable` for an entry that can never be written, or peewee's errors.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from rounds.records.entries import (
    Assign,
    CloseRound,
    Entry,
    LeaveRound,
    OpenRound,
    OpenVisit,
    RecordActEntry,
    SetActionEntry,
    SetFlag,
    StandAt,
    UndoActEntry,
    UndoStep,
)
from rounds.records.observations import Action
from rounds.store.book import Book
from rounds.store.cell_codec import REMARK, Dictionary, Unsavable, decode, pack, settled, storable
from rounds.store.keepers import keeper_id
from rounds.store.row_checksums import crc_of_cell, put_into_visit, seal, seal_visit, sealed

if TYPE_CHECKING:
    from rounds.acts.act import BadAct, Settings
    from rounds.records.ledger import Ledger

__all__ = ["EntryRefused", "Unsavable", "apply"]


NEWEST_VISITS = 2000
"""Visits of the book among which the newest of a round that is being walked is looked for."""
OTHER_START = 1_000_000
"""What is added to the number of a step that another start of the program has used in the same round."""


class EntryRefused(Unsavable):
    """An act that the books do not allow as they are; its text is a sentence for the keeper."""


class _Writing:
    """One batch: the book, and the ids it has looked up or made in this transaction."""

    def __init__(self, book: Book, settings: Callable[[], Settings] | None) -> None:
        self.book = book
        self.settings = settings
        self.ledger: Ledger | None = None  # the books, once an act needed them in this batch
        self.words = Dictionary(book.db)
        self._keepers: dict[str, int] = {}
        self._visits: dict[bytes, int] = {}
        self._changed: dict[int, int] = {}  # of a visit's checksum, until the batch is written

    def keeper(self, name: str) -> int | None:
        if not name:
            return None
        found = self._keepers.get(name)
        if found is None:
            found = keeper_id(self.book, name)
            assert found is not None  # it has a name
            self._keepers[name] = found
        return found

    def round(self, uid: bytes) -> int:
        row = self.book.row('SELECT id FROM "round" WHERE uid = ?', (uid,))
        if row is None:
            raise Unsavable(f"it belongs to a round ({uid.hex()}) that is not in the book")
        return int(row[0])

    def visit(self, uid: bytes) -> int:
        found = self._visits.get(uid)
        if found is None:
            row = self.book.row("SELECT id FROM visit WHERE uid = ?", (uid,))
            if row is None:
                raise Unsavable(f"it belongs to a visit ({uid.hex()}) that is not in the book")
            found = self._visits[uid] = int(row[0])
        return found

    def made(self, uid: bytes) -> None:
        """A visit was made just now."""
        self._visits[uid] = seal_visit(self.book.db, uid)

    def cell_changes(self, visit: int, crc: int) -> None:
        """The checksum of a cell of ``visit`` goes, or comes."""
        self._changed[visit] = self._changed.get(visit, 0) ^ crc

    def seal_visits(self) -> None:
        for visit, changed in self._changed.items():
            put_into_visit(self.book.db, visit, changed)


def apply(book: Book, entries: Sequence[Entry], settings: Callable[[], Settings] | None = None) -> None:
    """Write ``entries`` in order, inside the transaction the caller has begun.

    ``settings`` gives those of the house, asked for when there is an act to plan with them
    (None: nothing is known of any species). Raises Unsavable (an entry that names a round or visit the book has not, a value
    that cannot be kept, an act that the books as they are do not allow), pw.IntegrityError
    (an enclosure that is not there), and pw.OperationalError for the book's own troubles;
    the caller rolls back.
    """
    to = _Writing(book, settings)
    for entry in entries:
        _APPLY[type(entry)](to, entry)
    to.seal_visits()


def _open_round(to: _Writing, e: OpenRound) -> None:
    """Make the round, or open it again: it is the same day's walk going on."""
    keeper = to.keeper(e.keeper)
    if keeper is None:
        raise Unsavable("a round without a keeper")
    with sealed(to.book.db, "round", "uid = ?", (e.uid,)):
        to.book.run(
            'INSERT INTO "round" (uid, keeper, day, name, zone, bays, opened_ms, closed_ms, fingerprint, source)'
            " VALUES (?, ?, ?, ?, ?, ?, ?, NULL, ?, 'walked')"
            " ON CONFLICT (uid) DO UPDATE SET bays = excluded.bays, fingerprint = excluded.fingerprint, closed_ms = NULL",
            (e.uid, keeper, e.day, storable(e.name), e.zone, pack(list(e.bays)), e.at_ms, e.fingerprint),
        )
    to.book.run("DELETE FROM not_seen WHERE round = ?", (to.round(e.uid),))


def _open_visit(to: _Writing, e: OpenVisit) -> None:
    """``place`` is where the enclosure stands as the visit begins; moving it later changes nothing here.

    Walked at two terminals, a round still counts its visits in one row: ``seq`` is the walk's
    own count, or one more than the round's newest visit has. That is looked for among the
    newest of the book only, where it is while the round is walked.
    """
    round_ = to.round(e.round)
    newest = to.book.row(
        "SELECT seq FROM visit WHERE id > (SELECT max(id) FROM visit) - ? AND round = ? ORDER BY id DESC LIMIT 1",
        (NEWEST_VISITS, round_),
    )
    seq = e.seq if newest is None else max(e.seq, newest[0] + 1)
    made = to.book.run(
        "INSERT INTO visit (uid, enclosure, round, seq, at_ms, place)"
        " VALUES (?, ?, ?, ?, ?, (SELECT place FROM enclosure WHERE id = ?)) ON CONFLICT (uid) DO NOTHING",
        (e.uid, e.enclosure, round_, seq, e.at_ms, e.enclosure),
    )
    if made.rowcount == 1:
        to.made(e.uid)


def _assign(to: _Writing, e: Assign) -> None:
    """Put ``after`` into the cell. A value that goes leaves a change row, once."""
    visit = to.visit(e.visit)
    if e.before is None and e.after is None:
        return  # nothing taken back: not a reason to take back what somebody else put there
    kind, number = to.words.cell(e.kind, e.depth, e.after)
    stored = to.book.row(
        "SELECT kind, number, text FROM cell WHERE visit = ? AND reading = ?", (visit, e.kind)
    )
    held = None if stored is None else decode(e.kind, stored[1], stored[2])
    if held is not None or e.before is not None:
        _trace(to, visit, kind, held, e)
    act = None
    if stored is not None:
        cell = to.book.row("SELECT number, act FROM reading WHERE visit = ? AND kind = ?", (visit, stored[0]))
        assert cell is not None  # as the view has it
        to.cell_changes(visit, crc_of_cell(visit, stored[0], *cell))
        act = cell[1] if stored[0] == kind else None
        # The change row has what is worth keeping of a note that is typed on or taken back.
        to.book.run(
            "DELETE FROM remark WHERE id = (SELECT number FROM reading WHERE visit = ? AND kind = ?)"
            " AND (SELECT form FROM kind WHERE id = ?) = ?",
            (visit, stored[0], stored[0], REMARK),
        )
        if stored[0] != kind:
            # Seen at another depth, or a word where a number was: still the one cell of this reading.
            to.book.run("DELETE FROM reading WHERE visit = ? AND kind = ?", (visit, stored[0]))
    to.cell_changes(visit, crc_of_cell(visit, kind, number, act))
    to.book.run(
        "INSERT INTO reading (visit, kind, number) VALUES (?, ?, ?)"
        " ON CONFLICT (visit, kind) DO UPDATE SET number = excluded.number",
        (visit, kind, number),
    )


def _trace(to: _Writing, visit: int, kind: int, held: Any, e: Assign) -> None:
    """Keep the value that goes: the one the walk knew, and another that stands there instead."""
    before, after = settled(e.kind, e.before), settled(e.kind, e.after)
    # Neither known nor wanted: another keeper's value, which must not vanish without a trace.
    if held is not None and held not in (before, after) and not _came_before(to, visit, e, after):
        _change(to, visit, kind, e, pack(held), pack(after), e.why or "another value stood here")
    if before is not None and before != after:
        _change(to, visit, kind, e, pack(before), pack(after), e.why)


def _came_before(to: _Writing, visit: int, e: Assign, after: Any) -> bool:
    """Whether the trace shows that this very entry was applied already and later ones after it.

    Either it left a row itself, or a later one replaced the value it put. Should a clock
    have been set back in between, the answer is no, and the trace gets a row too many
    rather than one too few.
    """
    wanted = pack(after)
    return any(
        (new == wanted and at_ms == e.at_ms) or (old == wanted and at_ms > e.at_ms)
        for old, new, at_ms in to.book.rows(
            "SELECT c.old, c.new, c.at_ms FROM change c JOIN kind k ON k.id = c.kind"
            " WHERE c.visit = ? AND k.reading = ?",
            (visit, e.kind),
        )
    )


def _change(to: _Writing, visit: int, kind: int, e: Assign, old: str, new: str, why: str) -> None:
    row = (visit, kind, old, new, e.at_ms)
    if not to.book.row(
        "SELECT 1 FROM change WHERE visit = ? AND kind = ? AND old = ? AND new = ? AND at_ms = ?", row
    ):
        to.book.run(
            "INSERT INTO change (visit, kind, old, new, at_ms, keeper, why) VALUES (?, ?, ?, ?, ?, ?, ?)",
            (*row, to.keeper(e.keeper), storable(why)),
        )
        seal(to.book.db, "change", "visit = ? AND kind = ? AND old = ? AND new = ? AND at_ms = ?", row)


def _set_flag(to: _Writing, e: SetFlag) -> None:
    visit, flag = to.visit(e.visit), e.flag
    with sealed(to.book.db, "flag", "visit = ? AND rule = ?", (visit, flag.rule)):
        to.book.run(
            "INSERT INTO flag (visit, rule, day, level, reason, todo, withheld, stands, fingerprint)"
            ' VALUES (?, ?, (SELECT r.day FROM visit v JOIN "round" r ON r.id = v.round WHERE v.id = ?), ?, ?, ?, ?, ?, ?)'
            " ON CONFLICT (visit, rule) DO UPDATE SET level = excluded.level, reason = excluded.reason,"
            " todo = excluded.todo, withheld = excluded.withheld, stands = excluded.stands,"
            " fingerprint = excluded.fingerprint",
            (
                visit,
                flag.rule,
                visit,
                flag.level,
                flag.reason,
                flag.todo,
                flag.withheld,
                e.stands,
                e.fingerprint,
            ),
        )


def _set_action(to: _Writing, e: SetActionEntry) -> None:
    """Give an action its whole state; every state it was given stays in the trace.

    What another keeper has decided meanwhile stays: a rule adds to it, a keeper's key is refused.
    """
    a = _with_what_was_decided(to, e)
    visit = to.visit(e.visit) if e.visit else None
    with sealed(to.book.db, "action", "uid = ?", (a.uid,)):
        to.book.run(
            "INSERT INTO action (uid, enclosure, rule, level, reason, todo, opened, opened_visit, state, until, why,"
            " cause_gone, withheld, closed) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
            " ON CONFLICT (uid) DO UPDATE SET level = excluded.level, reason = excluded.reason, todo = excluded.todo,"
            " state = excluded.state, until = excluded.until, why = excluded.why, cause_gone = excluded.cause_gone,"
            " withheld = excluded.withheld, closed = excluded.closed",
            (
                a.uid,
                a.enclosure,
                a.rule,
                a.level,
                a.reason,
                a.todo,
                a.opened,
                visit,
                a.state,
                a.until,
                storable(a.why),
                a.cause_gone,
                a.withheld,
                a.closed,
            ),
        )
    found = to.book.row("SELECT id FROM action WHERE uid = ?", (a.uid,))
    assert found is not None  # just written
    row = (found[0], e.at_ms, pack(a._asdict()))
    if not to.book.row("SELECT 1 FROM action_change WHERE action = ? AND at_ms = ? AND state = ?", row):
        to.book.run(
            "INSERT INTO action_change (action, at_ms, state, visit, keeper) VALUES (?, ?, ?, ?, ?)",
            (*row, visit, to.keeper(e.keeper)),
        )
        seal(to.book.db, "action_change", "action = ? AND at_ms = ? AND state = ?", row)


def _with_what_was_decided(to: _Writing, e: SetActionEntry) -> Action:
    """The action as it is to be written. Raises EntryRefused when somebody else has decided about it meanwhile."""
    if e.knew is None and not e.by_rule:
        return e.action
    stored = to.book.row("SELECT id, state, until, why, closed FROM action WHERE uid = ?", (e.action.uid,))
    if stored is None:
        return e.action
    id_, state, until, why, closed = stored
    if e.by_rule:
        decided = state in ("done", "off")
        return e.action._replace(state=state, until=until, why=why, closed=closed) if decided else e.action
    trace = to.book.rows(
        "SELECT k.name, c.at_ms, c.state FROM action_change c LEFT JOIN keeper k ON k.id = c.keeper"
        " WHERE c.action = ? ORDER BY c.id",
        (id_,),
    )
    written = (e.keeper, e.at_ms, pack(e.action._asdict()))
    if state == e.knew or any((who or "", at_ms, had) == written for who, at_ms, had in trace):
        return e.action
    from rounds.store import refusal_sentences  # no start needs it

    raise EntryRefused(refusal_sentences.decided_meanwhile(e.action.reason, state, trace[-1][0] or ""))


def _step(to: _Writing, e: UndoStep) -> None:
    round_ = to.round(e.round)
    seq = _step_number(to, round_, e)
    to.book.run(
        "INSERT INTO step (round, seq, subject, kind, depth, before, undone, walk) VALUES (?, ?, ?, ?, ?, ?, ?, ?)"
        " ON CONFLICT (round, seq, subject, kind) DO UPDATE SET depth = excluded.depth,"
        " before = excluded.before, undone = excluded.undone",
        (round_, seq, e.subject, e.kind, int(e.depth), pack(e.before), e.undone, e.walk),
    )


def _step_number(to: _Writing, round_: int, e: UndoStep) -> int:
    """The number of a step in its round: the walk's own unless another start of the program has used it."""
    seq = e.seq
    while e.walk:
        there = to.book.row("SELECT walk FROM step WHERE round = ? AND seq = ? LIMIT 1", (round_, seq))
        if there is None or bytes(there[0] or b"") == e.walk:
            break
        seq += OTHER_START
    return seq


def _stand_at(to: _Writing, e: StandAt) -> None:
    to.book.run('UPDATE "round" SET at_enclosure = ? WHERE id = ?', (e.enclosure, to.round(e.round)))


def _leave_round(to: _Writing, e: LeaveRound) -> None:
    to.book.run("UPDATE step SET walk = NULL WHERE round = ? AND walk = ?", (to.round(e.round), e.walk))


def _close_round(to: _Writing, e: CloseRound) -> None:
    """The round's steps go, because a closed round is not undone key by key; its unseen stay."""
    round_ = to.round(e.round)
    with sealed(to.book.db, "round", "id = ?", (round_,)):
        to.book.run('UPDATE "round" SET closed_ms = ? WHERE id = ?', (e.at_ms, round_))
    to.book.run("DELETE FROM step WHERE round = ?", (round_,))
    to.book.run("DELETE FROM not_seen WHERE round = ?", (round_,))
    for enclosure in dict.fromkeys(e.unseen):
        to.book.run("INSERT INTO not_seen (round, enclosure) VALUES (?, ?)", (round_, enclosure))
        seal(to.book.db, "not_seen", "round = ? AND enclosure = ?", (round_, enclosure))


def _record(to: _Writing, e: RecordActEntry) -> None:
    """Plan the act again against the books as they are now: others may have written meanwhile."""
    from rounds.acts.act import BadAct, ConfirmationRequired
    from rounds.store import recording

    who = f"`{e.act}`" + (f" for {e.subject}" if e.subject else "")
    try:
        to.ledger = recording.put(to.book, e, to.settings, to.ledger)
    except BadAct as bad:
        raise EntryRefused(f"{who} was not recorded: {_slips(bad)}") from bad
    except ConfirmationRequired as asked:
        raise EntryRefused(f"{who} was not recorded, because it is in doubt: {asked.text}") from asked


def _take_back(to: _Writing, e: UndoActEntry) -> None:
    from rounds.acts.act import BadAct
    from rounds.store import ledger_store

    try:
        ledger_store.undo(to.book, e.act, e.uid, e.day, e.at_ms, e.keeper, e.visit)
    except BadAct as bad:
        raise EntryRefused(f"an act was not taken back: {_slips(bad)}") from bad
    to.ledger = None


def _slips(bad: BadAct) -> str:
    return "; ".join(map(str, bad.slips))


_APPLY: dict[type, Callable[[_Writing, Any], None]] = {
    OpenRound: _open_round,
    OpenVisit: _open_visit,
    Assign: _assign,
    SetFlag: _set_flag,
    SetActionEntry: _set_action,
    UndoStep: _step,
    StandAt: _stand_at,
    LeaveRound: _leave_round,
    CloseRound: _close_round,
    RecordActEntry: _record,
    UndoActEntry: _take_back,
}
