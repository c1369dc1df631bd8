"""Acts that concerned a box and can be corrected there."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from rounds.acts import registry
from rounds.acts.act import Recorded
from rounds.acts.offer import DAY_FIELD
from rounds.records import enclosure_view
from rounds.records.ledger import Ledger
from rounds.store.read_acts import subject
from rounds.text.cleaning import day_words
from rounds.values.spans import iso
from rounds.walk import walk_sentences
from rounds.walk.machine.state import OlderAct

MOST = 27
"""Older acts of a box that are listed, the newest first: three pages."""


def older_acts(ledger: Ledger, recorded: Sequence[Recorded], enclosure: int) -> tuple[OlderAct, ...]:
    """The newest of the ``recorded`` acts (oldest first) that concerned an enclosure, the newest first."""
    found: list[OlderAct] = []
    for act in reversed(recorded):
        if act.undoes or act.name not in registry.all_acts():
            continue
        if enclosure not in enclosure_view.touched(ledger, act.changes):
            continue
        found.append(_older(ledger, act))
        if len(found) == MOST:
            break
    return tuple(found)


def _older(ledger: Ledger, act: Recorded) -> OlderAct:
    known = registry.known(act.name)
    told = {name: text for name, text in act.given.items() if text}
    if any(f.name == DAY_FIELD for f in known.fields):
        told.setdefault(DAY_FIELD, iso(act.day))  # as it was meant then: not today
    whom = subject(ledger, act.table, act.subject)
    shown = walk_sentences.older_act(day_words(act.day), _other_day(act), known.title, whom)
    return OlderAct(act.uid, act.name, whom, tuple(told.items()), shown)


def _other_day(act: Recorded) -> str:
    """The day it happened, where that is not the one on which it was recorded ("" else); as it was typed."""
    typed = act.given.get(DAY_FIELD, "")
    try:
        day = date.fromisoformat(typed).toordinal()
    except ValueError:
        return typed
    return "" if day == act.day else day_words(day)
