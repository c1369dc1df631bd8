"""The walk's screen as lines: one enclosure, what is known of it, and what is asked.

Pure: a walk and a size in, lines out. Order of the screen: who and where, what must not be
done, what is due or open (all seen before a hand touches the lid), the questions with their
history, the flags as they rise, the keys.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry import entry_steps, locks
from rounds.husbandry.asking import EACH_TIME, Ask
from rounds.husbandry.entries import AS_EXPECTED, NOTE, SKIPPED, Cell
from rounds.husbandry.readings import Kind
from rounds.husbandry.records import Content, Flag, Seen
from rounds.husbandry.stages import DEPTH_WORDS
from rounds.husbandry.summary import MARKS
from rounds.screens import legend
from rounds.screens.bigtext import big
from rounds.screens.lines import BLANK, Line, Run, cut, fit, wrap
from rounds.shown import clean, day_words, long_day, number, span_words
from rounds.walk import Stop, Walk

SMALL = (80, 24)
SIDE = 40  # width of the right-hand column on a wide screen
NAME, NOW, EXPECTED, PAST = 23, 19, 14, 8


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells for the enclosure the walk stands at."""
    if width < SMALL[0] or height < SMALL[1]:
        return _tiny(walk, width, height)
    wide = width >= SMALL[0] + SIDE
    main = width - SIDE if wide else width
    stop = walk.stops[walk.state.at]
    foot = legend.foot(walk, width)
    body = height - 1 - len(foot)
    out = _head(walk, stop, main)
    out += _warnings(walk, stop, main, 3 if height < 32 else 8)
    flags = _flags(walk, main, 4 if height < 32 else 10)
    space = body - len(out) - len(flags) - 1
    out += _questions(walk, main, space)
    out += [BLANK] * (body - len(out) - len(flags))
    out += flags
    if wide:
        side = legend.side(walk, SIDE - 2, body)
        out = [
            cut((*cut(left, main), ("│ ", "faint"), *right), width) for left, right in zip(out, side, strict=True)
        ]
    out = [cut(line, width) for line in out[:body]]
    return [title(walk, width), *out, *(cut(line, width) for line in foot)]


def title(walk: Walk, width: int) -> Line:
    """The bar on top: where in the walk, who walks, which day."""
    n, seen = walk.count(), sum(1 for i in range(walk.count()) if walk.looked(i))
    where = f" {walk.state.at + 1} of {n} · {seen} seen" if walk.state.at < n else f" end of the walk · {seen} of {n} seen"
    name = f" · {clean(walk.name, 12)} round" if walk.name else ""
    right = f"{clean(walk.keeper, 16)} · {long_day(walk.day)}{name} "
    return (("", "bar"), (fit(where, max(0, width - len(right))), "bar"), (fit(right, min(width, len(right))), "bar"))


