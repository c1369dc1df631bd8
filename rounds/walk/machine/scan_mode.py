"""A scanned label: its key begins a scan in any mode of the walk, Enter ends it there or nowhere. Mode ``scan``.

Nothing is recorded by a scan, and what was half typed before it is not saved, which is said. A card
is only left for the box that was scanned: one of no box leads back to all that was filled in.
Until Enter every character belongs to the scan, a blank too, also of one that is too long or
that no enclosure has: the rest of it must not be taken for answers.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import ClassVar

from rounds.keys.scan_code import MOST
from rounds.walk.machine import mode_sentences, question_sentences, steps
from rounds.walk.machine.mode import Mode, Walking
from rounds.walk.machine.prompts import Prompt
from rounds.walk.machine.state import Desk, Result, State


@dataclass(frozen=True)
class Scanning(Mode):
    name: ClassVar[str] = "scan"
    buffer: str = ""
    dropped: str = ""
    """What the scan has broken off, as it is told when the scan has ended."""
    series: tuple[tuple[str, str], ...] = ()
    """What the cards of a series are told alike that goes on at the box scanned."""
    card: Mode | None = None
    """The card it came into, which a scan of no box goes back to."""

    def press(self, state: State, key: str, desk: Desk) -> Result:
        if key == "enter":
            return self._ended(state, desk)
        sign = " " if key == "space" else key
        if len(sign) == 1 and sign.isprintable():
            return state._replace(mode=replace(self, buffer=(self.buffer + sign)[: MOST + 1])), ()
        return self._nowhere(state, mode_sentences.cut_off(self.buffer), ended=False)

    def prompt(self, state: State, desk: Desk) -> Prompt:
        return Prompt(
            question_sentences.SCAN,
            kind="scan",
            limit=MOST,
            typed=self.buffer,
            enter=question_sentences.ENDS_SCAN,
            leaves=question_sentences.STAY_HERE if self.card is None else question_sentences.BACK_AT_THE_CARD,
            hint=question_sentences.SCAN_RECORDS_NOTHING
            if self.card is None
            else question_sentences.SCAN_LEAVES_THE_CARD,
        )

    def _ended(self, state: State, desk: Desk) -> Result:
        state = state._replace(scanned=True)
        text = self.buffer.strip()
        if not text:
            return self._nowhere(state, mode_sentences.NOTHING_SCANNED)
        if len(self.buffer) > MOST:  # what came after that is not known
            return self._nowhere(state, mode_sentences.too_long(text[:12]))
        stop = desk.find(text)
        if stop is None:
            return self._nowhere(state, mode_sentences.no_enclosure(text))
        box = desk.label(stop)
        said = mode_sentences.stands_here(box) if stop == state.at else mode_sentences.scanned(box)
        there, effects = steps.arrive(state, desk, stop, self._and_dropped(said))
        if not self.series:
            return there, effects
        from rounds.walk.machine.series_mode import open_there

        after, more = open_there(there, desk, self.series)
        return after, (*effects, *more)

    def _nowhere(self, state: State, why: str, *, ended: bool = True) -> Result:
        """Of a scan that was cut off more may come: a card would take it for answers."""
        said = mode_sentences.nothing_done(why)
        if self.card is not None and (ended or not self.buffer):
            return state._replace(mode=self.card, message=said), ()
        return state._replace(mode=Walking(), message=self._and_dropped(said)), ()

    def _and_dropped(self, said: str) -> str:
        return mode_sentences.and_dropped(said, self.dropped)


def open_scan(state: State, desk: Desk) -> Result:
    """Begin a scan; a second one that begins before the first has ended takes its place."""
    card = state.mode.card if isinstance(state.mode, Scanning) else state.mode
    begun = Scanning(
        dropped=_broken_off(state, desk),
        series=_series(state),
        card=card if card is not None and card.name == "card" else None,
    )
    return state._replace(mode=begun, message="", warned=False, scanned=False), ()


def _series(state: State) -> tuple[tuple[str, str], ...]:
    """Of a card that is one of a series, or of a scan that was begun in one."""
    if isinstance(state.mode, Scanning):
        return state.mode.series
    if state.mode.name not in ("card", "series"):
        return ()
    from rounds.walk.machine.series_mode import series_of

    return series_of(state.mode)


def _broken_off(state: State, desk: Desk) -> str:
    mode = state.mode
    if isinstance(mode, Scanning):
        return mode.dropped
    if isinstance(mode, Walking) and mode.buffer:
        kind = steps.rows(state, desk)[state.cursor].kind
        return mode_sentences.half_typed(kind.title, mode.buffer)
    if mode.name == "card" and _series(state) and not getattr(mode, "buffer", ""):
        return ""  # the next of the series: nothing was typed for it yet
    return mode.broken_off
