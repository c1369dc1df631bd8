"""What follows from an act, drafted from the one table of :mod:`rounds.husbandry.life_table`.

Plans of acts draft what was done, and call :func:`follow` for the box or animal it was done to;
the registry calls :func:`after_act` for what follows from any act, such as the last one leaving.
Nothing else ends locks and due work, or changes a stage, as a consequence.
"""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import effects_sentences
from rounds.acts.act import ActInput
from rounds.acts.life_conditions import CONDITIONS
from rounds.acts.moving_and_locks import last_day
from rounds.acts.vacating import vacate
from rounds.acts.work_windows import Window, due_after, due_by, window
from rounds.due.kinds import DUE_KINDS, kind_of
from rounds.husbandry import life_table
from rounds.husbandry.life_table import ANIMAL, ANY, APART, EVERY, INTO, LEFT, LIFE_OF_STAGES, LOCKS, Follows
from rounds.records.column import Condition
from rounds.records.ledger import Add, Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import Content, Due, Enclosure, Lock, Pairing, StagePast
from rounds.records.whereabouts import inside, species_of
from rounds.values.spans import FIRST, LAST, Span, told


def follow(
    draft: Draft,
    given: ActInput,
    at: str,
    box: int | None = None,
    animal: int | None = None,
    *,
    as_: str = "",
    why: str = "",
    until: Span | None = None,
    by: int | None = None,
    times: int | None = None,
) -> dict[str, int]:
    """Draft what the table says of the act (or of ``as_``) for a box or an animal.

    ``why`` is what work that begins follows from, ``until`` the end of a lock, ``by`` the last
    day of the work where somebody named one, ``times`` how often the act was done, where each
    does only one piece of work (None: it does all there is). Gives the due rows that were added, by kind.
    """
    made: dict[str, int] = {}
    for row in _rows(as_ or given.act, at):
        if box is not None and _fits(draft, given, row, box):
            made |= _begin(draft, given, row, box, animal, why, until, by, times)
        elif box is None and animal is not None and at == ANIMAL:
            _end(draft, given, row, on_lock=Lock.animal.is_(animal), on_due=Due.animal.is_(animal), why=why)
    return made


def _rows(act: str, at: str) -> Iterator[Follows]:
    return (row for row in life_table.LIFE if row.at == at and act in row.acts)


def _fits(draft: Draft, given: ActInput, row: Follows, box: int) -> bool:
    stage = stage_then(draft.ledger, box, given["on"]).stage
    if row.stages and stage not in row.stages:
        return False
    return not row.only_when or CONDITIONS[row.only_when](draft.ledger, box, given)


def _begin(
    draft: Draft,
    given: ActInput,
    row: Follows,
    box: int,
    animal: int | None,
    why: str,
    until: Span | None,
    by: int | None,
    times: int | None,
) -> dict[str, int]:
    """One row at one box: what it ends, then the stage, then what it begins."""
    when: Span = given["on"]
    on_lock, on_due = Lock.enclosure.is_(box), Due.enclosure.is_(box)
    _end(draft, given, row, on_lock=on_lock, on_due=on_due, why=why, box=box, times=times)
    if row.stage:
        set_stage(draft, given, box, row.stage)
    work, days = row.begins_work, Window(0, 0, "")
    if work is not None and work.days:
        days = window(given, species_of(draft.ledger, box), work.preset, work.days, work.source)
    if row.begins_lock:
        kind = LOCKS[row.begins_lock]
        end = _day_before(when, days.low) if until is None and work is not None else until
        draft.add(
            Lock(
                enclosure=box,
                animal=animal,
                forbids=" ".join(kind.forbids),
                from_day=min(when.earliest, given.today),
                until=end,
                reason=kind.reason,
            )
        )
    if work is None:
        return {}
    what = DUE_KINDS[work.kind].what
    if by is not None:
        return {work.kind: due_by(draft, box, what, when, days, by, why)}
    due = due_after(draft, box, what, when, days, why)
    return {} if due is None else {work.kind: due}


