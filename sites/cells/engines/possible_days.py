"""Days that can be: a typed year such as 26, 1026 or 9999 is a slip everywhere.

Days outside of these bounds also break arithmetic on days, so nothing lets them in.
"""

from datetime import date

# Older than any wire under care, and further ahead than anything here is planned.
EARLIEST = date(1950, 1, 1)
YEARS_AHEAD = 50


def latest(today: date) -> date:
    """Return the last day that can be meant."""
    return date(today.year + YEARS_AHEAD, 12, 31)


def is_possible(day: date, today: date) -> bool:
    """Return whether the day lies within what can be meant, both ends included."""
    return EARLIEST <= day <= latest(today)
