"""When a program that did not accept is tried again, and when it is given up."""

from datetime import timedelta

# Our own choice: soon after a hiccup, then ever later, for almost three days in all.
WAITS_MINUTES = (1, 5, 30, 120, 360, 720, 1440, 1440)
LONGEST_WAIT = timedelta(minutes=max(WAITS_MINUTES))
MOST_TRIES = len(WAITS_MINUTES) + 1


def wait_after(tries: int) -> timedelta | None:
    """Return how long to wait after so many tries; None = it is given up.

    Raises:
        ValueError: nothing was tried yet.
    """
    if tries < 1:
        raise ValueError(f"Expected tries >= 1, got {tries}")
    return timedelta(minutes=WAITS_MINUTES[tries - 1]) if tries < MOST_TRIES else None
