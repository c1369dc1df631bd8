"""What is read out: an enclosure in full sentences, one question as one line, what was recorded.

Pure: a walk in, lines out. Every text of the book went through ``clean``; nothing is cut,
and nothing rests on a mark, a colour or a place on the screen.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from rounds.husbandry import locks
from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import DEPTH_WORDS
from rounds.line_ui.mode_prompts import LEVEL_WORDS
from rounds.presenters import care_lines
from rounds.presenters.reading_values import confirmed_words, contents_words
from rounds.records.entries import ACT, AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import Action, Flag
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps as entry_steps
from rounds.walk.machine.questions import ONCE_A_SHELF, Ask
from rounds.walk.machine.state import State, Undoable
from rounds.walk.machine.walking_prompt import STILL, at_the_end

WHOLE = 20_000  # characters: a text is never cut, only cleaned
ARROW = " → "  # stands between a reason and what to do in the texts of the screen


def sentence(text: str) -> str:
    """A text of the screen as it is said: words for its arrow, no backticks, a full stop at its end."""
    *before, last = text.replace("`", "").strip().split(ARROW)
    return " ".join([*(f"{_stopped(x)} To do:" for x in before), _stopped(last)])


def _stopped(text: str) -> str:
    return text if not text or text[-1] in ".?!:" else f"{text}."


# An enclosure


def arrival(walk: Walk, *, brief: bool = False) -> list[str]:
    """Who and where, what must not be done, what stands, what is open, due and begun.

    ``brief`` leaves out what due work follows from.
    """
    stop = walk.route.stops[walk.state.at]
    e = stop.enclosure
    where = f"at {clean(e.place.address, 40)}" if e.place else "without a place"
    out = [
        f"{clean(e.code, 400)}, {e.stage}{_days(walk)}, number {e.number}, {where}. "
        f"{walk.state.at + 1} of {walk.route.count()}.",
        sentence(f"{clean(e.species, 400) or 'no species recorded'}: {contents_words(e.contents, WHOLE)}"),
    ]
    out += _today(walk)
    aside = walk.watch.overrides(e.id)
    for lock in stop.locks:
        said = clean(locks.words(lock), WHOLE)
        out.append(
            sentence(f"Lock overruled now, because of what was found: {said}" if aside else f"Lock: {said}")
        )
    out += [said for _, said in raised(walk, walk.state.at)]
    out += [
        sentence(f"Open, {LEVEL_WORDS.get(a.level, a.level)}: {care_lines.action_words(walk, a, WHOLE)}")
        for a in _open(walk)
    ]
    for d in stop.dues:
        when = "Due" if d.planned() <= walk.day else "Due soon"
        out.append(sentence(f"{when}: {care_lines.due_words(d._replace(why='') if brief else d, WHOLE)}"))
    for b in walk.desk.begun(walk.state.at):
        steps = "; ".join(line.words or line.step.id for line in b.open)
        done = sum(1 for line in b.lines if line.done is not None)
        out.append(
            sentence(
                clean(
                    f"Begun: {b.checklist.title}, {done} of {len(b.lines)} steps done; open: {steps}", WHOLE
                )
            )
        )
    if walk.dues.said:
        out.append(sentence(f"Due work {clean(walk.dues.said, WHOLE)}"))
    return out


def _days(walk: Walk) -> str:
    since = walk.route.stops[walk.state.at].enclosure.stage_since
    if since is None:
        return ""
    low, high = max(0, walk.day - since.latest), walk.day - since.earliest
    if low == high:
        return f" for {_count(low, 'day')}"
    return f" for {low} days or more" if high > 3000 else f" for {low} to {high} days"


def _count(n: int, what: str) -> str:
    return f"{n} {what}" if n == 1 else f"{n} {what}s"


def _today(walk: Walk) -> list[str]:
    """What this round has already recorded here."""
    cells = entry_steps.cells_here(walk.state, walk.desk)
    out = []
    if walk.round.skipped(walk.state.at):
        out.append(f"Skipped on this round: {skip_words(walk, walk.round.skipped(walk.state.at))}.")
    elif walk.round.looked(walk.state.at):
        out.append("Seen on this round.")
    if cells.get(NOTE):
        out.append(sentence(f"Note: {clean(str(cells[NOTE]), WHOLE)}"))
    return out


def skip_words(walk: Walk, reason: str) -> str:
    """The title of a reason to skip, whole."""
    return clean(next((c.title for c in walk.desk.skips if c.id == reason), reason), WHOLE)


def _open(walk: Walk) -> list[Action]:
    flagged = {f.rule for f in walk.round.flags(walk.state.at)}
    return [a for a in walk.desk.actions(walk.state.at) if a.opened < walk.day or a.rule not in flagged]


def raised(walk: Walk, stop: int) -> list[tuple[str, str]]:
    """``(rule, sentence)`` of the flags at a stop that are not said as open actions already."""
    open_ = {a.rule: a for a in walk.desk.actions(stop)}
    out: list[tuple[str, str]] = []
    for flag in walk.round.flags(stop):
        action = open_.get(flag.rule)
        if action is None or action.opened >= walk.day:
            out.append((flag.rule, _flag(flag, dealt=stop in walk.round.visits and action is None)))
    return out


def _flag(flag: Flag, *, dealt: bool) -> str:
    return sentence(
        f"Flag, {LEVEL_WORDS.get(flag.level, flag.level)}: {care_lines.flag_words(flag, dealt=dealt, limit=WHOLE)}"
    )


def confirms(walk: Walk) -> str:
    """What Enter alone would write, and what it leaves unread ("" when it confirms nothing)."""
    cells = entry_steps.cells_here(walk.state, walk.desk)
    known = cells.get(AS_EXPECTED)
    done = known if isinstance(known, Mapping) else {}
    waiting = [
        a
        for a in entry_steps.rows(walk.state, walk.desk)
        if cells.get(a.kind.id) is None and a.kind.id not in done
    ]
    usual = [f"{_title(a.kind)} {_usual(a)}" for a in waiting if not a.must and a.confirms is not None]
    unread = [_title(a.kind) for a in waiting if not a.must and a.confirms is None]
    if not usual:
        return ""
    left = f"; it leaves {', '.join(unread)} unread" if unread else ""
    return f"confirms {', '.join(usual)}{left}."


# A question


def _at_the_end(walk: Walk) -> str:
    """What is without an answer there; Enter goes to what has to be read before it goes on."""
    said = at_the_end(walk.state, walk.desk)
    then = "Enter goes there first" if said.startswith(STILL) else "Enter goes on"
    return f"{sentence(said[0].upper() + said[1:])} {then}."


def question(walk: Walk, *, brief: bool) -> str:
    """The question at the cursor as one line; what Enter does where all is read."""
    state = walk.state
    rows = entry_steps.rows(state, walk.desk)
    if state.cursor >= len(rows):
        if state.earlier is not None:
            return "All of that visit. Enter goes back to today's."
        return _at_the_end(walk)
    ask = rows[state.cursor]
    kind = ask.kind
    place = walk.route.stops[state.at].enclosure.place
    shelf = f"shelf {clean(place.shelf_name, 40)}, " if kind.subject == "shelf" and place else ""
    parts = [] if brief else [_answers(kind)]
    if ask.confirms is not None:
        parts.append(f"expected {_usual(ask)}")
    parts += _last(walk, kind)
    if ask.must == ONCE_A_SHELF:
        parts.append("asked once a shelf")
    elif ask.must and not entry_steps.cells_here(state, walk.desk).get(kind.id):
        parts.append("asked each time" if ask.must == "each time" else f"has to be read: {ask.must}")
    now = _now(walk, kind)
    then = "" if state.earlier is None else _correcting(walk)
    return f"{then}{shelf}{_title(kind)}: {'; '.join([*parts, *([now] if now else [])])}."


def _title(kind: ReadingKind) -> str:
    return clean(kind.title, 400)


def _answers(kind: ReadingKind) -> str:
    if kind.type == "tick":
        return "1 yes, 0 no"
    if kind.type == "choice":
        return ", ".join(f"{c.key} {clean(c.title, 400)}" for c in kind.choices)
    unit = f", in {clean(kind.unit, 100)}" if kind.unit and kind.unit not in kind.title else ""
    least = "at least how many, " if kind.at_least else ""
    return f"{least}{kind.low:g} to {kind.high:g}{unit}"


def _usual(ask: Ask) -> str:
    """The usual value, in full."""
    return _words(ask.kind, ask.confirms)


def _words(kind: ReadingKind, value: object) -> str:
    if kind.type == "choice" and isinstance(value, str):
        choice = kind.choice(value)
        return clean(choice.title if choice else value, 400)
    return confirmed_words(kind, {kind.id: value})[1:-1]


def _last(walk: Walk, kind: ReadingKind) -> list[str]:
    """The newest of the last three visits that has it, with its day when it is not the last visit."""
    past = list(reversed(walk.past.of(walk.state.at)[-3:]))
    changed = walk.route.stops[walk.state.at].enclosure.changed
    for i, visit in enumerate(past):
        if kind.id in visit.read or kind.id in visit.confirmed:
            on = f" on {day_words(visit.day)}" if i else ""
            on += " (other animals or another stage then)" if visit.day <= changed else ""
            if kind.id in visit.read:
                return [f"last {_words(kind, visit.read[kind.id])}{on}"]
            return [f"last {_words(kind, visit.confirmed[kind.id])}{on}, as expected"]
    return ["skipped last time"] if past and past[0].skipped else []


def _now(walk: Walk, kind: ReadingKind) -> str:
    cells = entry_steps.cells_here(walk.state, walk.desk)
    value = cells.get(kind.id)
    if value is not None:
        return f"now {_words(kind, value)}"
    confirmed = cells.get(AS_EXPECTED)
    if isinstance(confirmed, Mapping) and kind.id in confirmed:
        return f"now {_words(kind, confirmed[kind.id])}, as expected"
    return ""


def _correcting(walk: Walk) -> str:
    day = next((e.day for e in walk.past.earlier(walk.state.at) if e.uid == walk.state.earlier), walk.day)
    return f"Correcting {day_words(day)}, "


def look(walk: Walk) -> str:
    """How closely the walk looks here."""
    return DEPTH_WORDS[entry_steps.depth_of(walk.state, walk.desk, walk.state.at)]


# What was recorded


class Recorded(NamedTuple):
    """What a key recorded, in words; ``undone`` when it took something back."""

    text: str
    undone: bool = False


def recorded(walk: Walk, before: State, after: State) -> Recorded | None:
    """What the steps between two states come to, or None."""
    old, new = {u.seq for u in before.steps}, {u.seq for u in after.steps}
    if old - new:
        return Recorded(clean(after.message, WHOLE), undone=True)
    steps = [u for u in after.steps if u.seq not in old]
    if not steps:
        return None
    if after.message and any(u.kind in (ACT, "", SKIPPED) for u in steps):
        return Recorded(clean(after.message, WHOLE))
    parts = [said for u in steps if (said := _step(walk, after, u))]
    return Recorded(", ".join(parts) or "seen")


def _step(walk: Walk, state: State, u: Undoable) -> str:
    cells = entry_steps.cells_here(state._replace(at=u.stop, earlier=u.visit), walk.desk)
    value = cells.get(u.kind)
    if u.kind == AS_EXPECTED:
        n = len(value) if isinstance(value, Mapping) else 0
        rows = entry_steps.rows(state._replace(at=u.stop, earlier=None), walk.desk)
        left = [_title(a.kind) for a in rows if a.must and cells.get(a.kind.id) is None]
        unread = f"; left unread: {', '.join(left)}" if left else ""
        return f"{_count(n, 'reading')} as expected{unread}" if n else f"seen{unread}"
    if u.kind == NOTE:
        return f"note {clean(str(value), WHOLE)}" if value else "note emptied"
    if u.kind == SKIPPED:
        return "" if value is None else f"skipped, {skip_words(walk, str(value))}"
    kind = walk.desk.kinds.get(u.kind)
    return f"{_title(kind)} {_words(kind, value)}" if kind else clean(u.kind, 100)
