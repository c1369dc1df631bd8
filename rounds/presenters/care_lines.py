"""What must not be done, what is open or due, and the flags: whole where there is room for it.

A text that had to be cut ends in ``…`` and the key of the page that shows all of it.
"""

from __future__ import annotations

from typing import NamedTuple

from rounds.husbandry import locks
from rounds.presenters import care_line_sentences
from rounds.presenters.lines import Line, Run, cut, fit, wrap
from rounds.presenters.reading_values import contents_words
from rounds.records.observations import Action, DueNotice, Flag
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import clean, day_words, long_day
from rounds.values.spans import span_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps as entry_steps

WHOLE = 20  # lines that one text may take where all of it is shown


class Item(NamedTuple):
    """One thing to know: its mark (a sign or word of its own, never only a colour) and its text."""

    mark: tuple[Run, ...]
    text: str
    style: str = ""


def at_hand(walk: Walk) -> list[Item]:
    """Before any question, worst first: locks, actions open from before, due work."""
    stop = walk.route.stops[walk.state.at]
    flagged = {f.rule for f in walk.round.flags(walk.state.at)}
    found = []
    for lock in stop.locks:
        aside = walk.watch.overrides(stop.enclosure.id)
        said = clean(locks.words(lock), 800)
        # Foul, hot or flooded: what must be done then outweighs what must not.
        found.append(
            Item(
                (("LOCK ", "lock"),),
                care_line_sentences.lifted(said) if aside else said,
                "" if aside else "strong",
            )
        )
    for a in walk.desk.actions(walk.state.at):
        if a.opened < walk.day or a.rule not in flagged:
            found.append(Item((("OPEN ", "key"), _mark(a.level)), action_words(walk, a)))
    for d in stop.dues:
        found.append(Item((("DUE  ", "key"),), due_words(d)))
    for b in walk.desk.begun(walk.state.at):
        steps = tuple(line.words or line.step.id for line in b.open)
        done = sum(1 for line in b.lines if line.done is not None)
        said = care_line_sentences.begun(b.checklist.title, done, len(b.lines), steps)
        found.append(Item((("STEPS", "key"), (" ", "")), clean(said, 800)))
    found += others(walk)
    if walk.dues.said:
        found.append(Item((("DUE  ", "key"),), clean(walk.dues.said, 400)))
    return found


def others(walk: Walk) -> list[Item]:
    """Who stands here too, and what others have read here today: who, when, what was given."""
    found = [
        Item((("HERE ", "key"),), care_line_sentences.is_here(clean(keeper, 24)), "strong")
        for keeper in walk.others_here(walk.state.at)
    ]
    visits = walk.others_today(walk.state.at)
    if visits:
        from rounds.walk.others_words import all_words, clock_words  # no start needs it

        for v in visits:
            when = clock_words(v.at_ms, walk.zone)
            said = all_words(v, walk.desk.kinds, walk.desk.skips)
            found.append(
                Item(
                    (("TODAY", "key"), (" ", "")),
                    care_line_sentences.by_another(clean(v.keeper, 24), when, said),
                )
            )
    return found


def raised(walk: Walk) -> list[Item]:
    """The flags of this visit, or what stands before anything was read; none that is in ``at_hand``."""
    open_ = {a.rule: a for a in walk.desk.actions(walk.state.at)}
    found = []
    for flag in walk.round.flags(walk.state.at):
        action = open_.get(flag.rule)
        if action is not None and action.opened < walk.day:
            continue
        dealt = walk.state.at in walk.round.visits and action is None
        if dealt and walk.watch.ends_with_a_look(flag.rule):
            continue
        found.append(Item((_mark(flag.level),), flag_words(flag, dealt=dealt), flag.level))
    return found


def due_words(d: DueNotice, limit: int = 800) -> str:
    """What is due, for whom, when, which lock keeps it back, and what it follows from."""
    when = span_words(d.window.earliest, d.window.latest)
    return clean(care_line_sentences.due(d.what, d.animal, when, d.withheld, d.why), limit)


