"""Everything in the books that has a name, or words of its own, for finding: one function per table."""

from __future__ import annotations

import threading
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from typing import TypeVar

from rounds.acts import running_trials
from rounds.named_tuple import NamedTuple
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.record import Record
from rounds.records.tables import (
    Animal,
    Batch,
    BatchUse,
    Brood,
    Content,
    Due,
    Enclosure,
    Fewer,
    Line,
    Loan,
    Lock,
    Lot,
    Mating,
    Pairing,
    PairingMale,
    PlannedPairing,
    Protein,
    Search,
)
from rounds.views import family_queries, page_words
from rounds.views import find_sentences as sentences
from rounds.views.page import Link
from rounds.views.search_index import Named, NameIndex
from rounds.views.sources import Sources

T = TypeVar("T")
R = TypeVar("R", bound=Record)
SOME = 4
"""Animals of one box that are named in a line."""


class _Books:
    """The books and their rows by a column. Nothing of it is shared: names may be gone through beside the keys."""

    def __init__(self, ledger: Ledger) -> None:
        self.ledger = ledger

    def index(self, of: type[R], column: Column[T]) -> Mapping[T, Sequence[R]]:
        made: defaultdict[T, list[R]] = defaultdict(list)
        for record in self.ledger.rows(of):
            made[record.value(column)].append(record)
        return made


def _enclosures(books: _Books) -> Iterator[Named]:
    ledger = books.ledger
    inside = books.index(Content, Content.enclosure)
    for box in ledger.rows(Enclosure):
        where = page_words.place(ledger, box.id)
        who = [_content(ledger, content) for content in inside.get(box.id, ()) if content.until is None]
        said = sentences.box(box.number, where, box.stage, tuple(who[:SOME]), max(0, len(who) - SOME))
        yield Named(
            "box",
            box.code,
            said,
            Link("enclosure", box.id),
            box.id,
            f"{box.number} {where}",
            f"{box.species} {box.note}".strip(),
            " ".join(who[SOME:]),
        )


def _content(ledger: Ledger, content: Content) -> str:
    if content.animal is not None:
        return page_words.animal(ledger, content.animal)
    return family_queries.group_words(ledger, content)


def _animals(books: _Books) -> Iterator[Named]:
    ledger = books.ledger
    stays = books.index(Content, Content.animal)
    lines = {line.id: line.name for line in ledger.rows(Line)}
    living_first = sorted(ledger.rows(Animal), key=lambda animal: animal.state != "alive")
    for animal in living_first:
        box = None
        for stay in stays.get(animal.id, ()):
            if stay.until is None:
                box = stay.enclosure
        sex = page_words.SEXES.get(animal.sex, sentences.NOT_SEXED)
        state = sentences.in_box(page_words.code(ledger, box)) if box is not None else animal.state
        promised = sentences.promised(animal.promised) if animal.promised else ""
        owner = sentences.owned_by(animal.owner) if animal.owner else ""
        yield Named(
            "animal",
            f"{lines.get(animal.line, '')} {animal.number}".strip(),
            sentences.animal(sex, state, animal.mark),
            Link("animal", animal.id),
            box,
            animal.mark,
            " ".join(filter(None, (owner, promised, animal.doubt, animal.note))),
        )


def _lines(books: _Books) -> Iterator[Named]:
    for line in books.ledger.rows(Line):
        said = ", ".join(x for x in (line.species, line.generation, line.locality, line.origin) if x)
        yield Named("line", line.name, said, Link("line", line.id), note=line.note)


def _pairings(books: _Books) -> Iterator[Named]:
    """Pairings, and each mating that was seen: the answer to whether a pair ever mated."""
    ledger = books.ledger
    males = books.index(PairingMale, PairingMale.pairing)
    matings = books.index(Mating, Mating.pairing)
    for pairing in ledger.rows(Pairing):
        who = [page_words.animal(ledger, his.male) for his in males.get(pairing.id, ())]
        if pairing.female is not None:
            who.append(page_words.animal(ledger, pairing.female))
        pair, link = " × ".join(who), Link("pairing", pairing.id)
        seen = matings.get(pairing.id, ())
        since, until = (
            page_words.span(pairing.since, sentences.BEGUN_NOT_RECORDED),
            page_words.span(pairing.until),
        )
        said = sentences.pairing(pair, len(seen), since, until)
        notes = " ".join(x for x in (pairing.doubt, pairing.note) if x)
        yield Named("pairing", pairing.name, said, link, pairing.enclosure, pair, notes)
        for mating in seen:
            male = page_words.animal(ledger, mating.male) if mating.male is not None else ""
            when = page_words.span(mating.seen, sentences.DAY_NOT_RECORDED)
            yield Named("mating", pair, sentences.mating(when, male, pairing.name), link, keys="mated")


def _broods(books: _Books) -> Iterator[Named]:
    ledger = books.ledger
    for brood in ledger.rows(Brood):
        found = page_words.span(brood.found, sentences.DAY_NOT_RECORDED)
        of = page_words.name(ledger, Pairing, brood.pairing)
        counted = f"{page_words.line(ledger, brood.line)} {page_words.counts(brood)} {brood.instar}"
        said = sentences.brood(counted, found, of)
        note = f"{brood.doubt} {brood.note}".strip()
        yield Named("brood", brood.name, said, Link("brood", brood.id), note=note)


