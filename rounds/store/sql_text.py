"""Where this package says SQL as text, and why not with peewee's builder.

Everything else is asked with the builder on the models, which is shorter, checked by the type
checker, and the same on a server. A new statement as text needs a place here: the function it
stands in, how many statements that has, and a reason that holds. A test walks the syntax
trees. What is portable (:data:`STARTS`, :data:`WALKS`, :data:`EVERY_SECOND`, :data:`COMES_BY_THE_MILLION`) also runs
on a PostgreSQL in a test.

What the reasons rest on, measured with Python 3.11 and peewee 4.5 on a book of 1,000 boxes:

- Importing the models takes 33 to 49 ms of processor time (a class of peewee's is slow to
  make, and there are 45). A start has some 30 ms for all of our own code, so what it reads
  cannot be asked with models.
- One row by its key, as a key waits for it: 0.004 ms as text, 0.18 with the builder. A key has
  five to ten such statements, and 200 keys in a burst are one transaction.
- The last 30 visits of a box take 0.05 ms as text, 0.28 with the builder.
- The builder needs 2.3 ms for the 500 values of one ``IN (…)``, which takes SQLite 0.1 ms. So
  long lists go into a query as one piece of text (:func:`rounds.store.orm.one_of`).
"""

from __future__ import annotations

STARTS = {
    "book.Book.identity": 1,
    "keepers.keeper_id": 2,
    "read_house.house": 1,
    "read_house.keepers": 1,
    "read_house.enclosures": 1,
    "read_house._contents": 1,
    "read_house._companies": 1,
    "read_house.locks": 1,
    "read_house.dues": 1,
    "read_rounds": 1,
    "read_rounds.newest_rows": 1,
    "read_rounds.walked": 1,
    "read_rounds.last_round_day": 1,
    "read_rounds.unfinished_rounds": 1,
    "read_rounds.steps_of": 1,
    "read_rounds.walked_elsewhere": 1,
    "read_rounds.known_actions": 1,
    "read_rounds.not_seen": 2,
    "read_visits.history": 2,
    "read_visits.last_visits": 2,
    "read_visits.newest_with": 2,
    "read_visits._in_order": 2,
    "read_visits.visits_of_round": 2,
    "read_visits.last_days": 5,
    "read_visits.shelf_history": 2,
    "read_visits.visits_by_id": 3,
    "read_visits._rounds": 1,
    "read_visits._seen": 1,
    "read_visits._Known.__init__": 1,
    "read_visits._Decoded.__missing__": 1,
    "models": 1,
}
"""What a start reads before the first screen or right after it: no models there. The last is the view it reads."""

WALKS = {
    "ended_actions.ended_with": 1,
    "apply_entries._Writing.round": 1,
    "apply_entries._Writing.visit": 1,
    "apply_entries._open_round": 2,
    "apply_entries._open_visit": 2,
    "apply_entries._assign": 5,
    "apply_entries._came_before": 1,
    "apply_entries._change": 2,
    "apply_entries._set_flag": 1,
    "apply_entries._set_action": 4,
    "apply_entries._with_what_was_decided": 2,
    "apply_entries._step": 1,
    "apply_entries._step_number": 1,
    "apply_entries._stand_at": 1,
    "apply_entries._leave_round": 1,
    "apply_entries._close_round": 4,
    "cell_codec.Dictionary.kind": 2,
    "cell_codec.Dictionary.remark": 2,
    "cell_codec.Dictionary.phrase": 2,
    "row_checksums._rows": 1,
    "row_checksums.seal": 1,
    "row_checksums.seal_visit": 1,
    "row_checksums.put_into_visit": 1,
    "read_visits.enclosure_of_visit": 1,
    "read_visits.changes": 1,
    "read_rounds.flags_of_visit": 1,
}
"""What a key waits for, to its saved mark or to its answer on the screen."""

EVERY_SECOND = {
    "changes_since._since": 4,
    "changes_since._visits": 2,
    "changes_since._actions": 1,
    "changes_since._acts": 1,
}
"""What a walk asks between two keys whenever somebody committed something: the models are not there, and to
import them would hold up a key."""

COMES_BY_THE_MILLION = {
    "bulk.Loading._insert": 1,
    "bulk.Loading.tables": 1,
    "bulk_visits.add_visits": 3,
    "bulk_visits._Cells._seal_remarks": 2,
    "snapshot_visits.held_cells": 1,
    "ledger_store._shape": 1,
    "row_checksums._seal_table": 1,
    "row_checksums._seal_visits": 2,
}
"""Rows that are loaded, written out or read by the thousand: one text for all of them, given to
the driver with their values. ``ledger_store`` reads all books for every command that needs them."""

