"""Whom to pair: candidates, restrictions, costs and the plan with its reasons.

Here: everything that ends in a choice of pairs, from the books or from a pedigree.
Not here: recording a chosen pair (`rounds.acts.planning`), pages and printed lists.
"""
