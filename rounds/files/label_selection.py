"""Which enclosures are meant by the words of ``rounds labels``: codes, numbers, places, stages, lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.files import label_sentences
from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput, Problem, Refusal, nearest
from rounds.records.ledger import Ledger
from rounds.records.observations import EnclosureState
from rounds.records.tables import Line, Place

Names = Mapping[str, Sequence[int]]
"""Ids of enclosures by a name they answer to; an empty list for a name that nothing answers to now."""

MEANINGS = {
    "code": "a box's code",
    "number": "a short number",
    "place": "a bay, shelf or slot",
    "stage": "a stage",
    "line": "a line",
}
"""What a word may be, and before a ``=`` says which is meant."""

NOTHING = {
    "place": "nothing stands there.",
    "stage": "no box is in it.",
    "line": "nobody of it is in a box.",
}


def in_use(enclosure: EnclosureState) -> bool:
    """Not empty: in a stage that says so, or somebody is recorded inside."""
    return enclosure.stage != "empty" or bool(enclosure.contents)


def names(enclosures: Sequence[EnclosureState], ledger: Ledger) -> dict[str, dict[str, list[int]]]:
    """What can be named, by meaning."""
    out: dict[str, dict[str, list[int]]] = {meaning: {} for meaning in MEANINGS}
    out["stage"] = {stage: [] for stage in STAGES}
    out["line"] = {line.name: [] for line in ledger.rows(Line)}
    for place in ledger.rows(Place):
        for name in (place.bay, place.shelf_name, place.address):
            out["place"].setdefault(name, [])
    for e in enclosures:
        out["code"].setdefault(e.code, []).append(e.id)
        out["number"].setdefault(str(e.number), []).append(e.id)
        out["stage"].setdefault(e.stage, []).append(e.id)
        for name in dict.fromkeys(c.line for c in e.contents if c.line):
            out["line"].setdefault(name, []).append(e.id)
        if e.place is not None:
            for name in (e.place.bay, e.place.shelf_name, e.place.address):
                out["place"].setdefault(name, []).append(e.id)
    return out


def pick(words: Sequence[str], enclosures: Sequence[EnclosureState], ledger: Ledger) -> list[EnclosureState]:
    """The enclosures that any of the words means, each once, in the order given; without words all in use.

    Raises BadInput with a problem for every word that means nothing here, or several things.
    """
    if not words:
        return [e for e in enclosures if in_use(e)]
    known = names(enclosures, ledger)
    problems: list[Problem] = []
    wanted: set[int] = set()
    for word in words:
        try:
            wanted.update(_meant(word, known))
        except _NotMeant as e:
            problems.append(Problem(f"`{word}`", 0, 0, *e.refusal))
    if problems:
        raise BadInput(problems)
    return [e for e in enclosures if e.id in wanted]


class _NotMeant(Exception):
    def __init__(self, refusal: Refusal) -> None:
        self.refusal = refusal
        super().__init__(refusal.message)


def _meant(word: str, known: Mapping[str, Names]) -> Sequence[int]:
    """Ids for one word. Raises _NotMeant."""
    hits = {m: found for m in MEANINGS if (found := _named(word, known[m], m)) is not None}
    kind, equals, rest = word.partition("=")
    if not hits and equals:  # codes and names may hold a `=` themselves
        meaning = kind.strip().casefold()
        if meaning not in MEANINGS:
            raise _NotMeant(label_sentences.no_meaning(kind, nearest(meaning, MEANINGS), tuple(MEANINGS)))
        named = _named(rest.strip(), known[meaning], meaning)
        if named is None:
            some = nearest(rest, known[meaning]) or _some(known[meaning])
            raise _NotMeant(label_sentences.none_of_it(meaning, rest, some))
        hits = {meaning: named}
    if not hits:
        every = [name for m in MEANINGS for name in known[m]]
        raise _NotMeant(label_sentences.means_nothing(nearest(word, every), tuple(MEANINGS.values())))
    if len({frozenset(found) for found in hits.values()}) > 1:
        ways = tuple(f"{m}={rest or word}" for m in hits)
        raise _NotMeant(label_sentences.means_several(tuple(MEANINGS[m] for m in hits), ways))
    (meaning, found), *_ = hits.items()
    if not found:
        raise _NotMeant(label_sentences.nothing_there(MEANINGS[meaning], NOTHING[meaning]))
    return found


def _named(word: str, known: Names, meaning: str) -> Sequence[int] | None:
    """By exact spelling, else whatever the case where only one is alike."""
    if meaning == "number" and word.isascii() and word.isdigit():
        word = str(int(word[:18]))
    if word in known:
        return known[word]
    alike = [name for name in known if name.casefold() == word.casefold()]
    return known[alike[0]] if len(alike) == 1 else None


def _some(known: Names) -> str:
    names = list(known)
    if not names:
        return label_sentences.NONE_RECORDED
    return label_sentences.some_there_are(tuple(names[:8]), more=len(names) > 8)
