"""Commands of the walk and the keys that give them.

Here: the one table of commands, key layouts and their files, what a scanned code types.
Not here: what a command does (`rounds.walk.machine`).
"""
