"""One page with everything said of what the walk stands at, in full, and what every key does."""

from __future__ import annotations

from itertools import groupby

from rounds.keys.card_commands import CARD_COMMANDS
from rounds.keys.commands import COMMANDS, LISTED
from rounds.keys.key_names import sign_of
from rounds.presenters import care_lines, end_sentences, footer, help_sentences, summary_lines
from rounds.presenters.lines import BLANK, Line, cut, named_row, wrap
from rounds.presenters.walk_lines import title
from rounds.records.round_summary import carry_words
from rounds.text.cleaning import clean
from rounds.views.page import TOPICS
from rounds.views.page_sentences import NO_BOX
from rounds.walk.core import Walk
from rounds.walk.machine import fresh_cup, steps
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
    where: Line = ((help_sentences.page_of(page + 1, pages), "faint"),)
    full = [title(walk, width), *shown, where, *foot]
    full = full[: height - len(foot)] + full[len(full) - len(foot) :] if len(full) > height else full
    return [cut(line, width) for line in full[:height]]


def _text(walk: Walk, width: int) -> list[Line]:
    out: list[Line] = []
    if isinstance(walk.state.mode, ReadingHelp) and walk.state.mode.card is not None:
        from rounds.presenters import card_help_lines  # no start needs it

        of_card = card_help_lines.lines(walk, walk.state.mode.card, width)
        return [*of_card, *of_cards(walk, width), *of_short_words(width)]
    if walk.state.pages:
        return _of_page(walk, width)
    if walk.state.at < walk.route.count():
        code = clean(walk.route.stops[walk.state.at].enclosure.code, 60)
        out.append(((f" {code}", "strong"),))
        care = [*care_lines.at_hand(walk), *care_lines.raised(walk), *care_lines.about(walk)]
        out += care_lines.whole_lines(care, width)
        out += [((f" {x}", "faint"),) for x in wrap(help_sentences.SHELF, width - 2, 4)]
    else:
        if not walk.route.count():
            out += [((f" {x}", "strong"),) for x in wrap(NO_BOX, width - 2, 40)]
        out += summary_lines.chosen(walk, width)
        undone = summary_lines.due_texts(walk)
        if undone:
            out.append(((end_sentences.DUE_AND_NOT_DONE, "strong"),))
            out += [((f"   {x}", ""),) for text in undone for x in wrap(text, width - 4, 40)]
        if empty := walk.round.empty_boxes():
            told = clean(end_sentences.empty_boxes(empty), 20_000)
            out += [((f" {x}", "strong"),) for x in wrap(told.strip(), width - 2, 400)]
        carried = [text for c in walk.round.carry() for text in (carry_words(c), *(f"· {x}" for x in c.why))]
        out.append(((end_sentences.TO_CARRY if carried else end_sentences.NOTHING_TO_CARRY, "strong"),))
        out += [((f"   {x}", ""),) for text in carried for x in wrap(clean(text, 20_000), width - 4, 400)]
    out.append(BLANK)
    out.append(((help_sentences.KEYS, "strong"),))
    on_walk = walk.state.at < walk.route.count()
    for command in COMMANDS if on_walk else LISTED.summary_help:
        about = (COMMANDS[command].on_summary if not on_walk else "") or COMMANDS[command].does
        if on_walk and command == "fresh_cup":
            here = fresh_cup.offered(walk.state, walk.desk)
            gives = fresh_cup.known(walk.state, walk.desk) is not None
            about = here if gives else help_sentences.here_and_now(about, here)
        keys = " ".join(sign_of(k) for k, c in walk.desk.commands.items() if c == command)
        if keys:
            out += named_row(f"  {keys:<14}", about, width)
    out += of_cards(walk, width) if on_walk else []
    shown = steps.rows(walk.state, walk.desk)
    if not shown:
        return [*out, *of_short_words(width)]
    out.append(BLANK)
    out += [((f" {x}", "strong"),) for x in wrap(help_sentences.READINGS_HERE, width - 1, 5)]
    for ask in shown:
        k = ask.kind
        out += named_row(
            f"  {f'{k.ask_key} ' if k.ask_key else '':<3}{clean(k.title, 18):<19}", clean(k.about, 800), width
        )
    return [*out, *of_short_words(width)]


