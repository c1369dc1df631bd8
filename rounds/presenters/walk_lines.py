"""The walk's screen as lines: one enclosure, what is known of it, and what is asked.

Pure: a walk and a size in, lines out. Order of the screen: who and where, what must not be
done, what is due or open (all seen before a hand touches the lid), the questions with their
history, the flags as they rise, the keys.

Every zone keeps its lines while a box is answered: what was known before takes as many as it took at
first, and a flag that rises takes lines that were blank, those of the foot too. No row moves under a hand.
"""

from __future__ import annotations

from rounds.kept_last import kept_last
from rounds.named_tuple import NamedTuple
from rounds.presenters import care_lines, footer, question_rows, screen_sentences
from rounds.presenters.bigtext import big
from rounds.presenters.lines import BLANK, Line, cut, fit, size, wrap
from rounds.presenters.prompt_lines import asked
from rounds.presenters.reading_values import (
    confirmed_words,
    contents_within,
    saved_mark,
    value_words,
)
from rounds.records.entries import AS_EXPECTED
from rounds.records.stops import Stop
from rounds.text.cleaning import clean, day_words, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import steps

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
    asked_, hint = question_rows.lines(walk, shown, main, height - 1 - FOOT - len(out))
    blank = sum(1 for line in foot[: FOOT - 1] if not any(text.strip() for text, _ in line))
    foot, body = foot[blank:], height - 1 - len(foot) + blank
    flags = _flags(walk, main, body - len(out) - len(asked_) + (1 if hint else 0))
    if hint and len(out) + len(asked_) + len(flags) > body:
        asked_.pop()
    if len(out) + len(asked_) + len(flags) > body:  # what is said takes more lines than it has
        asked_, _ = question_rows.lines(walk, shown, main, body - len(out) - len(flags))
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
        out.append(question_rows.last_row(walk, shown, cells))
    if len(out) < room:
        small = screen_sentences.small_terminal(width, height)
        out.append(((wrap(small, max(1, width), 1)[0], "faint"),))
    out = [*out[:room], *([BLANK] * max(0, room - len(out)))]
    return [cut(line, width) for line in [*out, *foot][:height]]
