"""Charts of the books: weights of a line or a brood by age, and what became of a line's broods."""

from __future__ import annotations

from collections.abc import Collection, Iterable

from rounds.analysis import young_fates
from rounds.analysis.plots import plot_sentences as sentences
from rounds.analysis.plots.chart import KINDS, Chart, Point, Series
from rounds.analysis.plots.share_rows import ShareRow, ShareRows
from rounds.records.ledger import Ledger
from rounds.records.parentage import first_brood
from rounds.records.tables import Animal, Brood, Content, Weight
from rounds.values.spans import FIRST, LAST, Span

SEXES = (("m", sentences.MALES), ("f", sentences.FEMALES), ("unknown", sentences.NOT_SEXED))
"""Sex in the books, and the series it is drawn as."""


def growth(ledger: Ledger, broods: Collection[int], name: str) -> Chart | None:
    """Grams of all that come from these broods, by days since theirs was found; None where nothing can be drawn.

    Weighings of one animal are joined. Of groups it is not known who was weighed: they are dots alone, not sexed.
    """
    of_group = {c.id: c.brood for c in ledger.rows(Content) if c.animal is None and c.brood in broods}
    of_animal = {a.id: a for a in ledger.rows(Animal) if a.brood in broods}
    tracks: dict[str, dict[tuple[str, int], list[Point]]] = {sex: {} for sex, _ in SEXES}
    left_out = 0
    for weight in ledger.rows(Weight):
        animal = of_animal.get(weight.animal or 0)
        brood = animal.brood if animal else of_group.get(weight.content or 0)
        if brood is None or weight.grams is None:
            continue
        point = _point(weight.made, first_brood(ledger, brood).found, weight.grams)
        if point is None:
            left_out += 1
            continue
        sex = animal.sex if animal and animal.sex in tracks else "unknown"
        track = ("animal", animal.id) if animal else ("weight", weight.id)
        tracks[sex].setdefault(track, []).append(point)
    series = tuple(
        Series(title, kind, tuple(tuple(sorted(t)) for t in tracks[sex].values()))
        for (sex, title), kind in zip(SEXES, KINDS, strict=False)
        if tracks[sex]
    )
    if not series:
        return None
    notes = (sentences.weights_left_out(left_out),) if left_out else ()
    return Chart(sentences.growth(name), sentences.AGE, sentences.WEIGHT, series, notes)


def _point(made: Span | None, found: Span | None, grams: float) -> Point | None:
    """Days from a brood's finding to a weighing, as a range where either is one; None where one is open."""
    for span in (made, found):
        if span is None or span.earliest <= FIRST or span.latest >= LAST:
            return None
    assert made is not None
    assert found is not None
    return Point(max(0, made.earliest - found.latest), made.latest - found.earliest, grams)


def survival(ledger: Ledger, broods: Iterable[Brood], name: str) -> ShareRows | None:
    """What share of each brood lived, at least and at most; None where no brood was counted.

    Alive, grown and given away are known to have lived so far; dead are known not to have. All others, missing,
    counted again elsewhere or in no group, may have.
    """
    roots = [brood for brood in broods if brood.parent is None]
    rows = []
    for brood, family in zip(roots, young_fates.families(ledger, roots), strict=True):
        if not family.counted:
            continue
        lived = sum(f.n for f in family.fates if f.fate in (young_fates.HERE, young_fates.GIVEN))
        dead = sum(f.n for f in family.fates if f.fate == young_fates.DEAD)
        most = max(lived, family.counted - dead)
        said = sentences.alive_of(lived, most, family.counted)
        rows.append(ShareRow(brood.name, lived / family.counted, most / family.counted, said))
    if not rows:
        return None
    left_out = len(roots) - len(rows)
    return ShareRows(
        sentences.survival(name),
        sentences.ALIVE,
        sentences.AT_MOST,
        sentences.OF_YOUNG,
        rows,
        (sentences.broods_left_out(left_out),) if left_out else (),
    )
