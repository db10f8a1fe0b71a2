"""Every leg with a fault, weighed; and the set that is worth renewing first within a budget."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from reports.decisions.engines.best_set import Offer, leg_known, problem_of
from reports.decisions.engines.renewing import Leg, Money, Weighed, weigh
from reports.hotspots.services.ranking import View
from reports.hotspots.services.renewal_costs import Costs, legs_cost
from reports.hotspots.services.rows import Row
from reports.returning.engines.choosing import Chosen, Problem, choose, needs_worth
from sites.kernel.lazily import np
from sites.models import Property

# So many that are not in say what they would need; each is a problem of its own.
MOST_OUT = 12
SECONDS = 5.0


@dataclass(frozen=True)
class Assumed:
    """What people put in. Money is in one currency.

    Args:
        costs: of renewing, by the key of the property; nothing is weighed where it has none.
        fault_cost_se, fault_cost_sd: the error of the mean, and how far single faults lie off.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
        budget: None = no limit.
    """

    fault_cost: float
    fault_cost_se: float
    fault_cost_sd: float
    costs: Mapping[int, Costs]
    years: float
    interest_percent: float
    kept_percent: float
    budget: float | None = None

    @property
    def money(self) -> Money:
        """What one fault costs, and how years are weighed."""
        interest = self.interest_percent / 100
        return Money(self.fault_cost, self.years, interest, self.fault_cost_se, self.fault_cost_sd)


@dataclass(frozen=True)
class LegWeighed:
    """One leg: what is known of it, what renewing it comes to, and from which worth on it is in.

    `needs` is None where that was not worked out, or where it never fits.
    """

    row: Row
    leg: Leg
    found: Weighed
    is_in: bool = False
    needs: float | None = None

    @property
    def place(self) -> Property:
        """Its property."""
        return self.row.place


@dataclass(frozen=True)
class Answer:
    """All legs, those of the set first, then by what renewing gains.

    Legs of `not_observed` and `not_priced` have a fault and could not be weighed.
    """

    assumed: Assumed
    legs: Sequence[LegWeighed]
    chosen: Chosen
    not_observed: Sequence[Row] = ()
    not_priced: Sequence[Row] = ()

    @property
    def inside(self) -> list[LegWeighed]:
        """The set."""
        return [one for one in self.legs if one.is_in]

    @property
    def outside(self) -> list[LegWeighed]:
        """All others."""
        return [one for one in self.legs if not one.is_in]

    @property
    def cost(self) -> float:
        """What renewing the set costs, shared set-ups once."""
        return self.chosen.load.money


def leg_of(row: Row, view: View, *, cost: float, kept_percent: float) -> Leg | None:
    """Return what is known of a leg; None where it was not observed.

    Args:
        cost: of the work.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
    """
    if view.ranked is None:
        return None
    return leg_known(view.ranked, row.at, row.years, cost=cost, kept_percent=kept_percent)


def key_of(row: Row, view: View) -> int:
    """Return the key of a row's leg."""
    return int(view.watched.evidence.key[row.members[0]])


def weigh_all(view: View, assumed: Assumed) -> Answer:
    """Weigh every leg on which a fault was located, and choose the set."""
    rows = _with_a_fault(view)
    costs = legs_cost(rows, view, assumed.costs)
    found, unseen, unpriced = [], [], []
    for row in rows:
        if (cost := costs[row.at]) is None:
            unpriced.append(row)
            continue
        leg = leg_of(row, view, cost=cost.work, kept_percent=assumed.kept_percent)
        if leg is None:
            unseen.append(row)
        else:
            found.append(LegWeighed(row, leg, weigh(leg, assumed.money)))
    problem = _problem(found, assumed)
    chosen = choose(problem, seconds=SECONDS)
    ordered = sorted(
        (_judged(one, chosen) for one in found),
        key=lambda one: (not one.is_in, -one.found.gain, one.row.rank),
    )
    needing = _needing(ordered, problem, chosen)
    return Answer(assumed, needing, chosen, unseen, unpriced)


def _with_a_fault(view: View) -> list[Row]:
    if view.ranked is None:
        return []
    return view.rows.at(np.flatnonzero(view.ranked.legs.located > 0).tolist())


def _problem(found: Sequence[LegWeighed], assumed: Assumed) -> Problem:
    offers = [Offer(one.row.at, one.place.pk, one.leg, one.found) for one in found]
    once = {key: costs.fixed for key, costs in assumed.costs.items()}
    return problem_of(offers, once, assumed.budget)


def _judged(one: LegWeighed, chosen: Chosen) -> LegWeighed:
    return LegWeighed(one.row, one.leg, one.found, one.row.at in chosen.keys)


def _needing(legs: Sequence[LegWeighed], problem: Problem, chosen: Chosen) -> list[LegWeighed]:
    """Say for the next few that are not in from which gain on they would be."""
    left, found = MOST_OUT, []
    for one in legs:
        needs = None
        if not one.is_in and left:
            left -= 1
            needs = needs_worth(problem, one.row.at, chosen)
        found.append(LegWeighed(one.row, one.leg, one.found, one.is_in, needs))
    return found
