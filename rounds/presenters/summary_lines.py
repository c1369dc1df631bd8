"""The end of the walk as lines: what needs action by harm, what was not seen, what to carry.

The row at the cursor is shown whole; the others in one or two lines, under how soon they do harm.
"""

from __future__ import annotations

from collections.abc import Sequence

from rounds.presenters import care_line_sentences, care_lines, end_sentences, footer
from rounds.presenters.lines import BLANK, Line, cut, fit, shortened, wrap
from rounds.presenters.question_rows import skip_words
from rounds.presenters.walk_lines import title
from rounds.records import round_summary_sentences
from rounds.records.observations import Action
from rounds.records.round_summary import MARKS, Carry, amount_words, carry_words
from rounds.records.summary_opening import opening
from rounds.text.cleaning import clean
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from rounds.walk.machine import steps

NAME = 19
MARK = 4
Listed = tuple[int, Action | None]
"""A row: the stop, and its open action; None for a box that was not seen."""


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells; the cursor's row is always among them."""
    listed = walk.round.listed()
    foot = footer.foot(walk, width, height)
    most = 6 if height >= 36 else 4 if height >= 20 else 1
    carried, undone = walk.round.carry(), due_texts(walk, reasons=False)
    carry = _carry(walk, carried, width, most) if height >= 14 else []
    due = _due(walk, undone, width, max(1, most - 1)) if height >= 14 else []
    head = _opening(walk, listed, carried, len(undone), width, 2 if height >= 14 else 1)
    body = max(1, height - 1 - len(head) - len(foot) - len(carry) - len(due))
    cursor = min(walk.state.cursor, max(0, len(listed) - 1))
    # Of a row that the cursor is not at: what is wrong, and where there is room what to do.
    other = 2 if height >= 30 or width < 60 else 1
    blocks = [
        _block(walk, stop, action, width, 40 if i == cursor else 1, at=i == cursor)[
            : None if i == cursor else other
        ]
        for i, (stop, action) in enumerate(listed)
    ]
    for i, line in _groups([a for _, a in listed]) if height >= 14 else ():
        blocks[i] = [line, *blocks[i]]
    out = [*head, *(_window(blocks, cursor, body) if blocks else ())]
    out = [*out, *([BLANK] * (len(head) + body - len(out)))][: len(head) + body]
    full = [title(walk, width), *out, *due, *carry][: max(0, height - len(foot))]
    return [cut(line, width) for line in [*full, *foot][:height]]


def _opening(
    walk: Walk, listed: Sequence[Listed], carried: Sequence[Carry], undone: int, width: int, most: int
) -> list[Line]:
    """The day in one sentence; in a book without a box, how to begin."""
    if not walk.route.count() and not walk.bays:
        return [((f" {x}", "strong"),) for x in wrap(NO_BOX, width - 2, 8)]
    boxes = len({stop for stop, action in listed if action is not None})
    unseen = sum(1 for _, action in listed if action is None)
    said = opening(boxes, undone, unseen, carried, len(walk.round.empty_boxes()))
    return [((f" {x}", "strong"),) for x in wrap(clean(said, 600), width - 2, most)]


def _groups(actions: Sequence[Action | None]) -> list[tuple[int, Line]]:
    """What stands above the first row of each level of harm, and of what was not seen."""
    out: list[tuple[int, Line]] = []
    for i, action in enumerate(actions):
        level = action.level if action else ""
        if i and level == (before.level if (before := actions[i - 1]) else ""):
            continue
        rows = sum(1 for a in actions if (a.level if a else "") == level)
        told = round_summary_sentences.group(MARKS.get(level, "!"), level, rows)
        out.append(
            (
                i,
                ((f" {told}", level),)
                if action
                else ((f" {round_summary_sentences.not_seen(rows)}", "strong"),),
            )
        )
    return out


def chosen(walk: Walk, width: int) -> list[Line]:
    """The row at the cursor with every word of it, for the help page."""
    listed = walk.round.listed()
    if not listed:
        return []
    stop, action = listed[min(walk.state.cursor, len(listed) - 1)]
    return _block(walk, stop, action, width, 40, at=True)


