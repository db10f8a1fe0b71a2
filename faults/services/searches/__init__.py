"""Searches: the line of a station's wire, what is believed of it, and the verbs of a search."""
