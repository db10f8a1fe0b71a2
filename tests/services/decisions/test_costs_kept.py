"""What renewing costs is kept for a property or for all, and every leg takes its own."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from reports.decisions.services.costs import (
    Costs,
    UnableToKeepCosts,
    drop_renewal_costs,
    keep_renewal_costs,
    kept_costs,
)
from reports.decisions.services.weighing import Assumed, weigh_all
from reports.hotspots.services.ranking import look
from reports.models import RenewalCosts
from sites.kernel.engines.roles import Role
from sites.models import Property, User
from tests import make
from tests.services.hotspots.trunk import ALL, Trunk, trunk

pytestmark = pytest.mark.django_db

ASSUMED = Assumed(1000, 0, {}, years=20, interest_percent=4, kept_percent=50)


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def keep(
    place: Property | None, by: User, per_foot: str, paved: str | None = None, fixed: str = "0"
) -> RenewalCosts:
    return keep_renewal_costs(
        costs_place=place,
        per_foot=Decimal(per_foot),
        per_foot_paved=None if paved is None else Decimal(paved),
        fixed=Decimal(fixed),
        by=by,
        today=make.TODAY,
    )


def test_a_property_takes_its_own_costs_else_those_of_all_else_none(owner: User) -> None:
    first, second = make.place(), make.place()
    assert kept_costs([first, second]) == {}
    keep(first, owner, "12.50", "40", "150")
    assert kept_costs([first, second]) == {first.pk: Costs(12.5, 40, 150)}
    whole = keep(None, owner, "9")
    assert kept_costs([first, second]) == {
        first.pk: Costs(12.5, 40, 150),
        second.pk: Costs(9, None, 0),
    }
    drop_renewal_costs(costs=whole, by=owner)
    assert kept_costs([second]) == {}


def test_what_is_kept_again_replaces_it_and_stays_in_the_history(owner: User) -> None:
    place = make.place()
    keep(place, owner, "10")
    keep(place, owner, "11")
    (row,) = RenewalCosts.objects.all()
    assert (row.per_foot, row.kept_by) == (11, owner)
    assert [each.per_foot for each in row.history.order_by("pk")] == [10, 11]


def test_a_cost_below_0_and_all_properties_by_who_sees_one_are_refused(owner: User) -> None:
    place = make.place()
    keep(place, owner, "0", "0", "0")
    for costs in (("-0.01", None, "0"), ("1", "-0.01", "0"), ("1", None, "-0.01")):
        with pytest.raises(UnableToKeepCosts, match="not below 0"):
            keep(place, owner, *costs)
    limited = make.user(Role.OWNER, property=place)
    keep(place, limited, "3")
    with pytest.raises(UnableToKeepCosts, match="one of your properties"):
        keep(None, limited, "3")
    whole = keep(None, owner, "5")
    with pytest.raises(UnableToKeepCosts, match="on all properties"):
        drop_renewal_costs(costs=whole, by=limited)


def test_each_leg_is_weighed_at_the_costs_of_its_property(owner: User) -> None:
    lines = [_struck(), _struck()]
    places = [line.place for line in lines]
    view = look(places, ALL)
    keep(places[0], owner, "10", fixed="200")
    alone = weigh_all(view, replace(ASSUMED, costs=kept_costs(places)))
    assert [one.place.pk for one in alone.legs] == [places[0].pk]
    assert alone.not_priced == 1
    keep(None, owner, "20")
    both = weigh_all(view, replace(ASSUMED, costs=kept_costs(places)))
    assert both.not_priced == 0
    assert {one.place.pk: one.leg.cost for one in both.legs} == {
        places[0].pk: 1000,
        places[1].pk: 2000,
    }
    # What is paid once is that of the property too.
    assert both.cost == pytest.approx(1000 + 200 + 2000)


def _struck() -> Trunk:
    made = trunk((100.0,) * 12)
    for n in range(8):
        made.struck(made.legs[2], date(2021 + n // 3, 2 + n, 3))
    return made
