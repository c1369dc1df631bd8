"""``rounds labels`` from end to end: what is written, what is refused, what is loaded."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from datetime import date
from pathlib import Path

import pypdfium2
import pytest
from fontTools.fontBuilder import FontBuilder
from fontTools.pens.ttGlyphPen import TTGlyphPen

from rounds.cli import run
from rounds.files import label_pdf
from rounds.files.label_content import Label, Wordings
from rounds.files.label_sheet import sheet
from rounds.problems import EXIT_INPUT, RoundsError
from tests.conftest import demo_of
from tests.files.folders import HOUSE, write
from tests.screens import hostile
from tests.screens.test_sweep import steering

ROOT = Path(__file__).parents[2]
DAY = "2026-03-01"
KEYS = {"g": "go", "tab": "scan"}


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return demo_of(date.fromisoformat(DAY).toordinal(), tmp_path_factory)


def labels(book: Path, *more: str) -> int:
    return run(["--book", str(book), "--today", DAY, "labels", *more])


def said(pdf: Path | bytes) -> str:
    with pypdfium2.PdfDocument(pdf) as document:
        return "\n".join(page.get_textpage().get_text_range() for page in document)


def test_a_file_or_a_pipe_gets_the_same(
    book: Path, tmp_path: Path, capfdbinary: pytest.CaptureFixture[bytes]
) -> None:
    out = tmp_path / "labels.pdf"
    assert labels(book, "--out", str(out)) == 0
    told = capfdbinary.readouterr()
    assert told.out == b""
    assert told.err.decode() == f"60 labels on 3 sheets → {out}\n"
    for more in ((), ("--out", "-")):
        assert labels(book, *more) == 0
        told = capfdbinary.readouterr()
        assert told.out == out.read_bytes()
        assert told.err.decode() == "60 labels on 3 sheets → standard output\n"
    assert stat.S_IMODE(out.stat().st_mode) & 0o400
    assert [p.name for p in tmp_path.iterdir()] == ["labels.pdf"]


def test_one_label_is_said_in_the_singular(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert labels(book, "14", "--paper", "62x29", "--out", str(tmp_path / "one.pdf")) == 0
    assert capsys.readouterr().err.startswith("1 label on 1 sheet → ")
    assert "TL-014 no. 14" in said(tmp_path / "one.pdf")


def test_several_words_are_added_together_in_shelf_order(book: Path, tmp_path: Path) -> None:
    out = tmp_path / "some.pdf"
    assert labels(book, "stage=cell", "TL-003", "SORREL", "--out", str(out)) == 0
    codes = [line.split()[0] for line in said(out).splitlines() if line.startswith("TL-")]
    assert len(codes) == len(set(codes)) > 8
    assert "TL-003" in codes


def test_nothing_is_written_over_unless_asked(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "labels.pdf"
    out.write_bytes(b"%PDF-1.3 an earlier one")
    assert labels(book, "14", "--out", str(out)) == EXIT_INPUT
    assert "is there already. Name a new file, or add --force" in capsys.readouterr().err
    assert out.read_bytes() == b"%PDF-1.3 an earlier one"
    assert labels(book, "14", "--out", str(out), "--force") == 0
    assert "TL-014" in said(out)


def test_force_never_writes_over_what_is_no_pdf(book: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = book.read_bytes()
    assert labels(book, "14", "--out", str(book), "--force") == EXIT_INPUT
    assert "is no PDF, and --force only writes over one" in capsys.readouterr().err
    assert book.read_bytes() == before


def test_what_cannot_be_written_leaves_what_was_there(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for out, told in (
        (tmp_path, "is a folder"),
        (tmp_path / "no" / "x.pdf", "there is no folder"),
        (tmp_path / ("x" * 300), "cannot be written"),
    ):
        assert labels(book, "14", "--out", str(out)) == EXIT_INPUT
        assert told in capsys.readouterr().err
    out = tmp_path / "labels.pdf"
    out.write_bytes(b"%PDF-1.3 an earlier one")

    def full(handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert labels(book, "14", "--out", str(out), "--force") == EXIT_INPUT
    assert "cannot be written: No space left on device." in capsys.readouterr().err
    assert out.read_bytes() == b"%PDF-1.3 an earlier one"
    assert [p.name for p in tmp_path.iterdir()] == ["labels.pdf"]


def test_a_file_that_appears_meanwhile_is_kept(
    book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "labels.pdf"
    draw = label_pdf.draw

    def slow(*given: object) -> object:
        out.write_bytes(b"somebody else's")
        return draw(*given)  # type: ignore[arg-type]

    monkeypatch.setattr(label_pdf, "draw", slow)
    assert labels(book, "14", "--out", str(out)) == EXIT_INPUT
    assert out.read_bytes() == b"somebody else's"
    assert len(list(tmp_path.iterdir())) == 1


def test_everything_wrong_is_told_at_once_and_nothing_is_written(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "labels.pdf"
    more = ("TL-0144", "B9", "--paper", "a9", "--grid", "3x8 7x", "--out", str(out))
    assert labels(book, *more) == EXIT_INPUT
    told = capsys.readouterr()
    assert told.out == ""
    assert [line.split("  ")[0] for line in told.err.splitlines()] == [
        "--grid:1:5",
        "--paper",
        "`B9`",
        "`TL-0144`",
    ]
    assert "Did you mean `TL-044`?" in told.err
    assert not out.exists()


def test_stickers_too_small_for_a_code_are_refused(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "labels.pdf"
    assert labels(book, "--grid", "5x20 20x10", "--out", str(out)) == EXIT_INPUT
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 1
    assert told[0].startswith("--grid  a label of 20 × 10 mm is too small for a QR code that can be read")
    assert labels(book, "--paper", "30x20", "--out", str(out)) == EXIT_INPUT
    assert capsys.readouterr().err.startswith("--paper  a label of 30 × 20 mm is too small")
    assert not out.exists()


def test_only_some_labels_too_small_are_named() -> None:
    some = [
        Label(code, "no. 1", (Wordings(("x",)),), code)
        for code in ("TL-1", "a-code-of-thirty-six-letters-in-all")
    ]
    with pytest.raises(RoundsError) as caught:
        label_pdf.draw(some, sheet("33x15", None), KEYS, 1, "", 739_676)
    assert str(caught.value).startswith(
        "a-code-of-thirty-six-letters-in-all  a label of 33 × 15 mm is too small"
    )


def test_an_empty_book_has_nothing_to_label(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "empty.sqlite"
    assert run(["new", str(path)]) == 0
    assert labels(path, "--out", str(tmp_path / "x.pdf")) == EXIT_INPUT
    assert "nothing to label" in capsys.readouterr().err


@pytest.mark.parametrize("library", ["fpdf", "segno"])
def test_without_the_extra_it_says_what_to_install(
    book: Path,
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
    library: str,
) -> None:
    monkeypatch.setitem(sys.modules, library, None)
    assert labels(book, "14", "--out", str(tmp_path / "x.pdf")) == EXIT_INPUT
    assert capsys.readouterr().err == (
        "labels need the libraries fpdf2 and segno, not all of which are here. In the folder of rounds: "
        ".venv/bin/pip install -e '.[labels]' (elsewhere: pip install 'rounds[labels]').\n"
    )
    assert list(tmp_path.iterdir()) == []


def test_a_terminal_gets_no_pdf(
    book: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert labels(book, "14") == EXIT_INPUT
    told = capsys.readouterr()
    assert told.out == ""
    assert "Name a file: --out labels.pdf" in told.err


def test_help_and_mistakes_load_no_library_for_labels(book: Path) -> None:
    code = (
        "import sys; from rounds.cli import run\n"
        "assert run(['--help']) == run(['labels', '--help']) == 0\n"
        f"assert run(['--book', {str(book)!r}, 'labels', 'nowhere']) == 2\n"
        "heavy = {'fpdf', 'segno', 'PIL', 'fontTools', 'numpy', 'textual'}\n"
        "print(sorted(heavy & {m.partition('.')[0] for m in sys.modules}))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "[]"


# Hostile texts, and letters a font lacks


def test_no_text_of_the_book_steers_a_label_or_the_terminal(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = hostile.book(tmp_path, hostile.config(tmp_path / "config"))
    out = tmp_path / "labels.pdf"
    assert labels(path, "--out", str(out)) == 0
    told = capsys.readouterr()
    for line in (*told.out.splitlines(), *told.err.splitlines(), *said(out).replace("\r", "").splitlines()):
        assert not steering(line.replace("\ufffe", "")), "the reader marks hyphens at line ends by itself"
    assert "The font lacks some letters and prints " in told.err
    assert "い as ?" in told.err
    assert "U+0301 as ?" in told.err
    assert labels(path, hostile.TEXTS["csi"], "--out", str(tmp_path / "two.pdf")) in (0, EXIT_INPUT)
    assert not steering(capsys.readouterr().err.rstrip("\n").replace("\n", " "))


def test_a_letter_the_font_lacks_is_its_plain_one_or_a_question_mark() -> None:
    made = Label("Ő-黒", "no. 1", (Wordings(("Käfer × 1–2 …",)),), "1")
    drawn = label_pdf.draw([made], sheet("62x29", None), KEYS, 1, "", 739_676)
    assert drawn.replaced == {"Ő": "O", "黒": "?"}
    text = said(drawn.data)
    assert "O-?" in text
    assert "Käfer × 1–2 …" in text


def font(path: Path, letters: str) -> Path:
    """A font of boxes: every letter is a square."""
    pen = TTGlyphPen(None)
    for step, at in (
        (pen.moveTo, (50, 0)),
        (pen.lineTo, (50, 500)),
        (pen.lineTo, (450, 500)),
        (pen.lineTo, (450, 0)),
    ):
        step(at)
    pen.closePath()
    square = pen.glyph()
    names = [".notdef", *(f"u{ord(c):04x}" for c in letters)]
    made = FontBuilder(1000, isTTF=True)
    made.setupGlyphOrder(names)
    made.setupCharacterMap({ord(c): f"u{ord(c):04x}" for c in letters})
    made.setupGlyf(dict.fromkeys(names, square))
    made.setupHorizontalMetrics(dict.fromkeys(names, (500, 50)))
    made.setupHorizontalHeader(ascent=800, descent=-200)
    made.setupNameTable({"familyName": "Squares", "styleName": "Regular"})
    made.setupOS2()
    made.setupPost()
    made.save(path)
    return path


def test_a_font_of_ones_own_shows_what_it_has(
    book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    ascii_ = "".join(map(chr, range(32, 127)))
    mine = font(tmp_path / "mine.ttf", ascii_ + "Ő黒")
    made = Label("Ő-黒", "no. 1", (Wordings(("A × B – č …",)),), "1")
    drawn = label_pdf.draw([made], sheet("62x29", None), KEYS, 1, "", 739_676, mine)
    assert drawn.replaced == {"×": "x", "–": "-", "č": "c", "…": "..."}
    nothing = label_pdf.draw(
        [made._replace(lines=(Wordings(("plain",), ("č…",)),))],
        sheet("62x29", None),
        KEYS,
        1,
        "",
        739_676,
        mine,
    )
    assert nothing.replaced == {}, "what is not printed is not spoken of"
    text = said(drawn.data)
    assert "Ő-黒" in text
    assert "A x B - c ..." in text
    assert labels(book, "TL-009", "--font", str(mine), "--out", str(tmp_path / "x.pdf")) == 0
    assert "prints × as x" in capsys.readouterr().err


def test_what_is_no_font_is_refused(book: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    whole = font(tmp_path / "whole.ttf", "abc").read_bytes()
    for name, data in (("text.ttf", b"no font"), ("empty.ttf", b""), ("half.ttf", whole[: len(whole) // 2])):
        (tmp_path / name).write_bytes(data)
        assert (
            labels(book, "14", "--font", str(tmp_path / name), "--out", str(tmp_path / "x.pdf")) == EXIT_INPUT
        )
        told = capsys.readouterr().err
        assert told.startswith(f"--font: {tmp_path / name} is no font that can be used (")
        assert len(told.splitlines()) == 1
    assert not (tmp_path / "x.pdf").exists()
    assert labels(book, "14", "--font", str(tmp_path / "whole.ttf"), "--out", str(tmp_path / "x.pdf")) == 0


def test_another_layout_is_what_the_codes_type(tmp_path: Path, book: Path) -> None:
    import zxingcpp

    made = Label("TL-1", "no. 1", (Wordings(("x",)),), "TL-1")
    drawn = label_pdf.draw([made], sheet("62x29", None), {"!": "scan", "g": "go"}, 1, "", 739_676)
    with pypdfium2.PdfDocument(drawn.data) as document:
        image = document[0].render(scale=4).to_pil()
    assert [c.bytes for c in zxingcpp.read_barcodes(image)] == [b"!TL-1\r"]


def test_a_small_house_of_ones_own(tmp_path: Path) -> None:
    path = tmp_path / "own.sqlite"
    assert run(["new", str(path), "--zone", "Europe/Berlin"]) == 0
    own = {k: v for k, v in HOUSE.items() if k not in ("house", "visits", "readings")}
    assert run(["--book", str(path), "load", str(write(tmp_path / "tables", own))]) == 0
    assert labels(path, "--paper", "100x40", "--out", str(tmp_path / "x.pdf")) == 0
    text = said(tmp_path / "x.pdf").replace("\r\n", "\n")
    assert "TL-001 no. 1\nMecynorhina torquata, pairing since 1 Feb 2026\nUMBER/1 m × UMBER/2 f" in text
    assert "Dicronorhina derbyana, larvae (printed 1 Mar 2026)\nLOCH at least 0.0.9 L2" in text
