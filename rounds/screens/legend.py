"""The foot of every screen: what was said, what is saved, and the keys as config gives them."""

from __future__ import annotations

from rounds.husbandry import entry_steps
from rounds.husbandry.readings import Kind
from rounds.husbandry.summary import MARKS
from rounds.screens.lines import BLANK, Line, Run, cut, wrap
from rounds.shown import clean, day_words, long_day
from rounds.walk import Walk

WORDS = {
    "next": "on", "back": "back", "skip": "skip", "go": "go to no.", "note": "note", "undo": "undo", "deeper": "closer",
    "other": "other", "correct": "correct", "done": "done", "put_off": "put off", "summary": "summary",
    "help": "keys", "quit": "quit", "reading_up": "up", "reading_down": "down",
}  # fmt: skip
ON_WALK = ("next", "back", "skip", "go", "note", "undo", "deeper", "other", "done", "put_off", "correct", "summary", "help", "quit")
ON_SUMMARY = ("reading_up", "reading_down", "done", "put_off", "next", "back", "go", "undo", "help", "quit")
ARROWS = {"up": "↑", "down": "↓", "left": "←", "right": "→"}


def foot(walk: Walk, width: int) -> list[Line]:
    """Four lines: message, answers for what is asked, two of commands."""
    return [cut(message(walk), width), cut(answers(walk), width), *commands(walk, width)]


def message(walk: Walk) -> Line:
    """What was just said; a write that fails outranks it and stays until it is over."""
    if walk.said:
        return ((f" NOT SAVED ({walk.waiting} waiting): {clean(walk.said, 160)} ", "now"),)
    if walk.state.mode == "left":
        return ((f" saving {walk.waiting} …", "strong"),)
    said = clean(walk.state.message, 160)
    runs: list[Run] = [(f" {said}" if said else "", "strong")]
    if not said and walk.config.banner:
        runs = [(f" {clean(walk.config.banner, 240)}", "today")]
    elif not said:
        saved = walk.saved_count
        runs = [(f" {saved} saved" if saved else " nothing to save yet", "saved")]
        if walk.waiting and walk.pending_shown:
            runs.append((f" · {walk.waiting} …", "strong"))
    return tuple(runs)


def answers(walk: Walk) -> Line:
    """The keys that answer what is asked now, in this mode."""
    state = walk.state
    mode = state.mode
    if mode == "go":
        return _said("go to: type a number or code, then enter", f"{clean(state.buffer, 40)}_")
    if mode == "skip":
        return _options("skip:", [(c.key, c.title) for c in walk.skips])
    if mode == "note":
        return _said("typing a note; enter ends it", "")
    if mode == "earlier":
        days = [(str(i + 1), day_words(v.day)) for i, v in enumerate(walk.earlier(state.at))]
        return _options("correct which visit:", days)
    if mode == "pick":
        listed = walk.actions(state.at) if state.at < walk.count() else ()
        return _options("which:", [(str(i + 1), clean(a.todo, 34)) for i, a in enumerate(listed)])
    if mode == "days":
        return _said("put off for how many days? then enter", f"{state.buffer or '1'}_")
    if mode == "why":
        return _said("why? then enter", f"{clean(state.buffer, 200)[-50:]}_")
    if mode == "other":
        kinds = entry_steps.others(state, walk)
        page = kinds[state.page * 9 : state.page * 9 + 9]
        more = [("0", "more")] if len(kinds) > 9 else []
        return _options("read:", [(str(i + 1), clean(k.title, 14)) for i, k in enumerate(page)] + more)
    if mode == "help":
        return _said("any other key closes this; up and down turn it", "")
    shown = entry_steps.rows(state, walk)
    if state.at >= walk.count() or state.cursor >= len(shown):
        return BLANK
    return answer_keys(shown[state.cursor].kind)


def answer_keys(kind: Kind) -> Line:
    """``moisture: 1 dry  2 right  3 wet  4 standing water``."""
    name = f"{clean(kind.title, 20)}:"
    if kind.type == "tick":
        return _options(name, [("1", "yes"), ("0", "no")])
    if kind.type == "choice":
        return _options(name, [(c.key, clean(c.title, 16)) for c in kind.choices])
    unit = f" {kind.unit}" if kind.unit else ""
    ends = "" if kind.one_digit else ", then enter"
    return _said(f"{name} {kind.low:g} to {kind.high:g}{unit}{ends}", "")


def _said(text: str, typed: str) -> Line:
    return ((f" {text} ", ""), (typed, "cursor" if typed else ""))


def _options(name: str, options: list[tuple[str, str]]) -> Line:
    runs: list[Run] = [(f" {name} ", "")]
    for key, what in options:
        runs += [(f" {key} ", "key"), (f"{what} ", "")]
    return tuple(runs)


def commands(walk: Walk, width: int) -> list[Line]:
    """Two lines of commands with their first key, as many as fit whole."""
    wanted = ON_WALK if walk.state.at < walk.count() else ON_SUMMARY
    pieces: list[tuple[Run, Run, int]] = []
    for command in wanted:
        key = entry_steps.key_for(walk, command)
        key = ARROWS.get(key, key)
        word = WORDS[command]
        pieces.append(((f" {key}", "key"), (f" {word} ", ""), len(key) + len(word) + 3))
    out: list[Line] = []
    for _ in range(2):
        runs: list[Run] = []
        used = 0
        while pieces and used + pieces[0][2] <= width:
            key_run, word_run, size = pieces.pop(0)
            runs += [key_run, word_run]
            used += size
        out.append(cut(runs, width))
    return out


def side(walk: Walk, width: int, height: int) -> list[Line]:
    """The right-hand column of a wide screen: what the reading means, flags in full, what comes next."""
    out: list[Line] = []
    shown = entry_steps.rows(walk.state, walk)
    if walk.state.cursor < len(shown):
        kind = shown[walk.state.cursor].kind
        out.append(((clean(kind.title, 40), "strong"),))
        out += [((x, ""),) for x in wrap(clean(kind.about, 400), width, 5)]
        out.append(BLANK)
    for action in walk.actions(walk.state.at)[:3]:
        out.append(((f"{MARKS[action.level]} open since {day_words(action.opened)}", action.level),))
        out += [((x, ""),) for x in wrap(clean(f"{action.reason}: {action.todo}", 400), width, 5)]
        out.append(BLANK)
    notes = [v for v in walk.history(walk.state.at) if v.note][-2:]
    for v in reversed(notes):
        out.append(((f"note of {long_day(v.day)}", "strong"),))
        out += [((x, ""),) for x in wrap(clean(v.note, 400), width, 4)]
        out.append(BLANK)
    out.append((("next on the walk", "strong"),))
    for i in range(walk.state.at + 1, min(walk.count(), walk.state.at + 9)):
        e = walk.stops[i].enclosure
        mark = "✓" if walk.looked(i) else ("s" if walk.skipped(i) else " ")
        open_ = MARKS[walk.actions(i)[0].level] if walk.actions(i) else ""
        where = e.place.address if e.place else ""
        out.append(((f"{mark} {where:<6} {clean(e.code, 10):<10} {e.stage:<10} ", ""), (open_, "today")))
    out = [cut(line, width) for line in out[:height]]
    return out + [cut(BLANK, width)] * (height - len(out))
