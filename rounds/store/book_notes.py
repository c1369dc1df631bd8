"""The words of :mod:`rounds.store.start_notes`, for a start at which there may be something to say."""

from __future__ import annotations

from rounds.store import backup_sentences, backup_state, database_errors, synced_folder
from rounds.store.backup_ladder import folder_of
from rounds.store.book import Book


def told(book: Book, now_ms: int) -> list[str]:
    """What is wrong with the book's backups, and copies of it that lie beside it: a sentence each."""
    written, made = (
        int((book.row(sql) or (0,))[0] or 0) for sql in (backup_state.NEWEST, "SELECT made_ms FROM meta")
    )
    try:
        notes = [backup_state.what_is_wrong(book.path, written, made, now_ms)]
        copies = synced_folder.conflict_copies(book.path)
    except OSError as error:
        return [database_errors.sentence(error, folder_of(book.path))]
    if copies:
        notes.append(backup_sentences.copies_beside(copies[0].name, len(copies) - 1))
    return [note for note in notes if note]
