"""A typed line becomes keys of the walk: what the beginning of it presses, and what is left of it.

A line is taken piece by piece, for each piece may bring the walk into another mode. Whatever a
line does, it does by keys, so that a round typed in lines leaves the book as the keys would.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from rounds.husbandry.readings import ReadingKind
from rounds.keys import scan_code
from rounds.keys.commands import PER_PAGE
from rounds.keys.key_names import NAMED
from rounds.line_ui import card_words, read_out_pages, spoken_page_sentences, spoken_words, typed_sentences
from rounds.line_ui.mode_prompts import ERASE, asked, page_keys, spoken
from rounds.named_tuple import NamedTuple
from rounds.problems import nearest
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.action_modes import MAX_DAYS

CANCEL = "backspace"
"""Ends every mode that offers something, with nothing done, when nothing is typed in it."""
MOST_DIGITS = 8


class Piece(NamedTuple):
    """Keys to press, the rest of the line, why the rest is not taken, and a word of the lines' own."""

    keys: tuple[str, ...] = ()
    rest: str = ""
    refused: str = ""
    own: str = ""


def piece(walk: Walk, text: str) -> Piece:
    """What the beginning of ``text`` (stripped, not empty) means where the walk is now."""
    if walk.state.mode.name != "walk":
        found = asked(walk)
        if found.card is not None:
            return Piece(*card_words.keys(walk, text))
        if found.limit:
            return BY_KIND.get(found.kind, _text)(walk, text)
        head, _, rest = text.partition(" ")
        beside = next((a.key for a in found.others if a.word and a.word == head.casefold()), None)
        return Piece((beside,), rest.strip()) if beside and rest.strip() else _chosen(walk, text)
    if read_out_pages.in_sight(walk):
        return Piece(*read_out_pages.keys(walk, text))
    word = spoken_words.first(walk, text)
    if word is None:
        return Piece(refused=spoken_words.unknown(walk, text))
    if word.sort == "own":
        return Piece(rest=word.rest, own=word.value)
    if word.sort == "topic":
        key = spoken_words.key_of(walk, "pages")
        topic = spoken_words.TOPIC[word.value]
        return (
            Piece((key, *spoken_words.opening(topic)), word.rest)
            if key
            else Piece(refused=spoken_page_sentences.NO_KEY_OPENS_PAGES)
        )
    if word.sort == "reading":
        return _reading(walk, walk.desk.kinds[word.value], word.rest)
    if word.sort in ("command", "key"):
        return _command(walk, word)
    return _row(walk, word) if walk.over else _answer(walk, word)


def idle(walk: Walk) -> tuple[str, ...]:
    """A key that does nothing: what was not understood ends a warning as a wrong key on the walk does."""
    asking = {k.ask_key for k in walk.desk.kinds.values()}
    free = (k for k in (*NAMED, "%", "$", "~") if k not in walk.desk.commands and k not in asking)
    return tuple(free)[:1] if walk.state.mode.name == "walk" and walk.state.warned else ()


def scan(walk: Walk, line: str) -> tuple[str, ...]:
    """The keys of a scanned label, in any mode: what is begun is left with nothing done; () for any other line.

    A label types the scan key, an enclosure's code or number, and Enter; the key for going
    somewhere may stand for it. The machine itself says what a scan leads to, or that it leads nowhere.
    """
    begins = scan_code.sign(walk.desk.commands)
    if begins and line.startswith(begins):
        key = next(k for k, c in walk.desk.commands.items() if c == "scan")
        return (key, *(ch for ch in line.removeprefix(begins).strip() if ch != " "), "enter")
    line = line.strip()
    key, name = line[:1], line[1:].strip()
    if walk.desk.commands.get(key) not in ("go", "scan") or not name:
        return ()
    stop = walk.route.find(name)
    if stop is None:
        return ()
    mode = walk.state.mode.name
    left: tuple[str, ...] = () if mode == "walk" else ("enter",) if mode == "note" else (CANCEL,)
    if mode == "card":
        left = card_words.leaving(asked(walk))
    ended = () if walk.state.earlier is None else (spoken_words.key_of(walk, "next") or "enter",)
    number = str(walk.route.stops[stop].enclosure.number)
    return (
        *left,
        *read_out_pages.closing(walk),
        *ended,
        spoken_words.key_of(walk, "go") or key,
        *number,
        "enter",
    )


