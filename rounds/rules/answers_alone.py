"""What a look's own answers decide: over a history most verdicts need nothing else, and many looks say the same."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NoReturn

from rounds.named_tuple import NamedTuple
from rounds.rules.context import EvaluationContext
from rounds.rules.evaluate import ReadyRule, RulesHere, verdict
from rounds.rules.three_valued import Verdict

MOST_KEPT = 20_000
"""Different looks remembered at a time, so that a history in which no look is like another stays small."""


class _MoreNeededError(Exception):
    """A verdict rests on more than a look's own answers."""


class _Answers(NamedTuple):
    """What was read and confirmed at a look, without when, where and by whom."""

    read: Mapping[str, Any]
    confirmed: Mapping[str, Any]


class _AnswersAlone(EvaluationContext):
    """A look without its box, its day and the looks before it: what asks for those raises _MoreNeededError."""

    __slots__ = ()

    def __init__(self, look: EvaluationContext, *, strict: bool = False) -> None:
        super().__init__(look.scene, look.at, strict=strict)
        if look.seen is not None:
            self.seen = _Answers(look.seen.read, look.seen.confirmed)  # type: ignore[assignment]  # less than a visit
        del self.scene, self.at, self.day, self.now_ms, self._past, self._past_in_stage, self._past_alike

    def __getattr__(self, name: str) -> NoReturn:
        """Called for what was taken away."""
        raise _MoreNeededError(name)


_NONE = _Answers({}, {})


class Decided(NamedTuple):
    """What answers decide by themselves: a verdict for each rule, in their order.

    The rules still ``undecided`` are given with their places among the verdicts, where None stands
    for each. ``here`` and ``answers`` keep alive what this is found again by: its identity.
    """

    verdicts: tuple[Verdict, ...]
    undecided: tuple[tuple[int, ReadyRule], ...]
    here: RulesHere
    answers: _Answers


class VerdictsAtLooks:
    """Verdicts of many looks, without words; what answers alone decide is worked out once for all that say the same."""

    def __init__(self) -> None:
        self._alike: dict[tuple[int, str], Decided] = {}
        self._known: dict[
            tuple[int, int, int], Decided
        ] = {}  # histories share the mappings of looks that say the same

    def of(self, here: RulesHere, look: EvaluationContext) -> tuple[Verdict, ...]:
        """The verdict of each rule of ``here`` at a look; those of :func:`rounds.rules.evaluate.at_look`."""
        seen = look.seen
        assert seen is not None
        decided = self._known.get((id(here), id(seen.read), id(seen.confirmed))) or self._decided(here, look)
        if not decided.undecided:
            return decided.verdicts
        verdicts = list(decided.verdicts)
        for place, ready in decided.undecided:
            verdicts[place] = verdict(ready, look)[0]
        return tuple(verdicts)

    def _decided(self, here: RulesHere, look: EvaluationContext) -> Decided:
        assert look.seen is not None
        answers = _Answers(look.seen.read, look.seen.confirmed)
        if len(self._known) >= MOST_KEPT:
            self._known.clear()
            self._alike.clear()
        written = id(here), repr(answers)
        alike = self._alike.get(written)
        if alike is None:
            alike = self._alike[written] = _decided(here, look)
        found = self._known[id(here), id(answers.read), id(answers.confirmed)] = alike._replace(
            answers=answers
        )
        return found


def _decided(here: RulesHere, look: EvaluationContext) -> Decided:
    plain, strict = _AnswersAlone(look), _AnswersAlone(look, strict=True)
    plain._strict = strict
    verdicts: list[Verdict] = []
    undecided = []
    for place, ready in enumerate(here.rules):
        try:
            verdicts.append(verdict(ready, plain)[0])
        except _MoreNeededError:
            verdicts.append(None)
            undecided.append((place, ready))
    return Decided(tuple(verdicts), tuple(undecided), here, _NONE)
