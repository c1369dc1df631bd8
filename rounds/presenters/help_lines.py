"""One page with everything said of what the walk stands at, in full, and what every key does."""

from __future__ import annotations

from rounds.keys.commands import ABOUT
from rounds.presenters import care_lines, footer, summary_lines
from rounds.presenters.lines import BLANK, Line, cut, wrap
from rounds.presenters.walk_lines import title
from rounds.records.round_summary import carry_words
from rounds.text.cleaning import clean
from rounds.views.page import NO_BOX, TOPICS
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.page_keys import ARROWS


def lines(walk: Walk, width: int, height: int) -> list[Line]:
    """Exactly ``height`` lines; turning past the last page begins again."""
    text = _text(walk, width)
    foot = footer.foot(walk, width, height)
    room = max(1, height - 2 - len(foot))
    pages = max(1, -(-len(text) // room))
    page = walk.state.page % pages
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
    here = ABOUT if walk.state.at < walk.count() else ON_SUMMARY
    for command, about in here.items():
        keys = " ".join(footer.ARROWS.get(k, k) for k, c in walk.commands.items() if c == command)
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


ON_SUMMARY = {
    "reading_up": "one row up",
    "reading_down": "one row down",
    "done": "the row's action has just been carried out",
    "put_off": "put the row's action off, with a reason",
    "next": "go to the row's enclosure",
    "back": "back to the last enclosure",
    "summary": "back to where the walk stood",
    **{c: ABOUT[c] for c in ("go", "scan", "undo", "pages", "find", "menu", "help", "quit")},
}
"""What the keys do on the summary."""

PAGE_KEYS = (
    (
        ("reading_up", "reading_down"),
        "one row up or down; page up and page down ten, home and end to the ends",
    ),
    (("next",), "open the page behind the row"),
    (("back",), "back to the page before, at last to the walk"),
    (("record",), "record what happened, at the enclosure of the row or of the page"),
    (("done", "put_off"), "done or put off, at the enclosure of the row"),
    (("note", "correct"), "write a note, or correct one of its last visits, at the enclosure of the row"),
    (("skip", "deeper"), "skip it, or look closer, at the enclosure of the row"),
    (("go",), "leave the books and walk on at an enclosure, by its number or code"),
    (("find",), "find anything by a part of its name, or words in notes"),
    (("pages",), "this enclosure's page"),
    (("summary",), "close the books and show the summary"),
    (("undo",), "close the books and take the last thing recorded back"),
    (("quit",), "save and leave; the next start resumes the walk"),
)
"""What the keys do on a page, where that is not plain from the walk."""


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
    for commands, about in PAGE_KEYS:
        if commands == ("pages",) and steps.key_for(walk, "pages") == "right":
            continue  # on a page the right arrow opens its row
        keys = " ".join(
            footer.ARROWS.get(k, k)
            for c in commands
            for k in [steps.key_for(walk, c)]
            if k != "?" or c == "help"
        )
        if page.shelves and commands[0] == "reading_up" and not arrows:
            about = BOX_BY_BOX
        along = " (also the right arrow)" if commands == ("next",) and not page.shelves else ""
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
