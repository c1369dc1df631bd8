"""The right-hand column of a wide screen: four weeks in pictures, what the reading means, notes, what comes next."""

from __future__ import annotations

from rounds.presenters import screen_sentences
from rounds.presenters.lines import BLANK, Line, cut, fit, wrap
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import clean, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import steps


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines of ``width`` cells."""
    from rounds.presenters import four_weeks  # no start needs it

    out: list[Line] = list(four_weeks.lines(walk, width))
    if out:
        out.append(BLANK)
    shown = steps.rows(walk.state, walk.desk)
    if walk.state.cursor < len(shown):
        kind = shown[walk.state.cursor].kind
        out.append(((clean(kind.title, 40), "strong"),))
        out += [((x, ""),) for x in wrap(clean(kind.about, 400), width, 6)]
        out.append(BLANK)
    note = walk.route.stops[walk.state.at].enclosure.note
    if note:
        out.append(((screen_sentences.ABOUT_THIS_ENCLOSURE, "strong"),))
        out += [((x, ""),) for x in wrap(clean(note, 400), width, 4)]
        out.append(BLANK)
    notes = [v for v in walk.past.of(walk.state.at) if v.note][-2:]
    for v in reversed(notes):
        out.append(((screen_sentences.note_of(long_day(v.day)), "strong"),))
        out += [((x, ""),) for x in wrap(clean(v.note, 400), width, 4)]
        out.append(BLANK)
    out.append(((screen_sentences.NEXT_ON_THE_WALK, "strong"), (screen_sentences.SIGNS, "faint")))
    ahead = walk.state.at
    for _ in range(8):
        i = ahead = steps.stop_after(walk.desk, ahead)
        if i >= walk.route.count():
            break
        e = walk.route.stops[i].enclosure
        mark = "✓" if walk.round.looked(i) else ("s" if walk.round.skipped(i) else " ")
        open_ = MARKS[walk.desk.actions(i)[0].level] if walk.desk.actions(i) else ""
        if not open_ and any(d.planned() <= walk.day for d in walk.route.stops[i].dues):
            open_ = screen_sentences.DUE
        where = clean(e.place.address, 8) if e.place else ""
        out.append(
            ((f"{mark} {fit(where, 6)} {fit(clean(e.code, 10), 10)} {e.stage:<10} ", ""), (open_, "today"))
        )
    out = [cut(line, width) for line in out[:height]]
    return out + [cut(BLANK, width)] * (height - len(out))
