"""Entries that could not be saved before the program had to leave.

They are written as JSON lines beside the book, or into the folder for temporary files if
that cannot be written, and put into the book at the next start. Entries are assignments,
so a file that is replayed twice, or was half saved before, does no harm. The first line says
which book they are of; they are put into no other one.
"""

from __future__ import annotations

import hashlib
import json
import os
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rounds.problems import BookError
from rounds.records import entries as kinds
from rounds.records.entries import Entry
from rounds.records.observations import Action, Flag
from rounds.store import database_errors, disk
from rounds.store.apply_entries import EntryRefused, apply
from rounds.store.book import Book
from rounds.store.cell_codec import Unsavable, unpack
from rounds.store.ids import now_ms
from rounds.store.orm import pw

if TYPE_CHECKING:
    from rounds.acts.act import Settings

_KINDS: dict[str, Any] = {
    kind.__name__: kind
    for kind in (
        kinds.OpenRound,
        kinds.OpenVisit,
        kinds.Assign,
        kinds.SetFlag,
        kinds.SetActionEntry,
        kinds.UndoStep,
        kinds.StandAt,
        kinds.LeaveRound,
        kinds.CloseRound,
        kinds.RecordActEntry,
        kinds.UndoActEntry,
    )
}


OF_BOOK = "entries_of_book"
"""The one field of a rescue file's first line: the book's identity in hex."""


def to_line(entry: Entry) -> str:
    """One JSON object: the entry's kind and its fields. Any text is kept, also one no book takes."""
    fields = {k: v._asdict() if isinstance(v, (Action, Flag)) else v for k, v in entry._asdict().items()}
    return json.dumps({"entry": type(entry).__name__, **fields}, default=_bytes, separators=(",", ":"))


def _bytes(value: object) -> object:
    if isinstance(value, bytes):
        return {"$bytes": value.hex()}
    if hasattr(value, "items"):
        return dict(value.items())
    raise TypeError(f"{type(value).__name__} cannot be kept in a rescue file")


def from_line(line: str) -> Entry:
    """The entry of one line. Raises ValueError for a line that is none."""
    try:
        fields = unpack(line)
        kind = _KINDS[fields.pop("entry")]
        if "action" in fields:
            fields["action"] = Action(**fields["action"])
        if "flag" in fields:
            fields["flag"] = Flag(**fields["flag"])
        for name in ("bays", "unseen"):
            if name in fields:
                fields[name] = tuple(fields[name])
        entry: Entry = kind(**fields)
    except (KeyError, TypeError, AttributeError) as error:
        raise ValueError(f"not an entry: {error}") from error
    return entry


def write(path: Path, entries: Sequence[Entry], book_id: bytes = b"") -> Path:
    """Write ``entries`` to a new rescue file of the book at ``path``, flushed to the disk.

    ``book_id`` is the book's :attr:`~rounds.store.book.Book.identity`: another one may stand
    at its path by now, or at the next start. Without it any book there takes them. Returns where. Raises BookError if neither place can be written.
    """
    text = json.dumps({OF_BOOK: book_id.hex()}) + "\n" if book_id else ""
    text += "".join(to_line(entry) + "\n" for entry in entries)
    troubles = []
    for folder, stem in _places(path):
        try:
            return _write(folder, stem, text)
        except OSError as error:
            troubles.append(f"{folder}: {error.strerror or error}")
    raise BookError(f"{len(entries)} entries could not be saved anywhere ({'; '.join(troubles)}).")


def _places(path: Path) -> list[tuple[Path, str]]:
    whole = path.absolute()
    # The temporary folder is shared by all books, so the name says whose it is.
    mark = hashlib.blake2b(os.fsencode(whole), digest_size=6).hexdigest()
    return [(whole.parent, whole.name), (Path(tempfile.gettempdir()), f"rounds-{mark}")]


def _write(folder: Path, stem: str, text: str) -> Path:
    at = now_ms()
    part = folder / f".{stem}.{os.getpid()}.{at}.part"  # half a file must not look like a whole one
    try:
        with disk.private(), part.open("x", encoding="utf-8") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        while True:
            try:
                disk.put_in_place(part, done := folder / f"{stem}.unsaved-{at}.jsonl")
                return done
            except FileExistsError:
                at += 1
    finally:
        part.unlink(missing_ok=True)


