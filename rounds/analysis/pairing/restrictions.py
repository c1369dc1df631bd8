"""Who may be paired with whom: candidates, the keeper's wishes, and what bars or is to be minded in a pair."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from rounds.analysis.pairing import pair_sentences as sentences
from rounds.named_tuple import NamedTuple
from rounds.values.spans import Span

BARRIERS = ("species", "subspecies", "locality")
"""What is never crossed unless the keeper says so."""

NOT_RECORDED = "unknown"
"""Among what may be crossed: a recorded subspecies or locality with one that is not recorded."""


class Candidate(NamedTuple):
    """An animal that might breed. ``awake`` spans the days it is, or is likely, active.

    ``hindered`` says why it cannot breed now (resting, in quarantine, promised, on loan …);
    empty if it can.
    """

    animal: str
    sex: str  # m, f; anything else is left out
    line: str = ""
    species: str = ""
    subspecies: str = ""
    locality: str = ""
    awake: Span | None = None
    hindered: str = ""
    note: str = ""  # what to know about it that does not hinder it
    doubt: str = ""  # why it may not be the animal its label says


class Bar(NamedTuple):
    """Why two may not be paired: the words that such pairs are counted under, and what it is about."""

    kind: str
    about: str = ""

    def __str__(self) -> str:
        return sentences.barred(self.kind, self.about)


class Wishes(NamedTuple):
    """What the keeper sets.

    ``weight`` is w, by which mean F of the pairs counts beside mean kinship (0.1: estimate); ``most_f`` the highest F allowed (its high end);
    ``uses`` how many females a male may be given, ``uses_of`` that for single males.
    ``apart`` lists two lines never to be crossed (a line twice: not within it); ``cross``
    two lines and the least number of pairs wanted between them. ``boxes`` is the number of
    free enclosures; ``across`` which of :data:`BARRIERS` may be crossed, and :data:`NOT_RECORDED`
    where one of two is not recorded; ``together`` the days both should be awake (two weeks: common practice, no source),
    of those from ``today`` on where that is given. ``kept`` is how many offspring of a pair are
    raised, which counts where others stay beside them (10: estimate). ``by`` is the reading of
    unrecorded parents that pairs are ranked and limited by.
    """

    weight: float = 0.1
    most_f: float | None = None
    uses: int = 1
    uses_of: Mapping[str, int] = {}
    apart: tuple[tuple[str, str], ...] = ()
    cross: tuple[tuple[str, str, int], ...] = ()
    forced: tuple[tuple[str, str], ...] = ()  # male, female
    forbidden: tuple[tuple[str, str], ...] = ()
    boxes: int | None = None
    across: frozenset[str] = frozenset()
    together: int = 14
    today: int | None = None
    kept: float = 10.0
    by: str = "most"  # of the READINGS of kinship, which is not imported where keys wait


ANYTHING = Wishes()
"""No wishes beyond the barriers."""


def barred(male: Candidate, female: Candidate, f_high: float, wishes: Wishes) -> Bar | None:
    """Why two candidates may not be paired; None if they may."""
    if (male.animal, female.animal) in wishes.forbidden:
        return Bar(sentences.FORBIDDEN)
    for barrier, a, b in zip(
        BARRIERS,
        (male.species, male.subspecies, male.locality),
        (female.species, female.subspecies, female.locality),
        strict=True,
    ):
        if a == b or barrier in wishes.across:
            continue
        if a and b:
            return Bar(sentences.another(barrier), f"{a}, {b}")
        # The same or another: nobody can tell, so it takes the keeper's word.
        if barrier == "species" or NOT_RECORDED not in wishes.across:
            return Bar(sentences.not_recorded(barrier), male.animal if not a else female.animal)
    if any({male.line, female.line} == {a, b} for a, b in wishes.apart):
        return Bar(sentences.LINES_APART)
    if wishes.most_f is not None and f_high > wishes.most_f + 1e-12:
        return Bar(sentences.F_TOO_HIGH, sentences.up_to(f_high))
    return None


def notes_on(male: Candidate, female: Candidate) -> Iterator[str]:
    """What is not a reason against a pair and should still be known."""
    if male.species and female.species and male.species != female.species:
        yield sentences.crosses_species(male.species, female.species)
    yield from (sentences.may_be_another(c.animal, c.doubt) for c in (male, female) if c.doubt)
    yield from (c.note for c in (male, female) if c.note)
    for barrier, a, b in (
        ("subspecies", male.subspecies, female.subspecies),
        ("locality", male.locality, female.locality),
    ):
        if bool(a) != bool(b):
            yield sentences.same_or_another(barrier, male.animal if not a else female.animal)


def note_on_lines(male: Candidate, female: Candidate) -> str:
    """That two lines are crossed; "" within one, and where nobody knows the line."""
    if not male.line or not female.line or male.line == female.line:
        return ""
    known = bool(male.locality or female.locality)
    return sentences.crosses_lines(male.line, female.line, origins_known=known)
