"""What the pages of animals and their kin share: where somebody is, whose young they are, how long ago."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from datetime import date
from typing import Any, TypeVar

from rounds.records import parentage
from rounds.records.column import Column
from rounds.records.ledger import Ledger
from rounds.records.parentage import OffspringTotal
from rounds.records.record import Record
from rounds.records.tables import Animal, Brood, Content, Lot, Mating, Pairing, PairingMale, Search
from rounds.values.spans import FIRST, LAST, Span
from rounds.views import animal_sentences, family_sentences, page_sentences, page_words
from rounds.views.page import Link, ListRow
from rounds.views.sources import Gone, Sources

T = TypeVar("T")
R = TypeVar("R", bound=Record)
LIFE = {
    Animal.born: "hatched",
    Animal.wandering: "wandering",
    Animal.cell: "in cell",
    Animal.eclosed: "eclosed",
    Animal.emerged: "emerged",
    Animal.first_feed: "feeding",
    Animal.mature: "mature",
}
"""Steps of a life in their order, with short words for the last one that was recorded."""


STATES = {"alive": "alive", "dead": "dead", "gone": "left", "missing": "missing"}
"""States of an animal in one word; who has left may live elsewhere."""


def the(sources: Sources, of: type[R], id_: int | str) -> R:
    """A record that counts. Gone when there is none, or the act that added it was taken back."""
    try:
        record = sources.ledger.row(of, int(id_))
    except KeyError:
        raise Gone(f"{of.table} {id_}") from None
    if record.void:
        raise Gone(f"{of.table} {id_}")
    return record


def of(sources: Sources, wanted: type[R], column: Column[T], value: T) -> Sequence[R]:
    """Records that count with this value in a column of theirs, oldest first."""
    return sources.index(wanted, column).get(value, ())


def here(sources: Sources, animal: int) -> Content | None:
    """An animal's stay in the enclosure it is in now."""
    return next((stay for stay in of(sources, Content, Content.animal, animal) if stay.until is None), None)


def box_of(sources: Sources, animal: int) -> int | None:
    there = here(sources, animal)
    return None if there is None else there.enclosure


def at(sources: Sources, enclosure: int | None) -> str:
    """``TL-014 (B3-1)``; nothing for none."""
    if enclosure is None:
        return ""
    place = page_words.place(sources.ledger, enclosure)
    code = page_words.code(sources.ledger, enclosure)
    return f"{code} ({place})" if place else code


def between(since: Span | None, until: Span | None, running: str = page_sentences.NOW) -> str:
    """``3 Mar 2026 – now``."""
    return page_sentences.between(
        page_words.span(since, page_sentences.NOT_RECORDED), page_words.span(until, running)
    )


def ago(day: int, span: Span) -> str:
    """Days from a span to ``day``: ``12 d``, ``12–40 d``, ``12+ d``, ``up to 40 d``, or nothing."""
    fewest = None if span.latest >= LAST else max(0, day - span.latest)
    most = None if span.earliest <= FIRST else max(0, day - span.earliest)
    if fewest is None:
        return "" if most is None else page_sentences.up_to_days(most)
    if most is None:
        return page_sentences.days_or_more(fewest)
    return page_sentences.so_many_days(fewest, most)


def life(animal: Animal, day: int) -> str:
    """The last step of an animal's life that was recorded, and the days since: ``mature 45 d``."""
    for step in reversed(LIFE):
        when = animal.value(step)
        if when is not None:
            return f"{LIFE[step]} {ago(day, when)}".strip()
    return page_sentences.NOT_RECORDED


def sex(animal: Animal) -> str:
    """``male, by its spot, likely``."""
    known = page_words.SEXES.get(animal.sex)
    if known is None:
        return page_sentences.NOT_KNOWN
    how = HOW.get(animal.sexed_how, animal.sexed_how) or animal_sentences.HOW_NOT_RECORDED
    return ", ".join(x for x in (known, how, animal.sexed_sure) if x)


