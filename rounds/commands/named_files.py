"""Files that are named on the command line, read and written with care."""

from __future__ import annotations

import io
from pathlib import Path

from rounds.commands import file_sentences
from rounds.problems import BadInput, Problem, RoundsError


def read_lines(path: Path) -> list[str]:
    """The lines of a text file with their ends. Raises BadInput for a folder or for what is not UTF-8."""
    try:
        data = path.read_bytes()
    except OSError as e:
        raise BadInput([Problem(str(path), 0, 0, file_sentences.cannot_be_read(e.strerror or str(e)))]) from e
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as e:
        line = data[: e.start].count(b"\n") + 1
        column = e.start - (data.rfind(b"\n", 0, e.start) + 1) + 1
        wrong = Problem(str(path), line, column, file_sentences.NOT_UTF8, file_sentences.SAVE_AS_UTF8)
        raise BadInput([wrong]) from e
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
        raise RoundsError(file_sentences.is_there(option, str(path))) from e
    except OSError as e:
        raise RoundsError(file_sentences.cannot_be_written(option, str(path), e.strerror or str(e))) from e
