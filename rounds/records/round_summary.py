"""What a round leaves to do: actions by harm and shelf order, what to carry, what was not seen."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.named_tuple import NamedTuple
from rounds.records import carry_sentences
from rounds.records.observations import CALL, Action, DueNotice, EnclosureState

HARM_LEVELS = ("now", "today", "look")
"""Harm, worst first: an animal or brood may be lost today; soon; watch it."""

MARKS = {"now": "!!!", "today": "!!", "look": "!"}

BRING = {
    "cups": "jelly cups",
    "fruit": "pieces of fruit",
    "water": "litres of water",
    "tubs": "empty tubs",
    "substrate": "litres of fresh substrate",
}
"""What can be carried to the rack, by the word a rule uses."""
BRING_ONE = {
    "cups": "jelly cup",
    "fruit": "piece of fruit",
    "water": "litre of water",
    "tubs": "empty tub",
    "substrate": "litre of fresh substrate",
}
"""The same where it is just one."""


class SummaryRow(NamedTuple):
    """One enclosure needing action."""

    enclosure: EnclosureState
    action: Action
    old: bool  # open from before this day


class Need(NamedTuple):
    """What one enclosure needs of a thing for work that is due: ``low`` to ``high``.

    ``high`` None: nobody knows how much. ``mix`` is what substrate is made of, as the book
    has it; ``why`` is what the amount rests on there, ``how`` in a few words how such amounts are reckoned.
    """

    what: str
    low: float
    high: float | None
    mix: str = ""
    why: str = ""
    how: str = ""


class Carry(NamedTuple):
    """Something to bring to the rack, and where it goes: ``amount`` of it, or up to ``most``.

    ``unknown`` are enclosures that need some, and nobody knows how much: they come on top.
    ``why`` is what the amounts rest on, an enclosure a line; ``how``, in a few words, how they are reckoned.
    """

    what: str
    amount: float
    codes: tuple[str, ...]
    most: float | None = None
    unknown: tuple[str, ...] = ()
    mix: str = ""
    why: tuple[str, ...] = ()
    how: tuple[str, ...] = ()


NO_NEEDS: Mapping[int, Sequence[Need]] = {}


class Summary(NamedTuple):
    """One house on one day; every list is in the order it should be worked off."""

    day: int
    rows: tuple[SummaryRow, ...]
    carry: tuple[Carry, ...]
    unseen: tuple[tuple[EnclosureState, str], ...]  # with the reason of a skip, or ""
    due: tuple[tuple[EnclosureState, DueNotice], ...]
    seen: int


def harm(level: str) -> int:
    return HARM_LEVELS.index(level) if level in HARM_LEVELS else len(HARM_LEVELS)


def urgency(action: Action) -> tuple[int, bool]:
    """Sorts actions: by harm, and a call for help before what a rule raised."""
    return harm(action.level), action.rule != CALL


def summary(
    day: int,
    enclosures: Sequence[EnclosureState],
    actions: Mapping[int, Sequence[Action]],
    looked: Mapping[int, bool],
    skipped: Mapping[int, str],
    carry: Mapping[int, Mapping[str, float]],
    dues: Mapping[int, Sequence[DueNotice]],
    needs: Mapping[int, Sequence[Need]] = NO_NEEDS,
) -> Summary:
    """Put a day together. ``enclosures`` come in shelf order; the mappings are by enclosure id.

    ``carry`` is what set-ups want brought, ``needs`` what carry rules and due work do. An enclosure in stage empty is neither missed nor carried for.
    """
    rows = [
        SummaryRow(e, a, a.opened < day)
        for e in enclosures
        for a in actions.get(e.id, ())
        if a.state == "open"
    ]
    rows.sort(key=lambda r: urgency(r.action))  # stable: shelf order within one level
    unseen = tuple(
        (e, skipped.get(e.id, "")) for e in enclosures if e.stage != "empty" and not looked.get(e.id, False)
    )
    return Summary(
        day=day,
        rows=tuple(rows),
        carry=carried(enclosures, carry, needs),
        unseen=unseen,
        due=tuple((e, d) for e in enclosures for d in dues.get(e.id, ()) if d.planned() <= day),
        seen=sum(1 for e in enclosures if looked.get(e.id, False)),
    )


def carried(
    enclosures: Sequence[EnclosureState],
    wanted: Mapping[int, Mapping[str, float]],
    needs: Mapping[int, Sequence[Need]] = NO_NEEDS,
) -> tuple[Carry, ...]:
    """What every enclosure wants brought, added up by thing and mix: a span where a part is one."""
    things: dict[tuple[str, str], Carry] = {}
    for e in enclosures:
        every = [
            Need(what, amount, amount, how=carry_sentences.FOR_SET_UPS)
            for what, amount in wanted.get(e.id, {}).items()
        ]
        for need in (*every, *needs.get(e.id, ())):
            key = (need.what, need.mix)
            so_far = things.get(key, Carry(need.what, 0.0, (), mix=need.mix))
            things[key] = _with(so_far, e.code, need)
    known = sorted(things, key=lambda key: (not things[key].codes, key))
    return tuple(things[key] for key in known)  # what has an amount first


def _with(c: Carry, code: str, need: Need) -> Carry:
    why = (*c.why, carry_sentences.rests_on(code, need.why)) if need.why else c.why
    how = (*c.how, need.how) if need.how and need.how not in c.how else c.how
    c = c._replace(how=how)
    if need.high is None:
        return c._replace(unknown=(*c.unknown, code), why=why)
    amount = c.amount + need.low
    most = (c.amount if c.most is None else c.most) + need.high
    codes = c.codes if code in c.codes else (*c.codes, code)
    return c._replace(amount=amount, codes=codes, most=most if most > amount else None, why=why)


def carry_words(carry: Carry) -> str:
    """``11 jelly cups (1 a box: cup due for a change) for TL-003, TL-007``; ``up to 8 litres of fresh substrate (…) for …``; ``amount not known for …``."""
    thing = BRING.get(carry.what, carry.what)
    if not carry.codes:
        return carry_sentences.unknown_amount(thing.removeprefix("litres of "), carry.mix, carry.unknown)
    if carry.most is None and carry.amount == 1:
        thing = BRING_ONE.get(carry.what, thing)
    return carry_sentences.bring(
        amount_words(carry), thing, carry.mix, carry.codes, carry.unknown, how=carry.how
    )


def amount_words(carry: Carry) -> str:
    """``11``, ``6 to 8``, ``up to 8``; ``not known``."""
    if not carry.codes:
        return carry_sentences.NOT_KNOWN
    if carry.most is None:
        return _number(carry.amount)
    low, high = _about(carry.amount), _about(carry.most)
    if low == high:
        return carry_sentences.about(high)
    return carry_sentences.between(low, high) if carry.amount else carry_sentences.up_to(high)


def _number(amount: float) -> str:
    return f"{round(amount, 2):g}"


def _about(amount: float) -> str:
    """An end of a span, as closely as anybody measures substrate."""
    return f"{round(amount) if amount >= 10 else round(amount, 1 if amount >= 1 else 2):g}"
