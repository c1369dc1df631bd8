"""What must not be done, what is open or due, and the flags: whole where there is room for it.

A text that had to be cut ends in ``…`` and the key of the page that shows all of it.
"""

from __future__ import annotations

from rounds.husbandry import locks
from rounds.named_tuple import NamedTuple
from rounds.presenters import care_line_sentences
from rounds.presenters.lines import Line, Run, cut, fit, wrap
from rounds.presenters.reading_values import contents_words
from rounds.records.observations import Action, DueNotice, Flag
from rounds.records.round_summary import MARKS
from rounds.rules import headlines
from rounds.text.cleaning import clean, day_words, long_day
from rounds.values.spans import span_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps as entry_steps

WHOLE = 20  # lines that one text may take where all of it is shown
AT_ONCE = 6
"""Lines that headlines may take from the questions; those of a larger number are counted."""


class Item(NamedTuple):
    """One thing to know: its mark (a sign or word of its own, never only a colour) and its text.

    ``headline`` says it in one line, where there is no room for the text.
    """

    mark: tuple[Run, ...]
    text: str
    style: str = ""
    headline: str = ""

    def short(self) -> str:
        return self.headline or self.text


def at_hand(walk: Walk) -> list[Item]:
    """Before any question, worst first: locks, actions open from before, due work."""
    stop = walk.route.stops[walk.state.at]
    flagged = {f.rule for f in walk.round.flags(walk.state.at)}
    found = []
    for lock in stop.locks:
        aside = walk.watch.overrides(stop.enclosure.id)
        said, headline = clean(locks.words(lock), 800), clean(locks.words(lock._replace(reason="")), 800)
        # Foul, hot or flooded: what must be done then outweighs what must not.
        found.append(
            Item(
                (("LOCK ", "lock"),),
                care_line_sentences.lifted(said) if aside else said,
                "" if aside else "strong",
                care_line_sentences.lifted(headline) if aside else headline,
            )
        )
    for a in walk.desk.actions(walk.state.at):
        if a.opened < walk.day or a.rule not in flagged:
            headline = _headline(walk, a.rule, a.todo, a.withheld)
            found.append(Item((("OPEN ", "key"), _mark(a.level)), action_words(walk, a), headline=headline))
    for d in stop.dues:
        found.append(Item((("DUE  ", "key"),), due_words(d), headline=due_words(d._replace(why=""))))
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
        headline = "" if dealt else _headline(walk, flag.rule, flag.todo, flag.withheld)
        found.append(Item((_mark(flag.level),), flag_words(flag, dealt=dealt), flag.level, headline))
    return found


def _headline(walk: Walk, rule: str, todo: str, withheld: str) -> str:
    """What is wrong in a word or two, and what to do; empty where no rule raised it."""
    found = next((r for r in walk.config.rules if r.id == rule), None)
    if found is None:
        return ""
    line = withheld or headlines.shortened(found, todo)
    return clean(care_line_sentences.headline(headlines.headline(found), line), 400)


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


def key_to_all(walk: Walk) -> str:
    """What is pressed to read what there is no room for: help, and on a card what is said of its act."""
    if walk.state.mode.name != "card":
        return entry_steps.key_for(walk.desk, "help")
    from rounds.walk.machine.card_shown import keys_to_all  # no start needs it
    from rounds.walk.machine.prompts import prompt

    card = prompt(walk.state, walk.desk).card
    return keys_to_all(walk.desk, card.kind if card is not None else "")


def lines_of(walk: Walk, items: list[Item], width: int, room: int) -> list[Line]:
    """The items in at most ``room`` lines: all whole, or a headline each and whole those there is room for."""
    if not items or room < 1:
        return []
    whole = [_block(i, width, WHOLE) for i in items]
    if sum(map(len, whole)) <= room:
        return [line for block in whole for line in block]
    read = key_to_all(walk)
    shown = [_headed(i, width, read) for i in items]
    if room == 1:
        return shown[:1]
    if len(shown) > room:
        more = f"     {care_line_sentences.more(len(shown) - room + 1, read)}"
        return [*shown[: room - 1], cut(((more, "faint"),), width)]
    left = room - len(shown)
    out: list[Line] = []
    for short, full in zip(shown, whole, strict=True):
        fits = len(full) - 1 <= left
        left -= len(full) - 1 if fits else 0
        out += full if fits else [short]
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


def _block(item: Item, width: int, most: int) -> list[Line]:
    indent = sum(len(text) for text, _ in item.mark)
    texts = wrap(item.text, max(1, width - indent), most) or [""]
    first: Line = (*item.mark, (texts[0], item.style))
    return [cut(line, width) for line in (first, *(((" " * indent, ""), (x, item.style)) for x in texts[1:]))]


def _headed(item: Item, width: int, help_key: str) -> Line:
    """The item in one line: whole, or its headline and, at the edge, the key that shows all of it."""
    room = max(1, width - sum(len(text) for text, _ in item.mark))
    if len(wrap(item.text, room, 2)) == 1:
        return cut((*item.mark, (item.text, item.style)), width)
    ending = f" {help_key}"
    left = room - len(ending)
    if left < 3 * len(ending):
        return cut((*item.mark, (fit(item.short(), room), item.style)), width)
    return cut(
        (*item.mark, (fit(words_within(item.short(), left), left), item.style), (ending, "key")), width
    )


def words_within(text: str, width: int) -> str:
    """As many whole words as fit; what is left out shows as ``…``."""
    fitting = wrap(text, width, 2)
    if len(fitting) < 2:
        return text
    return f"{wrap(text, width - 1, 2)[0]}…"
