"""Files in and out: CSV tables, the data package, calendars and labels.

Here: reading and checking rows, loading and writing whole books, printed labels.
Not here: SQL and peewee (the book is used only through `rounds.store`), terminals.
"""
