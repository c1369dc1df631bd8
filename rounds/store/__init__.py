"""The book: one SQLite file per house. The only package that imports peewee or holds SQL."""
