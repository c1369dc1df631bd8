"""The end of the walk as lines: what needs action by harm, what was not seen, what to carry."""

from __future__ import annotations

from rounds.husbandry.records import Action
from rounds.husbandry.summary import MARKS, carry_words
from rounds.screens import legend
from rounds.screens.lines import BLANK, Line, cut, fit, wrap
from rounds.screens.walk_lines import title
from rounds.shown import clean, day_words
from rounds.walk import Walk


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells; the cursor's row is always among them."""
    listed = walk.listed()
    actions = sum(1 for _, a in listed if a is not None)
    foot = legend.foot(walk, width) if height >= 12 else legend.foot(walk, width)[:3]
    carry = _carry(walk, width, 4 if height >= 20 else 1) if height >= 12 else []
    body = height - 1 - len(foot) - len(carry) - 1
    head: Line = ((f" needs action: {actions}   not seen: {len(listed) - actions}", "strong"),)
    cursor = min(walk.state.cursor, max(0, len(listed) - 1))
    blocks = [_block(walk, i, stop, action, i == cursor, width) for i, (stop, action) in enumerate(listed)]
    if not blocks:
        blocks = [[(("   nothing needs action, and every enclosure was seen", ""),)]]
    out = [head, *_window(blocks, cursor, body)]
    out = [*out, *([BLANK] * (1 + body - len(out)))][: 1 + body]
    full = [title(walk, width), *out, *carry, *foot]
    return [cut(line, width) for line in full[:height]]


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
    above: Line = ((f"   {first} more above" if first else "", "faint"),)
    below: Line = ((f"   {len(blocks) - 1 - last} more below" if last < len(blocks) - 1 else "", "faint"),)
    return [above, *out, below]


def _block(walk: Walk, i: int, stop: int, action: Action | None, at: bool, width: int) -> list[Line]:
    e = walk.stops[stop].enclosure
    where = e.place.address if e.place else ""
    name = f"{'>' if at else ' '} {fit(where, 5)} {fit(clean(e.code, 10), 10)} "
    look = "cursor" if at else "strong"
    if action is None:
        reason = walk.skipped(stop)
        why = next((f"skipped: {c.title}" for c in walk.skips if c.id == reason), "not seen")
        return [cut(((name, look), (f"    {e.stage}, {why}", "")), width)]
    old = f" (since {day_words(action.opened)})" if action.opened < walk.day else ""
    gone = " no longer seen;" if action.cause_gone else ""
    first: Line = ((name, look), (f"{MARKS[action.level]:<4}", action.level), (clean(action.reason, 160) + old, action.level))
    todo = f"→{gone} {action.todo} {action.withheld}".rstrip()
    return [cut(first, width), *(cut(((" " * 19, ""), (x, "")), width) for x in wrap(clean(todo, 300), width - 20, 2))]


def _carry(walk: Walk, width: int, most: int) -> list[Line]:
    carried = walk.carry()
    if not carried:
        return [cut(((" to carry next time: nothing", "faint"),), width)]
    said = [carry_words(c) for c in carried]
    out: list[Line] = [((" to carry next time", "strong"),)] if most > 1 else []
    room = most - len(out)
    for text in said[: room]:
        out.append(((f"   {clean(text, 300)}", ""),))
    return [cut(line, width) for line in out]
