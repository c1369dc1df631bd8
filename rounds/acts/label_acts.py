"""Acts on labels: two boxes' labels were on the wrong box for some days, and later somebody knows whether they were."""

from __future__ import annotations

from collections.abc import Iterator

from rounds.acts import enclosure_sentences
from rounds.acts import label_sentences as sentences
from rounds.acts.act import ActInput, ActRefused, act
from rounds.acts.act_checks import ask, stays_right
from rounds.acts.fields import Field
from rounds.acts.label_counterparts import FIELD, Counterparts, Days, counterparts, name_of_content
from rounds.acts.label_exchange import exchange
from rounds.acts.moving_and_locks import NOTE
from rounds.due.kinds import DUE_KINDS
from rounds.husbandry.stages import STAGES
from rounds.records.invariants import faults
from rounds.records.label_doubts import LABELS, open_swaps
from rounds.records.ledger import Draft, Ledger
from rounds.records.naming import code
from rounds.records.tables import Animal, Brood, Content, Due, LabelSwap, Search
from rounds.text.cleaning import day_and_year
from rounds.values.spans import FIRST, LAST

WITH = "with"


@act(
    "swapped-labels",
    "labels may have been mixed up with",
    Field(WITH, "ref", "the other box", required=True, of="enclosure"),
    Field("from", "span", "since when at the earliest", required=True),
    Field("to", "span", "until when at the latest", default="today"),
    NOTE,
    on="enclosure",
    about="Two boxes' labels may have been swapped between two dates; all they touched is marked doubtful.",
    stages=STAGES,
)
def swapped_labels(draft: Draft, given: ActInput) -> None:
    ledger, box, other = draft.ledger, given.subject, given[WITH]
    if box == other:
        raise ActRefused.at(WITH, enclosure_sentences.same_enclosure())
    first, last = given["from"].earliest, given["to"].latest
    if last < first:
        raise ActRefused.at("to", sentences.ends_before_it_begins())
    if any({swap.enclosure, swap.other} == {box, other} for swap in open_swaps(ledger)):
        raise ActRefused.at(WITH, sentences.told_already(code(ledger, box), code(ledger, other)))
    draft.add(
        LabelSwap(
            enclosure=box, other=other, since=given["from"], until=given["to"], note=given["note"] or ""
        )
    )
    said = sentences.labels_mixed_up(code(ledger, box), code(ledger, other))
    for content in _there(ledger, (box, other), first, last):
        _doubt(draft, content, said)
    for search in list(ledger.rows(Search)):
        there = search.enclosure in (box, other) and search.made is not None
        if there and search.made is not None and first <= search.made.latest and search.made.earliest <= last:
            for brood in list(draft.ledger.rows(Brood, Brood.search.is_(search.id))):
                if not brood.doubt:
                    draft.set(Brood.doubt, brood.id, said)


def _there(ledger: Ledger, boxes: tuple[int, int], first: int, last: int) -> Iterator[Content]:
    """Whoever may have been in one of the boxes on those days."""
    for box in boxes:
        for content in list(ledger.rows(Content, Content.enclosure.is_(box))):
            over = content.until is not None and content.until.latest < first
            later = content.since is not None and content.since.earliest > last
            if not over and not later:
                yield content


def _doubt(draft: Draft, content: Content, said: str) -> None:
    draft.set(Content.doubt, content.id, _and_doubt(content.doubt, said))
    if content.animal is not None:
        draft.set(
            Animal.doubt, content.animal, _and_doubt(draft.ledger.row(Animal, content.animal).doubt, said)
        )
    if content.brood is not None:
        draft.set(Brood.doubt, content.brood, _and_doubt(draft.ledger.row(Brood, content.brood).doubt, said))


def _and_doubt(doubt: str, said: str) -> str:
    """A doubt beside those that stand there already, once."""
    return "; ".join(dict.fromkeys([*filter(None, doubt.split("; ")), said]))


def _less_doubt(doubt: str, said: str) -> str:
    return "; ".join(part for part in doubt.split("; ") if part != said)


