"""How long a plan may take, and whether someone wants it stopped."""

from collections.abc import Callable
from time import monotonic


class Clock:
    """Seconds that run from now.

    Args:
        go_on: called often while planning; what it raises ends the planning.
    """

    def __init__(self, seconds: float, go_on: Callable[[], None] = lambda: None) -> None:
        self._until = monotonic() + seconds
        self._go_on = go_on

    @property
    def left(self) -> float:
        """Seconds that are left; 0 when they are over."""
        return max(0.0, self._until - monotonic())

    def is_over(self) -> bool:
        """Whether the seconds are over; asks first whether to go on."""
        self._go_on()
        return monotonic() >= self._until

    def share(self, part: float) -> "Clock":
        """Return a clock that has this part of what is left."""
        return Clock(self.left * part, self._go_on)