def _end(
    draft: Draft,
    given: ActInput,
    row: Follows,
    *,
    on_lock: Condition,
    on_due: Condition,
    why: str,
    box: int | None = None,
    times: int | None = None,
) -> None:
    """End the locks and the work that a row ends, at a box or of an animal."""
    day = last_day(given["on"], given.today)
    stage = None if box is None else draft.ledger.row(Enclosure, box).stage
    for lock in list(draft.ledger.rows(Lock, on_lock, Lock.lifted.is_(None))):
        if lock.from_day > given["on"].latest:
            continue  # it was set since: what is told late does not end it
        if row.ends_locks == EVERY or kind_of_lock(lock, stage) in row.ends_locks:
            draft.set(Lock.lifted, lock.id, day)
    done = 0
    for due in list(draft.ledger.rows(Due, on_due, Due.done.is_(None))):
        kind = kind_of(due.what)
        if kind in row.does and (times is None or done < times):
            done += 1
            draft.set(Due.done, due.id, day)
        elif row.ends == EVERY or kind in row.ends:
            _drop(draft, due, why)


def _drop(draft: Draft, due: Due, why: str) -> None:
    """Put due work off for good: it has no cause any more."""
    if due.off_until != LAST:
        draft.set(Due.off_until, due.id, LAST)
        draft.set(Due.off_why, due.id, why)


def kind_of_lock(lock: Lock, stage: str | None) -> str:
    """Which of the table's locks this is ("" a keeper's own), by its words or, in its stage, by its shape."""
    for name, kind in LOCKS.items():
        if lock.reason == kind.reason:
            return name
    forbids = set(lock.forbids.split())
    for name in LIFE_OF_STAGES[stage].locks if stage is not None else ():
        kind = LOCKS[name]
        if len(forbids) >= kind.at_least and forbids <= set(kind.forbids):
            return name
    return ""


def set_stage(draft: Draft, given: ActInput, box: int, stage: str) -> None:
    """Put an enclosure into a stage from the act's day on; what cannot stand in that stage ends.

    Told late, it was in that stage until the next that was recorded since.
    """
    row = draft.ledger.row(Enclosure, box)
    when: Span = given["on"]
    past = stage_then(draft.ledger, box, when)
    if isinstance(past, StagePast):
        if past.stage != stage:
            _stage_before(draft, row, past, stage, when)
        return
    if row.stage == stage:
        return
    draft.add(StagePast(enclosure=box, stage=row.stage, since=row.stage_since, until=when))
    draft.set(Enclosure.stage, box, stage)
    draft.set(Enclosure.stage_since, box, when)
    _settle(draft, given, box, row.stage)


def _stage_before(draft: Draft, box: Enclosure, past: StagePast, stage: str, when: Span) -> None:
    """A box was in a stage from a day in ``past`` on: until the next one, or that one began then."""
    following = [
        later
        for later in draft.ledger.rows(StagePast, StagePast.enclosure.is_(box.id))
        if later.id != past.id and later.since == past.until
    ]
    if following and following[0].stage == stage:
        draft.set(StagePast.since, following[0].id, when)
    elif box.stage_since == past.until and box.stage == stage:
        draft.set(Enclosure.stage_since, box.id, when)
    else:
        draft.add(StagePast(enclosure=box.id, stage=stage, since=when, until=past.until))
    draft.set(StagePast.until, past.id, when)


def stage_then(ledger: Ledger, box: int, when: Span) -> Enclosure | StagePast:
    """The record of the stage a box was in on a day: the box itself, or what it was before it changed since."""
    row = ledger.row(Enclosure, box)
    if row.stage_since is None or row.stage_since.earliest <= when.latest:
        return row
    pasts = [
        past
        for past in ledger.rows(StagePast, StagePast.enclosure.is_(box))
        if past.since is None or past.since.earliest <= when.latest
    ]
    return max(
        pasts, key=lambda past: (FIRST if past.since is None else past.since.earliest, past.id), default=row
    )