HOW = {"spot": "by its spot", "weight": "by its weight", "pupa": "as a pupa", "adult": "as an adult"}


def natural(text: str) -> tuple[Any, ...]:
    """A key under which 2 comes before 10; digits before letters."""
    return tuple(
        (0, int(part), "") if part.isdigit() else (1, 0, part)
        for part in re.split("([0-9]{1,18})", text.casefold())
        if part
    )


def counted(groups: Iterable[Lot | Brood | Content]) -> OffspringTotal:
    """How many these count together; ``most`` is None where one is "at least"."""
    n, more = 0, False
    for group in groups:
        n += group.total
        more = more or group.at_least
    return OffspringTotal(n, None if more else n)


def counted_then(brood: Brood) -> str:
    """``at least 12 eggs``: what a brood was when it was first counted."""
    return f"{total(counted([brood]))} {brood.instar}".strip()


def total(value: OffspringTotal) -> str:
    """``12``, ``10 to 12`` or ``at least 10``."""
    return page_sentences.total(value.fewest, value.most)


# Families


def pairing_of(sources: Sources, brood: int | None) -> int | None:
    """The pairing a brood came of, through the broods it was split from."""
    if brood is None:
        return None
    origins = parentage.origins(sources.ledger, brood)
    return next((origin.pairing for origin in origins if origin.pairing is not None), None)


def family(sources: Sources, broods: Iterable[int]) -> list[int]:
    """Broods and all that were split from them."""
    out: list[int] = []
    ask, seen = [*broods], set()
    while ask:
        brood = ask.pop(0)
        if brood not in seen:
            seen.add(brood)
            out.append(brood)
            ask += [split.id for split in of(sources, Brood, Brood.parent, brood)]
    return out


def pairings(sources: Sources, animal: int) -> list[int]:
    """Pairings of an animal, as female or as male, oldest first."""
    out = [pairing.id for pairing in of(sources, Pairing, Pairing.female, animal)]
    out += [his.pairing for his in of(sources, PairingMale, PairingMale.male, animal)]
    return sorted({p for p in out if not sources.ledger.row(Pairing, p).void})


def broods_of(sources: Sources, animal: int) -> list[int]:
    """Broods of an animal's pairings, with those split from them: it may be a parent of each."""
    roots = [brood.id for p in pairings(sources, animal) for brood in of(sources, Brood, Brood.pairing, p)]
    return family(sources, roots)


def numbered(sources: Sources, broods: Iterable[int]) -> list[int]:
    """Animals with a number from these broods."""
    return [animal.id for b in broods for animal in of(sources, Animal, Animal.brood, b)]


def young(sources: Sources, animal: int) -> list[int]:
    """Animals of which it may be a parent."""
    found = [child.id for c in (Animal.sire, Animal.dam) for child in of(sources, Animal, c, animal)]
    found += numbered(sources, broods_of(sources, animal))
    ledger = narrow(sources, found)
    out = []
    for child in dict.fromkeys(found):
        known = parentage.parents(ledger, child)
        if animal == known.dam or animal in known.sires:
            out.append(child)
    return sorted(out)


def sibs(sources: Sources, animal: int) -> dict[int, str]:
    """Animals that have, or may have, a parent in common with one, and how they are related."""
    known = parentage.parents(sources.ledger, animal)
    found = {
        i for p in (*known.sires, *([] if known.dam is None else [known.dam])) for i in young(sources, p)
    }
    brood = sources.ledger.row(Animal, animal).brood
    if brood is not None:
        litter = family(sources, [parentage.first_brood(sources.ledger, brood).id])
        found |= {*numbered(sources, litter)}
    found.discard(animal)
    ledger = narrow(sources, [animal, *found])
    related = {i: parentage.relation(ledger, animal, i) for i in sorted(found)}
    return {i: how for i, how in related.items() if how and "child" not in how}


