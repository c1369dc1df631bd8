"""The walk as question and answer lines, for screen readers, bad links and pipes.

Here: what is read out, what a typed line means, one session in lines.
Not here: textual; every rule of the walk itself is in `rounds.walk`.
"""
