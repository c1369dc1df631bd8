"""What a book holds, as typed values: one record class a table, readings and visits, and the ledger.

Here: the registry of tables, snapshots of the books and changes to them, names, invariants.
Not here: how they are stored (`rounds.store`) and which act changes them (`rounds.acts`).
"""
