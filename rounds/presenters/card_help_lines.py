"""All that is said of the act whose card is open: its cautions, what stands here, what its fields and signs mean."""

from __future__ import annotations

from rounds.presenters import care_lines, help_sentences
from rounds.presenters.lines import BLANK, Line, named_row, wrap
from rounds.text.cleaning import clean
from rounds.walk.core import Walk
from rounds.walk.machine.act_modes import card_of
from rounds.walk.machine.card_mode import TellingCard
from rounds.walk.machine.card_shown import NUMBERS

SIGNS = (
    ("*", help_sentences.NEEDED_FIELD),
    ("?", help_sentences.FIELD_NOT_SAID),
    ("proposed", help_sentences.PROPOSED_ANSWER),
    ("( )", help_sentences.WHAT_IT_OTHERWISE_MEANS),
    ("≥", help_sentences.AT_LEAST_SO_MANY),
)
"""What stands beside a field of a card."""


def lines(walk: Walk, card: TellingCard, width: int) -> list[Line]:
    """As many lines as it takes, each of at most ``width`` cells."""
    shown = card_of(walk.state, walk.desk, card.draft)
    out: list[Line] = [((f" {clean(shown.title, 60)}", "strong"),)]
    if shown.caution:
        whole = wrap(clean(shown.caution, 4000), width - 3, 100)
        out += [((f" ! {x}" if i == 0 else f"   {x}", "today"),) for i, x in enumerate(whole)]
    out += care_lines.whole_lines([*care_lines.at_hand(walk), *care_lines.raised(walk)], width)
    out += [BLANK, ((help_sentences.FIELDS, "strong"),)]
    for field in card.fields(shown):
        # Where a number is typed, a digit is that number: what is ready there is chosen in another way.
        ready = () if field.kind in NUMBERS else field.answers[:9]
        answers = tuple(clean(a.shown, 60) for a in ready)
        about = help_sentences.field(clean(field.question, 200), answers)
        mark = "*" if field.needed else " "
        out += named_row(f"  {mark} {clean(field.label, 20):<14}", about, width, "strong")
    out += [BLANK, ((help_sentences.SIGNS, "strong"),)]
    for sign, about in SIGNS:
        out += named_row(f"  {sign:<16}", about, width, "strong")
    return out
