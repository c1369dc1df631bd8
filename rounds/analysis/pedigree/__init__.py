"""Who comes from whom: pedigrees, inbreeding and kinship, and the colony as a whole.

Here: reading and checking pedigrees, F and kinship as ranges, common ancestors, founders.
Not here: which pairs follow from it (`rounds.analysis.pairing.pairing_plan`).
"""
