"""Stations off central control as a queue for the crews' hours, played many times over at once.

Each row is one play, each column one station. A station joins on the day it goes off, can be
worked on once whatever it waits for is over (a client, a notice, parts), and is back when the
crews have spent its work on it. Work is counted in that of an ordinary return, and goes by weeks:
within one, stations are taken in the order of their turn; hours that nobody needs are lost.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sites.kernel.lazily import np

if TYPE_CHECKING:
    Floats = np.ndarray

WEEK = 7.0
NEVER = float("inf")
OLD_DAYS = 365.0


@dataclass(frozen=True)
class Queue:
    """Stations of all plays: arrays of plays by stations, in days; padded with `NEVER`.

    `work` is in ordinary returns, `turn` says who is taken first, `place` is a number.
    """

    off_on: "Floats"
    ready_on: "Floats"
    work: "Floats"
    turn: "Floats"
    place: "Floats"

    def joined(self, other: "Queue") -> "Queue":
        """Return both, side by side."""
        return Queue(
            *(
                np.concatenate((getattr(self, name), getattr(other, name)), axis=1)
                for name in ("off_on", "ready_on", "work", "turn", "place")
            )
        )


@dataclass(frozen=True)
class Played:
    """When each station went off and came back, by play; `NEVER` where it did not."""

    off_on: "Floats"
    back_on: "Floats"
    place: "Floats"

    def off(self, day: float, place: int | None = None) -> "Floats":
        """Return how many are off at the end of a day, by play."""
        is_off = (self.off_on <= day) & (self.back_on > day)
        if place is not None:
            is_off = is_off & (self.place == place)
        return np.asarray(is_off.sum(1))

    def old(self, day: float) -> "Floats":
        """Return how many have been off longer than a year by then, by play."""
        is_old = (self.off_on < day - OLD_DAYS) & (self.back_on > day)
        return np.asarray(is_old.sum(1))

    def days_off(self, until: float) -> "Floats":
        """Return the days off between now and then of all stations together, by play."""
        begin = np.clip(self.off_on, 0, until)
        end = np.minimum(self.back_on, until)
        return np.asarray(np.maximum(end - begin, 0).sum(1))


def play(queue: Queue, returns_a_week: "Floats", *, start: float, weeks: int) -> Played:
    """Play the queue from the day `start` on.

    Args:
        returns_a_week: how many ordinary returns the crews do, by play.
    """
    order = np.argsort(queue.turn, axis=1, kind="stable")
    off_on, ready_on, place = (
        np.take_along_axis(each, order, 1) for each in (queue.off_on, queue.ready_on, queue.place)
    )
    left = np.take_along_axis(queue.work, order, 1).astype(float)
    back_on = np.full(left.shape, NEVER)
    rows = np.arange(len(left))
    for week in range(weeks):
        day = start + WEEK * week
        # Those that get ready within the week are worked on in it.
        waiting = (ready_on < day + WEEK) & (back_on == NEVER)
        needed = np.cumsum(np.where(waiting, left, 0.0), axis=1)
        done = waiting & (needed <= returns_a_week[:, None])
        # Their days lie within the week as the hours go; those that get ready late come late.
        share = needed / returns_a_week[:, None]
        back_on = np.where(done, np.maximum(day + WEEK * share, ready_on), back_on)
        spent = np.where(done, needed, 0.0).max(axis=1, initial=0.0)
        begun = waiting & ~done
        first = np.argmax(begun, axis=1)
        has_begun = begun[rows, first]
        left[rows[has_begun], first[has_begun]] -= (returns_a_week - spent)[has_begun]
    return Played(off_on, back_on, place)
