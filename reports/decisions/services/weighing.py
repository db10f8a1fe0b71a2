"""Every leg with a fault, weighed; and the set that is worth renewing first within a budget."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from reports.decisions.engines.best_set import Offer, leg_known, problem_of
from reports.decisions.engines.renewing import Leg, Money, Weighed, weigh
from reports.decisions.services.choosing import pick
from reports.hotspots.services.ranking import View
from reports.hotspots.services.renewal_costs import Costs, legs_cost
from reports.hotspots.services.rows import Row
from reports.returning.engines.choosing import Chosen
from sites.kernel.lazily import np
from sites.models import Property


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

    `at` is its place in view. `needs` is None where that was not worked out, or where it never
    fits.
    """

    view: View
    at: int
    leg: Leg
    found: Weighed
    is_in: bool = False
    needs: float | None = None

    @property
    def row(self) -> Row:
        """What is shown of it; those that are shown together are made together (`Answer.rows`)."""
        return self.view.rows.at([self.at])[0]

    @property
    def key(self) -> int:
        """The key of the leg."""
        return key_of(self.at, self.view)

    @property
    def place(self) -> Property:
        """Its property."""
        return self.view.place_of(self.at)


@dataclass(frozen=True)
class Answer:
    """All legs, those of the set first, then by what renewing gains.

    Legs of `not_observed` and `not_priced`, by their places in view, have a fault and could not be
    weighed.
    """

    view: View
    assumed: Assumed
    legs: Sequence[LegWeighed]
    chosen: Chosen
    not_observed: Sequence[int] = ()
    not_priced: Sequence[int] = ()

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

    def rows(self, at: Sequence[int]) -> list[Row]:
        """Return the rows at these places; their names come with one query."""
        return self.view.rows.at(at)


def leg_of(at: int, view: View, *, cost: float, kept_percent: float) -> Leg | None:
    """Return what is known of the leg at a place in view; None where it was not observed.

    Args:
        cost: of the work.
        kept_percent: faults of a renewed leg, in percent of an ordinary one.
    """
    if view.ranked is None:
        return None
    years = float(view.watched.years[at])
    return leg_known(view.ranked, at, years, cost=cost, kept_percent=kept_percent)


def key_of(at: int, view: View) -> int:
    """Return the key of the leg at a place in view."""
    return int(view.watched.evidence.key[at])


def weigh_all(view: View, assumed: Assumed) -> Answer:
    """Weigh every leg on which a fault was located, and choose the set.

    Raises:
        NotMadeYet: too many to choose from at once; a run does it.
    """
    places = _with_a_fault(view)
    costs, money = legs_cost(places, view, assumed.costs), assumed.money
    found: list[LegWeighed] = []
    unseen, unpriced = [], []
    for at in places:
        if (cost := costs[at]) is None:
            unpriced.append(at)
            continue
        leg = leg_of(at, view, cost=cost.work, kept_percent=assumed.kept_percent)
        if leg is None:
            unseen.append(at)
        else:
            found.append(LegWeighed(view, at, leg, weigh(leg, money)))
    once = {key: given.fixed for key, given in assumed.costs.items()}
    offers = [Offer(one.at, one.place.pk, one.leg, one.found) for one in found]
    picked = pick(problem_of(offers, once, assumed.budget))
    keys, needs = picked.chosen.keys, picked.needs
    legs = [replace(one, is_in=one.at in keys, needs=needs.get(one.at)) for one in found]
    legs.sort(key=lambda one: (not one.is_in, -one.found.gain, one.at))
    return Answer(view, assumed, legs, picked.chosen, unseen, unpriced)


def _with_a_fault(view: View) -> list[int]:
    """Return the places in view of legs on which a fault was located."""
    if view.ranked is None:
        return []
    found: list[int] = np.flatnonzero(view.ranked.legs.located > 0).tolist()
    return found
