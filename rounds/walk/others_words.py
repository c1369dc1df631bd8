"""What somebody else read or did, in words: of a visit, what is new in it since it was last looked at."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from rounds.husbandry.readings import Choice, ReadingKind
from rounds.records.observations import NOTHING, Action, Visit
from rounds.records.reading_words import value_words
from rounds.text.cleaning import clean
from rounds.walk import together_sentences


def clock_words(at_ms: int, zone: str) -> str:
    """The time of day of an instant at the house: ``07:31``."""
    from zoneinfo import ZoneInfo  # costs as much as a look that finds nothing

    return f"{datetime.fromtimestamp(at_ms / 1000, ZoneInfo(zone)):%H:%M}"


def visit_words(
    before: Visit | None, now: Visit, kinds: Mapping[str, ReadingKind], skips: tuple[Choice, ...]
) -> tuple[str, ...]:
    """What a visit says that it did not say ``before``; nothing where nothing is new."""
    said: list[str] = []
    had = before.read if before is not None else {}
    for kind, value in now.read.items():
        if kind in kinds and had.get(kind) != value:
            said.append(
                together_sentences.reading(clean(kinds[kind].title, 24), value_words(kinds[kind], value))
            )
    said += [
        together_sentences.cleared(clean(kinds[k].title, 24)) for k in had if k in kinds and k not in now.read
    ]
    if now.skipped and (before is None or before.skipped != now.skipped):
        title = next((c.title for c in skips if c.id == now.skipped), now.skipped)
        said.append(together_sentences.skipped(clean(title, 40)))
    if now.note and (before is None or before.note != now.note):
        said.append(together_sentences.noted(clean(now.note, 60)))
    if now.confirmed is not NOTHING and (before is None or before.confirmed is NOTHING):
        said.append(together_sentences.REST_USUAL if now.read else together_sentences.ALL_USUAL)
    return tuple(said)


def all_words(visit: Visit, kinds: Mapping[str, ReadingKind], skips: tuple[Choice, ...]) -> str:
    """All that a visit says."""
    return ", ".join(visit_words(None, visit, kinds, skips)) or together_sentences.LOOKED


def action_words(action: Action) -> str:
    """What was decided about an action that is done or put off."""
    reason = clean(action.reason, 80)
    if action.state == "done":
        return together_sentences.action_done(reason)
    return together_sentences.action_put_off(reason)


def act_words(name: str, given: tuple[str, ...]) -> str:
    """What an act was and what it was told, or that one was taken back."""
    from rounds.acts import registry  # no look needs it that finds no act
    from rounds.store.read_acts import UNDO

    if name == UNDO:
        return together_sentences.TAKEN_BACK
    known = registry.all_acts().get(name)
    title = known.title if known is not None else name
    return together_sentences.act(title, clean(", ".join(filter(None, given)), 60))
