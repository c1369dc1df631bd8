"""The walk: a key in; saved rows, flags and what to show out.

Here: `core.Walk` and the parts it holds, one module each; `machine`, which says what every key means.
Not here: a screen, SQL, or what a finding means (that is for rules and acts to say).
"""
