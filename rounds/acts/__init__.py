"""Acts: everything durable that happens to animals and boxes, in one registry that draws up what follows.

Here: the fields of each act, its plan of changes, what it refuses or asks about, and what the walk offers.
Not here: files, the database, the clock, screens, and how anything is written.
"""
