"""Bringing an older book up to date: a verified backup, then one transaction per step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from rounds import __version__
from rounds.problems import BookError
from rounds.store.ids import now_ms
from rounds.store.log_stamps import put_next_stamp
from rounds.store.migration_steps import MigrationStep
from rounds.store.orm import pw, run
from rounds.store.row_checksums import columns_of, forget_columns, seal_all, tables_of


def version_of(db: pw.SqliteDatabase) -> int:
    return int(run(db, "SELECT schema FROM meta").fetchone()[0])


def migrate(db: pw.SqliteDatabase, path: Path, steps: Sequence[MigrationStep]) -> str:
    """Run the steps the book has not had, each with its record in one transaction.

    Killed at any moment, the book is at one version or the next, never between, and another
    run goes on from there. Returns a sentence for the keeper. Raises BookError if the
    backup fails, a step is missing, or a step leaves references to nothing.
    """
    from rounds.store.backup import back_up

    before = version_of(db)
    wanted = [step for step in sorted(steps, key=lambda step: step.version) if step.version > before]
    if [step.version for step in wanted] != list(range(before + 1, before + 1 + len(wanted))):
        raise BookError(f"{path}: this program cannot bring schema {before} up to date: a step is missing.")
    copy = back_up(path, reason=f"before-schema-{wanted[-1].version}")
    run(db, "PRAGMA foreign_keys = OFF")  # it cannot be changed inside a transaction
    try:
        for step in wanted:
            _take(db, path, step)
    finally:
        run(db, "PRAGMA foreign_keys = ON")
    return f"The book was brought from schema {before} to {wanted[-1].version}; a backup is at {copy}."


def _shapes(db: pw.SqliteDatabase) -> dict[str, tuple[str, ...]]:
    """The hashed columns of every table with checksums."""
    forget_columns(db)
    return {table: columns_of(db, table) for table in tables_of(db)}


def _seal_what_changed(db: pw.SqliteDatabase, before: Mapping[str, tuple[str, ...]]) -> None:
    """Rows of tables that got or changed columns get new checksums: they vouch from this day on, not before.

    What the backup made first has found sound is what they are made of.
    """
    for table, names in _shapes(db).items():
        if before.get(table, names) != names:
            run(db, f'UPDATE "{table}" SET crc = NULL')
    seal_all(db)


def _take(db: pw.SqliteDatabase, path: Path, step: MigrationStep) -> None:
    run(db, "BEGIN IMMEDIATE")
    try:
        # Another program may have been quicker between our look and our lock.
        if version_of(db) < step.version:
            put_next_stamp(db)
            before = _shapes(db)
            step.run(db)
            _seal_what_changed(db, before)
            lost = run(db, "PRAGMA foreign_key_check").fetchone()
            if lost is not None:
                raise BookError(
                    f"{path}: the step to schema {step.version} would leave `{lost[0]}` referring to nothing in"
                    f" `{lost[2]}`. The book is as it was."
                )
            run(
                db,
                "INSERT INTO schema_step (version, title, at_ms) VALUES (?, ?, ?)",
                (step.version, step.title, now_ms()),
            )
            run(db, "UPDATE meta SET schema = ?, needs = ?", (step.version, __version__))
        run(db, "COMMIT")
    except BaseException:
        if db.connection().in_transaction:  # type: ignore[no-untyped-call]
            run(db, "ROLLBACK")
        raise
