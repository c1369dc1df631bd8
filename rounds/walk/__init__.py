"""The walk: a key in; saved rows, flags and what to show out. No screen, no SQL. `core.Walk` is the whole of it."""
