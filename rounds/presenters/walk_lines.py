"""The walk's screen as lines: one enclosure, what is known of it, and what is asked.

Pure: a walk and a size in, lines out. Order of the screen: who and where, what must not be
done, what is due or open (all seen before a hand touches the lid), the questions with their
history, the flags as they rise, the keys.

Every zone keeps its lines while a box is answered: what was known before takes as many as it took at
first, and a flag that rises takes lines that were blank, those of the foot too. No row moves under a hand.
"""

from __future__ import annotations

from collections.abc import Mapping

from rounds.husbandry.readings import ReadingKind
from rounds.husbandry.stages import DEPTH_WORDS
from rounds.kept_last import kept_last
from rounds.named_tuple import NamedTuple
from rounds.presenters import care_lines, footer, screen_sentences
from rounds.presenters.bigtext import big
from rounds.presenters.lines import BLANK, Line, Run, cut, fit, size, wrap
from rounds.presenters.prompt_lines import asked
from rounds.presenters.reading_values import (
    confirmed_words,
    contents_within,
    expected_words,
    past_words,
    presses,
    saved_mark,
    value_words,
)
from rounds.records.entries import AS_EXPECTED, NOTE, SKIPPED, Cell
from rounds.records.observations import Visit
from rounds.records.stops import Stop
from rounds.text.cleaning import clean, day_words, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.questions import Ask

