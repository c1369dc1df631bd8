"""Files that are named on the command line, read and written with care."""

from __future__ import annotations

import io
import os
from contextlib import suppress
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


def write_file(path: Path, data: str | bytes, option: str, *, force: bool | None = None) -> None:
    """The whole file or none of it: written beside, then put in place. Raises RoundsError.

    Only with ``force`` one that is there is written over; None says that the command has no --force.
    """
    target = path.resolve()
    made = target.with_name(f".{target.name}.{os.getpid()}.part")
    try:
        with made.open("xb") as f:
            f.write(data.encode("utf-8") if isinstance(data, str) else data)
            f.flush()
            os.fsync(f.fileno())
        if force:
            os.replace(made, target)
        else:
            _put_new(made, target)
    except FileExistsError as e:
        said = file_sentences.is_there(option, str(path), or_force=force is not None)
        raise RoundsError(said) from e
    except OSError as e:
        raise RoundsError(file_sentences.cannot_be_written(option, str(path), e.strerror or str(e))) from e
    finally:
        with suppress(FileNotFoundError):
            made.unlink()


def _put_new(made: Path, target: Path) -> None:
    """Raises FileExistsError for what appeared meanwhile."""
    try:
        os.link(made, target)  # unlike a rename, never replaces anything
    except FileExistsError:
        raise
    except OSError:  # a file system without links
        os.rename(made, target)
