"""The words of plain lines: commands by word or by key, what a question can be answered with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rounds.husbandry.readings import ReadingKind
from rounds.keys.commands import COMMANDS
from rounds.line_ui import typed_sentences
from rounds.named_tuple import NamedTuple
from rounds.problems import nearest
from rounds.text.cleaning import clean
from rounds.views.page import TOPICS, Topic
from rounds.walk.core import Walk
from rounds.walk.machine import steps

HERE, ALL, BRIEF, FULL = "here", "all", "brief", "full"
OWN = {
    HERE: "say again where you are and all that is known there",
    ALL: "the same; on the summary with every line of it",
    BRIEF: "say less from now on: no answers in the questions, no reasons of due work",
    FULL: "say it all again",
}
"""Words of the lines alone: they press no key."""

BY_WORD = {word: command.id for command in COMMANDS.values() for word in command.words}
TOPIC = {t.title.casefold(): t for t in TOPICS if t.title.casefold() not in BY_WORD}
"""The pages that a word opens."""
MOST_WORDS = 5  # of one answer or command


class Word(NamedTuple):
    """What the beginning of a line is. ``sort`` is number, command, own, topic, key, reading or answer."""

    sort: str
    value: str
    rest: str


def first(walk: Walk, text: str) -> Word | None:
    """What ``text`` begins with (it is not empty), the longest meaning first; None: nothing known."""
    words = text.split()
    for n in range(min(MOST_WORDS, len(words)), 0, -1):
        phrase = " ".join(words[:n])
        found = _meaning(walk, phrase)
        if found is not None:
            return Word(*found, " ".join(words[n:]))
    return None


def _meaning(walk: Walk, phrase: str) -> tuple[str, str] | None:
    low = phrase.casefold()
    if phrase.isascii() and phrase.replace(".", "", 1).replace(",", "", 1).isdigit() and phrase[0].isdigit():
        return "number", phrase
    key = _key(walk, phrase)
    if key is not None and len(key) == 1:
        return "key", key
    if low in BY_WORD:
        return "command", BY_WORD[low]
    if low in OWN:
        return "own", low
    if low in TOPIC:
        return "topic", low
    if answer_key(asked(walk), low) is not None:
        return "answer", low
    for kind in walk.desk.kinds.values():
        if not kind.retired and low in (kind.title.casefold(), kind.id):
            return "reading", kind.id
    if any(answer_key(k, low) is not None for k in walk.desk.kinds.values()):
        return "answer", low  # of another question: it may come up in this line
    return None if key is None else ("key", key)


def _key(walk: Walk, phrase: str) -> str | None:
    """The key of the live layout that was typed; a capital letter stands for a small one."""
    asking = {k.ask_key for k in walk.desk.kinds.values() if k.ask_key and not k.retired}
    for key in (phrase, phrase.casefold()):
        if key in walk.desk.commands or (key in asking and len(key) == 1):
            return key
    return None


def asked(walk: Walk) -> ReadingKind | None:
    """The reading that is asked now."""
    if walk.over:
        return None
    rows = steps.rows(walk.state, walk.desk)
    return rows[walk.state.cursor].kind if walk.state.cursor < len(rows) else None


def answer_key(kind: ReadingKind | None, word: str) -> str | None:
    """The key of an answer given in words: its title, its id, yes or no. ``word`` has small letters."""
    if kind is None:
        return None
    if kind.type == "tick":
        return {"yes": "1", "no": "0"}.get(word)
    return next((c.key for c in kind.choices if word in (c.title.casefold(), c.id)), None)


def key_of(walk: Walk, command: str) -> str | None:
    """A key that gives the command, None when the layout has none."""
    return next((k for k, c in walk.desk.commands.items() if c == command), None)


def with_words(commands: Mapping[str, str]) -> dict[str, str]:
    """A layout's commands by key; one that it gives no key is given by its first word, as if that were a key."""
    given = {"menu", *commands.values()}  # a layout without that key has no menu
    words = {c.words[0]: c.id for c in COMMANDS.values() if c.id not in given}
    return {**words, **commands}


def opening(topic: Topic) -> tuple[str, ...]:
    """The keys that open a page from one that is not typed on; one without a digit stands on the find page."""
    if topic.key:
        return (topic.key,)
    find = next(t.key for t in TOPICS if t.link.kind == "find")
    return (find, *("space" if ch == " " else ch for ch in topic.title), "enter")


def is_quit(walk: Walk, line: str) -> bool:
    """Whether a line asks to leave, by word or by key."""
    return line.casefold() in COMMANDS["quit"].words or walk.desk.commands.get(line) == "quit"


def unknown(walk: Walk, line: str) -> str:
    """Why a whole line cannot be taken ("" when all of it is known), before any of it is.

    What follows a word that asks for more (``go``, ``note``, ``record`` ...) is judged when it is asked for.
    """
    rest = line
    while rest:
        word = first(walk, rest)
        if word is None:
            typed = rest.split()[0]
            close = nearest(typed.casefold(), list(_known(walk))).replace("`", "")
            return typed_sentences.not_understood(clean(typed, 60), clean(close, 80))
        if asks_more(command_of(walk, word)) or word.sort == "topic":
            return ""
        rest = word.rest
    return ""


def command_of(walk: Walk, word: Word) -> str:
    """The command a word or key gives, "" when it is none."""
    if word.sort == "key":
        return walk.desk.commands.get(word.value, "")
    return word.value if word.sort == "command" else ""


def asks_more(command: str) -> bool:
    """Is the command ("" for none) followed by what it asks for?"""
    return bool(command) and COMMANDS[command].asks


def ends_line(command: str) -> bool:
    """Is nothing more of a line taken after the command's last answer?"""
    return bool(command) and COMMANDS[command].ends_line


def _known(walk: Walk) -> Iterator[str]:
    yield from BY_WORD
    yield from OWN
    yield from TOPIC
    kind = asked(walk)
    if kind is not None:
        yield from (c.title.casefold() for c in kind.choices)
    yield from (k.title.casefold() for k in walk.desk.kinds.values() if not k.retired)


def keys_words(walk: Walk, command: str) -> str:
    """``back, b or left``: the words and keys of a command, as one says them."""
    words = list(COMMANDS[command].words[:1])
    keys = [k for k, c in walk.desk.commands.items() if c == command and k not in words and k != "enter"]
    said = [*words, *keys]
    return " or ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)
