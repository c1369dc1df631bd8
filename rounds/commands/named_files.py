"""Files that are named on the command line, read and written with care."""

from __future__ import annotations

import io
from pathlib import Path

from rounds.problems import BadInput, Problem, RoundsError


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
