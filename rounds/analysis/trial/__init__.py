"""The sib trial: its plan, its counts, its statistics and its verdict.

Here: the draw, power, tallies out of the books, tests with the brood as the unit.
Not here: acts that open or change a trial (`rounds.acts.trial_acts`).
"""
