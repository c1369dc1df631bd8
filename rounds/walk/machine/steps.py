"""The steps the walk's machine is made of: what is asked here, putting a value, going on."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import Depth
from rounds.kept_last import kept_last
from rounds.keys.commands import PER_PAGE
from rounds.records.entries import AS_EXPECTED, SKIPPED, Cell
from rounds.walk.machine import walking_sentences
from rounds.walk.machine.mode import Walking
from rounds.walk.machine.questions import ONCE_A_SHELF, TO_SAY, Ask
from rounds.walk.machine.state import (
    NO_CELLS,
    Desk,
    Effect,
    Move,
    Put,
    Result,
    Starts,
    State,
    Undoable,
    VisitDraft,
)


def depth_of(state: State, desk: Starts, stop: int) -> Depth:
    """How closely the walk is looking at a stop."""
    look = state.looks.get(stop)
    return desk.starts_at(stop) if look is None or look.depth is None else look.depth


def rows(state: State, desk: Desk) -> tuple[Ask, ...]:
    """The questions on the screen: the stage's, then those asked for on top.

    Asked several times a key by the machine and by what paints: worked out once for the same looks.
    """
    if state.at >= desk.count():
        return ()
    if state.earlier is not None:
        depth = depth_of(state, desk, state.at)
        asked = desk.asks(state.at, depth)
        more = [
            i for i in earlier_cells(state, desk) if i in desk.kinds and all(a.kind.id != i for a in asked)
        ]
        return _with_extra((*asked, *(Ask(desk.kinds[i], depth) for i in more)), depth, state, desk)
    return _with_rows_to_say(_rows_today(desk, state.looks, state.at, desk.version), state, desk)


@kept_last
def _rows_today(desk: Desk, looks: Mapping[int, VisitDraft], at: int, _version: int) -> tuple[Ask, ...]:
    """The questions of this round's visit; ``_version`` is the desk's, which may have something else to ask."""
    state = State(at=at, looks=looks)
    depth = depth_of(state, desk, at)
    return _with_extra(_together(desk.asks(at, depth), _of_shelf(state, desk)), depth, state, desk)


@kept_last  # an answer leaves the rows what they were: what is worked out from them can be kept
def _together(asked: tuple[Ask, ...], of_shelf: tuple[Ask, ...]) -> tuple[Ask, ...]:
    return (*asked, *of_shelf)


def _with_extra(asked: tuple[Ask, ...], depth: Depth, state: State, desk: Desk) -> tuple[Ask, ...]:
    """The questions and, below them, the readings that a keeper asked for on top."""
    look = state.looks.get(state.at)
    if look is None or not look.extra:
        return asked
    known = {a.kind.id for a in asked}
    return (*asked, *(Ask(desk.kinds[i], depth) for i in look.extra if i not in known))


def saying_step(state: State, desk: Desk) -> int:
    """The newest step, where it was taken here by a reading that states an act or by what that left to be said."""
    last = state.steps[-1] if state.steps else None
    if last is None or last.stop != state.at or last.visit is not None:
        return 0
    kind = desk.kinds.get(last.kind)
    return last.seq if last.seq == state.said or (kind is not None and kind.act) else 0


def _with_rows_to_say(asked: tuple[Ask, ...], state: State, desk: Desk) -> tuple[Ask, ...]:
    """The questions with what a look left to be said, each below the reading that left it."""
    for act, row in desk.to_say(state.at, saying_step(state, desk)):
        at = next((i for i, a in enumerate(asked) if a.kind.act == act), len(asked) - 1)
        while at + 1 < len(asked) and asked[at + 1].kind.id.startswith(TO_SAY):
            at += 1
        asked = (*asked[: at + 1], row, *asked[at + 1 :])
    return asked


def to_next_to_say(state: State, desk: Desk, before: Collection[str], *, answered: bool) -> State:
    """The cursor on a row to be said that was not there ``before``, or once one was ``answered`` on any that is left."""
    if not isinstance(state.mode, Walking) or state.at >= desk.count():
        return state
    there = {a.kind.id: i for i, a in enumerate(rows(state, desk)) if a.kind.id.startswith(TO_SAY)}
    new = [i for id_, i in there.items() if id_ not in before]
    left = [*new, *(there.values() if answered else ())]
    return state._replace(cursor=left[0]) if left else state


def _of_shelf(state: State, desk: Desk) -> tuple[Ask, ...]:
    """The shelf's own questions, at its first enclosure and then at the next ones until one was answered."""
    first, asked = desk.asks_of_shelf(state.at)
    if first == state.at:
        return ()  # it is asked them anyhow
    kinds = frozenset(a.kind.id for a in asked)
    cells = state.looks.get(state.at, VisitDraft()).cells
    if _read(cells, kinds):
        return asked
    return asked if _passed_unread(state, desk, range(first, state.at), kinds) else ()


def _read(cells: Mapping[str, Cell], kinds: frozenset[str]) -> bool:
    return not kinds.isdisjoint(cells) and any(cells.get(kind) is not None for kind in kinds)


