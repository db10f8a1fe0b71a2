"""Finished work that is not billed yet, and what was given to the books.

Rejoin keeps no accounts: a batch says which lines were given to the books on which day, and no
line is in two that stand, which the database holds. What a batch gave is kept as it was given, so
that its file is the same each time. A line in a batch is not corrected: the batch is taken back,
or a new line is added (faults/work/services/lines.py). It stands above the quotes, because what a
fault earned is read beside what was quoted.
"""
