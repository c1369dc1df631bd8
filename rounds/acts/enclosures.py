"""Acts on boxes: where they stand, their stage, locks, work asked for."""

from __future__ import annotations

from rounds.acts import effects_sentences, enclosure_sentences, shared_act_sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import may
from rounds.acts.fields import Field
from rounds.acts.life import set_stage
from rounds.acts.moving_and_locks import ON, first_day, lift, lock
from rounds.husbandry.stages import FORBIDS, STAGES, VACANT
from rounds.records.ledger import Draft
from rounds.records.naming import code
from rounds.records.tables import Due, Enclosure
from rounds.records.whereabouts import inside
from rounds.values.spans import Span


@act(
    "move-box",
    "box moved to another slot",
    Field("to", "ref", "the place it stands at now (B3-2)", required=True, of="place"),
    ON,
    on="enclosure",
    about="A box was put somewhere else; its history goes with it.",
    stages=STAGES,
)
def move_box(draft: Draft, given: ActInput) -> None:
    box = given.subject
    if draft.ledger.row(Enclosure, box).place == given["to"]:
        raise ActRefused.at("to", enclosure_sentences.stands_there_already(code(draft.ledger, box)))
    may(draft, box, "move", given)
    draft.set(Enclosure.place, box, given["to"])


@act(
    "swap-boxes",
    "box swapped with another",
    Field("with", "ref", "the other box's code or number", required=True, of="enclosure"),
    ON,
    on="enclosure",
    about="Two boxes changed places.",
    stages=STAGES,
)
def swap_boxes(draft: Draft, given: ActInput) -> None:
    box, other = given.subject, given["with"]
    if box == other:
        raise ActRefused.at("with", enclosure_sentences.same_enclosure())
    mine, theirs = (draft.ledger.row(Enclosure, b) for b in (box, other))
    for b in (box, other):
        may(draft, b, "move", given)
    draft.set(Enclosure.place, box, theirs.place)
    draft.set(Enclosure.place, other, mine.place)


@act(
    "stage",
    "is now in stage",
    Field("stage", "stage", "the stage it is in now", required=True),
    ON,
    on="enclosure",
    about="A box is used for something else from now on.",
    stages=STAGES,
)
def stage(draft: Draft, given: ActInput) -> None:
    box = given.subject
    now = draft.ledger.row(Enclosure, box).stage
    if given["stage"] == now:
        raise ActRefused.at("stage", enclosure_sentences.in_that_stage_already(code(draft.ledger, box), now))
    if given["stage"] in VACANT and inside(draft.ledger, box):
        raise ActRefused.at("stage", effects_sentences.still_holds_animals(code(draft.ledger, box)))
    if given["stage"] in VACANT and now not in VACANT:
        raise ActRefused.at("stage", enclosure_sentences.was_in_use(code(draft.ledger, box)))
    set_stage(draft, given, box, given["stage"])


@act(
    "lock",
    "must not be disturbed",
    Field("forbids", "word", "dig, open, move or wet", required=True, many=True, words=FORBIDS),
    Field("until", "span", "until when (until it is lifted unless given)"),
    Field("reason", "text", "why", required=True),
    ON,
    on="enclosure",
    about="Something must not be done here until a day.",
    stages=STAGES,
)
def set_lock(draft: Draft, given: ActInput) -> None:
    until: Span | None = given["until"]
    if until is not None and until.latest < given.today:
        raise ActRefused.at("until", shared_act_sentences.over_already())
    lock(
        draft,
        given.subject,
        " ".join(given["forbids"]),
        first_day(given["on"], given.today),
        until,
        given["reason"],
    )


@act(
    "lift",
    "lock lifted",
    Field("forbids", "word", "which of dig, open, move, wet", required=True, words=FORBIDS),
    on="enclosure",
    about="What was forbidden may be done again.",
    stages=STAGES,
)
def lift_lock(draft: Draft, given: ActInput) -> None:
    if not lift(draft, given.subject, given["forbids"], given.today):
        raise ActRefused.at("forbids", enclosure_sentences.no_such_lock(given["forbids"]))


@act(
    "look-again",
    "look again about",
    Field("about", "text", "what to look at", required=True),
    Field("because", "text", "why", required=True),
    Field("in", "day", "when (a day, or +3 for in three days)", default="+1"),
    on="enclosure",
    about="Your own reminder to look at something on a day.",
    stages=STAGES,
)
def look_again(draft: Draft, given: ActInput) -> None:
    day = given["in"]
    if day < given.today:
        raise ActRefused.at("in", enclosure_sentences.day_over())
    draft.add(
        Due(
            enclosure=given.subject,
            what=enclosure_sentences.look_again(given["about"]),
            earliest=day,
            likely=day,
            latest=day,
            why=given["because"],
            asked=True,
        )
    )
