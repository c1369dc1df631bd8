"""Keys on the pages of the books: moving, opening, going back, acting at the enclosure of a row.

Pages lie over the walk: ``State.pages`` is the way that led to the one in sight, and with
none open the walk goes on where it stood. Keys mean what they mean on the walk wherever that
makes sense. Nothing is recorded by looking.
"""

from __future__ import annotations

from rounds.keys.commands import COMMANDS
from rounds.views.page import TOPICS, Link, ListRow, OpenPage, Page, RowAct, Tile
from rounds.walk.machine import act_modes, recording_sentences, steps, walking_sentences
from rounds.walk.machine.act_modes import DUE_ACTS
from rounds.walk.machine.action_modes import act_on, on_work
from rounds.walk.machine.run_command import for_the_keeper, run
from rounds.walk.machine.state import BackTo, Desk, DueHere, Result, State

LEAP = 10
"""Rows that a page key moves."""
MOST_TYPED = 60
ARROWS = ("up", "down")
"""Keys that go to the shelf above or below on the rack; others that move go to the box before or behind."""
MOVES = {"pageup": -LEAP, "pagedown": LEAP}


def open_pages(state: State, desk: Desk) -> Result:
    """The page of the enclosure one stands at; on the summary, the rack."""
    if state.earlier is not None:
        return state._replace(message=recording_sentences.CORRECTING_FIRST), ()
    here = Link("rack") if state.at >= desk.count() else Link("enclosure", desk.enclosure_of(state.at))
    return _push(state, OpenPage(here, desk.first_row(here, state.at))), ()


def open_find(state: State) -> Result:
    if state.earlier is not None:
        return state._replace(message=recording_sentences.CORRECTING_FIRST), ()
    return _push(state, OpenPage(Link("find"))), ()  # always with nothing typed


def press(state: State, key: str, desk: Desk) -> Result:
    """One key on the newest open page."""
    page = desk.page(state.pages[-1])
    here = state.pages[-1]
    if here.cursor >= max(1, page.size()):  # the list has become shorter
        state = _top(state, here._replace(cursor=max(0, page.size() - 1)))
    if page.typed:
        return _typed(state, key, desk, page)
    topic = next((t for t in TOPICS if t.key == key), None)
    if topic is not None:
        return _push(state, OpenPage(topic.link, desk.first_row(topic.link, state.at))), ()
    command = desk.commands.get(key, "")
    moved = _moved(state, key, command, page)
    if moved is not None:
        return moved, ()
    if command == "next" or key == "right":
        return _into(state, desk, page)
    if command == "back" or key == "backspace":
        return _back(state), ()
    return _command(state, key, command, desk, page)


def _command(state: State, key: str, command: str, desk: Desk, page: Page) -> Result:
    refused = for_the_keeper(state, command, desk) if command else None
    if refused is not None:
        return refused, ()
    does = COMMANDS[command].while_on_page if command else "nothing"
    if does in ("at_row", "at_row_and_back"):
        return _at_enclosure(state, command, desk, page)
    if does == "over_page":
        return run(state, command, desk)
    if does == "closes_page":
        return run(state._replace(pages=()), command, desk)
    said = walking_sentences.does_nothing_on_page(steps.name_of(key), steps.key_for(desk, "help"))
    return state._replace(message=said), ()


def _typed(state: State, key: str, desk: Desk, page: Page) -> Result:
    """Letters, digits and spaces are what is looked for; the other keys move."""
    here = state.pages[-1]
    if not here.query and desk.commands.get(key) == "help":
        return _command(state, key, "help", desk, page)
    command = desk.commands.get(key, "")
    if not key.isalnum() and command in ("reading_up", "reading_down"):
        return _moved(state, key, command, page) or state, ()  # a pad has no arrows
    if not here.query and key == steps.leaving_key(desk):
        return _back(state), ()
    if key == "backspace" or steps.rubs_out(desk, key):
        if not here.query:  # one press too many must not lead away
            leaves = steps.name_of(steps.leaving_key(desk))
            return state._replace(message=walking_sentences.nothing_typed(leaves)), ()
        return _top(state, here._replace(query=here.query[:-1], cursor=0)), ()
    text = " " if key == "space" else key
    if len(text) == 1 and text.isprintable():
        if len(here.query) >= MOST_TYPED:
            return state._replace(message=walking_sentences.at_most(MOST_TYPED)), ()
        return _top(state, here._replace(query=here.query + text, cursor=0)), ()
    if key in ("enter", "right"):
        return _into(state, desk, page)
    if key == "left":
        return _back(state), ()
    return _moved(state, key, command, page) or state, ()


def _moved(state: State, key: str, command: str, page: Page) -> State | None:
    here = state.pages[-1]
    last = max(0, page.size() - 1)
    at = min(here.cursor, last)
    if page.shelves and key in ("left", "right"):
        return _top(state, here._replace(cursor=max(0, min(last, at + (1 if key == "right" else -1)))))
    if command in ("reading_up", "reading_down"):
        step = -1 if command == "reading_up" else 1
        # A pad has no arrows to go along a shelf with: its key goes from box to box through all of them.
        to = _shelf_move(page, at, step) if page.shelves and key in ARROWS else at + step
    elif key in MOVES:
        to = _bay_move(page, at, 1 if key == "pagedown" else -1) if page.shelves else at + MOVES[key]
    elif key in ("home", "end"):
        to = 0 if key == "home" else last
    else:
        return None
    return _top(state, here._replace(cursor=max(0, min(last, to))))