def pending(path: Path) -> list[Path]:
    """Rescue files of the book at ``path`` that were not replayed yet, oldest first.

    In the folder for temporary files only those of this very user are trusted.
    """
    return sorted(_beside(path, ""), key=lambda file: (int(file.stem.rsplit("-", 1)[1]), file.name))


def refused(path: Path) -> list[Path]:
    """Files with entries that could never be put into the book at ``path`` (see :func:`replay`)."""
    return _beside(path, ".refused")


def _beside(path: Path, ending: str) -> list[Path]:
    found: list[Path] = []
    for folder, stem in _places(path):
        for name in disk.names_in(folder):
            if not (name.startswith(f"{stem}.unsaved-") and name.endswith(f".jsonl{ending}")):
                continue
            file = folder / name
            if not file.is_symlink() and _is_own(file):
                found.append(file)
    return found


def _is_own(file: Path) -> bool:
    if sys.platform == "win32":  # each user has a temporary folder of their own there
        return True
    return file.stat().st_uid == os.geteuid()


def replay(book: Book, settings: Callable[[], Settings] | None = None) -> list[str]:
    """Put what was rescued into the book, each file in one transaction, and rename the file.

    ``settings`` gives what acts are planned with. Returns a sentence per file. Entries that can never be written stay in a file whose
    name ends in ``.refused``. Raises BookError for a file that is not a rescue file and
    for a book that cannot be written; the file then stays as it is.
    """
    said = []
    for file in pending(book.path):
        try:
            lines = file.read_text(encoding="utf-8").splitlines()
        except (OSError, UnicodeDecodeError) as error:
            raise BookError(f"{file}: the rescued entries cannot be read ({error}).") from error
        named, lines = _book_named(lines)
        if named not in ("", book.identity.hex()):
            said.append(
                f"{file} holds entries of another book that stood here; they are left there. Move the file to that book."
            )
            continue
        entries: list[Entry] = []
        for number, line in enumerate(lines, 2 if named else 1):
            try:
                entries.append(from_line(line))
            except ValueError as error:
                raise BookError(
                    f"{file}:{number}  this is no rescued entry ({error}). Move the file away to go on without it."
                ) from error
        said.append(_replay(book, file, entries, settings))
    return said


def _book_named(lines: list[str]) -> tuple[str, list[str]]:
    """Which book the lines say they are of, or nothing; and the lines of entries."""
    try:
        match unpack(lines[0]) if lines else None:
            case {"entries_of_book": str(named)}:
                return named, lines[1:]
    except ValueError:
        pass  # the line is none of ours; it is told of with its number
    return "", lines


def _replay(book: Book, file: Path, entries: Sequence[Entry], settings: Callable[[], Settings] | None) -> str:
    refused: list[Entry] = []
    why = ""
    try:
        with book.writing():
            for entry in entries:
                book.run("SAVEPOINT entry")
                try:
                    apply(book, [entry], settings)
                except (Unsavable, pw.IntegrityError) as error:
                    why = why or (str(error) if isinstance(error, EntryRefused) else "")
                    book.run("ROLLBACK TO entry")
                    refused.append(entry)
                book.run("RELEASE entry")
    except pw.DatabaseError as error:
        why = database_errors.sentence(error, book.path).removeprefix(f"{book.path}: ")
        raise BookError(f"{file}: the rescued entries could not be put into the book: {why}") from error
    saved = len(entries) - len(refused)
    they = (
        "1 entry that could not be saved last time is"
        if saved == 1
        else f"{saved} entries that could not be saved last time are"
    )
    sentence = f"{they} in the book now."
    if refused:
        kept = file.with_name(file.name + ".refused")
        with disk.private():
            kept.write_text("".join(to_line(entry) + "\n" for entry in refused), encoding="utf-8")
        disk.sync_file(kept)
        sentence += f" {len(refused)} cannot be written and are kept in {kept}."
        sentence += f" {why}" if why else ""
    os.rename(file, file.with_name(file.name + ".replayed"))
    disk.sync_folder(file.parent)
    return sentence