ONLY_SQLITE = {
    "backup.copy_verified": (3, "a transaction and a check of sqlite3's own connection, which copies pages"),
    "backup.count": (3, "the tables as the file has them, of whatever schema: models know the newest only"),
    "backup_state": (1, "asked of a file of any schema, which need not even be sound"),
    "book_notes.told": (1, "the same, of a book that is open"),
    "book.Book.writing": (2, "BEGIN IMMEDIATE, which peewee would begin and end by its own rules"),
    "book.Book.reading": (1, "a transaction that only reads"),
    "book.Book._roll_back": (1, "SQLite may have rolled back by itself"),
    "book.Book.tidy": (1, "PRAGMA optimize"),
    "book.Book.fold_in": (1, "PRAGMA wal_checkpoint"),
    "book.Book.fold_in_some": (1, "PRAGMA wal_checkpoint"),
    "book.Book._check": (1, "PRAGMA wal_checkpoint, when the log was taken away under a walk"),
    "book._fill": (4, "PRAGMA application_id and journal_mode, and one transaction for all of it"),
    "book._check": (5, "what the file says of itself before it is known to be a book"),
    "bulk.change_mark": (1, "PRAGMA data_version"),
    "changes_since.version": (1, "PRAGMA data_version"),
    "checkup.of_the_book": (1, "PRAGMA application_id: is it a book at all?"),
    "checkup._whole": (1, "PRAGMA integrity_check"),
    "checkup._references": (2, "PRAGMA foreign_key_check, and texts that a number in a cell names"),
    "checkup._older": (1, "asked of a file of any schema"),
    "checkup_around._made": (1, "the same"),
    "connection.connect_readonly": (1, "the cheapest look that makes SQLite open its log"),
    "log_stamps.stamp_of": (1, "PRAGMA user_version"),
    "log_stamps.put_next_stamp": (1, "PRAGMA user_version"),
    "log_stamps.restamp": (1, "PRAGMA user_version"),
    "log_stamps.stamp_in_file": (2, "PRAGMA user_version, and writable_schema for a file that is cut short"),
    "damage.what_is_damaged": (1, "PRAGMA integrity_check"),
    "migration_steps.statements": (1, "the schema as the file has it"),
    "migration_steps.reshape": (7, "statements of released schemas, taken from their files"),
    "migration_steps._named": (1, "a pattern that finds the name in such a statement"),
    "migration_steps._rebuild": (5, "SQLite's own way to change a table"),
    "migration_steps._columns": (1, "PRAGMA table_info"),
    "migration_steps._books": (2, "a step never changes, whatever becomes of the models"),
    "migrations.version_of": (1, "read from books of any schema, older than the models"),
    "migrations.migrate": (2, "PRAGMA foreign_keys"),
    "migrations._seal_what_changed": (1, "tables as a step of any schema has left them"),
    "migrations._take": (6, "BEGIN IMMEDIATE around steps on older schemas, and PRAGMA foreign_key_check"),
    "rescue._replay": (3, "savepoints inside such a transaction"),
    "restore.restore": (1, "a look that makes SQLite open the file and take its shared memory away"),
    "restore._told": (2, "what a file says of itself before it is known to be a book"),
    "restore._identity": (1, "the same, of a file that may be damaged"),
    "row_checksums._names": (1, "PRAGMA table_info: the columns as the file has them"),
    "row_checksums.tables_of": (1, "the tables as the file has them"),
    "row_verifying._tables": (2, "the same"),
    "row_verifying": (1, "the same, of what a book says of itself"),
    "row_verifying.meta_disagrees": (1, "the same"),
    "row_verifying._misshapen": (3, "the same"),
    "row_verifying._select": (
        1,
        "rows of whatever schema, read by sqlite3 itself so that damaged text can be compared",
    ),
    "row_verifying._cells_of_visits": (1, "the same, and by the million"),
    "salvage._Copying.all": (6, "a damaged file of whatever schema, copied by its own statements"),
    "salvage._Copying._columns": (1, "the same"),
    "salvage._Copying._agree": (5, "the same"),
    "salvage._Copying._table": (3, "the same"),
    "salvage._Copying._ends": (1, "the same"),
    "salvage._Copying._read": (1, "the same"),
    "salvage._Copying._essentials": (1, "the same"),
    "salvage._Copying._references": (3, "the same"),
    "salvage._Copying._reference": (2, "the same"),
    "start_notes._is_fresh": (1, "beside it lie the backups of a file; a start loads no models"),
    "writer.Writer._save_what_can": (3, "savepoints inside such a transaction"),
}
"""What only SQLite has or needs: how many statements, and the reason."""
