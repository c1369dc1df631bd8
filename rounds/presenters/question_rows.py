"""The questions of a box as a table: what is read now, what is usual, and what was read at the last visits."""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import DEPTH_WORDS
from rounds.kept_last import kept_last
from rounds.presenters import screen_sentences
from rounds.presenters.lines import Line, Run, cut, fit
from rounds.presenters.reading_values import (
    confirmed_words,
    expected_words,
    past_words,
    presses,
    saved_mark,
    value_words,
)
from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED, Cell
from rounds.records.observations import Visit
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.questions import Ask

NAME, NOW, EXPECTED, PAST = 23, 18, 15, 8
"""Cells of the columns; as many past looks are shown as there is room for, three at the most."""
BEFORE = "*"
"""Marks a past look that today's animals are not compared with; the help page says so."""


def lines(walk: Walk, shown: tuple[Ask, ...], width: int, space: int) -> tuple[list[Line], bool]:
    """The rows, and whether the last of them only says what the next key does."""
    state = walk.state
    cells = steps.cells_here(state, walk.desk)
    others = walk.others_today(state.at) if state.earlier is None else ()
    before = walk.past.of(state.at)
    if others:
        before = [v for v in before if all(v.uid != o.uid for o in others)]
    looks = min(3, (width - NAME - NOW - EXPECTED + 1) // PAST)  # the last of them needs no blank behind it
    past = (*((None, None, None, *before)[:-4:-1][:looks]), None, None, None)[:3]
    head = _columns_head(walk, [v for v in past if v is not None])
    columns = _columns(shown, *past, *_of_their_shelf(walk, shown, past))
    pinned = bool(cells.get(NOTE) or cells.get(SKIPPED))  # said of the whole visit: always in sight
    room = space - 1
    tail = [last_row(walk, shown, cells)] if pinned or state.cursor >= len(shown) or len(shown) < room else []
    room -= len(tail)
    counted = len(shown) > room > 1
    room = max(1, room - counted)
    first = max(0, min(state.cursor - room // 2, len(shown) - room))
    out = [head]
    for i, ask in enumerate(shown[first : first + room], first):
        out.append(_row(walk, ask, cells, columns[i], others, at=i == state.cursor))
    if counted:
        out.append(_out_of_sight(walk, shown[:first], shown[first + room :], cells))
    hint = bool(tail) and not pinned and state.cursor < len(shown)
    return [cut(line, width) for line in (*out, *tail)][:space], hint


def _out_of_sight(
    walk: Walk, above: tuple[Ask, ...], below: tuple[Ask, ...], cells: Mapping[str, Cell]
) -> Line:
    """How many questions there is no room for, and which of them are odd or have to be read."""
    hidden = (*above, *below)
    odd = [k for k in (a.kind for a in hidden) if k.id in cells and _odd(walk, k, cells[k.id])]
    wanted = [a.kind for a in hidden if presses(a) and a.kind.id not in cells]
    named = tuple(clean(k.title, 18) for k in (*odd, *wanted))
    return ((f"  {screen_sentences.out_of_sight(len(above), len(below), named)}", "faint"),)


def _columns_head(walk: Walk, past: list[Visit]) -> Line:
    state = walk.state
    if state.earlier is not None:
        day = next((e.day for e in walk.past.earlier(state.at) if e.uid == state.earlier), walk.day)
        heading = screen_sentences.correcting(day_words(day))
    else:
        heading = DEPTH_WORDS[steps.depth_of(state, walk.desk, state.at)]
    changed = walk.route.stops[state.at].enclosure.changed
    days = " ".join(fit(f"{day_words(v.day)}{BEFORE if v.day <= changed else ''}", PAST - 1) for v in past)
    now = screen_sentences.READ_THEN if state.earlier is not None else screen_sentences.NOW
    return (
        (fit(f"  {heading}", NAME), "strong"),
        (fit(now, NOW), "faint"),
        (fit(screen_sentences.EXPECTED, EXPECTED - 1) + " ", "faint"),
        (days, "faint"),
    )


def _of_their_shelf(
    walk: Walk, shown: tuple[Ask, ...], past: tuple[Visit | None, ...]
) -> tuple[Visit | None, ...]:
    """The visits of those days at which what is read once a shelf was read: it may have been at another box."""
    if not any(ask.kind.subject == "shelf" for ask in shown):
        return past
    return tuple(None if v is None else walk.past.of_its_shelf(v) for v in past)


@kept_last
def _columns(
    shown: tuple[Ask, ...],
    last: Visit | None,
    second: Visit | None,
    third: Visit | None,
    *of_shelf: Visit | None,
) -> tuple[Line, ...]:
    """The right part of each row, which no key changes: what is expected, and what was read at the last visits."""
    here = [v for v in (last, second, third) if v is not None]
    on_shelf = [v for v in of_shelf if v is not None]
    return tuple(
        (
            (fit(expected_words(ask), EXPECTED - 1), "faint"),
            *(
                (f" {fit(past_words(ask.kind, v, PAST - 1), PAST - 1)}", "")
                for v in (on_shelf if ask.kind.subject == "shelf" else here)
            ),
        )
        for ask in shown
    )


def _row(
    walk: Walk, ask: Ask, cells: Mapping[str, Cell], columns: Line, others: tuple[Visit, ...], *, at: bool
) -> Line:
    state, kind = walk.state, ask.kind
    where = walk.route.stops[state.at].enclosure.place
    shelf = f"{clean(where.shelf_name, 6)} " if kind.subject == "shelf" and where else ""
    unit = f" ({clean(kind.unit, 8)})" if kind.unit and kind.unit not in kind.title else ""
    name = f"{'>' if at else ' '} {shelf}{clean(kind.title, 18)}{unit}"
    value = cells.get(kind.id)
    mark = ""
    if at and state.half_typed:
        said = f"{state.half_typed}_ …"
    elif value is not None:
        said, mark = value_words(kind, value), saved_mark(walk, kind.id)
    else:
        said = confirmed_words(kind, cells.get(AS_EXPECTED))
        mark = saved_mark(walk, AS_EXPECTED) if said else ""
        said = said or _of_another(kind, others)
    style = "cursor" if at else ""
    odd = value is not None and _odd(walk, kind, value)
    return (
        (fit(name, NAME), style or ("strong" if value is not None else "")),
        (fit(said, NOW - 3), style or ("strong" if odd else "")),
        (fit(mark, 2), style or "saved"),
        (" ", style),
        (columns[0][0], style or columns[0][1]),
        *((text, "strong" if at else look) for text, look in columns[1:]),
    )


def _of_another(kind: ReadingKind, others: tuple[Visit, ...]) -> str:
    """What another keeper read today, where it is not read here: the value and who."""
    visit = next((v for v in reversed(others) if kind.id in v.read), None)
    if visit is None:
        return ""
    return screen_sentences.of_another(value_words(kind, visit.read[kind.id]), clean(visit.keeper, 9))


def last_row(walk: Walk, shown: tuple[Ask, ...], cells: Mapping[str, Cell]) -> Line:
    """Under the questions: today's note, the skip, or what the next key does."""
    at = walk.state.cursor >= len(shown)
    runs: list[Run] = [("> " if at else "  ", "cursor" if at else "")]
    key = steps.key_for(walk.desk, "next")
    note = cells.get(NOTE)
    if note:
        runs += [(screen_sentences.note(clean(str(note), 60)), ""), (f"{saved_mark(walk, NOTE)} ", "saved")]
    skipped = cells.get(SKIPPED)
    if skipped:
        runs += [
            (screen_sentences.skipped(skip_words(walk, str(skipped))), "strong"),
            (saved_mark(walk, SKIPPED), "saved"),
        ]
    elif walk.state.earlier is not None:
        runs.append((screen_sentences.back_to_today(key), "faint"))
    elif not note:
        typing = walk.state.half_typed
        said = screen_sentences.ENDS_THE_NUMBER if typing else screen_sentences.REST_AS_EXPECTED
        runs.append((screen_sentences.goes_on(key, said), "faint"))
    return tuple(runs)


def skip_words(walk: Walk, reason: str) -> str:
    """The title of a reason to skip."""
    return clean(next((c.title for c in walk.desk.skips if c.id == reason), reason), 40)


def _odd(walk: Walk, kind: ReadingKind, value: Cell) -> bool:
    e = walk.route.stops[walk.state.at].enclosure
    plan = walk.config.vocabulary.stages[e.stage]
    return isinstance(value, (int, float, str)) and plan.is_fine(kind.id, e.species, value) is False