def alone(walk: Walk) -> tuple[str, ...]:
    """The keys of an empty line: next on the walk; in a mode what its question says of Enter."""
    mode = walk.state.mode.name
    if read_out_pages.in_sight(walk):
        return read_out_pages.alone(walk)
    if mode == "walk":
        key = spoken_words.key_of(walk, "next")
        return (key,) if key else ()
    found = asked(walk)
    if found.card is not None:
        return (next(a.key for a in found.others if a.word == "next"),)
    return ("enter",) if found.enter_alone else (CANCEL,)


# On the walk


def _command(walk: Walk, word: spoken_words.Word) -> Piece:
    if word.sort == "key":
        return Piece((word.value,), word.rest)
    key = spoken_words.key_of(walk, word.value)
    if key is None:
        return Piece(refused=typed_sentences.no_key_gives(word.value))
    return Piece((key,), word.rest)


def _reading(walk: Walk, kind: ReadingKind, rest: str) -> Piece:
    """Moves to a reading: by its own key, along the questions, or through the list of the others."""
    if walk.over:
        return Piece(refused=typed_sentences.AT_AN_ENCLOSURE)
    if kind.ask_key:
        return Piece((kind.ask_key,), rest)
    at = next((i for i, a in enumerate(steps.rows(walk.state, walk.desk)) if a.kind.id == kind.id), None)
    if at is not None:
        return Piece(_moves(walk, at - walk.state.cursor), rest)
    listed = [k.id for k in steps.others(walk.state, walk.desk)]
    key = spoken_words.key_of(walk, "other")
    if kind.id not in listed or key is None:
        return Piece(refused=typed_sentences.not_read_here(clean(kind.title, 400)))
    page, digit = divmod(listed.index(kind.id), PER_PAGE)
    return Piece((key, *["0"] * page, str(digit + 1)), rest)


def _moves(walk: Walk, by: int) -> tuple[str, ...]:
    key = spoken_words.key_of(walk, "reading_down" if by > 0 else "reading_up")
    return (key,) * abs(by) if key else ()


def _row(walk: Walk, word: spoken_words.Word) -> Piece:
    """A number on the summary chooses its row."""
    listed = walk.round.listed()
    if word.sort != "number" or not word.value.isdigit() or not 1 <= int(word.value) <= len(listed):
        if not listed:
            return Piece(refused=typed_sentences.NOTHING_LISTED)
        return Piece(refused=typed_sentences.no_row(clean(word.value, 60), len(listed)))
    at = min(walk.state.cursor, len(listed) - 1)
    return Piece(_moves(walk, int(word.value) - 1 - at), word.rest)


def _answer(walk: Walk, word: spoken_words.Word) -> Piece:
    kind = spoken_words.asked(walk)
    if kind is None:
        return Piece(refused=typed_sentences.NO_QUESTION)
    key = word.value if word.sort == "number" else spoken_words.answer_key(kind, word.value)
    if key is None:
        return Piece(refused=typed_sentences.no_answer(clean(word.value, 60), clean(kind.title, 400)))
    if word.sort == "answer":
        return Piece((key,), word.rest)
    why = _refused(kind, key)
    if why:
        return Piece(refused=typed_sentences.not_a_value(clean(kind.title, 400), why))
    if kind.one_digit:
        return Piece((key,), word.rest)
    ends = spoken_words.key_of(walk, "next")
    return Piece((*key.replace(",", "."), *([ends] if ends else [])), word.rest)


def _refused(kind: ReadingKind, number: str) -> str:
    """Why a number cannot be an answer here, as far as its form goes; the machine knows the limits."""
    whole, dot, places = number.replace(",", ".").partition(".")
    if kind.one_digit:
        return typed_sentences.several_digits(number) if len(number) > 1 else ""
    if dot and not kind.decimals:
        return typed_sentences.no_whole_number(number)
    if dot and not 1 <= len(places) <= kind.decimals:
        return typed_sentences.too_many_decimals(number, kind.decimals)
    if len(whole) > MOST_DIGITS - 1 - len(places):
        return typed_sentences.too_many_digits(number)
    return ""


