"""``rounds kinship --between``: two animals, their kinship and where it comes from."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from rounds.commands.listing import amount, print_records

if TYPE_CHECKING:
    from rounds.analysis.pedigree.ancestor_tree import Node
    from rounds.analysis.pedigree.kinship import Between, Shared
    from rounds.analysis.pedigree.pedigree_table import Pedigree

LOW_END = "low end, unknown parents unrelated"
HIGH_END = "high end, unknown parents full sibs of their line's founders"


def print_between(p: Pedigree, pair: tuple[str, str], svg: Path | None, form: str) -> None:
    """The kinship of a pair, what adds up to it at either end, and the tree; ``svg`` draws the tree.

    Raises NoSuchAnimal, RoundsError for a drawing that cannot be written.
    """
    from rounds.analysis.pedigree.ancestor_tree import ancestors, as_text, drawn
    from rounds.analysis.pedigree.kinship import between
    from rounds.commands.plotting import write_plot
    from rounds.text.cleaning import clean

    found = between(p, *pair)
    trees = ancestors(p, pair if pair[0] != pair[1] else pair[:1])
    if svg is not None:
        write_plot(svg, drawn(trees, f"Ancestors of {' and '.join(pair)}"), "--plot")
    if form != "text":
        records, columns = _between_records(pair, found)
        print_records(records, columns, form)
        return
    k = found.kinship
    note = "" if k.exact else " (outer bounds)"
    click.echo(clean(f"{_two(p, pair)} {amount(k.low, k.high)}{note}{_means(p, pair)}", 300))
    for title, parts in (
        (LOW_END, found.low_from),
        (HIGH_END, found.high_from if found.high_from != found.low_from else []),
    ):
        if parts:
            click.echo(f"\n{title}:")
            for part in parts:
                back = f", {part.steps[0]} and {part.steps[1]} generations back" if any(part.steps) else ""
                click.echo(f"  {part.adds:.4f}  {clean(_source(part), 120)}{back}")
    click.echo("\n" + "\n".join(as_text(trees)))
    if any(map(_marked, trees)):
        click.echo("* ancestor of both")


def _two(p: Pedigree, pair: tuple[str, str]) -> str:
    if pair[0] != pair[1]:
        return f"{pair[0]} and {pair[1]}: kinship"
    group = p.sex[p.at[pair[0]]] == "group"
    return f"{pair[0]}: kinship of two of its members" if group else f"{pair[0]}: kinship with itself"


def _means(p: Pedigree, pair: tuple[str, str]) -> str:
    """What a kinship stands for, where it does: two of one sex have no offspring."""
    sexes = [p.sex[p.at[a]] for a in pair]
    if pair[0] == pair[1]:
        return "" if sexes[0] == "group" else ", which is half of 1 + its own F"
    if sexes[0] == sexes[1] and sexes[0] in ("m", "f"):
        return f" (both are {'males' if sexes[0] == 'm' else 'females'})"
    return ", which is F of their offspring"


def _source(part: Shared) -> str:
    """An ancestor that adds to a kinship, or what else does."""
    if part.kind == "unknown":
        return f"parents not recorded{f' of line {part.name}' if part.name else ''}, taken as full sibs"
    if part.kind == "declared":
        return f"{part.name}, declared related"
    return part.kind if part.kind == "further back" else f"{part.name}{' (group)' * (part.kind == 'group')}"


def _marked(node: Node) -> bool:
    return node.shared or any(map(_marked, node.parents))


def _between_records(
    pair: tuple[str, str], found: Between
) -> tuple[list[dict[str, object]], tuple[str, ...]]:
    columns = ("a", "b", "end", "kinship", "exact", "ancestor", "kind", "adds", "steps_a", "steps_b")
    out: list[dict[str, object]] = []
    for end, value, parts in (
        ("low", found.kinship.low, found.low_from), ("high", found.kinship.high, found.high_from),
    ):  # fmt: skip
        head = (*pair, end, value, found.kinship.exact)
        rows: list[tuple[object, ...]] = [(x.name or None, x.kind, x.adds, *x.steps) for x in parts]
        rows = rows or [(None,) * 5]
        out += [dict(zip(columns, (*head, *row), strict=True)) for row in rows]
    return out, columns
