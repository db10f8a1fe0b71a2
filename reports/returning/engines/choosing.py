"""The set of stations that is worth most within crew minutes and money, set-ups paid once.

Each station takes work of its own, and opens set-ups (the search of its fault, the drive to its
property) that all stations which need them share. That is the set-union knapsack problem; it is
solved by integer programming (HiGHS through scipy) and proven, or returned with its bound.

Source: Goldschmidt, Nehme and Yu, "Note: on the set-union knapsack problem", Naval Research
Logistics 41 (1994), from memory.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import isfinite

from sites.kernel.lazily import lazily, np

optimize = lazily("scipy.optimize")
sparse = lazily("scipy.sparse")

_NEARLY = 1e-9


@dataclass(frozen=True, slots=True)
class Load:
    """What something takes: crew minutes and money, neither below 0."""

    minutes: float
    money: float = 0.0

    def __post_init__(self) -> None:
        if not (self.minutes >= 0 and self.money >= 0 and isfinite(self.minutes + self.money)):
            raise ValueError(f"Expected minutes and money >= 0, got {self.minutes}, {self.money}")


@dataclass(frozen=True, slots=True)
class Candidate:
    """A station that could come back: its worth, its own work, and the set-ups it shares.

    `worth` is None where it is not known: such a station is never chosen, and never left out of
    the answer either.
    """

    key: int
    worth: float | None
    own: Load
    set_ups: tuple[str, ...] = ()


@dataclass(frozen=True)
class Problem:
    """What can be brought back, and how much there is for it; `money` None = no budget.

    `off_worth` is what opening a set-up takes off the worth of a set, where that is weighed too.

    Raises:
        ValueError: two candidates of one key, a set-up that nobody described, or a limit below 0.
    """

    candidates: Sequence[Candidate]
    set_ups: Mapping[str, Load]
    minutes: float
    money: float | None = None
    off_worth: Mapping[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if len({one.key for one in self.candidates}) < len(self.candidates):
            raise ValueError("Expected each key once")
        unknown = {name for one in self.candidates for name in one.set_ups} - self.set_ups.keys()
        if unknown:
            raise ValueError(f"Expected a load for each set-up, got none for {sorted(unknown)}")
        if not self.minutes >= 0 or (self.money is not None and not self.money >= 0):
            raise ValueError(f"Expected limits >= 0, got {self.minutes}, {self.money}")
        if not all(each >= 0 for each in self.off_worth.values()):
            raise ValueError(f"Expected off_worth >= 0, got {self.off_worth}")

    @cached_property
    def by_key(self) -> dict[int, Candidate]:
        """The candidates by their keys."""
        return {one.key: one for one in self.candidates}

    def load_of(self, keys: Collection[int]) -> Load:
        """Return what a set takes, each set-up counted once."""
        chosen = [self.by_key[key] for key in keys]
        names = {name for one in chosen for name in one.set_ups}
        parts = [*(one.own for one in chosen), *(self.set_ups[name] for name in sorted(names))]
        return Load(sum(part.minutes for part in parts), sum(part.money for part in parts))

    def worth_of(self, keys: Collection[int]) -> float:
        """Return what a set is worth, less what its set-ups take off."""
        names = {name for key in keys for name in self.by_key[key].set_ups}
        off = sum(self.off_worth.get(name, 0.0) for name in sorted(names))
        return sum(self.by_key[key].worth or 0.0 for key in keys) - off

    def fits(self, keys: Collection[int]) -> bool:
        """Whether a set stays within the limits."""
        load = self.load_of(keys)
        return load.minutes <= self.minutes + _NEARLY and (
            self.money is None or load.money <= self.money + _NEARLY
        )


@dataclass(frozen=True)
class Chosen:
    """A set within the limits. No set is worth more than `bound`; None where that is not known."""

    keys: frozenset[int]
    worth: float
    load: Load
    bound: float | None

    @property
    def is_proven(self) -> bool:
        """Whether no other set is worth more."""
        return self.bound is not None and self.bound <= self.worth + _slack(self.worth)


@dataclass(frozen=True)
class _Model:
    """The problem as matrices: a column for each candidate, then one for each set-up."""

    problem: Problem
    candidates: Sequence[Candidate]
    names: Sequence[str] = field(default_factory=list)

    @classmethod
    def of(cls, problem: Problem, candidates: Sequence[Candidate]) -> "_Model":
        return cls(problem, candidates, sorted({n for one in candidates for n in one.set_ups}))

    @cached_property
    def limits(self) -> list[object]:
        """Each set-up is paid before who needs it; minutes and money stay within their limits."""
        column_of = {name: len(self.candidates) + n for n, name in enumerate(self.names)}
        rows, columns, values = [], [], []
        for at, (number, name) in enumerate(
            (n, name) for n, one in enumerate(self.candidates) for name in one.set_ups
        ):
            rows += [at, at]
            columns += [number, column_of[name]]
            values += [1.0, -1.0]
        width = len(self.candidates) + len(self.names)
        loads = self.loads
        found = [
            optimize.LinearConstraint(
                np.array([[load.minutes for load in loads]]), ub=self.problem.minutes
            )
        ]
        if self.problem.money is not None:
            money = np.array([[load.money for load in loads]])
            found.append(optimize.LinearConstraint(money, ub=self.problem.money))
        if rows:
            shape = (len(rows) // 2, width)
            opens = sparse.csc_array((values, (rows, columns)), shape=shape)
            found.append(optimize.LinearConstraint(opens, ub=0))
        return found

    def gains(self) -> list[float]:
        """Return what each column adds to the worth."""
        off = [-self.problem.off_worth.get(name, 0.0) for name in self.names]
        return [*(one.worth or 0.0 for one in self.candidates), *off]

    @property
    def loads(self) -> list[Load]:
        """What each column takes."""
        set_ups = [self.problem.set_ups[name] for name in self.names]
        return [*(one.own for one in self.candidates), *set_ups]

    def solve(
        self,
        gains: Sequence[float],
        *,
        more: Sequence[object] = (),
        must: int | None = None,
        never: int | None = None,
        seconds: float = 2.0,
    ) -> tuple[list[Candidate], float | None] | None:
        """Return the candidates that gain most together, and a bound; None where nothing fits.

        Args:
            gains: for each column.
            must: the number of a candidate that is in, `never` of one that is not.
        """
        width = len(self.candidates) + len(self.names)
        low, high = np.zeros(width), np.ones(width)
        if must is not None:
            low[must] = 1
        if never is not None:
            high[never] = 0
        found = optimize.milp(
            -np.array(gains, float),
            constraints=[*self.limits, *more],
            bounds=optimize.Bounds(low, high),
            # A set-up is opened whole by the limits once its stations are whole.
            integrality=np.array([1] * len(self.candidates) + [0] * len(self.names)),
            options={"mip_rel_gap": 0, "time_limit": max(seconds, 0.01)},
        )
        if found.x is None:
            return None
        chosen = [one for one, x in zip(self.candidates, found.x, strict=False) if x > 0.5]
        bound = getattr(found, "mip_dual_bound", None)
        return chosen, None if bound is None or not isfinite(bound) else -bound


def choose(problem: Problem, *, seconds: float = 2.0) -> Chosen:
    """Return the set that is worth most; of sets worth the same the one that takes fewest minutes.

    A station without worth, or of which it is not known, never enters.

    Args:
        seconds: after so long the best set found is returned with its bound.
    """
    able = [one for one in problem.candidates if one.worth is not None and one.worth > 0]
    if not able:
        return Chosen(frozenset(), 0.0, Load(0.0), 0.0)
    model = _Model.of(problem, able)
    gains = model.gains()
    found = model.solve(gains, seconds=seconds)
    if found is None:
        return Chosen(frozenset(), 0.0, Load(0.0), None)
    chosen: Sequence[Candidate] = found[0]
    bound = found[1]
    best = problem.worth_of([one.key for one in chosen])
    takes_minutes = any(load.minutes for load in model.loads)
    if takes_minutes and bound is not None and bound <= best + _slack(best):
        chosen = _with_fewest_minutes(model, gains, best, chosen, seconds)
    keys = frozenset(one.key for one in chosen)
    return Chosen(keys, problem.worth_of(keys), problem.load_of(keys), bound)


def _with_fewest_minutes(
    model: _Model,
    gains: Sequence[float],
    best: float,
    chosen: Sequence[Candidate],
    seconds: float,
) -> Sequence[Candidate]:
    """Return, of the sets that are worth as much, one that takes the fewest minutes."""
    worth = optimize.LinearConstraint(np.array([gains]), lb=best - _slack(best))
    found = model.solve([-load.minutes for load in model.loads], more=[worth], seconds=seconds)
    if found is None:
        return chosen
    before = model.problem.load_of([one.key for one in chosen])
    after = model.problem.load_of([one.key for one in found[0]])
    return found[0] if after.minutes < before.minutes - _NEARLY else chosen


def needs_worth(problem: Problem, key: int, best: Chosen, *, seconds: float = 1.0) -> float | None:
    """Return from which worth on a station belongs into the best set; None where it never fits.

    It is what the others lose when this one goes first: its own hours and set-ups are theirs.
    """
    one = problem.by_key[key]
    others = [
        each
        for each in problem.candidates
        if each.key != key and each.worth is not None and each.worth > 0
    ]
    model = _Model.of(problem, [one, *others])
    found = model.solve([0.0, *model.gains()[1:]], must=0, seconds=seconds)
    if found is None:
        return None
    with_it = problem.worth_of([each.key for each in found[0]]) - (one.worth or 0.0)
    if key in best.keys:
        best = choose(replace_worth(problem, key, 0.0), seconds=seconds)
    needs = best.worth - with_it
    return needs if needs > _slack(best.worth) else 0.0


def replace_worth(problem: Problem, key: int, worth: float | None) -> Problem:
    """Return the problem with another worth of one station."""
    candidates = [
        Candidate(one.key, worth, one.own, one.set_ups) if one.key == key else one
        for one in problem.candidates
    ]
    return replace(problem, candidates=candidates)


def curve(problem: Problem, minutes: Sequence[float], *, seconds: float = 1.0) -> list[Chosen]:
    """Return the best set for each of these minutes, in their order."""
    return [choose(replace(problem, minutes=each), seconds=seconds) for each in minutes]


def _slack(worth: float) -> float:
    """Return how near two worths of this size count as the same: HiGHS works in floats."""
    return 1e-7 * max(1.0, abs(worth))
