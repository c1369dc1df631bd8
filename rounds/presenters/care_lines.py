"""What must not be done, what is open or due, and the flags: a headline and one line of what to do for each.

A headline has at most 40 characters (:data:`rounds.text.headlines.HEADLINE`). The whole text stands on
the help page; an item with more to say ends in the key of that page.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from rounds.husbandry import locks
from rounds.husbandry.locks import ActiveLock
from rounds.named_tuple import NamedTuple
from rounds.presenters import care_line_sentences
from rounds.presenters.lines import Line, Run, cut, wrap
from rounds.presenters.reading_values import contents_words
from rounds.records.observations import Action, DueNotice, Flag
from rounds.records.round_summary import MARKS
from rounds.rules import headlines
from rounds.text.cleaning import clean, day_words, long_day
from rounds.text.headlines import HEADLINE, ONE_LINE, first_clause
from rounds.values.spans import span_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps as entry_steps

if TYPE_CHECKING:  # no start needs the checklists
    from rounds.acts.checklists import Begun

WHOLE = 20  # lines that one text may take where all of it is shown
AT_ONCE = 6
"""Lines that headlines may take from the questions; those of a larger number are counted."""
BRIEF = 2
"""Lines that a headline with what to do may take where there is room."""


class Item(NamedTuple):
    """One thing to know: its mark (a sign or word of its own, never only a colour) and its text.

    ``headline`` says it in at most 40 characters and ``line`` what to do about it now; an item
    without a headline is said by its text. ``aside`` stands behind the headline and may come and go
    while a box is being looked at: what room an item takes (at most ``most`` lines) does not depend on it.
    """

    mark: tuple[Run, ...]
    text: str
    style: str = ""
    headline: str = ""
    line: str = ""
    aside: str = ""
    most: int = 1

    def brief(self, aside: str = "") -> str:
        """The headline and what to do, in one sentence."""
        if not self.headline:
            return self.text
        return care_line_sentences.headline(self.headline + aside, self.line)


def at_hand(walk: Walk) -> list[Item]:
    """Before any question, worst first: locks, actions open from before, due work."""
    stop = walk.route.stops[walk.state.at]
    flagged = {f.rule for f in walk.round.flags(walk.state.at)}
    # Foul, hot or flooded: what must be done then outweighs what must not.
    aside = bool(stop.locks) and walk.watch.overrides(stop.enclosure.id)
    found = [_lock(lock, walk.day, set_aside=aside) for lock in locks.as_told(stop.locks)]
    for a in walk.desk.actions(walk.state.at):
        if a.opened < walk.day or a.rule not in flagged:
            headline, line = _headline(
                walk, a.rule, a.reason, a.todo, held_back(walk, a.enclosure, a.rule, a.withheld)
            )
            gone = care_line_sentences.CAUSE_GONE if a.cause_gone else ""
            mark = (("OPEN ", "key"), _mark(a.level))
            found.append(
                Item(mark, action_words(walk, a), headline=headline, line=line, aside=gone, most=BRIEF)
            )
    for a in walk.watch.ended_by_looking(stop.enclosure.id):
        headline, _ = _headline(walk, a.rule, a.reason, a.todo, "")
        said = care_line_sentences.headline(headline, care_line_sentences.ENDED)
        found.append(Item((("OPEN ", "faint"), ("    ", "")), said, "faint"))
    found += _dues(stop.dues, walk.day)
    found += [_steps(b) for b in walk.desk.begun(walk.state.at)]
    found += others(walk)
    if walk.dues.said:
        found.append(Item((("DUE  ", "key"),), clean(walk.dues.said, 400)))
    return found


def _lock(lock: ActiveLock, day: int, *, set_aside: bool) -> Item:
    """What is forbidden through which day; whom it protects and why stand behind it."""
    forbidden = clean(locks.headline(lock, day), HEADLINE)
    whole = clean(locks.words(lock, day), 800)
    if set_aside:
        may, otherwise = locks.set_aside(lock, day)
        return Item((("LOCK ", "lock"),), care_line_sentences.set_aside(whole), "", may, otherwise)
    why = clean(care_line_sentences.whom_and_why(lock.animal, lock.reason), 400)
    return Item((("LOCK ", "lock"),), whole, "strong", forbidden if why else "", why, most=BRIEF)


def _dues(dues: tuple[DueNotice, ...], day: int) -> list[Item]:
    """What is due, when and for whom; what it follows from is behind the key. The same several times is said once."""
    told: dict[tuple[str, str, int], list[str]] = {}
    for d in dues:
        when = span_words(d.window.earliest, d.window.latest)
        line = clean(care_line_sentences.due_when(d.animal, when, day - d.window.latest, d.withheld), 400)
        what = clean(d.what, 200)
        headline = first_clause(what, HEADLINE)
        if d.withheld:
            room = HEADLINE - len(care_line_sentences.WAIT)
            headline = care_line_sentences.to_wait(first_clause(what, room))
        told.setdefault((headline, line, BRIEF if d.withheld else 1), []).append(_whole_due(d))
    out = []
    for (headline, line, most), texts in told.items():
        line = care_line_sentences.several_times(line, len(texts)) if len(texts) > 1 else line
        out.append(Item((("DUE  ", "key"),), " ".join(texts), headline=headline, line=line, most=most))
    return out


def _whole_due(d: DueNotice) -> str:
    """All that is said of due work: what, for whom, when, why, and what to do about it now."""
    said = due_words(d)
    return said if d.withheld or not d.todo else f"{said} {care_line_sentences.to_do(d.todo, '')}"


def _steps(begun: Begun) -> Item:
    """A checklist that was begun: how far it is, and its next step."""
    open_ = begun.open
    done = sum(1 for line in begun.lines if line.done is not None)
    every = tuple(line.words or line.step.id for line in open_)
    text = care_line_sentences.begun(begun.checklist.title, done, len(begun.lines), every)
    headline = care_line_sentences.steps_done(clean(begun.checklist.title, 25), done, len(begun.lines))
    step = open_[0].step.headline or first_clause(every[0], HEADLINE) if open_ else ""
    line = care_line_sentences.next_step(clean(step, HEADLINE), len(open_) - 1) if step else ""
    return Item((("STEPS", "key"), (" ", "")), clean(text, 800), headline=headline if line else "", line=line)


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
        held = held_back(walk, walk.route.enclosure_of(walk.state.at), flag.rule, flag.withheld)
        flag = flag._replace(withheld=held)
        headline, line = _headline(walk, flag.rule, flag.reason, flag.todo, flag.withheld)
        if dealt:
            headline, line = care_line_sentences.DEALT_WITH, headline
        text = flag_words(flag, dealt=dealt)
        found.append(Item((_mark(flag.level),), text, flag.level, headline, line, most=BRIEF))
    return found


def _headline(walk: Walk, rule: str, reason: str, todo: str, withheld: str) -> tuple[str, str]:
    """What is wrong in a few words, and what to do; taken from the texts where no rule of today raised it."""
    found = walk.watch.rule(rule)
    if found is None:
        return clean(first_clause(reason, HEADLINE), HEADLINE), clean(first_clause(todo, ONE_LINE), 400)
    line = headlines.shortened(found, todo)
    line = line if len(line) <= ONE_LINE else first_clause(line, ONE_LINE)
    return headlines.headline(found), clean(withheld or line, 400)


def held_back(walk: Walk, enclosure: int, rule: str, withheld: str) -> str:
    """Why what a rule wants done at an enclosure has to wait: a lock, or a cell that digging may break ("" when nothing).

    What is urgent enough to set locks aside does not wait.
    """
    at = walk.route.stop_of(enclosure)
    if at is None:
        return withheld
    stop = walk.route.stops[at]
    return walk.watch.held_back(rule, stop.enclosure.stage, withheld, likely_cell=stop.likely_cell)


def due_words(d: DueNotice, limit: int = 800) -> str:
    """What is due, for whom, when, which lock keeps it back, and what it follows from."""
    when = span_words(d.window.earliest, d.window.latest)
    return clean(care_line_sentences.due(d.what, d.animal, when, d.withheld, d.why), limit)


def action_words(walk: Walk, a: Action, limit: int = 1200) -> str:
    """``reason → what to do``, since when, and whether the cause was seen again."""
    held = held_back(walk, a.enclosure, a.rule, a.withheld)
    return clean(f"{reason_words(walk, a)} {care_line_sentences.to_do(a.todo, held)}", limit)


def reason_words(walk: Walk, a: Action) -> str:
    """Why there is an action, since when, and whether the cause was seen again; as the book has it."""
    since = day_words(a.opened) if a.opened < walk.day else ""
    return care_line_sentences.reason(a.reason, since, cause_gone=a.cause_gone)


def flag_words(flag: Flag, *, dealt: bool, limit: int = 1200) -> str:
    if dealt:
        return clean(care_line_sentences.dealt_with(flag.reason), limit)
    return clean(f"{flag.reason} {care_line_sentences.to_do(flag.todo, flag.withheld)}", limit)


def key_to_all(walk: Walk) -> str:
    """What is pressed to read what there is no room for: help, and on a card what is said of its act."""
    if walk.state.mode.name != "card":
        return entry_steps.key_for(walk.desk, "help")
    from rounds.walk.machine.card_shown import keys_to_all  # no start needs it
    from rounds.walk.machine.prompts import prompt

    card = prompt(walk.state, walk.desk).card
    return keys_to_all(walk.desk, card.kind if card is not None else "")


def lines_of(walk: Walk, items: list[Item], width: int, room: int) -> list[Line]:
    """The items in at most ``room`` lines: a headline each, with all of what to do while there is room."""
    if not items or room < 1:
        return []
    read = key_to_all(walk)
    if len(items) > room > 1:
        more = f"     {care_line_sentences.more(len(items) - room + 1, read)}"
        shown = [line for i in items[: room - 1] for line in _brief(i, width, 1, read)]
        return [*shown, cut(((more, "faint"),), width)]
    left = room - min(len(items), room)
    out: list[Line] = []
    for item in items[:room]:
        size = min(1 + left, height(item, width))
        left -= size - 1
        out += _brief(item, width, size, read)
    return out


def height_of(items: list[Item], width: int) -> int:
    """The lines that all of these would take."""
    return sum(height(i, width) for i in items)


@lru_cache(256)  # what is known of a box stays as it is from key to key
def height(item: Item, width: int) -> int:
    """The lines that a headline and what to do take; those of an ``aside`` are not reckoned with."""
    if item.most == 1:
        return 1
    return max(1, len(wrap(item.brief(), _room(item, width), item.most)))


def _room(item: Item, width: int) -> int:
    """The cells between an item's mark and the key at the edge."""
    return max(1, width - sum(len(text) for text, _ in item.mark) - 2)


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


