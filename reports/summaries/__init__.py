"""Figures kept for each property, so that pages over all of them count nothing again.

A subject (hotspots) has a function that makes the figures of a property from the records, and a
list of what they follow from. A verb that changes any of that raises `touched` of its property in
its own transaction, which costs one UPDATE. A page takes the figures that are current and makes
the others for itself, so that it is exact at any moment; a task right after the verb, and each
quarter of an hour a round, make and keep them. `manage.py rebuild summaries` goes through all.
"""