def _shelf_move(page: Page, at: int, step: int) -> int:
    """The tile above or below: the same place on the next shelf, or its last one."""
    starts = [0]
    for shelf in page.shelves:
        starts.append(starts[-1] + len(shelf.tiles))
    row = next(i for i in range(len(page.shelves)) if at < starts[i + 1])
    to = row + step
    while 0 <= to < len(page.shelves) and not page.shelves[to].tiles:
        to += step
    if not 0 <= to < len(page.shelves):
        return at
    return starts[to] + min(at - starts[row], len(page.shelves[to].tiles) - 1)


def _bay_move(page: Page, at: int, step: int) -> int:
    """The first box of the next bay, or of the one before; boxes without a place count as a bay."""
    firsts: list[int] = []
    tiles = 0
    for i, shelf in enumerate(page.shelves):
        if not i or shelf.bay != page.shelves[i - 1].bay:
            firsts.append(tiles)
        tiles += len(shelf.tiles)
    here = max(i for i, first in enumerate(firsts) if first <= at)
    return firsts[max(0, min(len(firsts) - 1, here + step))]


def _into(state: State, desk: Desk, page: Page) -> Result:
    """Open what the row is about."""
    row = page.at(state.pages[-1].cursor)
    if isinstance(row, ListRow) and row.link is None and row.act is not None:
        said = walking_sentences.record_does_this(steps.key_for(desk, "record"))
        return state._replace(message=said), ()
    if row is None or row.link is None:
        said = walking_sentences.LISTED_NOWHERE if row is None else walking_sentences.NOTHING_BEHIND
        if isinstance(row, Tile):
            said = walking_sentences.EMPTY_SLOT
        return state._replace(message=page.wait or said), ()
    if row.link.kind == "stop":
        stop = desk.stop_of(int(row.link.id))
        if stop is None:
            return state._replace(message=walking_sentences.NOT_ON_THIS_WALK), ()
        return steps.arrive(state, desk, stop)
    return _push(state, OpenPage(row.link, desk.first_row(row.link, state.at))), ()


def _back(state: State) -> State:
    return state._replace(pages=state.pages[:-1])


def _at_enclosure(state: State, command: str, desk: Desk, page: Page) -> Result:
    row = page.at(state.pages[-1].cursor)
    if isinstance(row, ListRow):
        given = row.act if command == "record" else dict(row.acts).get(command)
        if isinstance(given, str):
            return state._replace(message=given), ()
        if given is not None:
            return _record(state, desk, given)
        if row.action and command in ("done", "put_off"):
            return _act_on(state, desk, row, command)
    enclosure = _enclosure(row, page)
    stop = None if enclosure is None else desk.stop_of(enclosure)
    if stop is None:
        unknown = enclosure is None
        why = walking_sentences.NO_ENCLOSURE_OF_ROW if unknown else walking_sentences.NOT_ON_THIS_WALK
        return state._replace(message=walking_sentences.nothing_from_here(why)), ()
    if COMMANDS[command].while_on_page == "at_row_and_back":
        return run(_told_at(state, stop), command, desk)
    there, effects = steps.arrive(state, desk, stop)
    after, more = run(there, command, desk)
    return after, (*effects, *more)


def _enclosure(row: ListRow | Tile | None, page: Page) -> int | None:
    if row is not None and row.enclosure is not None:
        return row.enclosure
    return page.enclosure


def _record(state: State, desk: Desk, act: RowAct) -> Result:
    """Record a row's act and stay; where more must be told, that is asked at its enclosure first."""
    stop = desk.stop_of(act.enclosure)
    if stop is None:
        said = walking_sentences.nothing_from_here(walking_sentences.NOT_ON_THIS_WALK)
        return state._replace(message=said), ()
    if act.act == DUE_ACTS["done"]:  # the act that does the work, where one does
        name = dict(act.typed).get("work", "")
        due = next((d for d in desk.due_here(stop) if d.name == name), DueHere(name))
        return on_work(_told_at(state, stop), desk, due, "done")
    return act_modes.open_given(_told_at(state, stop), desk, act.act, act.whom, act.typed)


def _act_on(state: State, desk: Desk, row: ListRow, command: str) -> Result:
    """Done with just this row's action, or put off once the days and the reason were told; and stay."""
    stop = None if row.enclosure is None else desk.stop_of(row.enclosure)
    action = None if stop is None else next((a for a in desk.actions(stop) if a.uid == row.action), None)
    if stop is None or action is None:
        why = walking_sentences.NOT_ON_THIS_WALK if stop is None else walking_sentences.NO_LONGER_OPEN
        return state._replace(message=walking_sentences.nothing_from_here(why)), ()
    return act_on(_told_at(state, stop), desk, action, command)


def _told_at(state: State, stop: int) -> State:
    """Over the walk at a stop, for as long as something has to be told; then back to this page and its row."""
    return state._replace(pages=(), at=stop, cursor=0, back_to=BackTo(state.pages, state.at, state.cursor))


def _push(state: State, opened: OpenPage) -> State:
    """Open a page; one that is open already is gone back to, so that the way never grows in circles."""
    for i, earlier in enumerate(state.pages):
        if earlier.link == opened.link:
            if earlier.query:  # what was looked for before is not asked again
                return state._replace(pages=(*state.pages[:i], opened))
            return state._replace(pages=state.pages[: i + 1])
    return state._replace(pages=(*state.pages, opened))


def _top(state: State, opened: OpenPage) -> State:
    return state._replace(pages=(*state.pages[:-1], opened))
