"""Recording an act on the walk: choose it, say whom and what it needs, be asked when in doubt.

Modes ``acts``, ``whom``, ``field`` and ``sure``, as values of the same state as all others.
An act that needs nothing more is recorded with its second key.
"""

from __future__ import annotations

from rounds.acts.offer import DAY_FIELD, Offer, OfferField
from rounds.husbandry.stages import Depth
from rounds.keys.commands import PER_PAGE
from rounds.records.entries import ACT
from rounds.walk.machine import steps, when_mode
from rounds.walk.machine.state import Desk, RecordAct, Result, State, Undoable

TURNS = {".": 2, "+": 3, "-": 4, "*": 5}
"""Keys that open the third page of acts and so on at once: any act is three keys away, also on a number pad."""
NOTHING_RECORDED = "nothing recorded"
PUT_OFF = ("due-off", "because")
"""The act and its field that take the reasons to put something off."""


def open_acts(state: State, desk: Desk) -> Result:
    if state.earlier is not None:
        return state._replace(message="an earlier visit is being corrected; end that first"), ()
    if not desk.offers(state.at):
        return state._replace(message="no act is offered at this stage"), ()
    return state._replace(mode="acts", page=0, act="", whom="", typed=(), buffer="", on=""), ()


def open_one(state: State, desk: Desk, act: str) -> Result | None:
    """Go straight to one act, when it is offered here; a thing it can only be told one way is told."""
    if state.at >= desk.count() or "record" not in desk.commands.values():
        return None
    found = next((o for o in desk.offers(state.at) if o.act == act), None)
    if found is None:
        return None
    typed = (*found.given, *((f.name, f.words[0]) for f in found.fields if len(f.words) == 1))
    return _proceed(
        state._replace(act=act, whom=_only(found), page=0, typed=typed, buffer="", asked=None), desk
    )


def open_given(state: State, desk: Desk, act: str, whom: str, typed: tuple[tuple[str, str], ...]) -> Result:
    """Record an act that a page has filled in already; what is still wanted is asked for."""
    if "record" not in desk.commands.values():
        return state._replace(message="no key of this layout records acts"), ()
    given = offer(state._replace(act=act, whom=whom), desk).given
    typed = (*(g for g in given if g[0] not in dict(typed)), *typed)
    return _proceed(state._replace(act=act, whom=whom, page=0, typed=typed, buffer="", asked=None), desk)


def offer(state: State, desk: Desk) -> Offer:
    """The offer being filled in; an act that a page knows all about need not be offered at the stage."""
    found = next((o for o in desk.offers(state.at) if o.act == state.act), None)
    return found or Offer(state.act, "", ((state.whom, state.whom),), ())


def wanted(state: State, desk: Desk) -> OfferField | None:
    """The next thing the act must be told, or None when it has all it needs."""
    if state.asked is not None:
        return state.asked
    have = {name for name, _ in state.typed}
    return next((f for f in offer(state, desk).fields if f.name not in have), None)


def ready(state: State, desk: Desk) -> tuple[str, ...]:
    """Answers that a digit and Enter give to what is asked now, where a text may be typed instead."""
    asked = wanted(state, desk)
    if asked is not None and (state.act, asked.name) == PUT_OFF:
        return tuple(c.title for c in desk.put_offs)
    return asked.ready if asked is not None else ()


def choose(state: State, key: str, desk: Desk) -> Result:
    offers = desk.offers(state.at)
    if key == when_mode.KEY:
        return when_mode.open_when(state)
    if TURNS.get(key, len(offers)) * PER_PAGE < len(offers):
        return state._replace(page=TURNS[key]), ()
    if not steps.is_digit(key):
        return _away(state)
    state, at = steps.numbered(state, key, len(offers), "no act")
    if at is None:
        return state, ()
    chosen = offers[at]
    if state.on and not chosen.dated:
        back = f"{when_mode.KEY} and enter is today again"
        return state._replace(message=f"{chosen.title}: is told no day; {back}"), ()
    day = ((DAY_FIELD, state.on),) if state.on else ()
    return _proceed(
        state._replace(act=chosen.act, whom=_only(chosen), typed=(*chosen.given, *day), on=""), desk
    )


def whom(state: State, key: str, desk: Desk) -> Result:
    if not steps.is_digit(key):
        return _away(state)
    people = offer(state, desk).whom
    state, at = steps.numbered(state, key, len(people), "nobody")
    return (state, ()) if at is None else _proceed(state._replace(whom=people[at][0]), desk)


def field(state: State, key: str, desk: Desk) -> Result:
    asked = wanted(state, desk)
    if asked is None:
        return _proceed(state, desk)
    if key == "backspace" and not state.buffer:
        return _away(state)
    away = f"{steps.rub_key(desk)} leaves it unrecorded"
    if asked.words:
        if not steps.is_digit(key):
            return state._replace(message=f"a digit chooses; {away}"), ()
        state, at = steps.numbered(state, key, len(asked.words), "no answer")
        return (state, ()) if at is None else _told(state, desk, asked.name, asked.words[at])
    if key == "enter":
        text = steps.ready(state.buffer, ready(state, desk))
        if not text:
            return state._replace(message=f"expected {asked.about}; {away}"), ()
        return _told(state, desk, asked.name, text)
    return steps.edited(state, key, 200) or state, ()


def sure(state: State, key: str, desk: Desk) -> Result:
    if key in ("1", "y"):
        return _finish(state, desk, sure=True)
    return _away(state)


def _only(chosen: Offer) -> str:
    return chosen.whom[0][0] if len(chosen.whom) == 1 else ""


def _told(state: State, desk: Desk, name: str, text: str) -> Result:
    return _proceed(state._replace(typed=(*state.typed, (name, text)), buffer="", asked=None), desk)


def _proceed(state: State, desk: Desk) -> Result:
    """Ask for what is still wanted, or record."""
    if not state.whom and len(offer(state, desk).whom) > 1:
        return state._replace(mode="whom", page=0), ()
    if wanted(state, desk) is not None:
        return state._replace(mode="field", buffer="", page=0), ()
    return _finish(state, desk, sure=False)


def _finish(state: State, desk: Desk, *, sure: bool) -> Result:
    drafted = desk.draft(state.at, state.act, state.whom, state.typed, sure)
    if drafted.question:
        return state._replace(mode="sure", message=drafted.question), ()
    if drafted.asks is not None:
        return state._replace(
            mode="field", buffer="", page=0, asked=drafted.asks, message=drafted.refused
        ), ()
    if drafted.refused:
        return _away(state, drafted.refused)
    seq = state.seq + 1
    step = Undoable(seq, state.at, None, ACT, Depth.WALL, None)
    record = RecordAct(seq, state.at, state.act, state.whom, state.typed, sure)
    state = state._replace(
        seq=seq,
        steps=(*state.steps, step),
        mode="walk",
        buffer="",
        page=0,
        message=f"recorded{_dated(state)}: {drafted.said}",
    )
    return state, (record,)


def _dated(state: State) -> str:
    day = dict(state.typed).get(DAY_FIELD, "")
    return f" on {day}" if day else ""


def _away(state: State, message: str = NOTHING_RECORDED) -> Result:
    return state._replace(mode="walk", buffer="", page=0, message=message, asked=None, on=""), ()
