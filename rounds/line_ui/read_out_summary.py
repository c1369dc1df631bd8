"""The summary and the help, read out as lines."""

from __future__ import annotations

from rounds.keys.commands import COMMANDS
from rounds.line_ui import read_out_pages, spoken_words, summary_sentences
from rounds.line_ui.mode_prompts import LEVEL_WORDS
from rounds.line_ui.read_out import WHOLE, arrival, sentence, skip_words
from rounds.presenters import care_lines
from rounds.records.observations import Action
from rounds.records.round_summary import carry_words
from rounds.records.summary_opening import opening
from rounds.text.cleaning import clean, long_day
from rounds.walk.core import Walk
from rounds.walk.machine import steps
from rounds.walk.machine.help_mode import ReadingHelp

MOST = 8
"""Due lines, and enclosures not seen, that the summary reads out before it only counts the rest."""


def summary(walk: Walk, *, whole: bool = False) -> list[str]:
    """What needs action by harm with its reasons, what to carry, what is due and was not done, not seen.

    ``whole``: with all that is due and all that was not seen, however long that is.
    """
    listed = walk.round.listed()
    actions = [(i, row, a) for i, (row, a) in enumerate(listed, 1) if a is not None]
    unseen = [(i, row) for i, (row, a) in enumerate(listed, 1) if a is None]
    carry, undone = walk.round.carry(), walk.dues.undone()
    boxes = len({stop for _, stop, _ in actions})
    begun = opening(boxes, len(undone), len(unseen), carry, len(walk.round.empty_boxes()))
    out = [
        summary_sentences.of_day(long_day(walk.day), walk.round.seen_count, walk.route.count()),
        *([clean(begun, WHOLE)] if walk.route.count() else []),
    ]
    out += [f"{i}: {_action(walk, stop, a)}" for i, stop, a in actions]
    carried = [sentence(clean(carry_words(c), WHOLE)) for c in carry]
    out += [summary_sentences.to_carry(c) for c in carried] or [summary_sentences.NOTHING_TO_CARRY]
    if whole:
        out += [sentence(clean(summary_sentences.rests_on(x), WHOLE)) for c in carry for x in c.why]
    due = [summary_sentences.due_at(_place(walk, stop), care_lines.due_words(d, WHOLE)) for stop, d in undone]
    if due:
        out.append(summary_sentences.not_done(len(due)))
    out += [sentence(text) for text in _first(due, whole=whole)]
    if unseen:
        named = _first([f"{i}, {_unseen(walk, stop)}" for i, stop in unseen], whole=whole)
        out.append(sentence(summary_sentences.not_seen(tuple(named))))
    if empty := walk.round.empty_boxes():
        out.append(sentence(clean(summary_sentences.empty_boxes(empty), WHOLE)))
    return out


def _first(texts: list[str], *, whole: bool) -> list[str]:
    if whole or len(texts) <= MOST:
        return texts
    return [*texts[: MOST - 1], summary_sentences.more(len(texts) - MOST + 1)]


def prompt(walk: Walk) -> str:
    """What can be done on the summary."""
    listed = walk.round.listed()
    if not walk.route.count():
        return summary_sentences.QUIT_LEAVES
    if not listed:
        return summary_sentences.NOTHING_LISTED
    at = min(walk.state.cursor, len(listed) - 1)
    code = clean(walk.route.stops[listed[at][0]].enclosure.code, 400)
    return summary_sentences.at_row(at + 1, len(listed), code)


def row(walk: Walk) -> str:
    """The summary's row at the cursor, in full ("" when nothing is listed)."""
    listed = walk.round.listed()
    if not listed:
        return ""
    at = min(walk.state.cursor, len(listed) - 1)
    stop, action = listed[at]
    if action is None:
        return summary_sentences.row_not_seen(at + 1, len(listed), _unseen(walk, stop))
    return summary_sentences.row(at + 1, len(listed), _action(walk, stop, action))


def _place(walk: Walk, stop: int) -> str:
    e = walk.route.stops[stop].enclosure
    return summary_sentences.where(clean(e.code, 400), clean(e.place.address, 40) if e.place else "")


def _action(walk: Walk, stop: int, a: Action) -> str:
    level, said = LEVEL_WORDS.get(a.level, a.level), care_lines.action_words(walk, a, WHOLE)
    return sentence(summary_sentences.action(_place(walk, stop), level, said))


def _unseen(walk: Walk, stop: int) -> str:
    reason = walk.round.skipped(stop)
    why, stage = skip_words(walk, reason) if reason else "", walk.route.stops[stop].enclosure.stage
    return summary_sentences.unseen(_place(walk, stop), stage, why)


def help_of(walk: Walk) -> list[str]:
    """What was asked for: all that is said of the act whose card is open, else what one can type here."""
    card = walk.state.mode.card if isinstance(walk.state.mode, ReadingHelp) else None
    if card is None:
        return help_lines(walk)
    from rounds.presenters import help_sentences
    from rounds.walk.machine.act_modes import card_of

    shown = card_of(walk.state, walk.desk, card.draft)
    said = [clean(shown.title, 400), *([clean(shown.caution, WHOLE)] if shown.caution else [])]
    for field in card.fields(shown):
        answers = tuple(clean(a.shown, 60) for a in field.answers[:9])
        said.append(
            summary_sentences.reading(
                clean(field.label, 60), "", help_sentences.field(clean(field.question, 400), answers)
            )
        )
    return [sentence(x) for x in said]


def help_lines(walk: Walk) -> list[str]:
    """What one can type, what each reading means, and all that is known here."""
    if walk.state.pages:
        return read_out_pages.help_lines(walk)
    out = [summary_sentences.HOW_TO_ANSWER, summary_sentences.ENTER_ALONE]
    for command in COMMANDS:
        if spoken_words.key_of(walk, command) is None:
            continue  # a menu, where this layout has none
        also = summary_sentences.OR_ENTER_ALONE if command == "next" else ""
        about = summary_sentences.HELP_SHOWS if command == "help" else COMMANDS[command].does
        out.append(sentence(f"{spoken_words.keys_words(walk, command)}{also}: {about}"))
    out += [sentence(f"{word}: {about}") for word, about in spoken_words.OWN.items()]
    out.append(sentence(summary_sentences.pages_by_word(tuple(spoken_words.TOPIC))))
    if walk.over:
        return [*out, summary_sentences.ON_THE_SUMMARY]
    out.append(summary_sentences.READ_HERE)
    for ask in steps.rows(walk.state, walk.desk):
        k = ask.kind
        said = summary_sentences.reading(clean(k.title, 400), k.ask_key, clean(k.about, WHOLE))
        out.append(sentence(said))
    out.append(summary_sentences.KNOWN_HERE)
    out += [*arrival(walk), *(sentence(clean(i.text, WHOLE)) for i in care_lines.about(walk)[1:])]
    return out
