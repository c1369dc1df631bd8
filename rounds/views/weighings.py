"""Weighings of an animal, with those likely its own before it had a number, and of a brood's groups."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rounds.named_tuple import NamedTuple
from rounds.records.tables import Content, Fewer, Weight
from rounds.views import animal_sentences as sentences
from rounds.views import family_queries, page_sentences, page_words, weight_plot
from rounds.views.page import Link, ListColumn, ListRow, PageSection
from rounds.views.sources import Sources

ITS, LIKELY, ONE_OF = sentences.WEIGHED_ITSELF, sentences.WEIGHED_LIKELY, sentences.WEIGHED_ONE_OF
OF_ANIMAL = (
    ListColumn("day", 20, 1),
    ListColumn("weight", 8, right=True),
    ListColumn("head", 7, right=True),
    ListColumn("instar", 6),
    ListColumn("whose", 14),
    ListColumn("change", 16),
)
OF_BROOD = (
    ListColumn("day", 20, 1),
    ListColumn("weight", 8, right=True),
    ListColumn("head", 7, right=True),
    ListColumn("instar", 6),
    ListColumn("where", 18),
)


class Weighing(NamedTuple):
    """A weight of the books and whose it is."""

    weight: Weight
    whose: str


def of_animal(sources: Sources, animal: int) -> list[Weighing]:
    """Oldest first. A group that held nobody but it, as far as is recorded, was likely it.

    Those of a group of several are listed as such, and neither drawn nor compared.
    """
    own = [Weighing(weight, ITS) for weight in family_queries.of(sources, Weight, Weight.animal, animal)]
    for fewer in family_queries.of(sources, Fewer, Fewer.animal, animal):
        if fewer.how == "numbered" and fewer.content is not None:
            whose = LIKELY if _single(sources, fewer.content) else ONE_OF
            own += [
                Weighing(weight, whose)
                for weight in family_queries.of(sources, Weight, Weight.content, fewer.content)
                if weight.made is None or fewer.made is None or weight.made.earliest <= fewer.made.latest
            ]
    return _by_day(own)


def _single(sources: Sources, content: int) -> bool:
    """Whether a group held only one animal, as far as is recorded."""
    group = sources.ledger.row(Content, content)
    gone = sum(fewer.total for fewer in family_queries.of(sources, Fewer, Fewer.content, content))
    return not group.at_least and group.total + gone == 1


def of_brood(sources: Sources, broods: Iterable[int]) -> list[Weighing]:
    """Every weighing of one of a brood's groups, oldest first."""
    groups = [
        content.id
        for b in broods
        for content in family_queries.of(sources, Content, Content.brood, b)
        if content.animal is None
    ]
    return _by_day(
        [
            Weighing(weight, ONE_OF)
            for g in groups
            for weight in family_queries.of(sources, Weight, Weight.content, g)
        ]
    )


def _by_day(found: list[Weighing]) -> list[Weighing]:
    """Those with a weight, oldest first; what was weighed on a day nobody recorded comes before."""

    def when(w: Weighing) -> tuple[int, int]:
        made = w.weight.made
        return (made.latest, made.earliest) if made else (0, 0)

    return sorted((w for w in found if w.weight.grams is not None), key=when)


def drawn(found: Sequence[Weighing], whose: Sequence[str] = (ITS, LIKELY)) -> tuple[str, ...]:
    """The plot of those whose weight it is."""
    return weight_plot.weights(
        [
            weight_plot.Point(weight.made, weight.grams, of != LIKELY)
            for weight, of in found
            if of in whose and weight.made is not None and weight.grams is not None
        ]
    )


def animal_part(found: Sequence[Weighing]) -> PageSection:
    """The list, newest first, with the change since the weighing before."""
    out = []
    before: Weight | None = None
    for weight, whose in found:
        out.append(ListRow((*_cells(weight), whose, _change(before, weight) if whose != ONE_OF else "")))
        before = weight if whose != ONE_OF else before
    return PageSection(sentences.WEIGHTS, OF_ANIMAL, out[::-1], sentences.NEVER_WEIGHED)


def brood_part(sources: Sources, found: Sequence[Weighing]) -> PageSection:
    out = []
    for weight, _ in reversed(found):
        box = sources.ledger.row(Content, weight.content).enclosure
        out.append(
            ListRow((*_cells(weight), family_queries.at(sources, box)), Link("enclosure", box), enclosure=box)
        )
    return PageSection(sentences.WEIGHTS_OF_SINGLE, OF_BROOD, out, sentences.NEVER_WEIGHED)


def _cells(weight: Weight) -> tuple[str, str, str, str]:
    grams = sentences.weight(weight.grams) if weight.grams is not None else ""
    made = page_words.span(weight.made, page_sentences.NOT_RECORDED)
    return made, grams, sentences.head(weight.head_mm), weight.instar


def _change(before: Weight | None, now: Weight) -> str:
    """``+3.2 g in 28 d``; the days as a range where they are not known exactly."""
    if before is None or before.made is None or now.made is None or before.grams is None or now.grams is None:
        return ""
    fewest, most = now.made.days_since(before.made)
    fewest = None if fewest is None else max(0, fewest)
    return sentences.gain(now.grams - before.grams, fewest, most)
