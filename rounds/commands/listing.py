"""What listings of the analysis commands share: rows as CSV, files read and written with care."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from pathlib import Path

import click

from rounds.problems import BadInput, Problem, RoundsError


def as_csv(columns: Sequence[str], records: Sequence[Mapping[str, object]]) -> str:
    """Rows of a listing as CSV (RFC 4180): numbers at full precision, texts that no spreadsheet runs."""
    from rounds.files.cells_out import guarded
    from rounds.text.cleaning import clean

    def cell(value: object) -> object:
        kind = type(value)
        if kind is float or kind is int or value is None:  # the writer writes these in full
            return value
        if kind is bool:
            return "yes" if value else "no"
        if isinstance(value, (list, tuple)):
            value = "; ".join(map(str, value))
        return guarded(clean(str(value), 4000))

    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    writer.writerows([cell(record.get(name)) for name in columns] for record in records)
    return out.getvalue()


def finite(value: float | None) -> float | None:
    """A number that JSON has; None for one without end, which says "no limit"."""
    from math import isfinite

    return value if value is not None and isfinite(value) else None


def read_lines(path: Path) -> list[str]:
    """The lines of a text file with their ends. Raises BadInput for a folder or for what is not UTF-8."""
    try:
        data = path.read_bytes()
    except OSError as e:
        raise BadInput([Problem(str(path), 0, 0, f"cannot be read: {e.strerror}.")]) from e
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        line = data[: e.start].count(b"\n") + 1
        column = e.start - (data.rfind(b"\n", 0, e.start) + 1) + 1
        raise BadInput(
            [Problem(str(path), line, column, "is not UTF-8 text.", "Save the file as CSV in UTF-8.")]
        ) from e
    return io.StringIO(text, newline="").readlines()


def write_new(path: Path, data: str | bytes, option: str) -> None:
    """Write a file that is not there yet; one that cannot be finished is taken away again. Raises RoundsError."""
    try:
        with path.open("xb") as f:
            try:
                f.write(data.encode("utf-8") if isinstance(data, str) else data)
                f.flush()
            except OSError:
                path.unlink()
                raise
    except FileExistsError as e:
        raise RoundsError(f"{option}: {path} is there already. Name a new file.") from e
    except OSError as e:
        raise RoundsError(f"{option}: {path} cannot be written: {e.strerror}.") from e


def print_records(records: Sequence[Mapping[str, object]], columns: tuple[str, ...], form: str) -> None:
    """Rows of a listing as CSV or JSON."""
    from rounds.text.cleaning import json_text

    if form == "csv":
        click.echo(as_csv(columns, records).encode("utf-8"), nl=False)
    else:
        click.echo(json_text(list(records)))


def amount(low: float, high: float) -> str:
    """``0.2500``, or ``0.0000–0.2500`` where only a range is known."""
    return f"{low:.4f}" if high - low < 5e-5 else f"{low:.4f}–{high:.4f}"
