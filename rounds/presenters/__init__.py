"""The walk as lines of text with named styles: what every screen shows, and which taps press which keys.

Here: pure functions from a walk and a size to lines.
Not here: textual, colours, and anything that waits or writes.
"""