def _lots(books: _Books) -> Iterator[Named]:
    for lot in books.ledger.rows(Lot):
        told = ", ".join(x for x in (lot.from_whom, lot.origin, lot.papers) if x)
        said = sentences.arrival(page_words.span(lot.arrived, sentences.DAY_NOT_RECORDED), lot.species)
        yield Named("arrival", lot.name, said, Link("lot", lot.id), note=f"{told} {lot.note}".strip())


def _batches(books: _Books) -> Iterator[Named]:
    ledger = books.ledger
    uses = books.index(BatchUse, BatchUse.batch)
    for batch in ledger.rows(Batch):
        used = ", ".join(
            dict.fromkeys(page_words.code(ledger, use.enclosure) for use in uses.get(batch.id, ()))
        )
        said = sentences.batch(page_words.span(batch.made, sentences.SOME_DAY), batch.recipe, used)
        yield Named("batch", batch.name, said, note=batch.note)


def _plans(books: _Books) -> Iterator[Named]:
    ledger = books.ledger
    for plan in ledger.rows(PlannedPairing):
        pair = f"{page_words.animal(ledger, plan.male)} × {page_words.animal(ledger, plan.female)}"
        state = sentences.MADE if plan.pairing is not None else sentences.OPEN
        if plan.dropped is not None:
            state = sentences.GIVEN_UP
        made = plan.pairing
        link = Link("animal", plan.female) if made is None else Link("pairing", made)
        why = "" if running_trials.hidden_pair(ledger, plan.female, plan.male) else plan.why
        yield Named("plan", plan.name, sentences.plan(pair, state), link, plan.enclosure, pair, why)


class _Nameless(NamedTuple):
    """What is said in a record that has no name of its own, and the animal, the box or the line it is of."""

    kind: str
    texts: tuple[str, ...]
    animal: int | None = None
    enclosure: int | None = None
    line: int | None = None
    end: str = ""


def _nameless(ledger: Ledger) -> Iterator[_Nameless]:
    for search in ledger.rows(Search):
        yield _Nameless("search", (search.note,), enclosure=search.enclosure)
    for due in ledger.rows(Due):
        end = sentences.DONE if due.done is not None else ""
        yield _Nameless("due", (due.what, due.why, due.off_why), due.animal, due.enclosure, end=end)
    for lock in ledger.rows(Lock):
        yield _Nameless("lock", (lock.reason,), lock.animal, lock.enclosure)
    for loan in ledger.rows(Loan):
        yield _Nameless("loan", (loan.owner, loan.terms), loan.animal)
    for protein in ledger.rows(Protein):
        yield _Nameless("protein", (protein.what,), enclosure=protein.enclosure)
    for fewer in ledger.rows(Fewer):
        yield _Nameless("fewer", (fewer.cause,), fewer.animal, line=fewer.line)


def _others(books: _Books) -> Iterator[Named]:
    """Words of records that have no name of their own: they lead to whom they are of."""
    for found in _nameless(books.ledger):
        said = "; ".join(text for text in found.texts if text)
        about = _subject(books.ledger, found)
        if said and about is not None:
            link, name = about
            yield Named(found.kind, name, said + found.end, link, found.enclosure)


def _subject(ledger: Ledger, found: _Nameless) -> tuple[Link, str] | None:
    """The page of its animal, else of its box, else of its line, and the name of that."""
    if found.animal is not None:
        return Link("animal", found.animal), page_words.animal(ledger, found.animal)
    if found.enclosure is not None:
        return Link("enclosure", found.enclosure), page_words.code(ledger, found.enclosure)
    if found.line is not None:
        return Link("line", found.line), page_words.line(ledger, found.line)
    return None


_LISTED = (_enclosures, _animals, _pairings, _lines, _broods, _lots, _batches, _plans, _others)
"""What is listed first among equally good matches stands first."""


class _Names:
    """The index of one state of the books, made once by whoever asks first; others wait for it."""

    def __init__(self, ledger: Ledger) -> None:
        self._books, self._making = _Books(ledger), threading.Lock()
        self._made: NameIndex | None = None

    def made(self) -> NameIndex:
        with self._making:
            if self._made is None:
                self._made = NameIndex([e for listed in _LISTED for e in listed(self._books)])
            return self._made


def names(sources: Sources) -> NameIndex:
    """The index of the books as they are now."""
    return _names(sources).made()


def begin(sources: Sources) -> None:
    """Have the index made beside the keys: a name will be looked for."""
    begun = _names(sources)
    sources.slow("names", "", lambda _archive, _tell: begun.made().get_ready())


def _names(sources: Sources) -> _Names:
    return sources.once("names", lambda: _Names(sources.ledger))


KNOWN_AS = {"pairing": sentences.known_as_pair, "box": sentences.known_as_number}
"""How things are called that are known by more than their name."""


def by_link(index: NameIndex) -> Mapping[Link, str]:
    """What each thing is called and known by, for whatever refers to it."""
    out: dict[Link, str] = {}
    for e in index.every:
        if e.link is not None:
            known_as = KNOWN_AS.get(e.kind)
            out.setdefault(e.link, e.name if known_as is None else known_as(e.name, e.keys))
    return out
