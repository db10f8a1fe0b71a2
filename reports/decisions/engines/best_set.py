"""What is known of ranked legs, and the set of them that gains most within a budget.

Legs of one property share what is paid once there, of the budget and of the gain.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from reports.decisions.engines.renewing import Leg, Weighed
from reports.hotspots.engines.hotspots import Ranked
from reports.returning.engines.choosing import Candidate, Load, Problem


@dataclass(frozen=True, slots=True)
class Offer:
    """One leg that could be renewed: its key, the key of its property, and what it comes to."""

    key: int
    place: int
    leg: Leg
    found: Weighed


def leg_known(
    ranked: Ranked, at: int, years: float, *, cost: float, kept_percent: float
) -> Leg | None:
    """Return what is known of the leg at a place of a ranking; None where it was not observed.

    Args:
        years: for which it was observed.
        cost: of the work on it, without what is shared.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
    """
    if years <= 0 or ranked.expected[at] <= 0:
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
    offers = [one for one in offers if one.found.gain > 0]
    paid = {f"at:{place}": once[place] for place in sorted({one.place for one in offers})}
    return Problem(
        [
            Candidate(one.key, one.found.gain, Load(0.0, one.leg.cost), (f"at:{one.place}",))
            for one in offers
        ],
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
