"""Text made harmless and comparable before it is shown or looked for.

Here: cleaning what came from outside, plain dates and numbers in words, folding for searches.
Not here: anything that knows what the text is about.
"""