def action_words(walk: Walk, a: Action, limit: int = 1200) -> str:
    """``reason → what to do``, since when, and whether the cause was seen again."""
    return clean(f"{reason_words(walk, a)} {care_line_sentences.to_do(a.todo, a.withheld)}", limit)


def reason_words(walk: Walk, a: Action) -> str:
    """Why there is an action, since when, and whether the cause was seen again; as the book has it."""
    since = day_words(a.opened) if a.opened < walk.day else ""
    return care_line_sentences.reason(a.reason, since, cause_gone=a.cause_gone)


def flag_words(flag: Flag, *, dealt: bool, limit: int = 1200) -> str:
    if dealt:
        return clean(care_line_sentences.dealt_with(flag.reason), limit)
    return clean(f"{flag.reason} {care_line_sentences.to_do(flag.todo, flag.withheld)}", limit)


def lines_of(walk: Walk, items: list[Item], width: int, room: int) -> list[Line]:
    """The items in at most ``room`` lines: all whole, or the first ones whole, or one line each."""
    if not items or room < 1:
        return []
    whole = [_block(i, width, WHOLE) for i in items]
    if sum(map(len, whole)) <= room:
        return [line for block in whole for line in block]
    read = entry_steps.key_for(walk.desk, "help")
    shown = [_block(i, width, 1, read) for i in items]
    if room == 1:
        return shown[0]
    if len(shown) > room:
        more = f"     {care_line_sentences.more(len(shown) - room + 1, read)}"
        return [*(line for block in shown[: room - 1] for line in block), cut(((more, "faint"),), width)]
    left = room - len(shown)
    out: list[Line] = []
    for item, short in zip(items, shown, strict=True):
        tried = _block(item, width, left + 1, read)
        left -= len(tried) - 1
        out += tried if len(tried) > 1 else short
    return out


def whole_lines(items: list[Item], width: int) -> list[Line]:
    return [line for item in items for line in _block(item, width, WHOLE)]


def about(walk: Walk) -> list[Item]:
    """What else the book says of this enclosure, in full: contents, notes."""
    stop = walk.route.stops[walk.state.at]
    litres = care_line_sentences.litres(stop.enclosure.litres) if stop.enclosure.litres else ""
    found = [Item((("in it ", "key"),), f"{contents_words(stop.enclosure.contents, 1200)}{litres}")]
    if stop.enclosure.note:
        found.append(Item((("note  ", "key"),), clean(stop.enclosure.note, 1200)))
    for v in reversed([v for v in walk.past.of(walk.state.at) if v.note][-3:]):
        found.append(
            Item((("note  ", "key"),), clean(care_line_sentences.note_of(long_day(v.day), v.note), 2400))
        )
    return found


def _mark(level: str) -> Run:
    return (f"{MARKS.get(level, '!'):<4}", level)


def _block(item: Item, width: int, most: int, help_key: str = "") -> list[Line]:
    indent = sum(len(text) for text, _ in item.mark)
    room = max(1, width - indent)
    if most == 1 and help_key:
        texts = (
            [fit(item.text, room)]
            if len(wrap(item.text, room, 2)) == 1
            else [_cut_short(item.text, room, help_key)]
        )
    else:
        texts = wrap(item.text, room, most) or [""]
        if help_key and len(wrap(item.text, room, most + 1)) > most:
            texts[-1] = _cut_short(" ".join([texts[-1].rstrip("… "), "…" * room]), room, help_key)
    first: Line = (*item.mark, (texts[0], item.style))
    return [cut(line, width) for line in (first, *(((" " * indent, ""), (x, item.style)) for x in texts[1:]))]


def _cut_short(text: str, room: int, help_key: str) -> str:
    ending = f" {care_line_sentences.shows_all(help_key)}"
    if room < 3 * len(ending):
        return fit(text, room)
    return fit(text, room - len(ending)).rstrip("… ") + "…" + ending