def _settle(draft: Draft, given: ActInput, box: int, before: str) -> None:
    """End locks and work, of a box and of those in it, that cannot stand in its stage; ``before`` it was in that one."""
    stage = LIFE_OF_STAGES[draft.ledger.row(Enclosure, box).stage]
    day = last_day(given["on"], given.today)
    here = {content.animal for content in inside(draft.ledger, box)} - {None}
    for lock in list(draft.ledger.rows(Lock, Lock.lifted.is_(None))):
        if lock.from_day <= given["on"].latest and (lock.enclosure == box or lock.animal in here):
            kind = kind_of_lock(lock, before)
            if kind and kind not in stage.locks:
                draft.set(Lock.lifted, lock.id, day)
    for due in list(draft.ledger.rows(Due, Due.done.is_(None))):
        if due.enclosure == box or (due.enclosure is None and due.animal in here):
            kind = kind_of(due.what)
            if kind not in (*stage.work, *stage.asked, *life_table.WHATEVER_THE_STAGE):
                _drop(draft, due, effects_sentences.has_no_cause(code(draft.ledger, box), stage.stage))


def after_act(before: Ledger, draft: Draft, given: ActInput) -> None:
    """Draft what follows from any act where somebody came or left, or a pairing ended.

    Raises ActRefused when the last one left and the act was not told what becomes of the box.
    """
    if "on" not in given.values:
        return  # an act without a day moves nobody
    came, left, apart = _came(draft), _left(before, draft), _apart(before, draft)
    for box in came:
        _settle(draft, given, box, draft.ledger.row(Enclosure, box).stage)
        _any(draft, given, INTO, box)
    vacate(before, draft, given, left, lambda box, stage: clear_away(draft, given, box, stage))
    for box in dict.fromkeys((*apart, *left)):
        _any(draft, given, APART, box)
    for box in left:
        _any(draft, given, LEFT, box)


def _any(draft: Draft, given: ActInput, at: str, box: int) -> None:
    left = effects_sentences.nobody_left(told(given["on"]))
    follow(draft, given, at, box, as_=ANY[0], why=effects_sentences.LIVED_IN if at == INTO else left)


def clear_away(draft: Draft, given: ActInput, box: int, stage: str) -> None:
    """A box is emptied, or made ready for the next use."""
    why = effects_sentences.was_cleared(code(draft.ledger, box))
    follow(draft, given, life_table.HERE, box, as_=f"emptied: {stage}", why=why)


def _came(draft: Draft) -> list[int]:
    """Enclosures in which somebody is who was not there before."""
    added = {c.id for c in draft.changes if isinstance(c, Add) and c.table == Content.table}
    return list(
        dict.fromkeys(
            content.enclosure
            for content in (draft.ledger.row(Content, id_) for id_ in sorted(added))
            if content.until is None
        )
    )


def _left(before: Ledger, draft: Draft) -> list[int]:
    """Enclosures that somebody left."""
    out: dict[int, None] = {}
    for id_ in _changed(before, draft, Content.table):
        was, now = before.row(Content, id_), draft.ledger.row(Content, id_)
        if not was.void and was.until is None and (now.until is not None or now.total < was.total):
            out[was.enclosure] = None
    return list(out)


def _apart(before: Ledger, draft: Draft) -> list[int]:
    """Enclosures where a pairing ended, or from where it went elsewhere."""
    out: dict[int, None] = {}
    for id_ in _changed(before, draft, Pairing.table):
        was, now = before.row(Pairing, id_), draft.ledger.row(Pairing, id_)
        ended = now.until is not None or now.enclosure != was.enclosure
        if not was.void and was.until is None and ended and was.enclosure is not None:
            out[was.enclosure] = None
    return list(out)


def _changed(before: Ledger, draft: Draft, table: str) -> list[int]:
    """Rows that were in the books before and were changed, by rising id."""
    known = before.table(table)
    return sorted(
        {c.id for c in draft.changes if not isinstance(c, Add) and c.table == table and c.id in known}
    )


def _day_before(when: Span, days: int) -> Span:
    """The last day before work that may begin ``days`` after ``when``: a lock is over when its window opens."""
    if when.earliest <= FIRST:
        return when.plus(days - 1)
    return Span(when.earliest + days - 1, when.earliest + days - 1)