def narrow(sources: Sources, animals: Iterable[int]) -> Ledger:
    """The books with only the males of the pairings these animals came of: parents are found at once."""
    ledger = sources.ledger
    males: dict[int, PairingMale] = {}
    for brood in {ledger.row(Animal, a).brood for a in animals} - {None}:
        pairing = pairing_of(sources, brood)
        if pairing is not None:
            males |= {male.id: male for male in of(sources, PairingMale, PairingMale.pairing, pairing)}
    return ledger.narrowed({PairingMale.table: males})


def offspring(sources: Sources, pairing: int) -> str:
    """What was found of a pairing, in words."""
    broods = {brood.id: brood for brood in of(sources, Brood, Brood.pairing, pairing)}
    found = parentage.offspring(sources.ledger.narrowed({Brood.table: broods}), pairing)
    if found == OffspringTotal(0, 0):
        searched = of(sources, Search, Search.pairing, pairing)
        return family_sentences.NONE_FOUND if searched else family_sentences.NOT_SEARCHED
    return family_sentences.found(total(found))


def matings(sources: Sources, pairing: int) -> str:
    """``3 seen``; a first mating may be in the books without a row of its own."""
    n = len(of(sources, Mating, Mating.pairing, pairing))
    first = sources.ledger.row(Pairing, pairing).mated
    return family_sentences.seen(max(n, 1)) if n or first is not None else family_sentences.NONE_SEEN


def short(span: Span | None, today: int, unknown: str = "") -> str:
    """Days without their year where that is this year: ``3 Mar``, ``3 Mar to 9 Mar``, ``3 Mar 2025``."""
    if span is None:
        return unknown
    said = page_words.span(span, unknown)
    return said.removesuffix(f" {date.fromordinal(today).year}")


def stretch(since: Span | None, until: Span | None, today: int) -> str:
    """From when to when in few words: ``3 Mar – 9 Mar 2025``, ``3 Mar – now``."""
    start, end = short(since, today, "?"), short(until, today, page_sentences.NOW)
    year = end[-5:]
    if re.fullmatch(" [0-9]{4}", year) and start.endswith(year):
        start = start.removesuffix(year)
    return page_sentences.between(start, end)


def males(sources: Sources, pairing: int) -> list[int]:
    """The males of a pairing in the order they came."""
    return list(dict.fromkeys(his.male for his in of(sources, PairingMale, PairingMale.pairing, pairing)))


def names(sources: Sources, animals: Iterable[int]) -> str:
    return ", ".join(page_words.animal(sources.ledger, a) for a in animals)


def groups(sources: Sources, column: Column[int | None], value: int) -> Iterator[Content]:
    """Counted groups of a line, a brood or a lot (``column`` of Content) that are somewhere now, and are not empty."""
    for content in of(sources, Content, column, value):
        if content.animal is None and content.until is None and (content.total or content.at_least):
            yield content


def box_of_brood(sources: Sources, brood: int) -> int | None:
    """The first enclosure in which a group of a brood lives, or of one that was split from it."""
    living = (group for b in family(sources, [brood]) for group in groups(sources, Content.brood, b))
    first = next(living, None)
    return None if first is None else first.enclosure


def group_words(ledger: Ledger, group: Content) -> str:
    """``UMBER 0.0.12 L2 U-03``: its line, how many, their instar, their brood."""
    brood = page_words.name(ledger, Brood, group.brood)
    said = (page_words.line(ledger, group.line), page_words.counts(group), group.instar, brood)
    return " ".join(x for x in said if x)


def group_row(sources: Sources, group: Content) -> ListRow:
    """``0.0.12 L2 | TL-014 (B3-1) | since …``, leading to the enclosure."""
    who = page_sentences.of_instar(page_words.counts(group), group.instar)
    box = group.enclosure
    return ListRow(
        (who, at(sources, box), page_words.span(group.since, page_sentences.NOT_RECORDED)),
        Link("enclosure", box),
        enclosure=box,
    )
