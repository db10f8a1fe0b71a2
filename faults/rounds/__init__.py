"""Walks that come back: what is done, what is left.

It knows which properties a round goes to, when its turns begin and are due, and what of a visit is
done by what was recorded at its stations: a walk entry, a reading, a battery change, a bring-home
test. It plans visits as jobs by the verbs of `work` and writes nothing else of theirs; days of
jobs stay with the board. It stands above `work`, `readings` and `cases`, which it reads, and below
the job sheet and what falls due, which ask it.
"""
