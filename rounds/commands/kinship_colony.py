"""``rounds kinship --colony``: each line and species as a whole."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rounds.commands import kinship_sentences
from rounds.commands.book_reader import reading
from rounds.commands.output import print_document
from rounds.problems import RoundsError
from rounds.records.tables import Animal, Line

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree
    from rounds.commands.options import CliContext


def print_colony(p: Pedigree, given: CliContext | None, form: str, living: Sequence[str] = ()) -> None:
    """Print the figures; ``given`` is None for a pedigree from a file.

    Of a file those ``living`` count, or those whose state is alive; where it says of nobody
    whether it lives, all do. Raises NoSuchAnimal.
    """
    from rounds.reports.colony_report import colony_report

    groups = _groups(p, given, living)
    if not groups:
        raise RoundsError(kinship_sentences.NOBODY_LIVES)
    unsaid = given is None and not living and not p.states
    print_document(colony_report(p, groups, all_living=unsaid), form)


def _groups(
    p: Pedigree, given: CliContext | None, living_named: Sequence[str]
) -> list[tuple[str, str, list[str]]]:
    """(line or species, its name, living animals)."""
    if given is None:
        if living_named:
            alive = set(p.find_all(living_named))
        else:
            alive = {i for i in p.listed if not p.states or p.states.get(i) == "alive"}
        names = [p.names[i] for i in p.listed if i in alive]
        lines = dict.fromkeys(p.line[i] for i in p.listed if i in alive)
        each = [("line", x, [n for n in names if p.line[p.at[n]] == x]) for x in lines]
        return [*each, ("all", "", names)] if len(lines) > 1 else each
    from rounds.analysis.pedigree.book_pedigree import living
    from rounds.records.naming import animal_name

    with reading(given) as at:
        ledger = at.ledger
    groups: dict[tuple[str, str], list[str]] = {}
    for i in living(ledger):
        line = ledger.row(Line, ledger.row(Animal, i).line)
        name = animal_name(ledger, i)
        groups.setdefault(("line", line.name), []).append(name)
        groups.setdefault(("species", line.species), []).append(name)
    return [(*key, names) for key, names in sorted(groups.items())]
