"""Small drawings made of lines, dots and words, for figures that are kept or printed.

Here: a drawing as a value, and its SVG and PNG.
Not here: what is drawn; each subject composes its own.
"""
