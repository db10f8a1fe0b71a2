"""The routes of one kind of shift that can still lower a plan's cost, for days of many short jobs.

Each job carries a worth (its penalty, less what its place in the plan already earns). The best
route by worth is found minute by minute over (last job, jobs it remembers): a route forgets a job
once it is far from it, so it may come back to it (an *ng-route*). Such a route cannot be driven,
but its cost is never above that of one that can, which is what a bound needs.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from faults.rota.engines.problem import Problem, start_at
from faults.rota.engines.routes import Kind, Label, Route, extend
from sites.kernel.lazily import np

if TYPE_CHECKING:
    Floats = np.ndarray[tuple[int, ...], np.dtype[np.float64]]
    Ints = np.ndarray[tuple[int, ...], np.dtype[np.int64]]
    Bools = np.ndarray[tuple[int, ...], np.dtype[np.bool_]]

_REMEMBERED = 5
_EPSILON = 1e-7


@dataclass(frozen=True, slots=True)
class Priced:
    """What the pricing of one kind found.

    Args:
        least: the least reduced cost of any route; 0 where none is below.
        routes: some of the routes below 0, the best first; they may come to a job twice.
    """

    least: float
    routes: list[Route]


@dataclass(frozen=True)
class Rests:
    """What routes under way earn, and what is the least that their rest can cost.

    Args:
        prizes: minutes that each job earns.
    """

    prizes: Mapping[int, float]
    columns: Mapping[int, int]
    first: int
    table: "Floats"

    def least(self, label: Label) -> float:
        """Return the least reduced cost of any route that begins like this one."""
        earned = sum(self.prizes[key] for key in label.order)
        rest = self.table[label.ready - self.first, self.columns[label.order[-1]]]
        return float(label.driving - earned + rest)


class Pricer:
    """All that does not change between rounds, for one kind of shift."""

    def __init__(self, problem: Problem, kind: Kind, number: int) -> None:
        self.number = number
        shift = kind.pattern
        tasks = [t for t in kind.tasks if _alone(problem, kind, t.key)]
        self.keys = [task.key for task in tasks]
        self.size = len(tasks)
        self.first, self.last = shift.starts, shift.latest
        places = [task.place for task in tasks]
        table = np.array(problem.travel, dtype=np.int64)
        self.legs = table[np.ix_(places, places)]
        self.out, self.back = table[shift.place, places], table[places, shift.place]
        self.moved = np.array([task.moved_cost(shift.key) for task in tasks], dtype=float)
        minutes = self.last - self.first + 1
        never = minutes + 10**6
        self.done = np.full((self.size, 2 * minutes + int(table.max(initial=0)) + 1), never)
        for row, task in enumerate(tasks):
            for ready in self._clock():
                start = start_at(task, shift.key, ready)
                if start is not None and start + task.minutes + self.back[row] <= self.last:
                    self.done[row, ready - self.first] = start + task.minutes - self.first
        self.minutes = minutes
        # What it costs to drive home from each job at each minute, overtime included.
        late = np.array(self._clock())[:, None] + self.back[None, :] - shift.ends
        self.over = -(-np.maximum(0, late) * shift.overtime_percent // 100)
        self.home = self.over + self.back[None, :]
        self.block = max(1, min((task.minutes for task in tasks), default=1))
        self._remember()

    def _clock(self) -> range:
        return range(self.first, self.last + 1)

    def _remember(self) -> None:
        """Number the sets of jobs that each job remembers, and where each step leads."""
        size, held = self.size, min(_REMEMBERED, max(self.size - 1, 0))
        near = [
            [int(k) for k in np.argsort(self.legs[j] + self.legs[:, j], kind="stable") if k != j]
            for j in range(size)
        ]
        self.near = [around[:held] for around in near]
        self.sets = 1 << held
        # member[j, set, k]: whether a route whose last job is j, with that set, remembers k.
        member = np.zeros((size, self.sets, size), dtype=bool)
        numbers = np.arange(self.sets)
        for j in range(size):
            member[j, :, j] = True
            for bit, k in enumerate(self.near[j]):
                member[j, :, k] = (numbers >> bit & 1).astype(bool)
        self.to_set = np.zeros((size, self.sets, size), dtype=np.int64)
        for k in range(size):
            for bit, other in enumerate(self.near[k]):
                self.to_set[:, :, k] |= member[:, :, other].astype(np.int64) << bit
        self.to_set[member] = -1

    def price(self, worth: Mapping[int, float], most: int) -> Priced:
        """Return the routes whose driving and broken promises cost less than their worth.

        Args:
            worth: minutes that having a job earns, by its key.
            most: how many routes at most.
        """
        if not self.size:
            return Priced(0.0, [])
        prize = np.array([worth[key] for key in self.keys]) - self.moved
        cost, came_from = self._filled(prize)
        ends = cost.reshape(-1, self.size, self.sets) + self.home[:, :, None]
        flat = ends.ravel()
        below = np.flatnonzero(flat < -_EPSILON)
        if not below.size:
            return Priced(0.0, [])
        below = below[np.argsort(flat[below], kind="stable")[: most * 8]]
        found: dict[frozenset[int], Route] = {}
        for state in below:
            route = self._route(int(state), came_from)
            found.setdefault(frozenset(route.order), route)
            if len(found) == most:
                break
        return Priced(float(flat[below[0]]), list(found.values()))

    def rests(self, worth: Mapping[int, float]) -> "Rests":
        """Return the least that the rest of a route can cost, from each job and minute.

        A rest may come to any job again, so the least is never above that of a real one.
        """
        prize = np.array([worth[key] for key in self.keys]) - self.moved
        rest = np.full((self.minutes + 1, self.size), np.inf)
        jobs = np.arange(self.size)
        gain = self.legs - prize[None, :]
        np.fill_diagonal(gain, np.inf)
        for minute in range(self.minutes - 1, -1, -1):
            done = np.minimum(self.done[jobs[None, :], minute + self.legs], self.minutes)
            rest[minute] = np.minimum(
                self.home[minute], (gain + rest[done, jobs[None, :]]).min(axis=1)
            )
        columns = {key: column for column, key in enumerate(self.keys)}
        return Rests(dict(zip(self.keys, prize.tolist(), strict=True)), columns, self.first, rest)

    def _filled(self, prize: "Floats") -> tuple["Floats", "Ints"]:
        wide = self.size * self.sets
        cost = np.full(self.minutes * wide, np.inf)
        came_from = np.full(self.minutes * wide, -1, dtype=np.int64)
        begin = self.done[np.arange(self.size), np.minimum(self.out, self.done.shape[1] - 1)]
        for row in np.flatnonzero(begin < self.minutes):
            cost[begin[row] * wide + row * self.sets] = self.out[row] - prize[row]
        gain = self.legs - prize[None, :]
        columns = np.arange(self.size)
        best = np.full((1, wide), np.inf)
        # No job is done within a block that another one of the block leads to.
        for first in range(0, self.minutes, self.block):
            size = min(self.block, self.minutes - first)
            here = cost[first * wide : (first + size) * wide].reshape(size, wide)
            so_far = np.minimum(np.minimum.accumulate(here, axis=0), best)
            before = np.vstack([best, so_far[:-1]])
            minute, states = np.nonzero(here < before - _EPSILON)
            if not states.size:
                continue
            best = so_far[-1:]
            stands = _stands(here[minute, states], so_far, minute, states, self.sets)
            minute, states = minute[stands], states[stands]
            last, number = states // self.sets, states % self.sets
            done = self.done[columns[None, :], (first + minute)[:, None] + self.legs[last]]
            to_set = self.to_set[last, number]
            rows, next_job = np.nonzero((done < self.minutes) & (to_set >= 0))
            target = done[rows, next_job] * wide + next_job * self.sets + to_set[rows, next_job]
            value = here[minute[rows], states[rows]] + gain[last[rows], next_job]
            np.minimum.at(cost, target, value)
            won = cost[target] == value
            came_from[target[won]] = (first + minute[rows[won]]) * wide + states[rows[won]]
        return cost, came_from

    def _route(self, state: int, came_from: "Ints") -> Route:
        order: list[int] = []
        wide = self.size * self.sets
        overtime = int(self.over[state // wide, state % wide // self.sets])
        while state >= 0:
            order.append(state % wide // self.sets)
            state = int(came_from[state])
        order.reverse()
        driving = int(self.out[order[0]] + self.back[order[-1]])
        driving += sum(int(self.legs[a, b]) for a, b in pairwise(order))
        moved = int(sum(self.moved[j] for j in order))
        return Route(self.number, tuple(self.keys[j] for j in order), driving, moved, overtime)


def _stands(value: "Floats", best: "Floats", minute: "Ints", states: "Ints", sets: int) -> "Bools":
    """Return which states no other with the same last job and fewer jobs to remember outdoes."""
    number = states % sets
    keep = np.ones(len(states), dtype=bool)
    for bit in range(sets.bit_length() - 1):
        has = (number >> bit & 1).astype(bool)
        keep &= ~(has & (best[minute, states & ~(1 << bit)] <= value))
    return keep


def _alone(problem: Problem, kind: Kind, key: int) -> bool:
    return extend(problem, kind.pattern, None, problem.by_key[key]) is not None


def pricers(problem: Problem, kinds: Sequence[Kind]) -> list[Pricer]:
    """Return a pricer for each kind of shift."""
    return [Pricer(problem, kind, number) for number, kind in enumerate(kinds)]
