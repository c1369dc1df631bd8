"""Trials of the book on the command line: drawn from its animals, opened, listed, counted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rounds.commands import trial_command_sentences
from rounds.commands.book_reader import config_in_force, reading, writing
from rounds.commands.named_rows import names_of, row_named
from rounds.commands.output import tell
from rounds.named_tuple import NamedTuple
from rounds.problems import BadInput, Problem, RoundsError, nearest
from rounds.records.tables import Batch, Enclosure, Trial
from rounds.text.cleaning import clean
from rounds.values.spans import iso

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from rounds.analysis.pedigree.pedigree_table import Pedigree
    from rounds.analysis.trial.book_trial import Count
    from rounds.analysis.trial.trial_plan import Pair, TrialPlan
    from rounds.commands.options import CliContext
    from rounds.husbandry.species import Species
    from rounds.records.ledger import Ledger

HINDERED = 12
"""Animals that are not free, named at the most."""


class House(NamedTuple):
    """The books, and the house's today."""

    ledger: Ledger
    today: int
    file: str


def house(given: CliContext) -> House:
    """Read the book. Raises BookError."""
    with reading(given) as at:
        return House(at.ledger, at.today, str(given.book))


def pedigree(here: House) -> Pedigree:
    """The book's pedigree. Raises BadInput with everything that is wrong with it."""
    from rounds.analysis.pedigree.book_pedigree import of_book

    p, problems = of_book(here.ledger, here.file)
    if p is None:
        raise BadInput(problems)
    return p


def trial_named(ledger: Ledger, name: str) -> Trial:
    """The trial of this name. Raises RoundsError with the nearest."""
    found = row_named(ledger, Trial, name)
    if found is None:
        there = names_of(ledger, Trial)
        others = trial_command_sentences.there_are(there) if there else trial_command_sentences.NONE_OPENED
        raise RoundsError(trial_command_sentences.no_trial(name, nearest(name, there) or others))
    return found


class Prepared(NamedTuple):
    """Pairs for a plan, and their animals by name: what ``trial-open`` is told."""

    pairs: list[Pair]
    said: list[str]


def drawn(given: CliContext, here: House, species: str, females: int, seed: int, batch: str) -> Prepared:
    """Females and males drawn from the book. Raises RoundsError where there are not enough, saying who is not free."""
    from rounds.analysis.trial.random_draw import draw
    from rounds.analysis.trial.trial_candidates import breeders, kin, pair
    from rounds.records.naming import animal_name

    config = config_in_force(given)
    latin = _species(here.ledger, config.species, here.today, species)
    who = breeders(here.ledger, config.species, here.today, latin)
    known = kin(here.ledger, pedigree(here), who.females, who.males)
    found = draw(who.females, who.males, known, females, seed)
    if found.short:
        not_free = tuple(clean(trial_command_sentences.not_free(*x), 120) for x in who.hindered[:HINDERED])
        more = len(who.hindered) - len(not_free)
        raise RoundsError(
            trial_command_sentences.too_few_free(
                latin, len(who.females), len(who.males), found.short, not_free, more
            )
        )
    said = []
    for d in found.pairs:
        k = known[d.female, d.male]
        female, male = (animal_name(here.ledger, x) for x in (d.female, d.male))
        said.append(trial_command_sentences.drawn_pair(female, male, k.low, k.high))
    if found.bound:
        said.append(
            trial_command_sentences.only_one_arm(tuple(animal_name(here.ledger, f) for f in found.bound))
        )
    return Prepared(
        [pair(here.ledger, d.arm, d.female, d.male, here.today, batch) for d in found.pairs], said
    )


def _species(ledger: Ledger, presets: Mapping[str, Species], today: int, asked: str) -> str:
    from rounds.analysis.pairing.breeding_candidates import candidates

    there = sorted({c.species for c in candidates(ledger, presets, today) if c.species})
    if asked:
        wanted = " ".join(asked.split()[:2])
        match = next((s for s in there if s.casefold() == wanted.casefold()), None)
        if match is None:
            hint = nearest(asked, there) or trial_command_sentences.there_are(tuple(there))
            raise RoundsError(trial_command_sentences.none_of_species(asked, hint))
        return match
    if len(there) != 1:
        raise RoundsError(trial_command_sentences.name_the_species(tuple(there)))
    return there[0]


def named(here: House, pairs: Sequence[Pair], batch: str, numbers: Sequence[int], file: str) -> Prepared:
    """Pairs of a table found in the book; ages and batches it leaves out come from there. Raises BadInput.

    ``numbers`` are the lines they stand in.
    """
    from rounds.acts.fields import ref
    from rounds.acts.running_trials import ARM_NAMES
    from rounds.analysis.trial.trial_candidates import pair as of_book

    arms = {v: k for k, v in ARM_NAMES.items()} | {k: k for k in ARM_NAMES}
    out, problems = [], []
    for p, line in zip(pairs, numbers, strict=True):
        ids = []
        if p.arm.casefold() not in arms:
            told = trial_command_sentences.no_arm_of_a_trial(p.arm)
            problems.append(Problem(file, line, 0, told, trial_command_sentences.EXPECTED_ARMS))
        for name in (p.female, p.male):
            try:
                ids.append(ref("animal", name, here.ledger))
            except ValueError as e:
                problems.append(Problem(file, line, 0, str(e), getattr(e, "hint", "")))
        if len(ids) == 2 and p.arm.casefold() in arms:
            known = of_book(here.ledger, arms[p.arm.casefold()], ids[0], ids[1], here.today, p.batch or batch)
            typed = {f: getattr(p, f) for f in ("female_age", "male_age") if getattr(p, f) is not None}
            out.append(known._replace(**typed, note=p.note))
    if problems:
        raise BadInput(problems)
    return Prepared(out, [])