# Choosing


def _chosen(walk: Walk, text: str) -> Piece:
    """A digit or a name chooses; a command leaves the mode with nothing done and is taken."""
    found = asked(walk)
    known = {spoken(a).casefold(): i for i, a in enumerate(found.answers)}
    known |= {a.word.casefold(): i for i, a in enumerate(found.answers) if a.word}
    split = text.split()
    for n in range(len(split), 0, -1):
        at = known.get(" ".join(split[:n]).casefold())
        if at is not None:
            return Piece(page_keys(found, at), " ".join(split[n:]))
    head, _, rest = text.partition(" ")
    if steps.is_digit(head):
        return Piece((head,), rest.strip())
    word = spoken_words.first(walk, text)
    if word is not None and word.sort == "command" and word.value != "back":
        return Piece((CANCEL,), text)
    if word is not None and word.value == "back":
        return Piece((CANCEL,), "")
    close = nearest(text.casefold(), known).replace("`", "")
    return Piece((CANCEL,), "", typed_sentences.none_of_these(clean(text, 60), clean(close, 400)))


# Texts


def _go(walk: Walk, text: str) -> Piece:
    if text.casefold() == "back":
        return Piece((CANCEL,))
    stop = walk.route.find(text)
    if stop is None:
        codes = {s.enclosure.code.casefold(): s.enclosure.code for s in walk.route.stops}
        close = nearest(text.casefold(), codes)
        for low, code in codes.items():
            close = close.replace(f"`{low}`", code)
        return Piece((CANCEL,), "", typed_sentences.no_enclosure(clean(text, 60), clean(close, 200)))
    return Piece((*str(walk.route.stops[stop].enclosure.number), "enter"))


def _note(walk: Walk, text: str) -> Piece:
    found = asked(walk)
    so_far = found.typed
    if so_far and text.casefold() == ERASE:
        return Piece((*["backspace"] * len(so_far), "enter"))
    added = f" {text}" if so_far and not so_far.endswith(" ") else text
    keys, left = _letters(added, found.limit - len(so_far))
    return Piece((*keys, "enter"), "", left)


def _days(_: Walk, text: str) -> Piece:
    head, _blank, rest = text.partition(" ")
    if head.casefold() == "back":
        return Piece((CANCEL,))
    if not (head.isascii() and head.isdigit() and 1 <= int(head[:9]) <= MAX_DAYS):
        return Piece(refused=typed_sentences.no_days(clean(head, 60), MAX_DAYS))
    return Piece((*str(int(head)), "enter"), rest.strip())


def _text(walk: Walk, text: str) -> Piece:
    found = asked(walk)
    if text.casefold() == "back" and found.enter_alone not in ("", found.leaves):  # the question says so
        return Piece((CANCEL,))
    limit = found.limit
    keys, left = _letters(text, limit)
    if len(text) > limit:
        return Piece(refused=typed_sentences.too_long(len(text), limit))
    return Piece((*keys, "enter"), "", left) if keys else Piece(refused=left)


def _letters(text: str, room: int) -> tuple[tuple[str, ...], str]:
    """The keys of a text, and what of it could not be taken."""
    kept = [ch for ch in text.replace("\t", " ") if ch.isprintable()]
    left = []
    if len(kept) < len(text):
        left.append(typed_sentences.left_out(len(text) - len(kept)))
    if len(kept) > room:
        rest = clean("".join(kept[max(0, room) :]), 2100)
        left.append(typed_sentences.only_the_first(max(0, room), rest))
    return tuple("space" if ch == " " else ch for ch in kept[: max(0, room)]), " ".join(left)


def _code(_: Walk, text: str) -> Piece:
    """What a label holds: the machine itself says what it leads to, or that it is too long."""
    keys, left = _letters("".join(text.split()), scan_code.MOST + 1)
    return Piece((*keys, "enter"), "", "" if len(keys) > scan_code.MOST else left)


BY_KIND: Mapping[str, Callable[[Walk, str], Piece]] = {
    "code": _go,
    "scan": _code,
    "note": _note,
    "days": _days,
}
"""How the rest of a line is taken as a text, for the kinds of text that end before the line does."""
