"""What ``rounds labels`` refuses and says beside the PDF."""

from __future__ import annotations

from rounds.text.plurals import many

NOTHING_TO_LABEL = "no box is in use, so there is nothing to label. `rounds record box` makes one."
NO_TERMINAL = "a PDF cannot be shown in a terminal. Name a file: --out labels.pdf."
LABELS_NEED = "labels need"
STANDARD_OUTPUT = "standard output"


def letters_lacking(letters: tuple[tuple[str, str], ...], *, more: bool, own_font: bool) -> str:
    """Each letter with what stands for it; ``more`` of them are not named."""
    some = ", ".join(f"{letter} as {instead}" for letter, instead in letters)
    hint = "Another font may have them." if own_font else "--font FILE takes a font that has them."
    return f"The font lacks some letters and prints {some}{' and more' if more else ''}. {hint}"


def written(labels: int, sheets: int, to: str) -> str:
    return f"{many(labels, 'label')} on {many(sheets, 'sheet')} → {to}"


def title(house: str) -> str:
    return f"Labels, {house}"


def is_folder(out: str) -> str:
    return f"--out: {out} is a folder. Name a file in it."


def no_pdf(out: str) -> str:
    return f"--out: {out} is no PDF, and --force only writes over one. Name another file."


def no_folder(folder: str) -> str:
    return f"--out: there is no folder {folder}. Make it first."
