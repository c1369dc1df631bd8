"""A trial that the books keep: its females as rows of counts, how far it is, what was changed after it began.

Every female that was drawn or joined is a row. What cannot be compared is left out with its
reason: dropped out, never paired or searched, another male than drawn, labels mixed up.
"""

from __future__ import annotations

from collections.abc import Sequence

from rounds.acts.running_trials import ARM_NAMES
from rounds.analysis.trial import tally_sentences as sentences
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.tally import Asked, males_in, of_pairing
from rounds.named_tuple import NamedTuple
from rounds.records.ledger import Ledger
from rounds.records.naming import animal_name
from rounds.records.parentage import CLOSE, SIBS, relation
from rounds.records.tables import Brood, Content, Enclosure, Place, Search, Trial, TrialFemale
from rounds.text.cleaning import day_and_year
from rounds.values.spans import LAST


class Count(NamedTuple):
    """A row of counts with its female, its males and its row in the trial (or its pairing), by id."""

    brood: BroodCount
    female: int
    males: tuple[int, ...]
    seat: int


class Progress(NamedTuple):
    """How many females, and of them how many were paired, searched and dropped out.

    ``counted`` is the day of each female's first search, dropped out or not; None where she had none.
    """

    females: int
    paired: int
    searched: int
    out: int
    counted: tuple[int | None, ...] = ()


class When(NamedTuple):
    """Where a trial stands on a day: it may be judged from ``judged_on``; ``closed_early`` and ``left`` are days."""

    judged_on: int
    closed: int | None
    left: int
    closed_early: int

    @property
    def running(self) -> bool:
        """Its last day has not come and it is not closed: looking now is looking too early."""
        return self.closed is None and self.left > 0


def when(trial: Trial, today: int) -> When:
    """Where a trial stands today; a row without a last day can be judged any time."""
    stops = trial.stops if trial.stops is not None else today
    closed = trial.closed
    early = max(0, stops - closed) if closed is not None else 0
    return When(stops if closed is None else min(stops, closed), closed, max(0, stops - today), early)


def counts(ledger: Ledger, trial: int, today: int) -> list[Count]:
    """Every female of a trial as a row, the arms by :data:`ARM_NAMES`, in the order of the books.

    From its last day on (or once it is closed) who has not come as far as the endpoint by
    then counts as lost.
    """
    about = ledger.row(Trial, trial)
    at = when(about, today)
    asked = Asked(about.endpoint, not at.running, by=LAST if at.running else at.judged_on)
    return [_count(ledger, seat, asked) for seat in ledger.rows(TrialFemale, TrialFemale.trial.is_(trial))]


def _count(ledger: Ledger, seat: TrialFemale, asked: Asked) -> Count:
    arm, female, pairing = ARM_NAMES[seat.arm], seat.female, seat.pairing
    drawn = animal_name(ledger, seat.male) if seat.male is not None else ""
    males: tuple[int, ...] = (seat.male,) if seat.male is not None else ()
    if pairing is None:
        brood = BroodCount(arm, animal_name(ledger, female), 0, 0, drawn)
        reasons = [sentences.not_paired(over=asked.closed)]
    else:
        males = males_in(ledger, pairing)
        brood = of_pairing(ledger, pairing, arm, asked)
        reasons = [brood.left_out] if brood.left_out else []
        if not any(True for _ in ledger.rows(Search, Search.pairing.is_(pairing))):
            reasons = [sentences.not_searched(over=asked.closed)]
        if seat.male is not None and set(males) != {seat.male}:
            paired = tuple(animal_name(ledger, m) for m in males)
            reasons.append(sentences.another_male(drawn, paired))
    if seat.out is not None:
        reasons.insert(0, sentences.dropped_out(day_and_year(seat.out), seat.out_why))
    notes = [brood.note, seat.note, _kin(ledger, seat)]
    return Count(
        brood._replace(left_out="; ".join(reasons), note="; ".join(filter(None, notes))),
        female,
        males,
        seat.id,
    )


def in_no_order(rows: Sequence[Count]) -> list[Count]:
    """The rows by their females' names, what tells of arm or kinship left out of them: a trial that runs."""
    out = []
    for c in rows:
        # Who is still on the way is no reason yet, and would tell how many live.
        why = [x for x in c.brood.left_out.split("; ") if not x.endswith(sentences.COMING)]
        out.append(
            c._replace(brood=c.brood._replace(arm="", f=None, alive=0, note="", left_out="; ".join(why)))
        )
    return sorted(out, key=lambda c: c.brood.female)


def _kin(ledger: Ledger, seat: TrialFemale) -> str:
    if seat.male is None:
        return ""
    how = relation(ledger, seat.female, seat.male)
    if seat.arm == "sibs" and how not in SIBS:
        return sentences.not_full_sibs(how)
    return sentences.related(how) if seat.arm == "cross" and how in CLOSE else ""


def progress(ledger: Ledger, trial: int) -> Progress:
    """How far a trial is, both arms together: this tells nothing of an arm."""
    rows = list(ledger.rows(TrialFemale, TrialFemale.trial.is_(trial)))
    left = [r for r in rows if r.out is None]
    paired = [r.pairing for r in left if r.pairing is not None]
    searched = sum(any(True for _ in ledger.rows(Search, Search.pairing.is_(p))) for p in paired)
    counted = tuple(_first_search(ledger, r.pairing) for r in rows)
    return Progress(len(rows), len(paired), searched, len(rows) - len(left), counted)


def _first_search(ledger: Ledger, pairing: int | None) -> int | None:
    if pairing is None:
        return None
    made = [s.made.earliest for s in ledger.rows(Search, Search.pairing.is_(pairing)) if s.made is not None]
    return min(made, default=None)


class Stands(NamedTuple):
    """The place drawn for a brood, and where it or its mother stands now; both as addresses, "" where there is none."""

    female: str
    drawn: str
    now: str


def stands(ledger: Ledger, seat: TrialFemale) -> Stands:
    """Where a female of a trial and her brood stand: the drawn place, if any of their boxes is there."""
    broods = {b.id for b in ledger.rows(Brood) if seat.pairing is not None and b.pairing == seat.pairing}
    boxes = {
        content.enclosure
        for content in ledger.rows(Content, Content.until.is_(None))
        if (content.brood is not None and content.brood in broods)
        or (content.animal == seat.female and seat.pairing is not None)
    }
    used = sorted(
        {
            ledger.row(Place, place).address
            for box in boxes
            if (place := ledger.row(Enclosure, box).place) is not None
        }
    )
    drawn = ledger.row(Place, seat.place).address if seat.place is not None else ""
    return Stands(animal_name(ledger, seat.female), drawn, drawn if drawn in used else ", ".join(used))


def places(ledger: Ledger, trial: int) -> list[Stands]:
    """Of each female still in a trial that a place was drawn for."""
    seats = ledger.rows(TrialFemale, TrialFemale.trial.is_(trial), TrialFemale.out.is_(None))
    return sorted(stands(ledger, seat) for seat in seats if seat.place is not None)
