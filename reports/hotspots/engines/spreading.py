"""Faults that were never located, as a spread over the legs on which they may lie."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Unlocated:
    """One fault without a place: how likely it lies on each leg, in any scale.

    Raises:
        ValueError: a weight is negative.
    """

    weights: Mapping[int, float]

    def __post_init__(self) -> None:
        if any(weight < 0 for weight in self.weights.values()):
            raise ValueError(f"Expected weights >= 0, got {dict(self.weights)}")

    def lies_within(self, legs: Collection[int]) -> bool:
        """Return whether it lies on these legs for certain; without any weight on none."""
        on = [leg for leg, weight in self.weights.items() if weight > 0]
        return bool(on) and all(leg in legs for leg in on)


@dataclass(frozen=True, slots=True)
class Spread:
    """Expected counts by leg, and how many faults could be put on no leg at all."""

    by_leg: Mapping[int, float]
    nowhere: int


def spread(faults: Sequence[Unlocated]) -> Spread:
    """Spread each fault over its legs; shares and those put nowhere add up to all of them."""
    by_leg: dict[int, float] = defaultdict(float)
    nowhere = 0
    for fault in faults:
        total = sum(fault.weights.values())
        if not total > 0:
            nowhere += 1
            continue
        for leg, weight in fault.weights.items():
            by_leg[leg] += weight / total
    return Spread(dict(by_leg), nowhere)


def by_length(
    lengths_ft: Mapping[int, float], routes: Sequence[Sequence[int]], hazard: Mapping[int, float]
) -> Unlocated:
    """Return weights by feet x hazard over the legs that most of the fault's stations share.

    Args:
        routes: the legs of each station's wire. A fault that stops several stations lies most
            likely where their wires lie together.
        hazard: how much likelier a foot of a leg fails than one of another; 1 where not given.
    """
    shared: dict[int, int] = defaultdict(int)
    for legs in routes:
        for leg in set(legs):
            shared[leg] += 1
    most = max(shared.values(), default=0)
    return Unlocated(
        {
            leg: lengths_ft.get(leg, 0.0) * hazard.get(leg, 1.0)
            for leg, times in shared.items()
            if times == most
        }
    )