def _head(walk: Walk, stop: Stop, width: int) -> list[Line]:
    e = stop.enclosure
    code = clean(e.code, 24)
    letters = big(code, width // 2 - 2)
    where = e.place.address if e.place else "no place"
    days = _days_in_stage(walk, stop)
    facts: list[Line] = [
        ((f"{e.stage.upper()}", "strong"), (f"  {days}" if days else "", ""), (f"   no. {e.number} at {where}", "faint")),
        ((clean(e.species, 60), ""),),
        ((contents_words(e.contents), ""),),
    ]
    if letters is None:
        return [((code, "code"), ("   ", ""), *facts[0]), *facts[1:]]
    column = max(30, len(letters[0]) + 3)
    return [cut(((fit(" " + a, column), "code"), *b), width) for a, b in zip(letters, facts, strict=True)]


def contents_words(contents: tuple[Content, ...]) -> str:
    """``UMBER 3 m, UMBER 5 f`` or ``LOCH 0.0.12 L2, at least``."""
    said = []
    for c in contents:
        if c.animal:
            sex = {"m": " m", "f": " f"}.get(c.sex, "")
            said.append(f"{clean(c.line, 24)} {clean(c.animal, 24)}{sex}")
        else:
            count = f"{c.males}.{c.females}.{c.unsexed}"
            least = " at least" if c.at_least else ""
            said.append(f"{clean(c.line, 24)} {count}{least}{' ' + c.instar if c.instar else ''}")
    return ", ".join(said) or "nobody recorded"


def _days_in_stage(walk: Walk, stop: Stop) -> str:
    since = stop.enclosure.stage_since
    if since is None:
        return ""
    low, high = walk.day - since.latest, walk.day - since.earliest
    if low == high:
        return f"day {low}"
    return f"day {max(0, low)} or more" if high > 3000 else f"day {max(0, low)} to {high}"


def _warnings(walk: Walk, stop: Stop, width: int, most: int) -> list[Line]:
    """Locks, open actions and due work, worst first, before any question."""
    found: list[Line] = []
    overridden = walk.watch.overrides(stop.enclosure.id)
    for lock in stop.locks:
        said = clean(locks.words(lock), 160)
        found.append((("LOCK ", "lock"), (("set aside: " if overridden else "") + said, "" if overridden else "strong")))
    for a in walk.actions(walk.state.at):
        gone = " (no longer seen)" if a.cause_gone else ""
        since = f" since {day_words(a.opened)}" if a.opened < walk.day else ""
        todo = f"{a.todo} {a.withheld}" if a.withheld else a.todo
        found.append((("OPEN ", "key"), (f"{MARKS[a.level]:<4}", a.level), (clean(f"{todo}{since}{gone}", 200), "")))
    for d in stop.dues:
        when = span_words(d.window.earliest, d.window.latest)
        found.append((("DUE  ", "key"), (clean(f"{d.what} {when}: {d.why}", 200), "")))
    if len(found) > most:
        found = [*found[: most - 1], ((f"     and {len(found) - most + 1} more", "faint"),)]
    return [cut(line, width) for line in found]


def _questions(walk: Walk, width: int, space: int) -> list[Line]:
    state = walk.state
    shown = entry_steps.rows(state, walk)
    cells = entry_steps.cells_here(state, walk)
    past = list(reversed(walk.history(state.at)[-3:]))
    head = _columns_head(walk, past)
    room = max(1, space - 1)
    first = max(0, min(state.cursor - room // 2, len(shown) + 1 - room)) if len(shown) >= room else 0
    out: list[Line] = [head]
    for i, ask in enumerate(shown[first : first + room], first):
        out.append(_row(walk, ask, i == state.cursor, cells, past))
    if len(shown) < first + room:
        out.append(_last_row(walk, shown, cells))
    return [cut(line, width) for line in out[: space]]


def _columns_head(walk: Walk, past: list[Seen]) -> Line:
    state = walk.state
    if state.earlier is not None:
        day = next((e.day for e in walk.earlier(state.at) if e.uid == state.earlier), walk.day)
        look = f"correcting {day_words(day)}"
    else:
        look = DEPTH_WORDS[entry_steps.depth_of(state, walk, state.at)]
    days = "".join(fit(day_words(v.day), PAST) for v in past)
    return ((fit(f"  {look}", NAME), "strong"), (fit("now", NOW), "faint"), (fit("expected", EXPECTED), "faint"), (days, "faint"))


def _row(walk: Walk, ask: Ask, at: bool, cells: Mapping[str, Cell], past: list[Seen]) -> Line:
    state, kind = walk.state, ask.kind
    where = walk.stops[state.at].enclosure.place
    shelf = f"{where.shelf_name} " if kind.subject == "shelf" and where else ""
    name = f"{'>' if at else ' '} {shelf}{clean(kind.title, 18)}{f' ({kind.unit})' if kind.unit and kind.unit not in kind.title else ''}"
    value = cells.get(kind.id)
    mark = ""
    if at and state.buffer and state.mode == "walk":
        said = f"{state.buffer}_ …"
    elif value is not None:
        said, mark = value_words(kind, value), saved_mark(walk, kind.id)
    else:
        said = confirmed_words(kind, cells.get(AS_EXPECTED))
        mark = saved_mark(walk, AS_EXPECTED) if said else ""
    look = "cursor" if at else ""
    odd = value is not None and _odd(walk, kind, value)
    return (
        (fit(name, NAME), look or ("strong" if value is not None else "")),
        (fit(said, NOW - 3), look or ("strong" if odd else "")), (fit(mark, 2), "saved"), (" ", ""),
        (fit(expected_words(ask), EXPECTED - 1) + " ", "faint"),
        *((fit(past_words(kind, v), PAST), "") for v in past),
    )  # fmt: skip


def _last_row(walk: Walk, shown: tuple[Ask, ...], cells: Mapping[str, Cell]) -> Line:
    at = walk.state.cursor >= len(shown)
    runs: list[Run] = [("> " if at else "  ", "cursor" if at else "")]
    if walk.state.mode == "note":
        runs += [("note: ", "strong"), (clean(walk.state.buffer, 2100)[-56:] + "_", ""), (" " + saved_mark(walk, NOTE), "saved")]
        return tuple(runs)
    note = cells.get(NOTE)
    if note:
        runs += [(f"note: {clean(str(note), 60)} ", ""), (saved_mark(walk, NOTE), "saved")]
    skipped = cells.get(SKIPPED)
    if skipped:
        title_ = next((c.title for c in walk.skips if c.id == skipped), str(skipped))
        runs += [(f"skipped: {title_} ", "strong"), (saved_mark(walk, SKIPPED), "saved")]
    if not note and not skipped:
        runs.append((f"{entry_steps.key_for(walk, 'next')}: the rest as expected, and on", "faint"))
    return tuple(runs)


def saved_mark(walk: Walk, kind: str) -> str:
    """``✓`` once committed, ``…`` while it waits."""
    return "✓" if walk.is_saved(walk.state.at, walk.state.earlier, kind) else "…"


def value_words(kind: Kind, value: Cell) -> str:
    """An observed value as the keeper would say it."""
    if kind.type == "tick":
        return "yes" if value else "no"
    if kind.type == "choice":
        choice = kind.choice(str(value))
        return clean(choice.title if choice else str(value), 16)
    if isinstance(value, (int, float)):
        return f"{'at least ' if kind.at_least and value else ''}{number(value)}"
    return clean(str(value), 16)


def confirmed_words(kind: Kind, confirmed: Cell) -> str:
    """What one key confirmed, in brackets: it was not read by itself."""
    if not isinstance(confirmed, Mapping) or kind.id not in confirmed:
        return ""
    return f"({_expected(kind, confirmed[kind.id])})"


def expected_words(ask: Ask) -> str:
    if ask.must and ask.must != EACH_TIME:
        return f"! {ask.must}"
    if ask.confirms is None:
        return ""
    return _expected(ask.kind, ask.confirms)


def _expected(kind: Kind, value: object) -> str:
    if isinstance(value, (tuple, list)):
        low, high = value
        return number(low) if low == high else f"{number(low)} to {number(high)}"
    return value_words(kind, value if isinstance(value, (int, float, str)) else str(value))


def past_words(kind: Kind, visit: Seen) -> str:
    """One earlier value in a narrow column: read, (confirmed), skipped, or nothing."""
    if kind.id in visit.read:
        value = visit.read[kind.id]
        if kind.type == "choice":
            choice = kind.choice(str(value))
            return clean(choice.title if choice else str(value), 7)
        return value_words(kind, value).replace("at least ", "≥")
    if kind.id in visit.confirmed:
        inner = _expected(kind, visit.confirmed[kind.id]).replace(" to ", "–")
        return f"({clean(inner, 5)})"
    return "skipped" if visit.skipped else "·"


def _odd(walk: Walk, kind: Kind, value: Cell) -> bool:
    e = walk.stops[walk.state.at].enclosure
    plan = walk.config.vocabulary.stages[e.stage]
    return isinstance(value, (int, float, str)) and plan.is_fine(kind.id, e.species, value) is False


def flags_here(walk: Walk) -> tuple[Flag, ...]:
    """Flags of this round's visit, or what stands before anything was read."""
    stop = walk.stops[walk.state.at]
    return walk.flags(walk.state.at) if stop else ()


def _flags(walk: Walk, width: int, most: int) -> list[Line]:
    out: list[Line] = []
    for flag in flags_here(walk):
        mark = f"{MARKS.get(flag.level, '!'):<4}"
        for text in wrap(clean(flag.reason, 300), width - 5, 2):
            out.append(((mark, flag.level), (text, flag.level)))
            mark = "    "
        todo = f"{flag.todo} {flag.withheld}".strip()
        for text in wrap(clean(todo, 300), width - 6, 2):
            out.append((("    → " if text else "", ""), (text, "strong")))
    if len(out) > most:
        out = [*out[: most - 1], ((f"    {len(out) - most + 1} more lines; ? shows all", "faint"),)]
    return out


def _tiny(walk: Walk, width: int, height: int) -> list[Line]:
    """What still fits a small terminal: code, what must not be done, the question, the keys."""
    stop = walk.stops[walk.state.at]
    shown = entry_steps.rows(walk.state, walk)
    cells = entry_steps.cells_here(walk.state, walk)
    out: list[Line] = [((f"{clean(stop.enclosure.code, 12)} {stop.enclosure.stage}", "code"), (f" {walk.state.at + 1}/{walk.count()}", ""))]
    flags = flags_here(walk)
    if flags:
        out.append(((f"{MARKS.get(flags[0].level, '!')} {clean(flags[0].reason, 100)}", flags[0].level),))
    elif stop.locks:
        out.append(((clean(locks.words(stop.locks[0]), 100), "lock"),))
    around = shown[max(0, walk.state.cursor - 1) : walk.state.cursor + max(1, height - len(out) - 4)]
    for ask in around:
        at = walk.state.cursor < len(shown) and ask == shown[walk.state.cursor]
        value = cells.get(ask.kind.id)
        said = walk.state.buffer + "_" if at and walk.state.buffer else (value_words(ask.kind, value) if value is not None else "")
        out.append(((f"{'>' if at else ' '} {clean(ask.kind.title, 18)} {said} {saved_mark(walk, ask.kind.id) if said else ''}", "cursor" if at else ""),))
    foot = [*legend.foot(walk, width)[:3]]
    if not walk.state.message and not walk.said and walk.state.mode == "walk":
        foot[0] = ((f"small terminal ({width}×{height}); 80×24 shows all", "faint"),)
    room = max(0, height - len(foot))
    out = [*out[:room], *([BLANK] * max(0, room - len(out))), *foot]
    return [cut(line, width) for line in out[:height]]
