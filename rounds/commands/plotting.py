"""Drawings into files: SVG or PNG, as the name of the file says."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from rounds.commands import file_sentences
from rounds.commands.output import tell
from rounds.problems import RoundsError, lacking

if TYPE_CHECKING:
    from rounds.analysis.plots.svg_drawing import Drawing

ENDINGS = (".svg", ".png")
OPTION = "--plot"
"""The option that names the file, as refusals call it."""


def checked(path: Path) -> Path:
    """The path, when a drawing can be written there: asked before anything long is computed.

    Raises RoundsError for another ending, a file that is there, and PNG without Pillow.
    """
    if path.suffix.lower() not in ENDINGS:
        raise RoundsError(file_sentences.no_drawing(OPTION, str(path)))
    if path.exists():
        raise RoundsError(file_sentences.is_there(OPTION, str(path), or_force=False))
    if path.suffix.lower() == ".png":
        from importlib.util import find_spec

        if find_spec("PIL") is None:
            raise RoundsError(file_sentences.no_png(lacking(file_sentences.png_needs(OPTION), "plots")))
    return path


def write_plot(path: Path, drawing: Drawing) -> None:
    """Write a drawing into a new file. Raises RoundsError as :func:`checked` does, or if it cannot be written."""
    from rounds.commands.named_files import write_file

    if checked(path).suffix.lower() == ".svg":
        write_file(path, drawing.svg(), OPTION)
        return
    from rounds.analysis.plots.png_drawing import png

    data, lost = png(drawing)
    write_file(path, data, OPTION)
    if lost:
        tell(file_sentences.letters_lacking(path.name, lost))