def checked_places(here: House, places: Sequence[str]) -> list[str]:
    """What stands at drawn places now, as sentences. Raises BadInput for a place the rack has not."""
    from rounds.acts.fields import ref

    out, problems = [], []
    for text in places:
        try:
            place = ref("place", text, here.ledger)
        except ValueError as e:
            problems.append(Problem("--positions", 0, 0, str(e), getattr(e, "hint", "")))
            continue
        busy = [
            box.code
            for box in here.ledger.rows(Enclosure, Enclosure.place.is_(place))
            if box.stage not in ("prepared", "empty")
        ]
        if busy:
            out.append(trial_command_sentences.place_in_use(text, tuple(busy)))
    if problems:
        raise BadInput(problems)
    return out


def checked_batch(here: House, batch: str) -> None:
    """Raises RoundsError when the book has no such batch of substrate."""
    known = names_of(here.ledger, Batch)
    if batch and batch not in known:
        raise RoundsError(trial_command_sentences.no_batch(batch, nearest(batch, known)))


CLOSE_KIN = 0.125
"""F of the offspring of half sibs: from there on a pairing called a cross is none."""


def with_f(here: House, rows: Sequence[Count], *, by_purpose: bool = False) -> list[Count]:
    """Counts with the F of each brood's offspring, where one father is recorded and F is known closely.

    ``by_purpose``: the arms are only what the pairings were made for, so a cross of close kin and
    sibs that are none are left out. (The pairs of a trial of the book were drawn by their kinship.)
    """
    from rounds.acts.running_trials import ARM_NAMES
    from rounds.analysis.pedigree.kinship import matrix
    from rounds.analysis.trial.trial_plan import F_SIBS
    from rounds.records.naming import animal_name

    p = pedigree(here)
    out = []
    for count in rows:
        brood = count.brood
        if len(count.males) == 1:
            k = matrix(p, [animal_name(here.ledger, i) for i in (count.female, count.males[0])])
            low, high = k.low[0][1], k.usual[0][1]
            if high - low < 5e-4:
                brood = brood._replace(f=low)
            else:
                said = trial_command_sentences.f_is_a_range(low, high)
                brood = brood._replace(note="; ".join(filter(None, (brood.note, said))))
            wrong = ""
            if by_purpose and brood.arm == ARM_NAMES["cross"] and low >= CLOSE_KIN:
                wrong = trial_command_sentences.close_kin(low)
            elif by_purpose and brood.arm == ARM_NAMES["sibs"] and high < F_SIBS - 1e-9:
                wrong = trial_command_sentences.no_sibs(high)
            brood = brood._replace(left_out="; ".join(filter(None, (brood.left_out, wrong))))
        out.append(count._replace(brood=brood))
    return out


def open_trial(
    given: CliContext, name: str, endpoint: str, ends: int, made: TrialPlan, keeper: str, *, sure: bool
) -> None:
    """Record a plan as the act ``trial-open``: one transaction, which can be taken back."""
    from rounds.acts.running_trials import ARM_NAMES
    from rounds.commands.record import record_words

    d = made.design
    words = ["trial-open", f"name={name}", f"endpoint={endpoint}", f"stops={iso(ends)}"]
    words += [f"{k}={getattr(d, k)}" for k in ("seed", "eggs", "rho", "survival")]
    places = []
    for word, arm in ARM_NAMES.items():
        mine = [x for x in made.layout if x.arm == arm]
        words.append(f"{word}={','.join(x.female for x in mine)}")
        words.append(f"{'sib' if word == 'sibs' else word}_males={','.join(x.male for x in mine)}")
        places += [x.position for x in mine]
    if d.positions:
        words.append(f"places={','.join(places)}")
    options = {"on": None, "keeper": keeper, "today": None, "sure": sure}
    record_words(given, tuple(words), "text", options)


def looked_early(given: CliContext, here: House, trial: Trial) -> None:
    """Write down that a running trial was looked at, once a day: before anything of it is shown. Raises BookError."""
    from rounds.acts.running_trials import look, written
    from rounds.records.entries import RecordActEntry
    from rounds.store import recording as store
    from rounds.store.ids import Ids, now_ms

    if look(here.today) in written(trial):
        return
    with writing(given) as at:
        looked = RecordActEntry(Ids().new(), "trial-looked", trial.name, {}, here.today, now_ms(), at.keeper)
        store.record(at.book, looked)
    tell(trial_command_sentences.LOOKED_EARLY)


def read_pairs(path: Path) -> tuple[list[Pair], list[int]]:
    """Pairs of a table, with the lines they stand in. Raises BadInput."""
    from rounds.analysis.trial import trial_plan
    from rounds.analysis.trial.count_table import read
    from rounds.commands.named_files import read_lines

    lines = read_lines(path)
    found, problems = trial_plan.pairs(lines, str(path))
    if problems:
        raise BadInput(problems)
    return found, [x.number for x in read(lines, str(path), trial_plan.COLUMNS, "pairs of a trial").rows]
