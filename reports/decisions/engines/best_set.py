"""What is known of ranked legs, and the set of them that gains most within a budget.

Legs of one property share what is paid once there, of the budget and of the gain.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    """Return which set is sought.

    Args:
        once: what is paid once where any leg is renewed, by the key of each property.
        budget: None = no limit.
    """
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