def _passed_unread(state: State, desk: Desk, stops: range, kinds: frozenset[str]) -> bool:
    """Was this round at each of these stops, or did it skip it, without reading any of these there?

    A shelf may be long: what the walk itself holds is looked at first.
    """
    for stop in stops:
        look = state.looks.get(stop)
        cells = NO_CELLS if look is None else look.cells
        if _read(cells, kinds):
            return False
        seen = cells.get(AS_EXPECTED) is not None or cells.get(SKIPPED) is not None
        if not seen and not desk.passed_over(stop):
            return False
    return True


def others(state: State, desk: Desk) -> tuple[ReadingKind, ...]:
    """Readings of an enclosure that are not on the screen."""
    shown = {a.kind.id for a in rows(state, desk)}
    return tuple(
        k for k in desk.kinds.values() if k.id not in shown and not k.retired and k.subject == "enclosure"
    )


def cells_here(state: State, desk: Desk) -> Mapping[str, Cell]:
    """The cells of the visit on the screen: this round's, or the earlier one's."""
    if state.earlier is not None:
        return earlier_cells(state, desk)
    return state.looks.get(state.at, VisitDraft()).cells


def earlier_cells(state: State, desk: Desk) -> Mapping[str, Cell]:
    base = next((e.cells for e in desk.earlier(state.at) if e.uid == state.earlier), NO_CELLS)
    changed = {kind: cell for (uid, kind), cell in state.corrected.items() if uid == state.earlier}
    return {**base, **changed}


def start(state: State, desk: Desk) -> State:
    """The state with its cursor at the first question that waits for an answer."""
    asked, cells = rows(state, desk), cells_here(state, desk)
    waiting = [i for i, a in enumerate(asked) if cells.get(a.kind.id) is None]
    typed = [i for i in waiting if asked[i].must and asked[i].must != ONCE_A_SHELF]
    cursor = typed[0] if typed else (waiting[0] if waiting else len(asked))
    # A mode that asks something goes on: only a number that is half typed belongs to the question left.
    mode = Walking() if isinstance(state.mode, Walking) else state.mode
    return state._replace(cursor=cursor, mode=mode, warned=False)


def stop_after(desk: Desk, at: int) -> int:
    """The next stop of the walk behind ``at``, without the boxes that are passed over; the summary past the last."""
    return next((i for i in range(at + 1, desk.count()) if not desk.passed_over(i)), desk.count())


def stop_before(desk: Desk, at: int) -> int | None:
    """The stop of the walk before ``at``; None when there is none."""
    return next((i for i in range(at - 1, -1, -1) if not desk.passed_over(i)), None)


def arrive(state: State, desk: Desk, stop: int, message: str = "") -> Result:
    """Go to a stop (or, past the last one, to the summary)."""
    stop = max(0, min(stop, desk.count()))
    moved = state._replace(
        at=stop,
        mode=Walking(),
        message=message,
        earlier=None,
        pages=(),
        back_to=None,
        came_from=state.at if state.at < desk.count() else state.came_from,
    )
    return start(moved, desk), (Move(stop),)


def is_digit(key: str) -> bool:
    """One of the ten digits; what else counts as one elsewhere (²) is a sign here."""
    return len(key) == 1 and key in "0123456789"


def digit_of(at: int) -> str:
    """The digit that chooses the thing at a place (from 0) on its page of a numbered list."""
    return str(at % PER_PAGE + 1)


def rubs_out(desk: Desk, key: str) -> bool:
    """Whether a key takes back the last sign while something is typed.

    Beside backspace, which a number pad has not, that is a sign which gives undo: what takes
    back the last thing recorded takes back the last thing typed. Not those that numbers,
    dates and codes are written with.
    """
    return len(key) == 1 and not key.isalnum() and key not in ".,-+/" and desk.commands.get(key) == "undo"


def rub_key(desk: Desk) -> str:
    """The key that takes back the last sign typed, as it is shown."""
    return next((k for k in desk.commands if rubs_out(desk, k)), "backspace")


def leaving_key(desk: Desk) -> str:
    """The key that leaves a page that is typed on: one that goes back and is no letter or digit."""
    return next(
        (k for k, c in desk.commands.items() if c == "back" and (len(k) > 1 or not k.isalnum())), "left"
    )


def key_for(desk: Desk, command: str) -> str:
    """The first key of a command, as it is shown."""
    return name_of(next((k for k, c in desk.commands.items() if c == command), "?"))


def name_of(key: str) -> str:
    return key if len(key) != 1 or key.isprintable() else walking_sentences.THAT_KEY


def put(state: State, desk: Desk, kind: str, depth: Depth, after: Cell, why: str = "") -> Result:
    """Put a value into a cell of the visit on the screen, as one undoable step."""
    return put_all(state, desk, [(kind, depth, after)], why)


def put_all(state: State, desk: Desk, cells: list[tuple[str, Depth, Cell]], why: str = "") -> Result:
    seq = state.seq + 1
    effects: list[Effect] = []
    steps = list(state.steps)
    for kind, depth, after in cells:
        before = cells_here(state, desk).get(kind)
        steps.append(Undoable(seq, state.at, state.earlier, kind, depth, before))
        effects.append(Put(seq, state.at, state.earlier, kind, depth, before, after, why))
        state = with_cell(state, state.at, state.earlier, kind, after)
    return state._replace(seq=seq, steps=tuple(steps)), tuple(effects)


