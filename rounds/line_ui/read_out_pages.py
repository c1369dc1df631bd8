"""The books' pages read out: what a page is about, its rows by number, and what opens them."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.keys.commands import COMMANDS
from rounds.line_ui import spoken_page_sentences, spoken_words
from rounds.line_ui.mode_prompts import LEVEL_WORDS
from rounds.line_ui.read_out import WHOLE, sentence
from rounds.problems import nearest
from rounds.records.round_summary import MARKS
from rounds.text.cleaning import clean
from rounds.views.page import TOPICS, ListRow, Page, Tile
from rounds.walk.core import Walk
from rounds.walk.machine.page_keys import LEAP, MOST_TYPED

MOST = 10
"""Rows that are read out at once."""
MORE, CLOSE = "more", "close"
OWN = {
    MORE: f"the next {MOST} rows of a page",
    CLOSE: "leave all pages and go back to the walk",
}
"""Words that mean something on a page alone."""


def in_sight(walk: Walk) -> bool:
    """Whether a page lies over the walk and lines are about it."""
    return bool(walk.state.pages) and walk.state.mode.name == "walk"


def page_of(walk: Walk) -> Page:
    """The page in sight."""
    return walk.pages.page(walk.state.pages[-1])


def unfinished(walk: Walk) -> bool:
    """Whether the page in sight rests on something that is still being worked out."""
    page_of(walk)  # making it begins the work
    return not walk.pages.lookup.behind.wait(0)


def cursor(walk: Walk) -> int:
    """The row in sight, also when the list has become shorter."""
    return min(walk.state.pages[-1].cursor, max(0, page_of(walk).size() - 1))


def lines(walk: Walk) -> list[str]:
    """The page: its title, its facts, and the rows from the one in sight on."""
    page = page_of(walk)
    out = [sentence(spoken_page_sentences.page(clean(page.title, WHOLE)))]
    out += [sentence(clean(f"{label}: {text}", WHOLE)) for label, text in page.facts]
    if page.drawn:
        out.append(spoken_page_sentences.drawing(len(page.drawn)))
    out += [sentence(clean(text, WHOLE)) for text in (page.wait, page.hint)]
    return [*out, *rows(walk)]


def rows(walk: Walk) -> list[str]:
    """At most ``MOST`` rows from the one in sight on, each with its number; headings between them."""
    page = page_of(walk)
    first = cursor(walk)
    out: list[str] = []
    at = 0
    for title, empty, listed in _lists(page):
        last = at + len(listed)
        if listed and first < last and at < first + MOST and title:
            out.append(sentence(title))
        if not listed and empty and first <= at < first + MOST:
            out.append(sentence(f"{title}: {empty}" if title else empty))
        for i in range(max(first, at), min(last, first + MOST)):
            out.append(f"{i + 1}: {_said(listed[i - at])}")
        at = last
    if at > first + MOST:
        out.append(spoken_page_sentences.rows_of(first + 1, first + MOST, at))
    return out


def again(walk: Walk) -> list[str]:
    """A page that was gone back to: which, and the row one had been at."""
    return [sentence(spoken_page_sentences.page(clean(page_of(walk).title, WHOLE))), row(walk)]


def row(walk: Walk) -> str:
    """The row in sight, with its column heads ("" when there is none)."""
    page, at = page_of(walk), cursor(walk)
    found = page.at(at)
    if found is None:
        return ""
    if isinstance(found, ListRow):
        first = 0
        for part in page.parts:
            if first <= at < first + len(part.rows):
                heads = [clean(c.head, WHOLE) for c in part.columns]
                cells = [clean(c, WHOLE) for c in found.cells]
                told = [f"{h} {c}" if h else c for h, c in zip(heads, cells, strict=False) if c]
                return sentence(f"{at + 1}: {', '.join(told)}")
            first += len(part.rows)
    return f"{at + 1}: {_said(found)}"


def _lists(page: Page) -> Iterator[tuple[str, str, list[ListRow | Tile]]]:
    for shelf in page.shelves:
        if not shelf.listed:
            yield spoken_page_sentences.shelf(clean(shelf.name, WHOLE)), "", list(shelf.tiles)
    nowhere = [s for s in page.shelves if s.listed]
    if nowhere:
        yield nowhere[0].name, "", [tile for s in nowhere for tile in s.tiles]
    for part in page.parts if not page.shelves else ():
        yield clean(part.title, WHOLE), clean(part.empty, WHOLE), list(part.rows)


def _said(found: ListRow | Tile) -> str:
    if isinstance(found, Tile) and found.said:
        return " ".join(sentence(_level(clean(text, WHOLE))) for text in found.said)
    texts = (*found.texts, *found.signs) if isinstance(found, Tile) else found.cells
    return sentence(", ".join(said for text in texts if (said := _level(clean(text, WHOLE).strip()))))


def _level(text: str) -> str:
    """A text that begins with a mark of harm, with the words for it."""
    mark, _, rest = text.partition(" ")
    level = next((name for name, sign in MARKS.items() if sign == mark), None)
    return text if level is None else f"{LEVEL_WORDS[level]}: {rest}" if rest else LEVEL_WORDS[level]


def prompt(walk: Walk) -> str:
    """What can be typed on this page."""
    page = page_of(walk)
    n = page.size()
    look = spoken_page_sentences.LOOK_FOR_ELSE if page.typed else ""
    if page.typed and not walk.state.pages[-1].query:
        return spoken_page_sentences.LOOK_FOR_WHAT
    if not n:
        return spoken_page_sentences.nothing_to_open(look)
    return spoken_page_sentences.at_row(look, cursor(walk) + 1, n)


def help_lines(walk: Walk) -> list[str]:
    """What the page shows, and the words that work on it."""
    about = page_of(walk).about
    out = [sentence(clean(about, WHOLE))] if about else []
    out.append(spoken_page_sentences.WHAT_CAN_BE_TYPED)
    out += [sentence(f"{word}: {said}") for word, said in OWN.items()]
    out.append(sentence(spoken_page_sentences.other_pages(tuple(t.title for t in TOPICS))))
    out.append(spoken_page_sentences.ABOUT_THE_ROW)
    return out


# A line on a page becomes keys: what they are, the rest of the line, and why it is not taken.

Taken = tuple[tuple[str, ...], str, str]


def keys(walk: Walk, text: str) -> Taken:
    """What the beginning of a line (stripped, not empty) presses on the page in sight."""
    page = page_of(walk)
    head, _, rest = text.partition(" ")
    low = text.casefold()
    if low == CLOSE:
        return closing(walk), "", ""
    if low == MORE:
        by = min(MOST, max(0, page.size() - 1 - cursor(walk)))
        return _moves(walk, page, by), "", "" if by else spoken_page_sentences.NO_MORE_ROWS
    if head.isascii() and head.isdigit() and (not page.typed or walk.state.pages[-1].query):
        if not 1 <= int(head[:9]) <= page.size():
            return (), "", spoken_page_sentences.no_row(clean(head, 60), page.size())
        return _moves(walk, page, int(head) - 1 - cursor(walk)), rest.strip(), ""
    if page.typed:
        return _query(walk, text)
    topic = next((t for t in TOPICS if low in (t.title.casefold(), t.link.kind)), None)
    if topic is not None:
        return spoken_words.opening(topic), "", ""
    word = spoken_words.first(walk, text)
    if word is not None and word.sort == "key" and len(word.value) == 1:
        return (word.value,), word.rest, ""
    key = spoken_words.key_of(walk, word.value) if word is not None and word.sort == "command" else None
    if word is not None and key is not None:
        return (key,), word.rest, ""
    known = [*OWN, *(t.title for t in TOPICS), *spoken_words.BY_WORD]
    close = nearest(head.casefold(), known).replace("`", "")
    return (), "", spoken_page_sentences.not_understood(clean(text, 200), close)


def alone(walk: Walk) -> tuple[str, ...]:
    """The keys of an empty line: open the row."""
    if page_of(walk).typed:
        return ("enter",) if walk.state.pages[-1].query else ("left",)
    key = spoken_words.key_of(walk, "next")
    return (key,) if key else ()


def _query(walk: Walk, text: str) -> Taken:
    if text.casefold() in COMMANDS["back"].words:
        return ("left",), "", ""
    word = text.casefold()
    if word in (*COMMANDS["quit"].words, *COMMANDS["help"].words, *COMMANDS["summary"].words):
        return ("left",), text, ""
    kept = [ch for ch in text if ch.isprintable()]
    if len(kept) > MOST_TYPED:
        return (), "", spoken_page_sentences.at_most_looked_for(MOST_TYPED)
    wiped = ["backspace"] * len(walk.state.pages[-1].query)
    return (*wiped, *("space" if ch == " " else ch for ch in kept)), "", ""


def closing(walk: Walk) -> tuple[str, ...]:
    back = spoken_words.key_of(walk, "back") or "backspace"
    return tuple("left" if walk.pages.page(o).typed else back for o in reversed(walk.state.pages))


def _moves(walk: Walk, page: Page, by: int) -> tuple[str, ...]:
    """Keys that move the cursor by so many rows, in leaps and steps."""
    leaps, steps = (0, abs(by)) if page.shelves else divmod(abs(by), LEAP)
    leap = "pagedown" if by > 0 else "pageup"
    if page.shelves:
        step = "right" if by > 0 else "left"
    else:  # a page that is typed on takes signs as text
        command = "reading_down" if by > 0 else "reading_up"
        found = [k for k, c in walk.desk.commands.items() if c == command and (len(k) > 1 or not page.typed)]
        step = found[0] if found else ""
    return (*[leap] * leaps, *[step] * (steps if step else 0))
