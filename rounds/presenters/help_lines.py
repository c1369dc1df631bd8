"""One page with everything said of what the walk stands at, in full, and what every key does."""

from __future__ import annotations

from itertools import groupby

from rounds.keys.commands import COMMANDS
from rounds.keys.key_names import sign_of
from rounds.presenters import care_lines, footer, summary_lines
from rounds.presenters.lines import BLANK, Line, cut, wrap
from rounds.presenters.walk_lines import title
from rounds.records.round_summary import carry_words
from rounds.text.cleaning import clean
from rounds.views.page import TOPICS
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.help_mode import ReadingHelp
from rounds.walk.machine.page_keys import ARROWS


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines; turning past the last page begins again."""
    text = _text(walk, width)
    foot = footer.foot(walk, width, height)
    room = max(1, height - 2 - len(foot))
    pages = max(1, -(-len(text) // room))
    page = walk.state.mode.page % pages if isinstance(walk.state.mode, ReadingHelp) else 0
    shown = text[page * room : page * room + room]
    shown += [BLANK] * (room - len(shown))
    where: Line = ((f" page {page + 1} of {pages}", "faint"),)
    full = [title(walk, width), *shown, where, *foot]
    full = full[: height - len(foot)] + full[len(full) - len(foot) :] if len(full) > height else full
    return [cut(line, width) for line in full[:height]]


def _text(walk: Walk, width: int) -> list[Line]:
    out: list[Line] = []
    if walk.state.pages:
        return _of_page(walk, width)
    if walk.state.at < walk.count():
        code = clean(walk.stops[walk.state.at].enclosure.code, 60)
        out.append(((f" {code}", "strong"),))
        care = [*care_lines.at_hand(walk), *care_lines.raised(walk), *care_lines.about(walk)]
        out += care_lines.whole_lines(care, width)
    else:
        if not walk.count():
            out += [((f" {x}", "strong"),) for x in wrap(NO_BOX, width - 2, 40)]
        out += summary_lines.chosen(walk, width)
        undone = summary_lines.due_texts(walk)
        if undone:
            out.append(((" due and not done", "strong"),))
            out += [((f"   {x}", ""),) for text in undone for x in wrap(text, width - 4, 40)]
        carried = [text for c in walk.carry() for text in (carry_words(c), *(f"· {x}" for x in c.why))]
        out.append(((" to carry next time" if carried else " to carry next time: nothing", "strong"),))
        out += [((f"   {x}", ""),) for text in carried for x in wrap(clean(text, 20_000), width - 4, 400)]
    out.append(BLANK)
    out.append(((" keys", "strong"),))
    on_walk = walk.state.at < walk.count()
    for command in COMMANDS if on_walk else ON_SUMMARY:
        about = (COMMANDS[command].on_summary if not on_walk else "") or COMMANDS[command].does
        keys = " ".join(sign_of(k) for k, c in walk.commands.items() if c == command)
        if keys:
            out += _row(f"  {keys:<14}", about, width)
    shown = steps.rows(walk.state, walk)
    if not shown:
        return out
    out.append(BLANK)
    out += [
        ((f" {x}", "strong"),)
        for x in wrap(
            "readings here: expected is what is usual at this stage; in brackets was confirmed as that, not read;"
            " ! has to be read this time; * is a day up to which others lived here or the stage was another: expected does"
            " not rest on it; what was typed is mended by going to its row and typing over it",
            width - 1,
            5,
        )
    ]
    for ask in shown:
        k = ask.kind
        out += _row(
            f"  {f'{k.ask_key} ' if k.ask_key else '':<3}{clean(k.title, 18):<19}", clean(k.about, 800), width
        )
    return out


ON_SUMMARY = (
    "reading_up",
    "reading_down",
    "done",
    "put_off",
    "next",
    "back",
    "summary",
    "go",
    "scan",
    "undo",
    "pages",
    "find",
    "menu",
    "help",
    "quit",
)
"""The commands of the summary, in the order of its help."""
ON_PAGE = (
    "reading_up",
    "reading_down",
    "next",
    "back",
    "record",
    "done",
    "put_off",
    "note",
    "correct",
    "skip",
    "deeper",
    "go",
    "find",
    "pages",
    "summary",
    "undo",
    "quit",
)
"""The commands of a page of the books, in the order of its help; neighbours that do the same share a line."""

ALONG = "along a shelf, and from the end of one to the next; an arrow up or down goes to the shelf there"
ALONG_ONLY = "along a shelf, and from the end of one to the next, where the keyboard has arrows"
BOX_BY_BOX = "the box before or behind, along all shelves"
TYPED_KEYS = (
    ("a-z 0-9", "what is looked for; several words in any order, a blank between them"),
    ("backspace", "takes the last letter back; with nothing typed, back to the page before"),
    ("↓ ↑", "along what was found; page up and page down ten, home and end to the ends"),
    ("enter →", "open the page behind the row"),
    ("←", "back to the page before"),
)
"""The keys of a page that is typed on."""


def _of_page(walk: Walk, width: int) -> list[Line]:
    page = walk.page(walk.state.pages[-1])
    out: list[Line] = [((f" {clean(page.title, 60)}", "strong"),)]
    out += [((f" {x}", ""),) for x in wrap(clean(page.about, 2000), width - 2, 40)]
    out += [((f" {x}", "strong"),) for x in wrap(clean(page.hint, 2000), width - 2, 40)]
    out += [BLANK, ((" keys", "strong"),)]
    if page.typed:
        for name, about in (
            *TYPED_KEYS,
            (steps.key_for(walk, "help"), "this page, while nothing is typed"),
        ):
            out += _row(f"  {name:<14}", about, width)
        return out
    arrows = steps.key_for(walk, "reading_down") in ARROWS
    if page.shelves:
        out += _row(f"  {'← →':<14}", ALONG if arrows else ALONG_ONLY, width)
    for about, commands in groupby(ON_PAGE, key=lambda c: COMMANDS[c].on_page):
        shared = tuple(commands)
        if shared == ("pages",) and steps.key_for(walk, "pages") == "right":
            continue  # on a page the right arrow opens its row
        keys = " ".join(
            sign_of(k) for c in shared for k in [steps.key_for(walk, c)] if k != "?" or c == "help"
        )
        if page.shelves and shared[0] == "reading_up" and not arrows:
            about = BOX_BY_BOX
        along = " (also the right arrow)" if shared == ("next",) and not page.shelves else ""
        out += _row(f"  {keys:<14}", f"{about}{along}", width)
    for topic in TOPICS:
        out += _row(f"  {topic.key:<14}", topic.title, width)
    return out


def _row(name: str, text: str, width: int) -> list[Line]:
    """A name and its text beside it; under it where the terminal is narrow."""
    if width < 60:
        return [((name.rstrip(), "key"),), *(((f"    {x}", ""),) for x in wrap(text, width - 4, 20))]
    texts = wrap(text, width - len(name), 20) or [""]
    return [((name if not i else " " * len(name), "key"), (x, "")) for i, x in enumerate(texts)]
