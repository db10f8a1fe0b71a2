"""What is known of ranked legs, and the set of them that gains most within a budget.

Legs of one property share what is paid once there, of the budget and of the gain.
"""

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

from reports.decisions.engines.renewing import Leg, Money, gain_of
from reports.hotspots.engines.hotspots import Ranked
from reports.hotspots.engines.rates import Floats, Ints
from reports.returning.engines.choosing import Candidate, Load, Problem
from sites.kernel.lazily import np


class Offer(NamedTuple):
    """One leg that could be renewed: its key, the key of its property, its gain and its cost."""

    key: int
    place: int
    gain: float
    cost: float


def gains(
    ranked: Ranked, at: Ints, years: Floats, cost: Floats, money: Money, *, kept_percent: float
) -> Floats:
    """Return what renewing each of the legs at these places of a ranking gains, as `weigh` does.

    Raises:
        ValueError: one of them was not observed.
    """
    if not is_observed(ranked, at, years).all():
        raise ValueError("Expected legs that were observed")
    shape, behind, ordinary = ranked.yearly_of(at, years)
    return gain_of(money, shape / behind - ordinary * kept_percent / 100, cost)


def is_observed(ranked: Ranked, at: Ints, years: Floats) -> "np.ndarray[Any, Any]":
    """Return which of the legs at these places were observed long enough to expect anything."""
    found: np.ndarray[Any, Any] = (years > 0) & (ranked.expected[at] > 0)
    return found


def leg_known(
    ranked: Ranked, at: int, years: float, *, cost: float, kept_percent: float
) -> Leg | None:
    """Return what is known of the leg at a place of a ranking; None where it was not observed.

    Args:
        years: for which it was observed.
        cost: of the work on it, without what is shared.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
    """
    if not is_observed(ranked, np.array([at]), np.array([years]))[0]:
        return None
    known = ranked.yearly(at, years)
    renewed = known.ordinary * kept_percent / 100
    return Leg(known.shape, known.years_behind, cost, renewed_rate=renewed)


def problem_of(offers: Sequence[Offer], once: Mapping[int, float], budget: float | None) -> Problem:
    """Return which set is sought; legs that gain nothing are left out, since they never enter.

    Args:
        once: what is paid once where any leg is renewed, by the key of each property.
        budget: None = no limit.
    """
    offers = [one for one in offers if one.gain > 0]
    paid = {f"at:{place}": once[place] for place in sorted({one.place for one in offers})}
    return Problem(
        [Candidate(one.key, one.gain, Load(0.0, one.cost), (f"at:{one.place}",)) for one in offers],
        {name: Load(0.0, fixed) for name, fixed in paid.items()},
        0.0,
        budget,
        paid,
    )


def problem_in_short(problem: Problem) -> dict[str, Any]:
    """Return a problem as plain lists: each leg with its gain, cost and set-up; what is paid once.

    Numbers are rounded to a hundredth, as money is.
    """
    return {
        "legs": [
            [one.key, round(one.worth or 0.0, 2), round(one.own.money, 2), one.set_ups[0]]
            for one in sorted(problem.candidates, key=lambda each: each.key)
        ],
        "once": {name: round(problem.off_worth[name], 2) for name in sorted(problem.set_ups)},
        "budget": problem.money,
    }


def problem_from(short: Mapping[str, Any]) -> Problem:
    """Return the problem that `problem_in_short` wrote down."""
    return Problem(
        [Candidate(key, gain, Load(0.0, cost), (name,)) for key, gain, cost, name in short["legs"]],
        {name: Load(0.0, fixed) for name, fixed in short["once"].items()},
        0.0,
        short["budget"],
        dict(short["once"]),
    )
