"""One brood: whose it is, what was counted, what became of them, and where they are."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import running_trials
from rounds.records import parentage
from rounds.records.tables import FEWER, Brood, Content, Fewer, Line, Pairing, Search
from rounds.views import animal_sentences, family_queries, page_sentences, page_words, weighings
from rounds.views import fact_sentences as labels
from rounds.views import family_sentences as sentences
from rounds.views.page import Link, ListColumn, ListRow, Made, OpenPage, Page, PageSection, RowAct
from rounds.views.pairing_page import animal_row, parents_words, searched
from rounds.views.sources import Sources

HOW = {
    "numbered": "got a number",
    "dead": "found dead",
    "given away": "given away",
    "missing": "missing",
    "counted again": "counted anew",
}
"""What became of some of a group."""


def build(opened: OpenPage, sources: Sources) -> Page:
    id_ = int(opened.link.id)
    brood = family_queries.the(sources, Brood, id_)
    litter = family_queries.family(sources, [id_])
    split_off = [sources.ledger.row(Brood, b) for b in litter if b != id_]
    living = [group for b in litter for group in family_queries.groups(sources, Content.brood, b)]
    fewer = [some for b in litter for some in family_queries.of(sources, Fewer, Fewer.brood, b)]
    weighed = weighings.of_brood(sources, litter)
    numbered = sorted(family_queries.numbered(sources, litter))
    parts = (
        PageSection(
            sentences.WHOSE,
            (ListColumn("", 10), ListColumn("who", 24, 1, named=True), ListColumn("how sure", 30)),
            [*_whose(sources, brood)],
            page_sentences.NOT_RECORDED,
            counted=False,
        ),
        PageSection(
            sentences.WHERE_THEY_LIVE,
            (ListColumn("how many", 22, 1), ListColumn("enclosure", 18), ListColumn("since", 26)),
            [family_queries.group_row(sources, group) for group in living],
            sentences.IN_NO_GROUP,
        ),
        PageSection(
            sentences.THE_OTHERS,
            (
                ListColumn("how", 16),
                ListColumn("how many", 16),
                ListColumn("when", 24),
                ListColumn("", 18, 1),
            ),
            [fewer_row(sources, some) for some in fewer],
            sentences.NONE_LEFT,
        ),
        PageSection(
            sentences.SPLIT_FROM_IT,
            (ListColumn("brood", 16, 1), ListColumn("counted then", 24), ListColumn("found", 26)),
            [
                ListRow(
                    (
                        split.name,
                        family_queries.counted_then(split),
                        page_words.span(split.found, page_sentences.NOT_RECORDED),
                    ),
                    Link("brood", split.id),
                )
                for split in split_off
            ],
            sentences.NO_BROOD_OF_ITS_OWN,
        ),
        PageSection(
            sentences.WITH_NUMBER,
            (ListColumn("who", 22, 1, named=True), ListColumn("state", 10), ListColumn("where", 20)),
            Made(numbered, lambda i: animal_row(sources, i)),
            sentences.NONE_YET,
        ),
        weighings.brood_part(sources, weighed),
        PageSection(
            sentences.WAS_IN,
            (ListColumn("what", 22, 1), ListColumn("enclosure", 18), ListColumn("from – to", 34)),
            [*_places(sources, litter)],
            sentences.NOWHERE_ELSE,
        ),
    )
    return Page(
        sentences.brood(brood.name),
        tuple(_facts(sources, brood, living, fewer)),
        weighings.drawn(weighed, (weighings.ONE_OF,)),
        parts,
        enclosure=living[0].enclosure if living else None,
        about=sentences.ABOUT_BROOD,
    )


def _facts(
    sources: Sources, brood: Brood, living: list[Content], fewer: list[Fewer]
) -> Iterator[tuple[str, str]]:
    ledger = sources.ledger
    if brood.line is not None:
        line = ledger.row(Line, brood.line)
        yield labels.LINE, sentences.line_and_species(line.name, line.species)
    counted = f"{page_words.counts(brood)} {brood.instar}".strip()
    yield (
        labels.COUNTED,
        sentences.first_counted(counted, page_words.span(brood.found, page_sentences.DAY_NOT_RECORDED)),
    )
    yield labels.HATCHED, page_words.span(brood.hatch, page_sentences.NOT_RECORDED)
    pairing = family_queries.pairing_of(sources, brood.id)
    if pairing is not None and running_trials.hidden(ledger, pairing):
        yield labels.TRIAL, sentences.of_running_trial(running_trials.HIDDEN)
    yield labels.PARENTS, parents_words(sources, parentage.of_brood(ledger, brood.id))
    yield (
        labels.THERE_NOW,
        family_queries.total(family_queries.counted(living)) if living else sentences.NONE_IN_GROUP,
    )
    gone = {how: sum(some.total for some in fewer if some.how == how) for how in FEWER}
    said = ", ".join(sentences.so_many(n, HOW[how]) for how, n in gone.items() if n)
    if said:
        yield labels.THE_OTHERS, said
    yield from _unexplained(brood, living, fewer)
    if brood.doubt:
        yield labels.DOUBTFUL, brood.doubt
    if brood.note:
        yield labels.NOTE, brood.note


def _unexplained(brood: Brood, living: list[Content], fewer: list[Fewer]) -> Iterator[tuple[str, str]]:
    """Those of the count that are in no group and in no loss: nobody wrote down what became of them."""
    if brood.parent is not None or brood.at_least or any(group.at_least for group in living):
        return
    left = brood.total - sum(group.total for group in living) - sum(some.total for some in fewer)
    if left > 0:
        yield labels.NOT_TOLD, sentences.unexplained(left)


def _whose(sources: Sources, brood: Brood) -> Iterator[ListRow]:
    ledger = sources.ledger
    known = parentage.of_brood(ledger, brood.id)
    if known.dam is not None:
        yield ListRow(
            (animal_sentences.MOTHER, page_words.animal(ledger, known.dam), sentences.OF_PAIRING),
            Link("animal", known.dam),
            enclosure=family_queries.box_of(sources, known.dam),
        )
    for sire in sorted(known.sires):
        how = (
            animal_sentences.CERTAIN
            if known.sure
            else animal_sentences.one_of_males(len(known.sires))
            if len(known.sires) > 1
            else animal_sentences.LIKELY
        )
        what = animal_sentences.MAY_BE if len(known.sires) > 1 else animal_sentences.FATHER
        yield ListRow(
            (what, page_words.animal(ledger, sire), how),
            Link("animal", sire),
            enclosure=family_queries.box_of(sources, sire),
        )
    pairing_id = family_queries.pairing_of(sources, brood.id)
    if pairing_id is not None:
        pairing = ledger.row(Pairing, pairing_id)
        together = family_queries.between(pairing.since, pairing.until)
        yield ListRow(
            (labels.PAIRING, pairing.name, together),
            Link("pairing", pairing_id),
            act=_other_parents(sources, brood),
        )
    elif (other := _other_parents(sources, brood)) is not None:
        yield ListRow((labels.PAIRING, page_sentences.NOT_RECORDED, sentences.RECORD_SAYS_WHICH), act=other)
    if brood.search is not None:
        search = ledger.row(Search, brood.search)
        how = sentences.COMPLETE_SEARCH if search.complete else sentences.PARTIAL_SEARCH
        yield ListRow(
            (
                labels.FOUND_IN,
                family_queries.at(sources, search.enclosure),
                sentences.found_by(how, searched(search)),
            ),
            Link("enclosure", search.enclosure),
            enclosure=search.enclosure,
        )
    if brood.parent is not None:
        yield ListRow(
            (labels.SPLIT_FROM, page_words.name(ledger, Brood, brood.parent), ""), Link("brood", brood.parent)
        )
    if brood.line is not None:
        yield ListRow((labels.LINE, page_words.line(ledger, brood.line), ""), Link("line", brood.line))


def _other_parents(sources: Sources, brood: Brood) -> RowAct | None:
    """What the record key says of the pairing: that it was another. At the box the brood is in, or was found in."""
    living = list(family_queries.groups(sources, Content.brood, brood.id))
    box = living[0].enclosure if living else None
    if box is None and brood.search is not None:
        box = sources.ledger.row(Search, brood.search).enclosure
    return None if box is None else RowAct(box, "brood-parents", brood.name)


def fewer_row(sources: Sources, fewer: Fewer) -> ListRow:
    """What became of some of a group: how, how many, when, and who it is now or why it was."""
    who = page_words.animal(sources.ledger, fewer.animal) if fewer.animal is not None else fewer.cause
    if fewer.last_seen is not None and fewer.how != "numbered":
        who = sentences.last_seen(who, page_words.day(fewer.last_seen))
    of_each = page_sentences.counts(fewer.males, fewer.females, fewer.unsexed, at_least=False)
    counts = page_sentences.of_instar(of_each, fewer.instar)
    link = Link("animal", fewer.animal) if fewer.animal is not None else None
    return ListRow(
        (HOW[fewer.how], counts, page_words.span(fewer.made, page_sentences.NOT_RECORDED), who), link
    )


def _places(sources: Sources, litter: list[int]) -> Iterator[ListRow]:
    for b in litter:
        for group in reversed(family_queries.of(sources, Content, Content.brood, b)):
            if group.animal is None and group.until is not None:
                box = group.enclosure
                counts = page_words.counts(group) if group.total or group.at_least else ""
                said = page_sentences.of_instar(counts, group.instar).lstrip()
                yield ListRow(
                    (said, family_queries.at(sources, box), family_queries.between(group.since, group.until)),
                    Link("enclosure", box),
                    enclosure=box,
                )
