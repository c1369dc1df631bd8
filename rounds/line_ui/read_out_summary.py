"""The summary and the help, read out as lines."""

from __future__ import annotations

from rounds.keys.commands import COMMANDS
from rounds.line_ui import read_out_pages, words
from rounds.line_ui.mode_prompts import LEVEL_WORDS
from rounds.line_ui.read_out import WHOLE, arrival, sentence, skip_words
from rounds.presenters import care_lines
from rounds.records.observations import Action
from rounds.records.round_summary import carry_words
from rounds.text.cleaning import clean, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import steps

MOST = 8
"""Due lines, and enclosures not seen, that the summary reads out before it only counts the rest."""


def summary(walk: Walk, *, whole: bool = False) -> list[str]:
    """What needs action by harm with its reasons, what to carry, what is due and was not done, not seen.

    ``whole``: with all that is due and all that was not seen, however long that is.
    """
    listed = walk.round.listed()
    actions = [(i, row, a) for i, (row, a) in enumerate(listed, 1) if a is not None]
    unseen = [(i, row) for i, (row, a) in enumerate(listed, 1) if a is None]
    out = [
        f"Summary of {long_day(walk.day)}: {len(actions)} needing action, {walk.round.seen_count} of {walk.route.count()} seen, "
        f"{len(unseen)} not seen."
    ]
    out += [f"{i}: {_action(walk, stop, a)}" for i, stop, a in actions]
    if not actions:
        out.append("Nothing needs action.")
    carried = [sentence(clean(carry_words(c), WHOLE)) for c in walk.round.carry()]
    out += [f"To carry next time: {c}" for c in carried] or ["To carry next time: nothing."]
    if whole:
        out += [sentence(clean(f"What that rests on: {x}", WHOLE)) for c in walk.round.carry() for x in c.why]
    due = [f"{_place(walk, stop)}: {care_lines.due_words(d, WHOLE)}" for stop, d in walk.dues.undone()]
    if due:
        out.append(f"Due and not done: {len(due)}.")
    out += [sentence(text) for text in _first(due, whole=whole)]
    if unseen:
        named = _first([f"{i}, {_unseen(walk, stop)}" for i, stop in unseen], whole=whole)
        out.append(sentence(f"Not seen: {'; '.join(named)}"))
    return out


def _first(texts: list[str], *, whole: bool) -> list[str]:
    if whole or len(texts) <= MOST:
        return texts
    return [*texts[: MOST - 1], f"and {len(texts) - MOST + 1} more: the word all reads them"]


def prompt(walk: Walk) -> str:
    """What can be done on the summary."""
    listed = walk.round.listed()
    if not walk.route.count():
        return "quit leaves."
    if not listed:
        return "Nothing is listed. back goes to the last enclosure, quit leaves."
    at = min(walk.state.cursor, len(listed) - 1)
    code = clean(walk.route.stops[listed[at][0]].enclosure.code, 400)
    return (
        f"At row {at + 1} of {len(listed)}, {code}. Enter goes there, a number goes to that row, quit leaves."
    )


def row(walk: Walk) -> str:
    """The summary's row at the cursor, in full ("" when nothing is listed)."""
    listed = walk.round.listed()
    if not listed:
        return ""
    at = min(walk.state.cursor, len(listed) - 1)
    stop, action = listed[at]
    if action is None:
        return f"Row {at + 1} of {len(listed)}: {_unseen(walk, stop)}, not seen."
    return f"Row {at + 1} of {len(listed)}: {_action(walk, stop, action)}"


def _place(walk: Walk, stop: int) -> str:
    e = walk.route.stops[stop].enclosure
    return f"{clean(e.code, 400)}{f' at {clean(e.place.address, 40)}' if e.place else ''}"


def _action(walk: Walk, stop: int, a: Action) -> str:
    return sentence(
        f"{_place(walk, stop)}, {LEVEL_WORDS.get(a.level, a.level)}: {care_lines.action_words(walk, a, WHOLE)}"
    )


def _unseen(walk: Walk, stop: int) -> str:
    reason = walk.round.skipped(stop)
    why = f", skipped: {skip_words(walk, reason)}" if reason else ""
    return f"{_place(walk, stop)}, {walk.route.stops[stop].enclosure.stage}{why}"


def help_lines(walk: Walk) -> list[str]:
    """What one can type, what each reading means, and all that is known here."""
    if walk.state.pages:
        return read_out_pages.help_lines(walk)
    out = [
        "Type an answer by its digit or its word and press Enter; several answers on one line are parted by blanks.",
        "Enter alone goes on: what was not typed is confirmed as expected. A note is the word note and its text.",
    ]
    for command in COMMANDS:
        if words.key_of(walk, command) is None:
            continue  # this layout has no key that gives it, so its word gives nothing either
        also = " or Enter alone" if command == "next" else ""
        about = (
            "what can be typed, and what each reading means" if command == "help" else COMMANDS[command].does
        )
        out.append(sentence(f"{words.keys_words(walk, command)}{also}: {about}"))
    out += [sentence(f"{word}: {about}") for word, about in words.OWN.items()]
    out.append(sentence(f"Pages of the books, by their word: {', '.join(words.TOPIC)}"))
    if walk.over:
        return [*out, "A number chooses a row of the summary; done and put off are about that row."]
    out.append("What is read here, and what it means:")
    for ask in steps.rows(walk.state, walk.desk):
        k = ask.kind
        key = f", key {k.ask_key}" if k.ask_key else ""
        out.append(sentence(f"{clean(k.title, 400)}{key}: {clean(k.about, WHOLE)}"))
    out.append("What is known here:")
    out += [*arrival(walk), *(sentence(clean(i.text, WHOLE)) for i in care_lines.about(walk)[1:])]
    return out
