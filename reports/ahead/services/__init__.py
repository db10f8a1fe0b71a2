"""Gather what a forecast needs, work it out in the background, and say it in words."""
