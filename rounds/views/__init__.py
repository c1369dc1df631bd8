"""Pages of the book as plain values: what each says, its rows, and where every row leads.

Here: one builder a page, their registry, and the queries that several pages share.
Not here: lines, colours and keys; the book is asked only through `views.sources`.
"""
