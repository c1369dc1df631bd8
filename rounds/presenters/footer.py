"""The foot of every screen: what was said, what is saved, and the keys as config gives them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from rounds.husbandry.readings import ReadingKind
from rounds.keys.commands import PER_PAGE
from rounds.presenters.lines import BLANK, Line, Run, cut, flow, size, wrap
from rounds.presenters.reading_values import presses, saved_mark
from rounds.records.entries import AS_EXPECTED, NOTE
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import clean, day_words
from rounds.walk.core import Walk
from rounds.walk.machine import act_modes, menu_mode, steps, when_mode

WORDS = {
    "next": "go on", "back": "back", "skip": "skip", "go": "go to no.", "note": "note", "record": "record an act", "undo": "undo", "deeper": "look closer",
    "other": "other reading", "correct": "correct a visit", "done": "work done", "put_off": "put off", "summary": "summary",
    "help": "help", "pages": "books", "find": "find", "quit": "quit", "reading_up": "up", "reading_down": "down",
    "menu": "menu", "scan": "scan",
}  # fmt: skip
ON_PAGE_WORDS = {"next": "open", "back": "back", "pages": "open", "go": "walk to no.", "summary": "summary"}
ON_SUMMARY_WORDS = {"next": "go there", "back": "last enclosure", "summary": "back to the walk"}
ON_WALK = (
    "next",
    "back",
    "skip",
    "go",
    "note",
    "record",
    "undo",
    "menu",
    "deeper",
    "other",
    "done",
    "put_off",
    "correct",
    "pages",
    "find",
    "summary",
    "help",
    "quit",
)
ON_PAGE = (
    "reading_up",
    "reading_down",
    "next",
    "back",
    "record",
    "done",
    "put_off",
    "go",
    "find",
    "summary",
    "help",
    "quit",
)
ON_SUMMARY = (
    "reading_up",
    "reading_down",
    "done",
    "put_off",
    "next",
    "back",
    "summary",
    "go",
    "undo",
    "pages",
    "find",
    "menu",
    "help",
    "quit",
)
PLACES: Mapping[str, tuple[tuple[str, ...], Mapping[str, str]]] = {
    "walk": (ON_WALK, {}),
    "summary": (ON_SUMMARY, ON_SUMMARY_WORDS),
    "page": (ON_PAGE, ON_PAGE_WORDS),
    "rack": (ON_PAGE, {**ON_PAGE_WORDS, "reading_up": "box before", "reading_down": "next box"}),
}
STILL = "still to be read:"
"""Begins the line at the end of the questions while one that has to be answered is not."""
FIRST = ("next", "help", "back", "quit")
"""Shown first where the terminal is too small for all."""
ARROWS = {"up": "↑", "down": "↓", "left": "←", "right": "→"}
HINTS = {
    "acts": "any other key: nothing is recorded",
    "whom": "any other key: nothing is recorded",
    "when": "enter goes on; {rub} with nothing typed: today",
    "field": "enter goes on; {rub} with nothing typed records nothing",
    "sure": "any other key: nothing is recorded",
    "go": "enter goes there; {rub} with nothing typed stays here",
    "skip": "any other key: it is not skipped",
    "note": "saved as you type; enter ends the note",
    "earlier": "any other key: nothing is corrected",
    "pick": "any other key: nothing is ticked off",
    "days": "enter goes on; {rub} with nothing typed: not put off",
    "why": "enter puts it off; {rub} with nothing typed: not put off",
    "other": "any other key: nothing is added",
    "menu": "any other key: nothing",
    "scan": "enter ends it; a scan goes to an enclosure and records nothing",
    "help": "turn the page; any other key closes it",
}
"""How each mode of the walk's machine ends; the commands have no meaning there."""


