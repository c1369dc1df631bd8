"""Wishes that cannot be meant: numbers out of range, names nobody bears, wishes against each other."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from rounds.analysis.pairing import wish_sentences as sentences
from rounds.analysis.pairing.restrictions import BARRIERS, NOT_RECORDED, Candidate, Wishes
from rounds.problems import Refusal


def check(candidates: Sequence[Candidate], wishes: Wishes) -> Iterator[Refusal]:
    """Every wish that cannot be meant."""
    sex = {c.animal: c.sex for c in candidates}
    for name, times in Counter(c.animal for c in candidates).items():
        if times > 1:
            yield sentences.several_times(name, times)
    yield from _numbers(wishes)
    crossable = (*BARRIERS, NOT_RECORDED)
    for barrier in sorted(wishes.across):
        if barrier not in crossable:
            yield sentences.no_barrier(barrier, crossable)
    yield from _names(sex, wishes)
    lines = tuple(dict.fromkeys(c.line for c in candidates if c.line))
    for line in dict.fromkeys(x for pair in (*wishes.apart, *(c[:2] for c in wishes.cross)) for x in pair):
        if line not in lines:
            yield sentences.nobody_of_line(line, lines)
    yield from _forced(wishes)
    yield from _crosses(wishes)
    pairs = len(set(wishes.forced))
    if wishes.boxes is not None and pairs > wishes.boxes:
        yield sentences.more_forced_than_boxes(pairs, wishes.boxes)


def _numbers(wishes: Wishes) -> Iterator[Refusal]:
    numbers = [
        (sentences.WEIGHT, wishes.weight),
        (sentences.MOST_F, wishes.most_f),
        (sentences.USES, wishes.uses),
        (sentences.BOXES, wishes.boxes),
        (sentences.TOGETHER, wishes.together),
        *((sentences.uses_of(name), uses) for name, uses in wishes.uses_of.items()),
    ]
    for what, number in numbers:
        if number is not None and not 0 <= number < 1e9:
            yield sentences.no_such_number(what, number)


def _names(sex: dict[str, str], wishes: Wishes) -> Iterator[Refusal]:
    """Animals wished for that are no candidates, or of the other sex."""
    known = tuple(sex)
    for what, pairs in (("forced", wishes.forced), ("forbidden", wishes.forbidden)):
        for male, female in pairs:
            for name, wanted, called in ((male, "m", "male"), (female, "f", "female")):
                if name not in sex:
                    yield sentences.no_candidate(what, male, female, name, known)
                elif sex[name] != wanted:
                    yield sentences.wrong_sex(what, male, female, name, called)
    for name in wishes.uses_of:
        if name not in sex:
            yield sentences.uses_of_no_candidate(name, known)
        elif sex[name] != "m":
            yield sentences.uses_of_no_male(name)


def _forced(wishes: Wishes) -> Iterator[Refusal]:
    """Forced pairs that contradict each other, or another wish."""
    forced = tuple(dict.fromkeys(wishes.forced))
    for male, female in forced:
        if (male, female) in wishes.forbidden:
            yield sentences.forced_and_forbidden(male, female)
    for female, males in Counter(f for _, f in forced).items():
        if males > 1:
            yield sentences.forced_with_several(female, males)
    for male, females in Counter(m for m, _ in forced).items():
        allowed = wishes.uses_of.get(male, wishes.uses)
        if females > allowed:
            yield sentences.forced_too_often(male, females, allowed)


def _crosses(wishes: Wishes) -> Iterator[Refusal]:
    apart = {frozenset(pair) for pair in wishes.apart}
    for one, other, pairs in wishes.cross:
        if pairs and frozenset((one, other)) in apart:
            yield sentences.crossed_and_apart(one, other)
        if wishes.boxes is not None and pairs > wishes.boxes:
            yield sentences.more_crosses_than_boxes(pairs, one, other, wishes.boxes)
