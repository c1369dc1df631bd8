"""``rounds draw``: the demo's pictures in letters and as files, and what is said where there is nothing to draw."""

from __future__ import annotations

import importlib.util
import shutil
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest

from rounds.analysis.plots import book_charts
from rounds.cli import run
from rounds.problems import EXIT_INPUT
from rounds.records.ledger import Ledger
from rounds.records.tables import Animal, Brood, Content, Fewer, Line, Weight
from rounds.values.spans import Span

SUBJECTS = {
    "rack": ("rack",),
    "shelves": ("shelves",),
    "growth": ("growth", "KESTREL"),
    "survival": ("survival", "UMBER"),
    "tree": ("tree", "UMBER/11", "UMBER/12"),
}


@pytest.fixture
def book(demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = Path(shutil.copy(demo_book, tmp_path / "book.sqlite"))
    monkeypatch.setenv("ROUNDS_BOOK", str(path))
    return path


@pytest.mark.parametrize("subject", SUBJECTS)
def test_each_subject_is_drawn_in_letters_and_into_files(
    subject: str, book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for ending in ("svg", "png"):
        file = tmp_path / f"{subject}.{ending}"
        assert run(["--today", "2026-03-02", "draw", *SUBJECTS[subject], "--plot", str(file)]) == 0
        said = capsys.readouterr()
        assert len(said.out.splitlines()) > 3
        assert said.err == "", "no letter is lost"
    root = ElementTree.fromstring((tmp_path / f"{subject}.svg").read_text(encoding="utf-8"))
    assert root[0].tag.endswith("title")
    assert len(root[0].text or "") > 5
    assert (tmp_path / f"{subject}.png").read_bytes()[:4] == b"\x89PNG"


@pytest.mark.parametrize(
    ("argv", "said"),
    [
        (("growth", "KESTRL"), "Did you mean `KESTREL`?"),
        (("survival", "nobody"), "no line and no brood `nobody`"),
        (("shelves", "--since", "2026-03-02"), "once a shelf on the walk"),
        (("tree", "UMBER/999"), "UMBER/999"),
        (("rack", "--plot", "rack.gif"), "neither .svg nor .png"),
    ],
)
def test_what_cannot_be_drawn_is_said(
    argv: tuple[str, ...], said: str, book: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["--today", "2026-03-02", "draw", *argv]) == EXIT_INPUT
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""


def test_without_the_library_a_png_says_how_to_get_it(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    real: Callable[..., object] = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name, *a: None if name == "PIL" else real(name, *a)
    )
    assert run(["draw", "rack", "--plot", str(tmp_path / "rack.png")]) == EXIT_INPUT
    told = capsys.readouterr().err
    assert "Pillow" in told
    assert "plots" in told
    assert "An .svg needs nothing." in told
    assert list(tmp_path.glob("rack.*")) == []


DAY = 739_000


def on(first: int, last: int | None = None) -> Span:
    return Span(DAY + first, DAY + (first if last is None else last))


def house() -> Ledger:
    """One line: an animal of a brood weighed twice, a larva of its group once, and weights nobody can place."""
    rows = [
        Line(id=1, name="K"),
        Brood(id=1, name="K-01", line=1, found=on(0), unsexed=6, instar="L1"),
        Brood(id=2, name="K-02", line=1, found=None, unsexed=0, instar="L1"),
        Animal(id=1, line=1, number="1", sex="f", brood=1),
        Animal(id=2, line=1, number="2", sex="m", brood=1, state="dead"),
        Content(id=1, enclosure=1, line=1, brood=1, unsexed=2, instar="L2"),
        Fewer(id=1, brood=1, how="dead", unsexed=1, instar="L1"),
        Weight(id=1, animal=1, made=on(20), grams=4.0),
        Weight(id=2, animal=1, made=on(40), grams=9.0),
        Weight(id=3, content=1, made=on(30, 34), grams=7.0),
        Weight(id=4, animal=2, made=None, grams=5.0),
    ]
    tables: dict[str, dict[int, object]] = {}
    for row in rows:
        tables.setdefault(row.table, {})[row.id] = row
    return Ledger(tables)  # type: ignore[arg-type]


def test_growth_joins_what_is_of_one_animal_and_leaves_out_what_has_no_day() -> None:
    shown = book_charts.growth(house(), {1}, "K")
    assert shown is not None
    tracks = {series.name: series.tracks for series in shown.series}
    assert tracks == {
        "females": (((20, 20, 4.0), (40, 40, 9.0)),),
        "not sexed": (((30, 34, 7.0),),),
    }
    assert shown.notes == ("1 weighing left out: no day, or no brood with a day",)
    assert book_charts.growth(house(), {2}, "K-02") is None


def test_survival_is_a_range_where_some_were_never_found_again() -> None:
    """Six were counted: one animal and two of the group live, an animal and one of the group died; one is nowhere."""
    ledger = house()
    shown = book_charts.survival(ledger, list(ledger.rows(Brood)), "K")
    assert shown is not None
    assert [(row.name, row.low, row.high, row.said) for row in shown.rows] == [
        ("K-01", 3 / 6, 4 / 6, "3 to 4 of 6")
    ]
    assert shown.notes == ("1 brood left out: no count",)
