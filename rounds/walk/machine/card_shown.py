"""What a card shows: its rows, what recording it will do, and the keys of its commands."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from rounds.acts.card import WHOM, Card, CardField
from rounds.keys.card_commands import CARD_COMMANDS
from rounds.walk.machine import card_sentences as sentences
from rounds.walk.machine.act_modes import ActDraft, told
from rounds.walk.machine.prompts import Answer, CardRow, CardShown
from rounds.walk.machine.state import Desk

MOST_TOLD = 12
"""Answers that are named in what recording will do."""
NUMBERS = ("count", "number")
"""Kinds of fields whose digits are an answer already while they are typed."""


def waits(field: CardField, draft: ActDraft) -> bool:
    """Is an answer of the field still waited for?"""
    if field.name == WHOM:
        return not draft.whom
    if not (field.needed or field.asked):
        return False
    answer = dict(draft.answers).get(field.name)
    return not answer and not (field.proposed and answer is None)


def switches(field: CardField) -> bool:
    """Can the field be answered in both ways, typed and chosen from a list?"""
    return field.kind != "choice" and bool(field.answers)


def with_answer(draft: ActDraft, name: str, text: str) -> ActDraft:
    """The draft with this answer in the place of any other of the field."""
    kept = tuple(a for a in draft.answers if a[0] != name)
    return replace(draft, answers=(*kept, (name, text)))


def shown_card(
    card: Card, draft: ActDraft, order: tuple[CardField, ...], field: CardField, typed: str, box: str
) -> CardShown:
    """The card with its cursor on ``field`` and ``typed`` there; ``order`` are its fields in theirs.

    ``box`` is the code of the enclosure: whom the act concerns is not said where it is the box itself.
    """
    said_so_far = with_answer(draft, field.name, _with_typed(draft, field, typed)) if typed else draft
    by_name = {f.name: f for f in order}
    said_of = [(by_name[n], t) for n, t in told(said_so_far, card) if n in by_name]
    return CardShown(
        card.title,
        card.caution,
        card.headlines,
        tuple(_row(f, draft, typed, at=f.name == field.name) for f in order),
        field.kind,
        draft.whom if draft.whom != box else "",
        tuple(f.label for f in order if f.needed and waits(f, said_so_far)),
        tuple(sentences.one_told(f.label, f.shown(t)) for f, t in said_of)[:MOST_TOLD],
        tuple(f.label for f in order if f.asked and not f.needed and waits(f, said_so_far)),
    )


def _with_typed(draft: ActDraft, field: CardField, typed: str) -> str:
    """The answer of a field once what is typed is taken: of several it is one more."""
    now = dict(draft.answers).get(field.name, "") if field.many else ""
    return f"{now}, {typed}" if now else typed


def _row(field: CardField, draft: ActDraft, typed: str, *, at: bool) -> CardRow:
    own = draft.whom if field.name == WHOM else dict(draft.answers).get(field.name)
    if at and typed:
        said, how = f"{_with_typed(draft, field, typed)}_", "typed"
    elif own:
        said, how = field.shown(own), "told"
    elif field.proposed and own is None:
        said, how = field.shown(field.proposed), "proposed"
    else:
        said, how = field.shown(field.otherwise), "waits" if waits(field, draft) else "unsaid"
    return CardRow(field.label, said, how, field.needed, at)


def what_recording_does(desk: Desk, shown: CardShown) -> str:
    """What recording will do, or what it still needs, in one sentence."""
    key = card_key_for(desk, "record")
    if shown.lacking:
        return sentences.needs(shown.lacking)
    return sentences.will_record(key, shown.title, shown.who, shown.told, shown.unsaid)


def card_key_for(desk: Desk, command: str) -> str:
    """The first key of a command of a card."""
    return next((k for k, c in desk.card_keys.items() if c == command), "?")


def key_that_ends_a_text(desk: Desk) -> str:
    """Takes a text and goes on to the next field, where a blank is a sign of the text."""
    return next((k for k, c in desk.card_keys.items() if c == "next_field" and k != "space"), "?")


def on_a_pad(desk: Desk) -> bool:
    """Is the layout one of few keys, none of which is left for what a card has to say?"""
    return "menu" in desk.commands.values()


def keys_to_all(desk: Desk, kind: str) -> str:
    """What shows all that is said of the act from a field of this kind.

    On a pad that is the key that says "at least", in a field where there is nothing to count.
    """
    if not on_a_pad(desk):
        return card_key_for(desk, "all")
    key = card_key_for(desk, "at_least")
    return sentences.past_the_counts(key) if kind == "count" else key


def keys_named(desk: Desk) -> str:
    """The keys one needs most, with what they do."""
    return sentences.keys_of_a_card(
        card_key_for(desk, "record"), card_key_for(desk, "next_field"), card_key_for(desk, "leave")
    )


def command_answers(
    desk: Desk, field: CardField, named: Mapping[str, str], *, in_text: bool
) -> tuple[Answer, ...]:
    """The commands of a card that a field has a use for, each with its key.

    ``named``: what some of them are called here. Within a text those that end it, for all
    other signs are typed.
    """
    labels = {c.id: named.get(c.id) or c.label for c in CARD_COMMANDS.values()}
    if in_text:
        keys = {
            "next_field": key_that_ends_a_text(desk),
            **{c: card_key_for(desk, c) for c in ("record", "leave")},
        }
        return tuple(Answer(key, labels[c], word=CARD_COMMANDS[c].words[0]) for c, key in keys.items())
    unused = {"all"} if on_a_pad(desk) else set()
    if field.kind != "count":
        if on_a_pad(desk):  # there the same key shows all that is said of the act
            labels["at_least"] = labels["all"]
        else:
            unused.add("at_least")
    if not switches(field):
        unused.add("choose")
    given = (c for c in CARD_COMMANDS.values() if c.id not in unused)
    return tuple(Answer(card_key_for(desk, c.id), labels[c.id], word=c.words[0]) for c in given)
