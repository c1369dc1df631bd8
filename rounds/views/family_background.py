"""What the pages of animals and their kin work out beside the keys: F, kinship, looks that name an animal."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cache

from rounds.acts import running_trials
from rounds.named_tuple import NamedTuple
from rounds.records import parentage
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.observations import Visit
from rounds.records.tables import Animal, Content, Pairing
from rounds.values.spans import FIRST, LAST
from rounds.views import animal_sentences as sentences
from rounds.views import family_queries, page_sentences, page_words
from rounds.views.page import Link, ListRow
from rounds.views.sources import Archive, Found, Slow, Sources

Tell = Callable[[str], bool]


class Amount(NamedTuple):
    """An F or a kinship: low, the usual reading, at most; ``exact`` is False where one is only an outer bound."""

    low: float
    usual: float
    high: float
    exact: bool

    def __str__(self) -> str:
        return sentences.f(self.low, self.usual, self.high, exact=self.exact)


def inbreeding(sources: Sources, animal: int) -> str:
    """F of an animal in words, or how far that is."""
    brood = sources.ledger.row(Animal, animal).brood
    pairing = family_queries.pairing_of(sources, brood)
    if pairing is not None and running_trials.hidden(sources.ledger, pairing):
        return running_trials.HIDDEN
    ledger = sources.ledger
    slow = sources.slow("F of all", "", lambda _, tell: _all(ledger, tell))
    return _said(slow, animal_name(ledger, animal))


def _said(slow: Slow, name: str) -> str:
    if slow.value is None:
        return slow.words
    if isinstance(slow.value, str):
        return slow.value
    found = slow.value.get(name)
    return str(found) if found is not None else page_sentences.CANNOT_TELL


def _all(ledger: Ledger, tell: Tell) -> dict[str, Amount] | str:
    """F of every animal by its name, or why it cannot be told."""
    from rounds.analysis.pedigree.book_pedigree import of_book
    from rounds.analysis.pedigree.kinship import inbreeding as of_all

    p, problems = of_book(ledger, "the books")
    if p is None:
        return page_sentences.cannot_tell(sentences.parents_contradict(problems[0].message.rstrip(".")))
    if not tell(sentences.WORKING):
        return {}
    return {name: Amount(*f) for name, f in zip(p.names, of_all(p), strict=True)}


class Between(NamedTuple):
    """What is worked out about a pairing: F of its offspring by male, and why the father is as sure as he is."""

    kinship: dict[int, Amount]
    why: str
    cannot: str = ""


def of_pairing(sources: Sources, pairing: int) -> Slow:
    """A :class:`Between` of a pairing; never asked for one whose trial runs."""
    ledger = sources.ledger
    return sources.slow(f"pairing {pairing}", "", lambda _, tell: _between(ledger, pairing, tell))


def _between(ledger: Ledger, pairing: int, tell: Tell) -> Between:
    from rounds.analysis.pedigree.book_pedigree import of_book
    from rounds.analysis.pedigree.kinship import between

    recorded = ledger.row(Pairing, pairing)
    female, males = recorded.female, parentage.males_of(ledger, pairing)
    why = ""
    if female is not None and recorded.since is not None:
        derived, said = parentage.paternity(ledger, female, males, recorded.since)
        agreed = derived == recorded.paternity
        why = said if agreed else sentences.as_recorded(derived, said)
    if female is None or not males:
        return Between({}, why)
    p, problems = of_book(ledger, "the books")
    if p is None:
        return Between({}, why, sentences.parents_contradict(problems[0].message.rstrip(".")))
    found: dict[int, Amount] = {}
    for male in sorted(males):
        if not tell(sentences.WORKING):
            break
        found[male] = Amount(*between(p, animal_name(ledger, female), animal_name(ledger, male)).kinship)
    return Between(found, why)


# Looks that name an animal


class Notes(NamedTuple):
    rows: Sequence[ListRow]
    empty: str


def notes(sources: Sources, animal: int) -> Notes:
    """Looks at the enclosures an animal was in, while it was there, whose note names it as a word."""
    ledger = sources.ledger
    stays = family_queries.of(sources, Content, Content.animal, animal)
    boxes = list(dict.fromkeys(stay.enclosure for stay in stays))
    itself = ledger.row(Animal, animal)
    name = page_words.line(ledger, itself.line), itself.number, itself.mark
    wanted = cache(lambda: named(*name))  # made when there is a note to read, not for every page

    def work(archive: Archive, tell: Tell) -> list[Found]:
        out: list[Found] = []
        for n, box in enumerate(boxes, 1):
            out += [f for f in archive.notes(box) if wanted().search(f.text) and there(f.seen)]
            if not tell(sentences.looked_through(n, len(boxes))):
                break
        return sorted(out, key=lambda f: (f.seen.day, f.seen.at_ms), reverse=True)

    def there(seen: Visit) -> bool:
        return any(
            stay.enclosure == seen.enclosure
            and (stay.since is None or stay.since.earliest <= seen.day or stay.since.earliest <= FIRST)
            and (stay.until is None or seen.day <= stay.until.latest or stay.until.latest >= LAST)
            for stay in stays
        )

    if not boxes:
        return Notes((), sentences.IN_NO_ENCLOSURE_EVER)
    slow = sources.slow(f"notes {animal}", "", work, of_visits=True)
    if slow.value is None:
        return Notes((), slow.words)
    found: list[Found] = list(slow.value)
    now = family_queries.box_of(sources, animal)
    if now is not None:  # a note of this round is not in the book's archive yet, or was changed since
        newest = [s for s in sources.seen(now, 1) if s.day == sources.day]
        found = [f for f in found if all(f.seen.uid != s.uid for s in newest)]
        found = [*(Found(s, s.note) for s in newest if wanted().search(s.note)), *found]
    return Notes(
        [
            ListRow(
                (page_words.day(f.seen.day), f.text, page_words.code(ledger, f.seen.enclosure)),
                Link("enclosure", f.seen.enclosure),
                enclosure=f.seen.enclosure,
            )
            for f in found
        ],
        sentences.NO_NOTE,
    )


def named(line: str, number: str, mark: str) -> re.Pattern[str]:
    """Finds the number with its line, the number alone, or the mark, each as a word of its own.

    A bare number of digits counts only after ``#``, ``no.`` or the line: "3 cups" names nobody.
    """
    word, end = r"(?<!\w)", r"(?!\w)"
    full = rf"{word}{re.escape(line)}\s*[/ -]?\s*{re.escape(number)}{end}"
    plain = rf"{word}{re.escape(number)}{end}"
    if re.fullmatch(r"[0-9.,]+", number):
        plain = rf"(?:#|{word}no\.?\s*|{word}number\s+){re.escape(number)}{end}"
    ways = [full, plain]
    if mark.strip():
        ways.append(rf"{word}{re.escape(mark)}{end}")
    return re.compile("|".join(ways), re.IGNORECASE)
