"""The foot of every screen: what was said, what is saved, and the keys as config gives them."""

from __future__ import annotations

from functools import lru_cache

from rounds.keys.commands import COMMANDS, LISTED, label_at
from rounds.keys.key_names import ARROWS, sign_of
from rounds.presenters import foot_sentences
from rounds.presenters.lines import BLANK, Line, Run, cut, flow, wrap
from rounds.presenters.prompt_lines import answers, asked, hint
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine import steps

ON_RACK = {"reading_up": foot_sentences.BOX_BEFORE, "reading_down": foot_sentences.NEXT_BOX}
"""What moving is called on the rack, for a layout whose keys go from box to box."""
FIRST = ("next", "help", "back", "quit")
"""Shown first where the terminal is too small for all."""
SMALL = 60
"""Cells of a screen below which the keys take two lines, the most needed first."""
MOST = 7
"""Commands at the foot of a screen; the help page has all of them."""


def foot(walk: Walk, width: int, height: int = 24) -> list[Line]:
    """What was said, the answers to what is asked, and the commands: four lines where they do."""
    tight = height < 14 or width < 60
    said = message(walk, width, 1 if height < 10 else 2)
    found = asked(walk)
    shown = answers(walk, width)
    while tight and shown and not any(text.strip() for text, _ in shown[-1]):
        shown.pop()  # a page of a list is as high as the highest only where there is room
    most = max(1, height // 2 - len(said)) if tight else 8
    if found.asks:
        out = [*said, *shown[:most], *hint(walk, width)]
    else:
        room = max(1, min(2, height // 2 - len(said) - len(shown))) if tight else 3
        # On a page that is typed on, letters are no commands.
        typed = found.kind == "find"
        out = [*said, *shown[:most], *([] if typed else commands(walk, width, room))]
    blank = [] if tight else [cut(BLANK, width)] * (4 - len(out))
    return [*blank, *out[: max(1, height - 1)]]


def message(walk: Walk, width: int, most: int) -> list[Line]:
    """What was just said; a write that fails outranks it and stays until it is over."""
    if walk.saving.said:
        said = foot_sentences.not_saved(walk.saving.waiting, clean(walk.saving.said, 300))
        if not walk.state.mode.takes_keys:
            said = foot_sentences.leave_again(said, steps.key_for(walk.desk, "quit"))
        return _said(said, "now", width, most + 1)
    if not walk.state.mode.takes_keys:
        return _said(foot_sentences.saving(walk.saving.waiting), "strong", width, 1)
    if walk.refusal:
        said = foot_sentences.until_read(clean(walk.refusal, 300), steps.key_for(walk.desk, "help"))
        return _said(said, "now", width, most + 1)
    said = clean(walk.state.message, 400)
    if said:
        return [*_said(said, "strong", width, most), *_taught(walk, width), *_news(walk, width)]
    if walk.banner:
        return [*_said(clean(walk.banner, 600), "today", width, most + 1), *_news(walk, width)]
    saved = walk.kept
    first = _first_words(walk, saved) if walk.first_ever and walk.route.count() else ""
    taught = _lesson(walk)
    runs: list[Run] = [(taught or first or foot_sentences.saved(saved), "today" if taught else "saved")]
    if walk.saving.waiting and walk.pending_shown:
        runs.append((foot_sentences.waiting(walk.saving.waiting), "strong"))
    if walk.news:
        runs.append((foot_sentences.news_beside(clean(walk.news, 400)), "strong"))
    return [cut(runs, width)]


def _lesson(walk: Walk) -> str:
    """What this box teaches, in the invented house; no page covers it."""
    return "" if walk.state.pages else walk.lesson


def _taught(walk: Walk, width: int) -> list[Line]:
    """The lesson in a line of its own where the first one says something else."""
    taught = _lesson(walk)
    return _said(taught, "today", width, 1) if taught else []


def _news(walk: Walk, width: int) -> list[Line]:
    """What others did, in a line of its own where the first one says something else."""
    return _said(clean(walk.news, 400), "strong", width, 1)


def _first_words(walk: Walk, saved: int) -> str:
    """In a book that was never walked: how it begins, and after the first key how that is taken back."""
    if saved == 1:
        return foot_sentences.first_saved(steps.key_for(walk.desk, "undo"))
    if saved or walk.state.pages or walk.over:
        return ""
    on, read = (steps.key_for(walk.desk, c) for c in ("next", "help"))
    return foot_sentences.first_round(on, read)


def _said(text: str, style: str, width: int, most: int) -> list[Line]:
    return [cut(((f" {x}", style),), width) for x in wrap(text, width - 1, most)]


def commands(walk: Walk, width: int, most: int) -> list[Line]:
    """Commands with their first key, in at most ``most`` lines; whole ones only."""
    place = "page" if walk.state.pages else "walk" if walk.state.at < walk.route.count() else "summary"
    if walk.state.pages and steps.key_for(walk.desk, "reading_down") not in ARROWS:
        place = "rack" if walk.pages.page(walk.state.pages[-1]).shelves else place  # there they go box by box
    layout = walk.desk.commands
    if walk.desk.call_instead:  # what a stand-in may not do is not offered
        may = {command for command in COMMANDS if COMMANDS[command].stand_in}
        may |= {"record"} if place == "walk" else set()  # there it calls for the keeper
        layout = {key: command for key, command in layout.items() if command in may}
    labels = {"record": foot_sentences.CALL_FOR_HELP} if walk.desk.call_instead else {}
    return list(_commands(tuple(layout.items()), place, width, most, tuple(labels.items())))


@lru_cache(32)  # the same at every key of a walk
def _commands(
    layout: tuple[tuple[str, str], ...],
    place: str,
    width: int,
    most: int,
    labels: tuple[tuple[str, str], ...],
) -> tuple[Line, ...]:
    """``labels`` are those of commands that do something else for whoever walks."""
    on_rack = place == "rack"
    named = {"help": foot_sentences.ALL_KEYS, **(ON_RACK if on_rack else dict(labels))}
    place = "page" if on_rack else place
    first = {command: key for key, command in reversed(layout)}
    listed = [c for c in LISTED.key_line[place] if c in first]
    if "menu" in first:  # without arrows, going up and down is a key one must be told
        listed = [*(("reading_up",) if on_rack else ()), "reading_down", *listed]
    elif place == "summary":
        listed = ["reading_down", *listed]  # its list is longer than the screen
    if most < 2 or width < SMALL:
        listed = [c for c in FIRST if c in first] + [c for c in listed if c not in FIRST]
    # Where they are too many or do not fit, those that the layout's menu leads to fall first.
    opener = first.get("menu")
    stays = ("menu", "help", *(("summary",) if place == "summary" else ()))  # the way back is always in sight
    in_menu = [c for c in listed if opener and c not in stays and first[c].startswith(opener)]
    falling = [*(c for c in listed if c not in (*FIRST, "menu", *in_menu)), *in_menu]
    pieces: dict[str, Line] = {}
    for command in listed:
        key = sign_of(steps.name_of(first[command]))
        label = named.get(command) or label_at(place, command)
        pieces[command] = ((f" {key}", "key"), (f" {label} ", ""))
    while falling and (
        len(pieces) > MOST or (in_menu and width >= SMALL and len(flow(pieces.values(), width)) > 1)
    ):
        fallen = falling.pop()
        del pieces[fallen]
        in_menu = [c for c in in_menu if c != fallen]
    return tuple(flow(pieces.values(), width)[:most])
