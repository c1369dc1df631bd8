"""Due work: what follows from the book and the species files, with its window and its reason.

Here: kinds of work, the facts they follow from, how near each piece is and what has to be carried.
Not here: the acts that do the work (`rounds.acts`), pages and printed lists.
"""