def with_cell(state: State, stop: int, visit: bytes | None, kind: str, after: Cell) -> State:
    if visit is not None:
        return state._replace(corrected={**state.corrected, (visit, kind): after})
    look = state.looks.get(stop, VisitDraft())
    return state._replace(looks={**state.looks, stop: look._replace(cells={**look.cells, kind: after})})


def set_look(state: State, look: VisitDraft) -> State:
    return state._replace(looks={**state.looks, state.at: look})


def ask_for(state: State, kind: ReadingKind, desk: Desk) -> Result:
    """Move to a reading, adding it to the questions when the stage does not ask it."""
    shown = rows(state, desk)
    for i, ask in enumerate(shown):
        if ask.kind.id == kind.id:
            return state._replace(cursor=i, mode=Walking()), ()
    look = state.looks.get(state.at, VisitDraft())
    here = depth_of(state, desk, state.at)
    deeper = next(
        (d for d in Depth if d > here and any(a.kind.id == kind.id for a in desk.asks(state.at, d))), None
    )  # the stage asks this only of a closer look
    if deeper is not None:
        refused = desk.withheld(state.at, deeper)
        if refused:
            return state._replace(message=refused), ()
        state = set_look(state, look._replace(depth=deeper))
        at = next(i for i, a in enumerate(rows(state, desk)) if a.kind.id == kind.id)
        return state._replace(cursor=at, mode=Walking()), ()
    if kind.subject != "enclosure":
        return state._replace(message=walking_sentences.read_once(kind.title, kind.subject)), ()
    state = set_look(state, look._replace(extra=(*look.extra, kind.id)))
    return state._replace(cursor=len(rows(state, desk)) - 1, mode=Walking()), ()


def missing(state: State, desk: Desk) -> list[int]:
    """Rows that must be typed before going on and are not; what is read for the shelf can wait for its next box."""
    cells, shown = cells_here(state, desk), rows(state, desk)
    return [
        i for i, a in enumerate(shown) if a.must not in ("", ONCE_A_SHELF) and cells.get(a.kind.id) is None
    ]


def go_on(state: State, desk: Desk) -> Result:
    """The next key: what was not typed is confirmed as usual, and the walk goes on."""
    if state.earlier is not None:
        return start(state._replace(earlier=None, message=walking_sentences.TODAY_AGAIN), desk), ()
    shown, cells = rows(state, desk), cells_here(state, desk)
    lacking = missing(state, desk)
    if lacking and not state.warned and cells.get(SKIPPED) is None:
        ask, again = shown[lacking[0]], key_for(desk, "next")
        titles = tuple(shown[i].kind.title for i in lacking)
        said = (
            walking_sentences.must_be_typed(ask.kind.title, ask.must, again)
            if len(titles) == 1
            else walking_sentences.several_to_be_read(titles, again)
        )
        return state._replace(cursor=lacking[0], warned=True, message=said), ()
    state = state._replace(warned=False)
    effects: tuple[Effect, ...] = ()
    if cells.get(SKIPPED) is None:
        confirmed: dict[str, object] = {
            a.kind.id: list(a.confirms) if isinstance(a.confirms, tuple) else a.confirms
            for a in shown
            if not a.must and a.confirms is not None and cells.get(a.kind.id) is None
        }
        before = cells.get(AS_EXPECTED)
        already = dict(before) if isinstance(before, Mapping) else {}
        if before is None or not confirmed.keys() <= already.keys():
            state, effects = put(
                state, desk, AS_EXPECTED, depth_of(state, desk, state.at), {**confirmed, **already}
            )
    ahead = stop_after(desk, state.at)
    said = ""
    if cells.get(SKIPPED) is None:
        goes_on = ahead < desk.count() and desk.asks_of_shelf(ahead)[0] == desk.asks_of_shelf(state.at)[0]
        said = _left_unread(shown, cells, lacking, desk.label(state.at), shelf_goes_on=goes_on)
    state, moved = arrive(state, desk, ahead, said)
    return state, (*effects, *moved)


def _left_unread(
    shown: tuple[Ask, ...], cells: Mapping[str, Cell], lacking: list[int], box: str, *, shelf_goes_on: bool
) -> str:
    """What a look that is left did not read: what had to be read first, then what is read for the shelf.

    The shelf's is never stopped for: the digit typed next is the next box's, and would become a temperature.
    """
    of_shelf = [a.kind.title for a in shown if a.must == ONCE_A_SHELF and cells.get(a.kind.id) is None]
    shelf = of_shelf[0] if of_shelf else ""
    if lacking:
        titles = tuple(shown[i].kind.title for i in lacking)
        return walking_sentences.left_unread(box, titles, shelf, shelf_goes_on=shelf_goes_on)
    return walking_sentences.shelf_not_read(shelf, box, shelf_goes_on=shelf_goes_on) if shelf else ""
