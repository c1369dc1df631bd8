"""When a stage will end, given that it has not been seen to end yet.

Here: the lognormal from a species' range, what sibs and the house's own stages say, the window that is left.
Not here: the books, due work and its words (:mod:`rounds.due.windows` asks here). Only the standard library is used.
"""
