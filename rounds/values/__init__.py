"""Values a keeper types: one parser for each kind, used wherever something is typed.

Each parser takes a text and returns a typed value, or raises
:class:`rounds.values.unreadable.UnreadableValue` and nothing else. What it returns can be
written as text that parses back to the same value. Nothing here knows who asks: callers
add the place (a field, a cell, an option) to what the exception says.
"""
