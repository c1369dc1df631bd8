"""What others committed, told in a line: the newest first, and each of it once."""

from __future__ import annotations

from collections import deque

from rounds.named_tuple import NamedTuple
from rounds.records.observations import Visit
from rounds.store.changes_since import CommittedAct, CommittedAction, CommittedVisit
from rounds.walk import together_sentences
from rounds.walk.desk import WalkDesk
from rounds.walk.others_words import act_words, action_words, clock_words, visit_words

BESIDE = 5.0
"""Seconds for which a piece of news is told beside newer ones."""
MOST_TOLD = 5
"""Pieces of news in one line, as far as it is wide."""
REMEMBERED = 50
"""Pieces of news that are remembered, to say how many more there were."""
VISITS_TOLD = 400
"""Visits of others that are remembered as they were last told."""


class News(NamedTuple):
    """Something somebody else committed, when it was seen here (monotonic seconds)."""

    seen: float
    text: str


class OthersNews:
    """The news of one walk; ``zone`` is the time zone of the house. ``now`` is always in monotonic seconds."""

    def __init__(self, desk: WalkDesk, zone: str) -> None:
        self._desk, self._zone = desk, zone
        self._news: deque[News] = deque(maxlen=REMEMBERED)
        self._last_told: dict[bytes, Visit] = {}

    @property
    def newest(self) -> News | None:
        """The newest piece of news."""
        return self._news[-1] if self._news else None

    def said(self) -> str:
        """The newest news, newest first, in one line; "" while there is none."""
        if self.newest is None:
            return ""
        recent = [n.text for n in reversed(self._news) if n.seen > self.newest.seen - BESIDE]
        return together_sentences.and_more(" · ".join(recent[:MOST_TOLD]), max(0, len(recent) - MOST_TOLD))

    def tell_shared(self, now: float) -> None:
        """The same keeper walks this round at another terminal."""
        self._news.append(News(now, together_sentences.SHARED))

    def tell_action(self, now: float, found: CommittedAction) -> None:
        """What was decided about an action."""
        self._tell(now, found.at_ms, found.keeper, found.code, action_words(found.action))

    def tell_act(self, now: float, act: CommittedAct) -> None:
        """An act that was recorded or taken back."""
        self._tell(now, act.at_ms, act.keeper, act.subject, act_words(act.name, act.given))

    def tell_visit(self, now: float, seen: CommittedVisit, *, own_round: bool) -> None:
        """What is new in a visit; ``own_round``: another terminal of the same keeper made it."""
        desk, visit = self._desk, seen.visit
        before = self._last_told.get(visit.uid)
        if before is None and own_round:
            stop = desk.stop_of(visit.enclosure)
            before = None if stop is None or stop not in desk.round.visits else desk.round.visit_at(stop)
        self._last_told[visit.uid] = visit
        if len(self._last_told) > VISITS_TOLD:
            del self._last_told[next(iter(self._last_told))]
        what = ", ".join(visit_words(before, visit, desk.kinds, desk.skips))
        if not what:
            return
        at_ms = visit.at_ms if before is None else max(visit.at_ms, desk.round.clock())
        if own_round:
            when = clock_words(at_ms, self._zone)
            self._news.append(News(now, together_sentences.of_your_round(when, seen.code, what)))
        else:
            self._tell(now, at_ms, visit.keeper, seen.code, what)

    def _tell(self, now: float, at_ms: int, keeper: str, code: str, what: str) -> None:
        when = clock_words(at_ms, self._zone)
        self._news.append(News(now, together_sentences.news(when, keeper, code, what)))