def of_short_words(width: int) -> list[Line]:
    """What the signs and abbreviations of the screens mean."""
    out: list[Line] = [BLANK, ((help_sentences.SHORT_WORDS_HERE, "strong"),)]
    for sign, about in help_sentences.SHORT_WORDS:
        out += named_row(f"  {sign:<14}", about, width, "strong")
    return out


def of_cards(walk: Walk, width: int) -> list[Line]:
    """The keys of a card: what an act is told on."""
    out: list[Line] = [BLANK, ((help_sentences.KEYS_OF_A_CARD, "strong"),)]
    for command in CARD_COMMANDS.values():
        keys = " ".join(sign_of(k) for k, c in walk.desk.card_keys.items() if c == command.id)
        out += named_row(f"  {keys:<14}", command.does, width, "strong")
    return out


TYPED_KEYS = (
    ("a-z 0-9", help_sentences.LOOKED_FOR),
    ("backspace", help_sentences.LAST_LETTER_BACK),
    ("↓ ↑", help_sentences.ALONG_FOUND),
    ("enter →", help_sentences.OPEN_ROW),
    ("←", help_sentences.PAGE_BEFORE),
)
"""The keys of a page that is typed on."""


def _of_page(walk: Walk, width: int) -> list[Line]:
    page = walk.pages.page(walk.state.pages[-1])
    out: list[Line] = [((f" {clean(page.title, 60)}", "strong"),)]
    out += [((f" {x}", ""),) for x in wrap(clean(page.about, 2000), width - 2, 40)]
    out += [((f" {x}", "strong"),) for x in wrap(clean(page.hint, 2000), width - 2, 40)]
    if page.facts or page.drawn:  # the page cuts them where its list needs the room
        from rounds.presenters import page_lines

        out += [BLANK, *page_lines.facts(page, width, 40)]
        out += [((f" {clean(line, 400)}", ""),) for line in page.drawn]
    out += [BLANK, ((help_sentences.KEYS, "strong"),)]
    if page.typed:
        for name, about in (
            *TYPED_KEYS,
            (steps.key_for(walk.desk, "help"), help_sentences.THIS_PAGE),
        ):
            out += named_row(f"  {name:<14}", about, width)
        return [*out, *of_short_words(width)]
    arrows = steps.key_for(walk.desk, "reading_down") in ARROWS
    if page.shelves:
        out += named_row(
            f"  {'← →':<14}",
            help_sentences.ALONG_SHELF if arrows else help_sentences.ALONG_SHELF_WITH_ARROWS,
            width,
        )
    for about, commands in groupby(LISTED.page_help, key=lambda c: COMMANDS[c].on_page):
        shared = tuple(commands)
        if shared == ("pages",) and steps.key_for(walk.desk, "pages") == "right":
            continue  # on a page the right arrow opens its row
        keys = " ".join(
            sign_of(k) for c in shared for k in [steps.key_for(walk.desk, c)] if k != "?" or c == "help"
        )
        if page.shelves and shared[0] == "reading_up" and not arrows:
            about = help_sentences.BOX_BY_BOX
        elif page.shelves and shared[0] == "reading_up":
            about = help_sentences.SHELF_BY_SHELF
        along = help_sentences.ALSO_RIGHT if shared == ("next",) and not page.shelves else ""
        out += named_row(f"  {keys:<14}", f"{about}{along}", width)
    for topic in TOPICS:
        key = topic.key or sign_of(steps.key_for(walk.desk, "find"))  # a page without a digit is listed there
        out += named_row(f"  {key:<14}", topic.title, width)
    return [*out, *of_short_words(width)]
