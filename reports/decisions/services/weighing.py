"""Every leg with a fault, weighed; and the set that is worth renewing first within a budget."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from reports.decisions.engines.best_set import Sought, gains, is_observed, leg_known
from reports.decisions.engines.renewing import Leg, Weighed, weigh
from reports.decisions.services.choosing import Picked, pick
from reports.hotspots.engines.paying import Money
from reports.hotspots.engines.rates import Ints
from reports.hotspots.services.ranking import View
from reports.hotspots.services.renewal_costs import METHOD_WORDS, Costs, Method, legs_cost
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
    fits. `leg` and `found` are of the work on it; `once` is what its property shares.
    """

    view: View
    at: int
    leg: Leg
    found: Weighed
    once: float
    method: Method
    is_in: bool = False
    needs: float | None = None

    @property
    def row(self) -> Row:
        """What is shown of it; those that are shown together are made together (`Answer.rows`)."""
        return self.view.rows.at([self.at])[0]

    @cached_property
    def alone(self) -> Weighed:
        """What renewing it comes to where no other leg of its property is renewed.

        Its chance is the one that stands wherever one leg is weighed.
        """
        return weigh(replace(self.leg, cost=self.leg.cost + self.once), self.found.money)

    @property
    def how(self) -> str:
        """How it would be laid, in words."""
        return str(METHOD_WORDS[self.method])

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
    """All legs, those of the set first, then by what renewing gains; each made when it is shown.

    `costs` are of the work and `methods` those of laying, by place in view; `first` and `rest` are
    the places of the set and of all others. Legs of `not_observed` and `not_priced` have a fault
    and could not be weighed.
    """

    view: View
    assumed: Assumed
    costs: Mapping[int, float]
    methods: Mapping[int, int]
    first: Sequence[int]
    rest: Sequence[int]
    picked: Picked
    not_observed: Sequence[int] = ()
    not_priced: Sequence[int] = ()

    @property
    def chosen(self) -> Chosen:
        """The set."""
        return self.picked.chosen

    @property
    def inside(self) -> list[LegWeighed]:
        """The set, leg by leg."""
        return self.made(self.first)

    @property
    def outside(self) -> list[LegWeighed]:
        """All others."""
        return self.made(self.rest)

    @property
    def legs(self) -> list[LegWeighed]:
        """All of them."""
        return [*self.inside, *self.outside]

    @property
    def cost(self) -> float:
        """What renewing the set costs, shared set-ups once."""
        return self.chosen.load.money

    def made(self, places: Sequence[int]) -> list[LegWeighed]:
        """Return the legs at these places; their names come with one query."""
        self.rows(places)
        money, kept = self.assumed.money, self.assumed.kept_percent
        found = []
        for at in places:
            leg = leg_of(at, self.view, cost=self.costs[at], kept_percent=kept)
            assert leg is not None
            is_in, needs = at in self.chosen.keys, self.picked.needs.get(at)
            once = self.assumed.costs[self.view.place_of(at).pk].fixed
            how = Method(self.methods[at])
            weighed = weigh(leg, money)
            found.append(LegWeighed(self.view, at, leg, weighed, once, how, is_in, needs))
        return found

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


def weigh_all(view: View, assumed: Assumed, *, among: Collection[Property] | None = None) -> Answer:
    """Weigh every leg on which a fault was located, and choose the set.

    Args:
        among: the properties whose legs are weighed; None = all in view. Rates come from all in
            view, so that choosing one property changes the chance of none of its legs.

    Raises:
        NotMadeYet: too many to choose from at once; a run does it.
    """
    ranked = view.ranked
    if ranked is None:
        nothing = Sought.of([], [], [], [], once={}, budget=assumed.budget)
        return Answer(view, assumed, {}, {}, [], [], pick(nothing))
    is_asked = ranked.legs.located > 0
    if among is not None:
        is_asked &= np.isin(view.watched.evidence.owner, [place.pk for place in among])
    places: Ints = np.flatnonzero(is_asked)
    work = legs_cost(places, view, assumed.costs)
    years, is_priced = view.watched.years[places], ~np.isnan(work.cost)
    is_weighed = is_priced & is_observed(ranked, places, years)
    at, cost = places[is_weighed], work.cost[is_weighed]
    kept = assumed.kept_percent
    gained = gains(ranked, at, years[is_weighed], cost, assumed.money, kept_percent=kept)
    once = {key: given.fixed for key, given in assumed.costs.items()}
    owner = view.watched.evidence.owner[at]
    picked = pick(Sought.of(at, owner, gained, cost, once=once, budget=assumed.budget))
    order = at[np.lexsort((at, -gained))].tolist()
    keys = picked.chosen.keys
    return Answer(
        view,
        assumed,
        dict(zip(at.tolist(), cost.tolist(), strict=True)),
        dict(zip(at.tolist(), work.method[is_weighed].tolist(), strict=True)),
        [one for one in order if one in keys],
        [one for one in order if one not in keys],
        picked,
        places[is_priced & ~is_weighed].tolist(),
        places[~is_priced].tolist(),
    )