def _block(item: Item, width: int, most: int) -> list[Line]:
    indent = sum(len(text) for text, _ in item.mark)
    texts = wrap(item.text, max(1, width - indent), most) or [""]
    first: Line = (*item.mark, (texts[0], item.style))
    return [cut(line, width) for line in (first, *(((" " * indent, ""), (x, item.style)) for x in texts[1:]))]


@lru_cache(256)
def _brief(item: Item, width: int, most: int, help_key: str) -> tuple[Line, ...]:
    """Headline and what to do in at most ``most`` lines, with the key to the rest at the edge of the last."""
    said = item.brief(item.aside)
    indent = sum(len(text) for text, _ in item.mark)
    room = max(1, width - indent)
    ending = f" {help_key}"
    if said == item.text and len(wrap(said, room, most + 1)) <= most:
        ending = ""
    if room - len(ending) < 3 * len(ending):
        ending = ""
    texts = wrap(said, room - len(ending), most) or [""]
    out: list[Line] = []
    for i, text in enumerate(texts):
        runs = _with_headline(item, text) if not i else ((text, _plain(item)),)
        out.append((*(item.mark if not i else ((" " * indent, ""),)), *runs))
    last = cut(out[-1], width - len(ending))
    return (*(cut(line, width) for line in out[:-1]), (*last, (ending, "key")) if ending else last)


def _plain(item: Item) -> str:
    """How the text behind a headline is painted: quietly, so that the eye finds the headlines."""
    return "" if item.headline else item.style


def _with_headline(item: Item, text: str) -> Line:
    head = item.headline
    if not head or not text.startswith(head):
        return ((text, item.style or ""),)
    return ((head, item.style or "strong"), (text[len(head) :], ""))