SMALL = (80, 24)
SIDES = ((120, 40), (100, 29))
"""From how many cells on a screen has a right-hand column, and how wide: four weeks take 28 cells."""
GAP = 3
"""Blanks in the title bar on either side of the shelf."""
FOUR_WEEKS = 28
"""The least that the right-hand column takes beside its rule."""
FOOT = 4
"""Lines that are kept for what is said, what is asked and the keys."""
FLAGS = 2
"""Lines that are kept for flags to come where there is room."""
NAME, NOW, EXPECTED, PAST = 23, 18, 15, 8
"""Cells of the columns; as many past looks are shown as there is room for, three at the most."""
BEFORE = "*"
"""Marks a past look that today's animals are not compared with; the help page says so."""
LEAST = (
    5  # lines the questions keep, however much there is to be known: days, the asked row between two, a count
)


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells for the enclosure the walk stands at."""
    if width < SMALL[0] or height < 16:
        return _tiny(walk, width, height)
    stop = walk.route.stops[walk.state.at]
    foot = footer.foot(walk, width, height)
    if walk.state.mode.name == "card":
        return _card(walk, [*_head(stop, walk.day, width - side_width(width)), BLANK], width, height, foot)
    side = side_width(width)
    main = width - side
    head = _head(stop, walk.day, main)
    shown = steps.rows(walk.state, walk.desk)
    known = care_lines.at_hand(walk)
    zones = _zones(len(head), care_lines.height_of(known, main), len(known), len(shown) + 2, height)
    out = [*head, *[BLANK] * zones.under_head, *care_lines.lines_of(walk, known, main, zones.known)]
    out += [BLANK] * (zones.before_questions - len(out))
    asked_, hint = _questions(walk, shown, main, height - 1 - FOOT - len(out))
    blank = sum(1 for line in foot[: FOOT - 1] if not any(text.strip() for text, _ in line))
    foot, body = foot[blank:], height - 1 - len(foot) + blank
    flags = _flags(walk, main, body - len(out) - len(asked_) + (1 if hint else 0))
    if hint and len(out) + len(asked_) + len(flags) > body:
        asked_.pop()
    if len(out) + len(asked_) + len(flags) > body:  # what is said takes more lines than it has
        asked_, _ = _questions(walk, shown, main, body - len(out) - len(flags))
    out += asked_
    out += [BLANK] * (body - len(out) - len(flags))
    out += flags
    if side:
        from rounds.presenters import side_lines  # no start at 80 columns needs it

        rule = "│ " if side > FOUR_WEEKS + 1 else "│"
        beside = side_lines.lines(walk, side - len(rule), body)
        out = [
            cut((*cut(left, main), (rule, "faint"), *right), width)
            for left, right in zip(out, beside, strict=True)
        ]
    out = [cut(line, width) for line in out[:body]]
    return [title(walk, width), *out, *(cut(line, width) for line in foot)]


def side_width(width: int) -> int:
    """The cells of the right-hand column; none on a screen that has no room for it."""
    return next((side for least, side in SIDES if width >= least), 0)


class Zones(NamedTuple):
    """Where the parts of a screen stand: they depend on nothing that a key changes at a box."""

    under_head: int
    known: int
    before_questions: int


def _zones(head: int, natural: int, items: int, questions: int, height: int) -> Zones:
    """How the lines between the title and the foot are shared out.

    The questions come first, then a headline each of what is known, then a line or two for flags to come
    and, where there is room, a blank line between the parts.
    """
    body = height - 1 - FOOT
    room = body - head
    beside = max(0, room - questions - FLAGS)
    known = max(min(natural, beside), min(items, care_lines.AT_ONCE, room - min(questions, LEAST)))
    known = max(0, known)
    air = room - known - questions - FLAGS
    under_head = 1 if known and air > 1 else 0
    return Zones(under_head, known, head + under_head + known + (1 if air > 0 else 0))


def _flags(walk: Walk, width: int, room: int) -> list[Line]:
    """What was raised, in the lines that are blank under the questions; one more than there are for the worst."""
    raised = care_lines.raised(walk)
    most = min(room, care_lines.height_of(raised, width), care_lines.AT_ONCE)
    return care_lines.lines_of(walk, raised, width, max(1, most))


def _card(walk: Walk, head: list[Line], width: int, height: int, foot: list[Line]) -> list[Line]:
    """The card of an act in the place of the questions; what must not be done stays over it while there is room."""
    from rounds.presenters import card_lines  # no start needs it

    shown = asked(walk).card
    body = max(0, height - 1 - len(foot))
    if shown is None:
        return []
    all_key = care_lines.key_to_all(walk)
    least = len(card_lines.lines(shown, width, body, all_key))
    if len(head) + least > body:
        head = [_one_line(walk.route.stops[walk.state.at], width)]
    if body == 1 and shown.caution:  # which box, which act, and where its caution stands
        code = clean(walk.route.stops[walk.state.at].enclosure.code, 12)
        return [
            title(walk, width),
            cut(((f" {code}", "code"), *card_lines.lines(shown, width, 1, all_key)[0]), width),
            *(cut(line, width) for line in foot),
        ][:height]
    care = care_lines.lines_of(walk, care_lines.at_hand(walk), width, max(0, body - len(head) - least - 1))
    out = [*head, *care, *([BLANK] if care else [])]
    out += card_lines.lines(shown, width, max(0, body - len(out)), all_key)
    out += [BLANK] * (body - len(out))
    return [title(walk, width), *(cut(line, width) for line in (*out[:body], *foot))][:height]


def _one_line(stop: Stop, width: int) -> Line:
    """Which box it is, where there is no room for more."""
    e = stop.enclosure
    code, stage = f" {clean(e.code, 24)}", f"  {e.stage}  "
    who = contents_within(e.contents, width - size(((code, ""), (stage, ""))))
    return ((code, "code"), (stage, ""), (who, ""))


def title(walk: Walk, width: int) -> Line:
    """The bar on top: where in the walk, who walks, which day."""
    n, seen = walk.route.count(), walk.round.seen_count
    where = (
        screen_sentences.at_stop(walk.state.at + 1, n, seen)
        if walk.state.at < n
        else screen_sentences.summary_so_far(seen, n - len(walk.round.empty_boxes()))
        if any(not walk.round.skipped(i) for i in walk.round.unseen())
        else screen_sentences.end_of_walk(seen, n - len(walk.round.empty_boxes()))
    )
    name = screen_sentences.round_named(clean(walk.name, 12)) if walk.name else ""
    who = f"{clean(walk.keeper, 16)} · " if width >= 60 else ""
    right = f"{who}{long_day(walk.day) if width >= 60 else day_words(walk.day)}{name} "
    room = width - len(right) - len(where) - 2 * GAP
    if width >= SMALL[0] and room > 0 and walk.state.at < n:
        from rounds.presenters import shelf_line  # no narrow screen needs it

        shelf = shelf_line.marks(walk, room)
        right = f"{shelf}{' ' * GAP}{right}" if shelf else right
    return (
        ("", "bar"),
        (fit(where, max(0, width - len(right))), "bar"),
        (fit(right, min(width, len(right))), "bar"),
    )


@kept_last
def _head(stop: Stop, day: int, width: int) -> tuple[Line, ...]:
    e = stop.enclosure
    code = clean(e.code, 24)
    letters = big(code, width // 2 - 2)
    where = e.place.address if e.place else screen_sentences.NO_PLACE
    days = _days_in_stage(stop, day)
    facts: tuple[Line, ...] = (
        (
            (f"{e.stage.upper()}", "strong"),
            (f"  {days}" if days else "", ""),
            (screen_sentences.number_and_place(e.number, where), "faint"),
        ),
        ((clean(e.species, 60), ""),),
    )
    column = 0 if letters is None else max(30, len(letters[0]) + 3)
    facts = (*facts, ((contents_within(e.contents, width - column), ""),))
    if letters is None:
        return (((code, "code"), ("   ", ""), *facts[0]), *facts[1:])
    return tuple(
        cut(((fit(" " + a, column), "code"), *b), width) for a, b in zip(letters, facts, strict=True)
    )


def _days_in_stage(stop: Stop, day: int) -> str:
    since = stop.enclosure.stage_since
    if since is None:
        return ""
    low, high = day - since.latest, day - since.earliest
    if low == high:
        return screen_sentences.day(low)
    if high > 3000:
        return screen_sentences.day_or_more(max(0, low))
    return screen_sentences.day_between(max(0, low), high)


def _questions(walk: Walk, shown: tuple[Ask, ...], width: int, space: int) -> tuple[list[Line], bool]:
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
    tail = (
        [_last_row(walk, shown, cells)] if pinned or state.cursor >= len(shown) or len(shown) < room else []
    )
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


def _last_row(walk: Walk, shown: tuple[Ask, ...], cells: Mapping[str, Cell]) -> Line:
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


def _tiny(walk: Walk, width: int, height: int) -> list[Line]:
    """What still fits a small terminal: code, what must not be done, the question, the keys."""
    stop = walk.route.stops[walk.state.at]
    foot = footer.foot(walk, width, height)
    room = max(0, height - len(foot))
    if walk.state.mode.name == "card":
        code = ((clean(stop.enclosure.code, 12), "code"),)
        return _card(walk, [code], width, height, foot)
    shown = steps.rows(walk.state, walk.desk)
    cells = steps.cells_here(walk.state, walk.desk)
    place = clean(stop.enclosure.place.address, 8) if stop.enclosure.place else ""
    out: list[Line] = [
        (
            (clean(stop.enclosure.code, 12), "code"),
            (f" {stop.enclosure.stage} {place} {walk.state.at + 1}/{walk.route.count()}", ""),
        )
    ]
    care = [*care_lines.at_hand(walk), *care_lines.raised(walk)]
    out += care_lines.lines_of(walk, care, width, min(len(care), max(1, room - 3)))
    left = max(1, room - len(out))
    first = max(0, min(walk.state.cursor - left // 2, len(shown) - left))
    for i, ask in enumerate(shown[first : first + left], first):
        at = i == walk.state.cursor
        value = cells.get(ask.kind.id)
        said = f"{walk.state.half_typed}_ …" if at and walk.state.half_typed else ""
        if not said and value is not None:
            said = f"{value_words(ask.kind, value)} {saved_mark(walk, ask.kind.id)}"
        elif not said and (confirmed := confirmed_words(ask.kind, cells.get(AS_EXPECTED))):
            said = f"{confirmed} {saved_mark(walk, AS_EXPECTED)}"
        out.append(((f"{'>' if at else ' '} {clean(ask.kind.title, 18)}  {said}", "cursor" if at else ""),))
    if walk.state.cursor >= len(shown) and len(out) < room:
        out.append(_last_row(walk, shown, cells))
    if len(out) < room:
        small = screen_sentences.small_terminal(width, height)
        out.append(((wrap(small, max(1, width), 1)[0], "faint"),))
    out = [*out[:room], *([BLANK] * max(0, room - len(out)))]
    return [cut(line, width) for line in [*out, *foot][:height]]
