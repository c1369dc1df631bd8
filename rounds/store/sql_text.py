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
    "apply_entries._Writing.round": 1,
    "apply_entries._Writing.visit": 1,
    "apply_entries._open_round": 2,
    "apply_entries._open_visit": 2,
    "apply_entries._assign": 4,
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
    "snapshot_visits.held_cells": 1,
    "ledger_store._shape": 1,
}
"""Rows that are loaded, written out or read by the thousand: one text for all of them, given to
the driver with their values. ``ledger_store`` reads all books for every command that needs them."""

ONLY_SQLITE = {
    "backup._copy": (3, "a transaction and a check of sqlite3's own connection, which copies pages"),
    "backup.count": (3, "the tables as the file has them, of whatever schema: models know the newest only"),
    "book.Book.writing": (2, "BEGIN IMMEDIATE, which peewee would begin and end by its own rules"),
    "book.Book.reading": (1, "a transaction that only reads"),
    "book.Book._roll_back": (1, "SQLite may have rolled back by itself"),
    "book.Book.tidy": (1, "PRAGMA optimize"),
    "book.Book.fold_in": (1, "PRAGMA wal_checkpoint"),
    "book.Book.fold_in_some": (1, "PRAGMA wal_checkpoint"),
    "book._fill": (4, "PRAGMA application_id and journal_mode, and one transaction for all of it"),
    "book._check": (5, "what the file says of itself before it is known to be a book"),
    "bulk.change_mark": (1, "PRAGMA data_version"),
    "changes_since.version": (1, "PRAGMA data_version"),
    "connection.connect_readonly": (1, "the cheapest look that makes SQLite open its log"),
    "log_stamps.stamp_of": (1, "PRAGMA user_version"),
    "log_stamps.put_next_stamp": (1, "PRAGMA user_version"),
    "log_stamps.restamp": (1, "PRAGMA user_version"),
    "log_stamps.stamp_in_file": (1, "PRAGMA user_version"),
    "migration_steps.statements": (1, "the schema as the file has it"),
    "migration_steps.reshape": (7, "statements of released schemas, taken from their files"),
    "migration_steps._named": (1, "a pattern that finds the name in such a statement"),
    "migration_steps._rebuild": (5, "SQLite's own way to change a table"),
    "migration_steps._columns": (1, "PRAGMA table_info"),
    "migration_steps._books": (2, "a step never changes, whatever becomes of the models"),
    "migrations.version_of": (1, "read from books of any schema, older than the models"),
    "migrations.migrate": (2, "PRAGMA foreign_keys"),
    "migrations._take": (6, "BEGIN IMMEDIATE around steps on older schemas, and PRAGMA foreign_key_check"),
    "rescue._replay": (3, "savepoints inside such a transaction"),
    "writer.Writer._save_what_can": (3, "savepoints inside such a transaction"),
}
"""What only SQLite has or needs: how many statements, and the reason."""
