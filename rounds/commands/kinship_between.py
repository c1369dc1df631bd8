"""``rounds kinship --between``: two animals, their kinship and where it comes from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rounds.commands import kinship_sentences
from rounds.commands.output import print_document

if TYPE_CHECKING:
    from rounds.analysis.pedigree.pedigree_table import Pedigree


def print_between(p: Pedigree, pair: tuple[str, str], svg: Path | None, form: str) -> None:
    """The kinship of a pair, what adds up to it at either end, and the tree; ``svg`` draws the tree.

    Raises NoSuchAnimal, RoundsError for a drawing that cannot be written.
    """
    from rounds.analysis.pedigree.ancestor_tree import ancestors, drawn
    from rounds.analysis.pedigree.kinship import between
    from rounds.commands.plotting import write_plot
    from rounds.reports.between_report import between_report

    found = between(p, *pair)
    trees = ancestors(p, pair if pair[0] != pair[1] else pair[:1])
    if svg is not None:
        write_plot(svg, drawn(trees, kinship_sentences.tree_title(pair)))
    print_document(between_report(p, pair, found, trees), form)
