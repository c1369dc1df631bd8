"""What is read out: an enclosure in full sentences, one question as one line, what was recorded.

Pure: a walk in, lines out. Every text of the book went through ``clean``; nothing is cut,
and nothing rests on a mark, a colour or a place on the screen.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry import locks
from rounds.husbandry.readings import ReadingKind
from rounds.line_ui import spoken_enclosure_sentences
from rounds.line_ui.mode_prompts import LEVEL_WORDS
from rounds.named_tuple import NamedTuple
from rounds.presenters import care_lines
from rounds.presenters.reading_values import confirmed_words, contents_words
from rounds.records.entries import ACT, AS_EXPECTED, NOTE, SKIPPED
from rounds.records.observations import Action, Flag
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps as entry_steps
from rounds.walk.machine.prompts import Prompt, prompt
from rounds.walk.machine.questions import EACH_TIME, ONCE_A_SHELF, Ask
from rounds.walk.machine.state import State, Undoable

WHOLE = 20_000  # characters: a text is never cut, only cleaned
ARROW = " → "  # stands between a reason and what to do in the texts of the screen


def sentence(text: str) -> str:
    """A text of the screen as it is said: words for its arrow, no backticks, a full stop at its end."""
    *before, last = text.replace("`", "").strip().split(ARROW)
    return " ".join([*(spoken_enclosure_sentences.to_do(_stopped(x)) for x in before), _stopped(last)])


def _stopped(text: str) -> str:
    return text if not text or text[-1] in ".?!:" else f"{text}."


# An enclosure


def arrival(walk: Walk, *, brief: bool = False) -> list[str]:
    """Who and where, what must not be done, what stands, what is open, due and begun.

    ``brief`` leaves out what due work follows from.
    """
    stop = walk.route.stops[walk.state.at]
    e = stop.enclosure
    where = (
        spoken_enclosure_sentences.at_place(clean(e.place.address, 40))
        if e.place
        else spoken_enclosure_sentences.WITHOUT_A_PLACE
    )
    out = [
        spoken_enclosure_sentences.stands(
            clean(e.code, 400),
            e.stage,
            _days(walk),
            e.number,
            where,
            walk.state.at + 1,
            walk.route.count(),
        ),
        sentence(
            spoken_enclosure_sentences.inmates(
                clean(e.species, 400) or spoken_enclosure_sentences.NO_SPECIES,
                contents_words(e.contents, WHOLE),
            )
        ),
    ]
    out += _today(walk)
    out += [sentence(spoken_enclosure_sentences.by_others(item.text)) for item in care_lines.others(walk)]
    aside = walk.watch.overrides(e.id)
    for lock in locks.as_told(stop.locks):
        said = clean(locks.words(lock, walk.day), WHOLE)
        out.append(
            sentence(
                spoken_enclosure_sentences.lock_set_aside(said)
                if aside
                else spoken_enclosure_sentences.lock(said)
            )
        )
    out += [said for _, said in raised(walk, walk.state.at)]
    out += [
        sentence(
            spoken_enclosure_sentences.open_action(
                LEVEL_WORDS.get(a.level, a.level), care_lines.action_words(walk, a, WHOLE)
            )
        )
        for a in _open(walk)
    ]
    for d in stop.dues:
        when = (
            spoken_enclosure_sentences.DUE if d.planned() <= walk.day else spoken_enclosure_sentences.DUE_SOON
        )
        work = care_lines.due_words(d._replace(why="") if brief else d, WHOLE)
        out.append(sentence(spoken_enclosure_sentences.due(when, work)))
    for b in walk.desk.begun(walk.state.at):
        steps = tuple(line.words or line.step.id for line in b.open)
        done = sum(1 for line in b.lines if line.done is not None)
        begun = spoken_enclosure_sentences.begun(b.checklist.title, done, len(b.lines), steps)
        out.append(sentence(clean(begun, WHOLE)))
    if walk.dues.said:
        out.append(sentence(spoken_enclosure_sentences.due_work_failed(clean(walk.dues.said, WHOLE))))
    return out


def _days(walk: Walk) -> str:
    since = walk.route.stops[walk.state.at].enclosure.stage_since
    if since is None:
        return ""
    low, high = max(0, walk.day - since.latest), walk.day - since.earliest
    if low == high:
        return spoken_enclosure_sentences.for_days(low)
    if high > 3000:
        return spoken_enclosure_sentences.for_days_or_more(low)
    return spoken_enclosure_sentences.for_days_between(low, high)


def _today(walk: Walk) -> list[str]:
    """What this round has already recorded here."""
    cells = entry_steps.cells_here(walk.state, walk.desk)
    out = []
    if walk.round.skipped(walk.state.at):
        reason = skip_words(walk, walk.round.skipped(walk.state.at))
        out.append(spoken_enclosure_sentences.skipped_on_this_round(reason))
    elif walk.round.looked(walk.state.at):
        out.append(spoken_enclosure_sentences.SEEN)
    if cells.get(NOTE):
        out.append(sentence(spoken_enclosure_sentences.note(clean(str(cells[NOTE]), WHOLE))))
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
            held = care_lines.held_back(walk, walk.route.enclosure_of(stop), flag.rule, flag.withheld)
            flag = flag._replace(withheld=held)
            out.append((flag.rule, _flag(flag, dealt=stop in walk.round.visits and action is None)))
    return out


def _flag(flag: Flag, *, dealt: bool) -> str:
    said = care_lines.flag_words(flag, dealt=dealt, limit=WHOLE)
    return sentence(spoken_enclosure_sentences.flag(LEVEL_WORDS.get(flag.level, flag.level), said))


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
    usual = tuple(f"{_title(a.kind)} {_usual(a)}" for a in waiting if not a.must and a.confirms is not None)
    unread = tuple(_title(a.kind) for a in waiting if not a.must and a.confirms is None)
    return spoken_enclosure_sentences.confirms(usual, unread) if usual else ""


# A question


def _at_the_end(walk: Walk) -> str:
    """What is without an answer there; Enter goes to what has to be read before it goes on."""
    found = prompt(walk.state, walk.desk)
    said = sentence(found.question[0].upper() + found.question[1:])
    then = (
        spoken_enclosure_sentences.ENTER_GOES_THERE
        if found.urgent
        else spoken_enclosure_sentences.ENTER_GOES_ON
    )
    return spoken_enclosure_sentences.at_the_end(said, then)


def question(walk: Walk, *, brief: bool) -> str:
    """The question at the cursor as one line; what Enter does where all is read."""
    state = walk.state
    rows = entry_steps.rows(state, walk.desk)
    if state.cursor >= len(rows):
        if state.earlier is not None:
            return spoken_enclosure_sentences.ALL_OF_THAT_VISIT
        return _at_the_end(walk)
    ask = rows[state.cursor]
    kind = ask.kind
    place = walk.route.stops[state.at].enclosure.place
    shelf = ""
    if kind.subject == "shelf" and place:
        shelf = spoken_enclosure_sentences.of_shelf(clean(place.shelf_name, 40))
    parts = [] if brief else [_answers(prompt(state, walk.desk))]
    if ask.confirms is not None:
        parts.append(spoken_enclosure_sentences.expected(_usual(ask)))
    parts += _last(walk, kind)
    if ask.must == ONCE_A_SHELF:
        parts.append(spoken_enclosure_sentences.ASKED_ONCE_A_SHELF)
    elif ask.must and not entry_steps.cells_here(state, walk.desk).get(kind.id):
        always = ask.must == EACH_TIME
        parts.append(
            spoken_enclosure_sentences.ASKED_EACH_TIME
            if always
            else spoken_enclosure_sentences.has_to_be_read(ask.must)
        )
    now = _now(walk, kind)
    then = "" if state.earlier is None else _correcting(walk)
    told = (*parts, now) if now else tuple(parts)
    return spoken_enclosure_sentences.question(f"{then}{shelf}", _title(kind), told)


def _title(kind: ReadingKind) -> str:
    return clean(kind.title, 400)


def _answers(found: Prompt) -> str:
    """What the reading asked for can be answered with."""
    asked = found.numbers
    if asked is None:
        return spoken_enclosure_sentences.answers(tuple((a.key, clean(a.text, 400)) for a in found.answers))
    return spoken_enclosure_sentences.numbers(
        asked.low, asked.high, clean(asked.unit, 100), at_least=asked.at_least
    )


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
    if kind.subject == "shelf":
        past = [walk.past.of_its_shelf(v) for v in past]
    changed = walk.route.stops[walk.state.at].enclosure.changed
    for i, visit in enumerate(past):
        if kind.id in visit.read or kind.id in visit.confirmed:
            on = spoken_enclosure_sentences.on_day(day_words(visit.day)) if i else ""
            on += spoken_enclosure_sentences.OTHERS_THEN if visit.day <= changed else ""
            if kind.id in visit.read:
                return [spoken_enclosure_sentences.last(_words(kind, visit.read[kind.id]), on)]
            return [spoken_enclosure_sentences.last_as_expected(_words(kind, visit.confirmed[kind.id]), on)]
    return [spoken_enclosure_sentences.SKIPPED_LAST_TIME] if past and past[0].skipped else []


def _now(walk: Walk, kind: ReadingKind) -> str:
    cells = entry_steps.cells_here(walk.state, walk.desk)
    value = cells.get(kind.id)
    if value is not None:
        return spoken_enclosure_sentences.now(_words(kind, value))
    confirmed = cells.get(AS_EXPECTED)
    if isinstance(confirmed, Mapping) and kind.id in confirmed:
        return spoken_enclosure_sentences.now_as_expected(_words(kind, confirmed[kind.id]))
    return ""


def _correcting(walk: Walk) -> str:
    day = next((e.day for e in walk.past.earlier(walk.state.at) if e.uid == walk.state.earlier), walk.day)
    return spoken_enclosure_sentences.correcting(day_words(day))


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
        left = tuple(_title(a.kind) for a in rows if a.must and cells.get(a.kind.id) is None)
        return spoken_enclosure_sentences.confirmed(n, left)
    if u.kind == NOTE:
        if not value:
            return spoken_enclosure_sentences.NOTE_EMPTIED
        return spoken_enclosure_sentences.note_recorded(clean(str(value), WHOLE))
    if u.kind == SKIPPED:
        return "" if value is None else spoken_enclosure_sentences.skipped(skip_words(walk, str(value)))
    kind = walk.desk.kinds.get(u.kind)
    if kind is None:
        return clean(u.kind, 100)
    return spoken_enclosure_sentences.reading_recorded(_title(kind), _words(kind, value))
