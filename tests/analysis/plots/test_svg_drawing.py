"""Drawings: readable XML, everything on the sheet, hostile names harmless."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rounds.analysis.pedigree import ancestor_tree
from rounds.analysis.pedigree.pedigree_checks import build
from rounds.analysis.pedigree.pedigree_table import Pedigree, PedigreeRow
from rounds.analysis.plots.svg_drawing import Drawing
from rounds.analysis.trial import survival_plot
from rounds.analysis.trial.brood_counts import BroodCount
from rounds.analysis.trial.verdict import verdict
from tests.sampled import sampled


def outside(svg: str) -> list[str]:
    """Marks with a coordinate off the sheet."""
    root = ElementTree.fromstring(svg)
    width, height = float(root.attrib["width"]), float(root.attrib["height"])
    found = []
    for e in root.iter():
        for name, value in e.attrib.items():
            if name in ("x", "x1", "x2", "cx") and not 0 <= float(value) <= width:
                found.append(f"{e.tag} {name} {value}")
            if name in ("y", "y1", "y2", "cy") and not 0 <= float(value) <= height:
                found.append(f"{e.tag} {name} {value}")
    return found


def test_control_a_mark_off_the_sheet_is_found() -> None:
    svg = Drawing(100, 50, "t")
    svg.line(0, 0, 101, 10)
    svg.text(5, 60, "low")
    assert len(outside(svg.svg())) == 2


@given(st.text(max_size=40))
def test_any_words_make_readable_xml(words: str) -> None:
    svg = Drawing(10, 10, words)
    svg.text(1, 1, words)
    root = ElementTree.fromstring(svg.svg())
    assert len(root) == 3


@settings(max_examples=sampled(6, 100))
@given(
    st.lists(st.integers(0, 30), min_size=1, max_size=9), st.lists(st.integers(0, 30), min_size=1, max_size=9)
)
def test_a_trial_of_any_size_fits_its_sheet(one: list[int], other: list[int]) -> None:
    rows = [BroodCount("outcross", f"o{i}", 30, y) for i, y in enumerate(one)]
    rows += [BroodCount("sib", f"s{i}", 30, y) for i, y in enumerate(other)]
    v = verdict(rows, "outcross")
    assert v is not None
    assert outside(survival_plot.drawn(v).svg()) == []


@pytest.mark.parametrize("depth", range(5))
def test_a_tree_of_any_depth_fits_its_sheet(depth: int) -> None:
    rows = [PedigreeRow("m0", sex="m"), PedigreeRow("f0", sex="f"), PedigreeRow("g", sex="group")]
    for k in range(1, 6):
        rows += [
            PedigreeRow(f"m{k}", (f"m{k - 1}",), f"f{k - 1}", "m"),
            PedigreeRow(f"f{k}", (f"m{k - 1}", "?"), f"f{k - 1}", "f"),
        ]
    rows.append(PedigreeRow("x", ("g",), "g"))
    p, problems = build(rows)
    assert p is not None, problems
    trees = ancestor_tree.ancestors(p, ["m5", "f5"], depth)
    assert outside(ancestor_tree.drawn(trees, "t").svg()) == []
    lines = ancestor_tree.as_text(trees)
    assert lines[0] == "m5" + ("" if depth else " …")
    if depth:
        # Several possible sires are named and none of them is followed.
        assert any(line.startswith("├ father m4 or ?") and line.endswith("…") for line in lines)
    assert ancestor_tree.as_text(ancestor_tree.ancestors(p, ["x"], 1)) == [
        "x",
        "├ father g (group)",
        "└ mother g (group)",
    ]
    assert any("unknown" in line for line in ancestor_tree.as_text(ancestor_tree.ancestors(_half(), ["y"])))


def _half() -> Pedigree:
    p, _ = build([PedigreeRow("a", sex="f"), PedigreeRow("y", (), "a")])
    assert p is not None
    return p