@act(
    "labels-settled",
    "were the labels mixed up: yes or no",
    Field(FIELD, "word", "were they swapped: yes or no", required=True, words=("yes", "no")),
    Field(WITH, "ref", "which other box (needed when it was told of several)", of="enclosure"),
    Field(
        "sex",
        "word",
        "was an animal sexed on a visit on those days, so that this is exchanged too: yes or no",
        words=("yes", "no"),
        default="no",
    ),
    on="enclosure",
    about="Whether labels told as perhaps mixed up were: yes exchanges what was recorded on those days, no lifts the doubt.",
    stages=STAGES,
)
def labels_settled(draft: Draft, given: ActInput) -> None:
    ledger = draft.ledger
    swap = _meant(ledger, given)
    box, other = swap.enclosure, swap.other
    for worded in (sentences.labels_mixed_up, sentences.labels_were_mixed_up):
        _lift_doubt(draft, worded(code(ledger, box), code(ledger, other)))
    draft.set(LabelSwap.settled, swap.id, given[FIELD])
    draft.set(LabelSwap.settled_on, swap.id, given.today)
    for due in list(draft.ledger.rows(Due, Due.enclosure.is_(box), Due.done.is_(None))):
        if due.what == DUE_KINDS[LABELS].what:
            draft.set(Due.done, due.id, given.today)
    if given[FIELD] == "no":
        return
    days = Days(
        swap.since.earliest if swap.since is not None else FIRST,
        swap.until.latest if swap.until is not None else LAST,
    )
    pairs = counterparts(ledger, box, other, days)
    done, touching = exchange(draft, pairs)
    if given["sex"] == "yes":
        done["sex"] += _exchange_sex(draft, pairs)
    stays_right(ledger, draft, faults, FIELD, sentences.BY_HAND)
    what = ", ".join(
        sentences.how_many(done[table], *names) for table, names in sentences.CALLED.items() if done[table]
    )
    draft.set(LabelSwap.exchanged, swap.id, what or sentences.NOTHING_EXCHANGED)
    whom = tuple(
        (name_of_content(ledger, one), name_of_content(ledger, two))
        for one, two in pairs.contents.items()
        if ledger.row(Content, one).enclosure == box
    )
    told = [
        sentences.exchanged(
            whom, what or sentences.NOTHING_EXCHANGED, day_and_year(days.first), day_and_year(days.last)
        ),
        *([sentences.stays(touching)] if touching else []),
        sentences.READINGS_STAY,
    ]
    ask(given, [(FIELD, part) for part in told])


def _meant(ledger: Ledger, given: ActInput) -> LabelSwap:
    """The open doubt about this box, the one with the other box where one was named."""
    box = given.subject
    here = [swap for swap in open_swaps(ledger) if box in (swap.enclosure, swap.other)]
    others = [swap.other if swap.enclosure == box else swap.enclosure for swap in here]
    if given[WITH] is not None:
        here = [swap for swap, other in zip(here, others, strict=True) if other == given[WITH]]
    if not here:
        raise ActRefused.at("enclosure", sentences.none_open(code(ledger, box)))
    if len(here) > 1:
        named = tuple(code(ledger, other) for other in others)
        raise ActRefused.at(WITH, sentences.several_open(code(ledger, box), named))
    return here[0]


def _lift_doubt(draft: Draft, said: str) -> None:
    for content in list(draft.ledger.rows(Content)):
        draft.set(Content.doubt, content.id, _less_doubt(content.doubt, said))
    for animal in list(draft.ledger.rows(Animal)):
        draft.set(Animal.doubt, animal.id, _less_doubt(animal.doubt, said))
    for brood in list(draft.ledger.rows(Brood)):
        draft.set(Brood.doubt, brood.id, _less_doubt(brood.doubt, said))


def _exchange_sex(draft: Draft, pairs: Counterparts) -> int:
    ledger = draft.ledger
    done = 0
    for one, other in pairs.animals.items():
        if one < other:
            mine, theirs = ledger.row(Animal, one), ledger.row(Animal, other)
            for column in (Animal.sex, Animal.sexed_how, Animal.sexed_sure):
                draft.set(column, one, theirs.value(column))
                draft.set(column, other, mine.value(column))
            done += 1
    return done
