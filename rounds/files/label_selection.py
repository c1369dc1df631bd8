"""Which enclosures are meant by the words of ``rounds labels``: codes, numbers, places, stages, lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from rounds.husbandry.stages import STAGES
from rounds.problems import BadInput, Problem, nearest
from rounds.records.ledger import Ledger
from rounds.records.observations import EnclosureState
from rounds.records.tables import Line, Place

Names = Mapping[str, Sequence[int]]
"""Ids of enclosures by a name they answer to; an empty list for a name that nothing answers to now."""

MEANINGS = {
    "code": "an enclosure's code",
    "number": "a short number",
    "place": "a bay, shelf or slot",
    "stage": "a stage",
    "line": "a line",
}
"""What a word may be, and before a ``=`` says which is meant."""

NOTHING = {
    "place": "nothing stands there.",
    "stage": "no enclosure is in it.",
    "line": "nobody of it is in an enclosure.",
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
        except ValueError as e:
            message, hint = e.args
            problems.append(Problem(f"`{word}`", 0, 0, message, hint))
    if problems:
        raise BadInput(problems)
    return [e for e in enclosures if e.id in wanted]


def _meant(word: str, known: Mapping[str, Names]) -> Sequence[int]:
    """Ids for one word. Raises ValueError(message, hint)."""
    hits = {m: found for m in MEANINGS if (found := _named(word, known[m], m)) is not None}
    kind, equals, rest = word.partition("=")
    if not hits and equals:  # codes and names may hold a `=` themselves
        meaning = kind.strip().casefold()
        if meaning not in MEANINGS:
            raise ValueError(
                f"`{kind}` is nothing to choose labels by.",
                f"{nearest(meaning, MEANINGS)} There are: {', '.join(MEANINGS)}.".strip(),
            )
        named = _named(rest.strip(), known[meaning], meaning)
        if named is None:
            some = nearest(rest, known[meaning]) or _some(known[meaning])
            raise ValueError(f"there is no {meaning} `{rest}`.", some)
        hits = {meaning: named}
    if not hits:
        every = [name for m in MEANINGS for name in known[m]]
        hint = nearest(word, every) or f"Name {', '.join(MEANINGS.values())}."
        raise ValueError("means nothing in this book.", hint)
    if len({frozenset(found) for found in hits.values()}) > 1:
        meant = " and ".join(MEANINGS[m] for m in hits)
        raise ValueError(f"is {meant}.", f"Write {' or '.join(f'{m}={rest or word}' for m in hits)}.")
    (meaning, found), *_ = hits.items()
    if not found:
        raise ValueError(f"is {MEANINGS[meaning]}, but {NOTHING[meaning]}", "")
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
    return (
        f"There are: {', '.join(names[:8])}{' and more' if len(names) > 8 else ''}."
        if names
        else "None is recorded yet."
    )