def _window(blocks: list[list[Line]], cursor: int, room: int) -> list[Line]:
    """As many whole rows around the cursor as fit, with what is above and below counted."""
    if sum(map(len, blocks)) <= room:
        return [line for block in blocks for line in block]
    first = last = cursor
    used = len(blocks[cursor])
    while True:
        grew = False
        if last + 1 < len(blocks) and used + len(blocks[last + 1]) <= room - 2:
            last += 1
            used += len(blocks[last])
            grew = True
        if first > 0 and used + len(blocks[first - 1]) <= room - 2:
            first -= 1
            used += len(blocks[first])
            grew = True
        if not grew:
            break
    out = [line for block in blocks[first : last + 1] for line in block][: max(1, room - 2)]
    above: Line = ((end_sentences.above(first) if first else "", "faint"),)
    under = len(blocks) - 1 - last
    below: Line = ((end_sentences.below(under) if under else "", "faint"),)
    return [above, *out, below]


def _block(walk: Walk, stop: int, action: Action | None, width: int, most: int, *, at: bool) -> list[Line]:
    """One row: the reason in at most ``most`` lines and what to do in as many."""
    e = walk.route.stops[stop].enclosure
    where = clean(e.place.address, 8) if e.place else ""
    name = f"{'>' if at else ' '} {fit(where, 5)} {fit(clean(e.code, 10), 10)} "
    style = "cursor" if at else "strong"
    if action is None:
        reason = walk.round.skipped(stop)
        why = end_sentences.skipped(skip_words(walk, reason)) if reason else ""
        return [cut(((name, style), (end_sentences.stage_and_why(e.stage, why), "")), width)]
    indent = NAME + MARK if width >= 60 else 4
    reason_ = clean(care_lines.reason_words(walk, action), 900)
    held = care_lines.held_back(walk, e.id, action.rule, action.withheld)
    todo = clean(care_line_sentences.to_do(action.todo, held), 900)
    mark = (f"{MARKS.get(action.level, '!'):<4}", action.level)
    texts = wrap(reason_, width - indent, most) if width >= 60 else [""]
    if width < 60:
        todo = f"{reason_} {todo}"
    first: Line = ((name, style), mark, (texts[0] if texts else "", "strong"))
    rest: list[Line] = [((" " * indent, ""), (x, "strong")) for x in texts[1:]]
    rest += [((" " * indent, ""), (x, "")) for x in wrap(todo, width - indent, most)]
    return [cut(line, width) for line in (first, *rest)]


def due_texts(walk: Walk, *, reasons: bool = True) -> list[str]:
    """What was due and not done, a line each: where, what a lock keeps back, and with ``reasons`` why it is due."""
    return [
        end_sentences.due_at(
            clean(walk.route.label(i), 24), care_lines.due_words(d if reasons else d._replace(why=""))
        )
        for i, d in walk.dues.undone()
    ]


def _due(walk: Walk, texts: Sequence[str], width: int, most: int) -> list[Line]:
    """What was due and not done, in at most ``most`` lines; the help page shows all of it."""
    if not texts:
        return []
    head = end_sentences.due_and_not_done(len(texts))
    if most == 1 or len(texts) > most - 1:
        head += f"; {care_line_sentences.shows_all(steps.key_for(walk.desk, 'help'))}"
    out: list[Line] = [
        ((head, "strong"),),
        *(((f"   {shortened(t, width - 3).rstrip()}", ""),) for t in texts[: most - 1]),
    ]
    return [cut(line, width) for line in out]


def _short(c: Carry) -> str:
    """``13 cups``, ``0.3 to 0.5 l of substrate``, ``tubs (how many is not known)``."""
    if not c.codes:
        return end_sentences.amount_not_known(c.what)
    return end_sentences.amount(amount_words(c), c.what, litres=c.what in ("water", "substrate"))


def _carry(walk: Walk, carried: Sequence[Carry], width: int, most: int) -> list[Line]:
    """What to bring, in at most ``most`` lines; the help page lists every enclosure it is for."""
    if not carried:
        return [cut(((end_sentences.NOTHING_TO_CARRY, "faint"),), width)]
    if most == 1:
        told = clean(", ".join(_short(c) for c in carried), 300)
        return [cut(((end_sentences.to_carry(told), ""),), width)]
    out: list[Line] = [((end_sentences.TO_CARRY, "strong"),)]
    key = steps.key_for(walk.desk, "help")
    for i, text in enumerate(clean(carry_words(c._replace(mix="", how=())), 20_000) for c in carried):
        if i == most - 2 and len(carried) > most - 1:
            out.append(((f"   {care_line_sentences.more(len(carried) - i, key)}", "faint"),))
            break
        whole = wrap(text, width - 3, 2)
        ending = f" {care_line_sentences.shows_all(key)}"
        cut_ = shortened(text, width - 3 - len(ending)).rstrip() + ending
        out.append(((f"   {text if len(whole) == 1 else cut_}", ""),))
    return [cut(line, width) for line in out]