def foot(walk: Walk, width: int, height: int = 24) -> list[Line]:
    """What was said, the answers to what is asked, and the commands: four lines where they do."""
    tight = height < 14 or width < 60
    said = message(walk, width, 1 if height < 10 else 2)
    asked = answers(walk, width)
    most = max(1, height // 2 - len(said)) if tight else 8
    if walk.state.mode in HINTS:
        out = [*said, *asked[:most], *_hint(walk, width)]
    else:
        room = max(1, min(2, height // 2 - len(said) - len(asked))) if tight else 3
        # On a page that is typed on, letters are no commands.
        typed = bool(walk.state.pages) and walk.page(walk.state.pages[-1]).typed
        out = [*said, *asked[:most], *([] if typed else commands(walk, width, room))]
    blank = [] if tight else [cut(BLANK, width)] * (4 - len(out))
    return [*out[: max(1, height - 1)], *blank]


def message(walk: Walk, width: int, most: int) -> list[Line]:
    """What was just said; a write that fails outranks it and stays until it is over."""
    if walk.said:
        said = f"NOT SAVED ({walk.waiting} waiting): {clean(walk.said, 300)}"
        if walk.state.mode == "left":
            said += f" {steps.key_for(walk, 'quit')} again leaves; what waits is then kept in a file."
        return _said(said, "now", width, most + 1)
    if walk.state.mode == "left":
        return _said(f"saving {walk.waiting} …", "strong", width, 1)
    if walk.refusal:
        read = steps.key_for(walk, "help")
        return _said(f"{clean(walk.refusal, 300)} ({read} when it was read)", "now", width, most + 1)
    said = clean(walk.state.message, 400)
    if said:
        return _said(said, "strong", width, most)
    if walk.config.banner:
        return _said(clean(walk.config.banner, 600), "today", width, most + 1)
    saved = walk.kept
    first = _first_words(walk, saved) if walk.first_ever and walk.count() else ""
    runs: list[Run] = [(first or (f" {saved} saved" if saved else " nothing to save yet"), "saved")]
    if walk.waiting and walk.pending_shown:
        runs.append((f" · {walk.waiting} waiting …", "strong"))
    return [cut(runs, width)]


def _first_words(walk: Walk, saved: int) -> str:
    """In a book that was never walked: how it begins, and after the first key how that is taken back."""
    if saved == 1:
        return f" 1 saved · {steps.key_for(walk, 'undo')} takes it back, and so on as often as you like"
    if saved or walk.state.pages or walk.over:
        return ""
    on, read = (steps.key_for(walk, c) for c in ("next", "help"))
    return f" first round: type what you see; {on} takes the rest as expected; {read} helps"


def answers(walk: Walk, width: int) -> list[Line]:
    """The keys that answer what is asked now, in this mode: all of them, on as many lines as it takes."""
    state = walk.state
    mode = state.mode
    if mode == "go":
        return _typing("go to no. or code:", clean(state.buffer, 40), width)
    if mode == "skip":
        return _options("skip because:", [(c.key, clean(c.title, 40)) for c in walk.skips], width)
    if mode == "note":
        mark = saved_mark(walk, NOTE) if state.page >= 0 else ""
        # A long code is cut: what is typed needs the room, and the head has the code whole.
        here = f"{clean(walk.stops[state.at].enclosure.code, 12)}, " if state.at < walk.count() else ""
        return _typing(f"{here}note:", clean(state.buffer, 2100), width, mark)
    if mode == "earlier":
        days = [(str(i + 1), day_words(v.day)) for i, v in enumerate(walk.earlier(state.at))]
        return _options("correct which visit:", days, width)
    if mode == "pick":
        what = "which is done:" if state.picking == "done" else "which to put off:"
        listed = walk.actions(state.at) if state.at < walk.count() else ()
        rows: list[Line] = [
            ((f" {i + 1} ", "key"), (f"{MARKS[a.level]} {clean(a.reason, 200)}", ""))
            for i, a in enumerate(listed[:9])
        ]
        return [cut(line, width) for line in (((f" {what}", ""),), *rows)]
    if mode == "days":
        return _typing("put off for how many days:", state.buffer or "1", width)
    if mode == "why":
        return _ready("put off, why:", [c.title for c in walk.put_offs], state.buffer, width)
    if mode == "scan":
        return _typing("scanned:", clean(state.buffer, 60), width)
    if mode == "menu":
        return _numbered("do:", [WORDS[c] for _, c in menu_mode.entries(walk)], state.page, width)
    if mode == "acts":
        titles = [clean(o.title, 36) for o in walk.offers(state.at)]
        turns = [(k, f"page {p + 1}") for k, p in act_modes.TURNS.items() if len(titles) > p * PER_PAGE]
        name = f"record, on {clean(state.on, 40)}:" if state.on else "record:"
        return _numbered(name, titles, state.page, width, [*turns, (when_mode.KEY, when_mode.ABOUT)])
    if mode == "when":
        return _typing("days ago (1 is yesterday), or a day:", clean(state.buffer, 40), width)
    if mode == "whom":
        people = act_modes.offer(state, walk).whom
        return _numbered("of whom:", [clean(shown_, 24) for _, shown_ in people], state.page, width)
    if mode == "field":
        asked = act_modes.wanted(state, walk)
        about = clean(f"{asked.name} ({asked.about})", 70) if asked else ""
        if asked and asked.words:
            return _numbered(f"{about}:", [clean(w, 60) for w in asked.words], state.page, width)
        return _ready(f"{about}:", act_modes.ready(state, walk), state.buffer, width)
    if mode == "sure":
        return _options("record it all the same?", [("1", "yes"), ("2", "no")], width)
    if mode == "other":
        kinds = [clean(k.title, 24) for k in steps.others(state, walk)]
        return _numbered("add a reading:", kinds, state.page, width)
    if state.pages and mode != "help":
        return _topics(walk, width)
    shown = steps.rows(state, walk)
    if mode == "help" or state.at >= walk.count():
        return []
    if state.cursor >= len(shown):
        return [cut(((f" {at_the_end(walk)}", ""),), width)]
    ask = shown[state.cursor]
    why = f"! {ask.must}" if presses(ask) else ""
    return list(_keys(ask.kind, why, width, _ends(walk, ask.kind)))


def at_the_end(walk: Walk) -> str:
    """Under the last row: whether something is without an answer, and whether it has to have one."""
    cells = steps.cells_here(walk.state, walk)
    confirmed = cells.get(AS_EXPECTED)
    known = confirmed if isinstance(confirmed, Mapping) else {}
    left = [a for a in steps.rows(walk.state, walk) if cells.get(a.kind.id) is None]
    left = [a for a in left if a.kind.id not in known]
    must = ", ".join(clean(a.kind.title, 18) for a in left if a.must)
    if must:
        return f"{STILL} {must}"
    return "nothing more has to be typed here" if left else "all is read here"


def _ends(walk: Walk, kind: ReadingKind) -> str:
    """What ends a number being typed; before its first digit, what the same key does instead."""
    if kind.type in ("tick", "choice") or kind.one_digit:
        return ""
    keys = [steps.name_of(k) for k, c in walk.commands.items() if c == "next"]
    if walk.state.buffer or not keys:
        return ", enter takes it" if "enter" in keys else ", the next key takes it"
    then = "the rest as expected, and on" if walk.state.earlier is None else "back to today's visit"
    return f"; {' or '.join(sorted(keys)[:2])}: {then}"


def _topics(walk: Walk, width: int) -> list[Line]:
    """The pages that a digit opens; a page that is typed on says how it is left."""
    from rounds.views.page import TOPICS

    if walk.page(walk.state.pages[-1]).typed:
        moves = [k for c in ("reading_up", "reading_down") if len(k := _key(walk, c)) == 1]
        said = (
            f"letters and digits look for it; {' '.join(moves)} choose, enter opens, "
            f"{steps.rub_key(walk)} with nothing typed goes back"
        )
        return [cut(((f" {x}", "faint"),), width) for x in wrap(said, width - 1, 2)]
    if width < 60:
        return [cut(((f" digits open other pages: {steps.key_for(walk, 'help')}", "faint"),), width)]
    return _options("pages:", [(t.key, t.title) for t in TOPICS], width)


@lru_cache(128)  # the same for every enclosure of a stage
def _keys(kind: ReadingKind, why: str, width: int, ends: str) -> tuple[Line, ...]:
    """``moisture: 1 dry  2 right  3 wet  4 standing water``, and why it must be read this time."""
    name = f"{clean(kind.title, 20)}:"
    if kind.type == "tick":
        return tuple(_options(name, [("1", "yes"), ("0", "no")], width, why))
    if kind.type == "choice":
        return tuple(_options(name, [(c.key, clean(c.title, 24)) for c in kind.choices], width, why))
    told = kind.unit and kind.unit not in kind.title
    unit = f" ({clean(kind.unit, 12)})" if told else ""  # "9 ¼ cup" would be nine and a quarter
    pieces: list[Line] = [((f" {name}", ""),), *([((" at least how many:", ""),)] if kind.at_least else [])]
    pieces.append(((f" {kind.low:g} to {kind.high:g}{unit}{ends}", ""),))
    if why:
        pieces.append(((f"  {why}", "today"),))
    return tuple(flow(pieces, width))


def _said(text: str, look: str, width: int, most: int) -> list[Line]:
    return [cut(((f" {x}", look),), width) for x in wrap(text, width - 1, most)]


def _typing(what: str, typed: str, width: int, mark: str = "") -> list[Line]:
    """What is being typed, with its end always in sight."""
    room = max(4, width - len(what) - len(mark) - 6)
    shown = typed
    while (over := size(((shown, ""),)) - room) > 0:
        shown = shown[max(1, over // 2) :]  # a sign takes at most two cells
    dots = "…" if len(shown) < len(typed) else ""
    return [cut(((f" {what} ", ""), (f"{dots}{shown}_", "cursor"), (f" {mark}", "saved")), width)]


def _options(name: str, options: Sequence[tuple[str, str]], width: int, why: str = "") -> list[Line]:
    pieces: list[Line] = [((f" {name} ", ""),)]
    pieces += [((f" {key} ", "key"), (f"{what} ", "")) for key, what in options]
    if why:
        pieces.append(((f"  {why}", "today"),))
    return flow(pieces, width)


def _numbered(
    name: str, titles: Sequence[str], page: int, width: int, turns: Sequence[tuple[str, str]] = ()
) -> list[Line]:
    """What a digit chooses, nine to a page, 0 for more, and other keys that turn the page."""
    shown = titles[page * PER_PAGE : (page + 1) * PER_PAGE]
    more = [("0", "more")] if len(titles) > PER_PAGE else []
    return _options(name, [*((str(i), t) for i, t in enumerate(shown, 1)), *more, *turns], width)


def _ready(name: str, answers: Sequence[str], typed: str, width: int) -> list[Line]:
    """What is being typed, under the answers that a digit is enough for."""
    if not answers:
        return _typing(name, clean(typed, 200), width)
    listed = _numbered(name, [clean(a, 60) for a in answers], 0, width)
    return [*listed, *_typing("digit or words:", clean(typed, 200), width)]


def _hint(walk: Walk, width: int) -> list[Line]:
    mode = walk.state.mode
    hint = HINTS[mode].format(rub=steps.rub_key(walk))
    if mode == "help":
        up, down = (_key(walk, c) for c in ("reading_up", "reading_down"))
        hint = f"{down} {up} {hint}"
    return [cut(((f" {x}", "faint"),), width) for x in wrap(hint, width - 1, 2)]


def _key(walk: Walk, command: str) -> str:
    """The first key of a command as it is painted."""
    return _painted(steps.key_for(walk, command))


def _painted(key: str) -> str:
    return ARROWS.get(key, key)


def commands(walk: Walk, width: int, most: int) -> list[Line]:
    """Commands with their first key, in at most ``most`` lines; whole ones only."""
    place = "page" if walk.state.pages else "walk" if walk.state.at < walk.count() else "summary"
    if walk.state.pages and steps.key_for(walk, "reading_down") not in ARROWS:
        place = "rack" if walk.page(walk.state.pages[-1]).shelves else place  # there they go box by box
    return list(_commands(tuple(walk.commands.items()), place, width, most))


@lru_cache(32)  # the same at every key of a walk
def _commands(layout: tuple[tuple[str, str], ...], place: str, width: int, most: int) -> tuple[Line, ...]:
    wanted, words = PLACES[place]
    if most < 2 or width < 60:
        wanted = (*FIRST, *(c for c in wanted if c not in FIRST))
    first = {command: key for key, command in reversed(layout)}
    if (
        "menu" in first and "reading_down" not in wanted
    ):  # without arrows, going down is a key one must be told
        wanted = (*wanted, "reading_down")
    pieces: list[Line] = []
    for command in wanted:
        if command in first:
            key = _painted(steps.name_of(first[command]))
            pieces.append(((f" {key}", "key"), (f" {words.get(command, WORDS[command])} ", "")))
    return tuple(flow(pieces, width)[:most])
