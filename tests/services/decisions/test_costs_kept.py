"""What renewing costs is kept for a property or for all, and every leg takes its own."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from faults.cases.services.splitting import split_leg
from reports.decisions.services.costs import (
    UnableToKeepCosts,
    drop_renewal_costs,
    keep_renewal_costs,
)
from reports.decisions.services.knowing import cost_as_kept, seen_of
from reports.decisions.services.weighing import Assumed, weigh_all
from reports.decisions.services.words import not_weighed, written
from reports.hotspots.services.ranking import View, look
from reports.hotspots.services.renewal_costs import (
    Costs,
    Given,
    Method,
    kept_costs,
    leg_cost,
    which_counts,
)
from reports.hotspots.services.rows import Row
from reports.models import RenewalCosts
from sites.kernel.engines.roles import Role
from sites.models import Cover, Leg, Property, User
from tests import make
from tests.services.hotspots.trunk import ALL, Trunk, trunk

pytestmark = pytest.mark.django_db

ASSUMED = Assumed(1000, 0, 0, {}, years=20, interest_percent=4, kept_percent=50)


@pytest.fixture
def owner(db: None) -> User:
    return make.user(Role.OWNER)


def keep(
    place: Property | None,
    by: User,
    per_foot: str,
    paved: str | None = None,
    fixed: str = "0",
    *,
    ploughed: str | None = None,
    pulled: str | None = None,
) -> RenewalCosts:
    return keep_renewal_costs(
        costs_place=place,
        per_foot=Decimal(per_foot),
        per_foot_paved=None if paved is None else Decimal(paved),
        per_foot_ploughed=None if ploughed is None else Decimal(ploughed),
        per_foot_pulled=None if pulled is None else Decimal(pulled),
        fixed=Decimal(fixed),
        by=by,
        today=make.TODAY,
    )


def test_a_property_takes_its_own_costs_else_those_of_all_else_none(owner: User) -> None:
    first, second = make.place(), make.place()
    assert kept_costs([first, second]) == {}
    keep(first, owner, "12.50", "40", "150")
    assert kept_costs([first, second]) == {first.pk: Costs(12.5, 40, 150, Given.PLACE)}
    whole = keep(None, owner, "9")
    assert kept_costs([first, second]) == {
        first.pk: Costs(12.5, 40, 150, Given.PLACE),
        second.pk: Costs(9, None, 0, Given.ALL),
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
    for name in ("ploughed", "pulled"):
        with pytest.raises(UnableToKeepCosts, match="not below 0"):
            keep(place, owner, "1", **{name: "-0.01"})  # type: ignore[arg-type]
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
    assert [row.name for row in alone.rows(alone.not_priced)] == ["T-3"]
    keep(None, owner, "20")
    both = weigh_all(view, replace(ASSUMED, costs=kept_costs(places)))
    assert both.not_priced == []
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


def seen_leg(line: Trunk, number: int) -> tuple[Row, View]:
    view = look([line.place], ALL)
    row = view.row_of(line.legs[number].pk)
    assert row is not None
    return row, view


def test_one_leg_alone_pays_what_is_paid_once_and_typed_costs_go_before_kept(owner: User) -> None:
    line = _struck()
    row, view = seen_leg(line, 2)
    assert leg_cost(row, view) is None
    assert "not known" in which_counts(None, None, line.place)
    keep(line.place, owner, "10", fixed="200")
    kept = leg_cost(row, view)
    assert kept is not None
    # 100 ft at 10, and 200 once.
    assert (kept.work, kept.once, kept.alone) == (1000, 200, 1200)
    assert f"1,200 by trench, as kept for {line.place}" in which_counts(kept, kept, line.place)
    typed = leg_cost(row, view, Costs(3, None, 50))
    assert typed is not None
    assert typed.alone == 350
    words = which_counts(typed, kept, line.place)
    assert words.endswith(
        "350 by trench, as typed here. It counts instead of the 1,200 that is kept."
    )
    # Where nothing is kept, it counts instead of nothing.
    assert which_counts(typed, None, line.place).endswith("350 by trench, as typed here.")


def test_splitting_a_leg_changes_its_cost_by_what_lies_on_its_parts_alone(owner: User) -> None:
    line = _struck()
    leg = line.legs[2]
    keep(line.place, owner, "10", "40", "200")
    whole = leg_cost(*seen_leg(line, 2))
    box = make.point(property=line.place)
    split_leg(leg=leg, point=box, feet=30.0, from_second=False, on=make.TODAY, today=make.TODAY)
    parts = list(Leg.objects.filter(split_from=leg).order_by("starts_at_ft"))
    assert leg_cost(*seen_leg(line, 2)) == whole
    Leg.objects.filter(pk=parts[0].pk).update(cover=Cover.PAVING)
    found = leg_cost(*seen_leg(line, 2))
    assert found is not None
    # 30 ft below paving at 40, 70 ft at 10.
    assert found.work == pytest.approx(30 * 40 + 70 * 10)


def test_a_decision_starts_from_the_same_cost_as_the_worth_of_the_leg(owner: User) -> None:
    line = _struck()
    assert cost_as_kept(seen_of(line.legs[2], by=owner, today=make.TODAY)) is None
    keep(None, owner, "10", fixed="200")
    seen = seen_of(line.legs[2], by=owner, today=make.TODAY)
    assert cost_as_kept(seen) == leg_cost(*seen_leg(line, 2))


@pytest.mark.parametrize(("legs", "said"), [(8, "T-8 (P)"), (9, "1 more"), (10, "2 more")])
def test_what_is_not_weighed_is_named(owner: User, legs: int, said: str) -> None:
    line = trunk((100.0,) * 12, code="P")
    for leg in line.legs[:legs]:
        line.struck(leg, date(2022, 2, 3))
    found = weigh_all(look([line.place], ALL), ASSUMED)
    words = not_weighed(found, found.not_priced)
    assert words.startswith("T-1 (P), T-2 (P)")
    assert words.endswith(said)
    whys = [line[2] for line in written(found, "USD").rows()]
    assert whys == ["not weighed: cost not known"] * legs


@pytest.mark.parametrize(
    ("cover", "in_conduit", "a_foot", "method"),
    [
        (Cover.TURF, None, 6, Method.PLOUGH),
        (Cover.TURF, False, 6, Method.PLOUGH),
        (Cover.BARE, False, 6, Method.PLOUGH),
        (Cover.TURF, True, 3, Method.PULL),
        (Cover.PLANTING, False, 10, Method.TRENCH),
        (Cover.PLANTING, True, 3, Method.PULL),
        (Cover.PAVING, False, 40, Method.TRENCH),
        (Cover.PAVING, True, 3, Method.PULL),
        (Cover.ROAD, None, 40, Method.TRENCH),
        # Nobody said what lies on it: no plough goes where nobody knows the ground.
        ("", None, 10, Method.TRENCH),
    ],
)
def test_a_leg_is_laid_by_the_cheapest_method_that_its_ground_allows(
    owner: User, cover: str, in_conduit: bool | None, a_foot: float, method: Method
) -> None:
    """Common practice of the trade, no source."""
    line = _struck()
    Leg.objects.filter(pk=line.legs[2].pk).update(cover=cover, in_conduit=in_conduit)
    keep(line.place, owner, "10", "40", "200", ploughed="6", pulled="3")
    found = leg_cost(*seen_leg(line, 2))
    assert found is not None
    assert (found.work, found.method) == (a_foot * 100, method)


def test_a_method_without_a_price_is_not_taken_and_a_dearer_one_neither(owner: User) -> None:
    line = _struck()
    Leg.objects.filter(pk=line.legs[2].pk).update(in_conduit=True)
    keep(line.place, owner, "10", fixed="200")
    found = leg_cost(*seen_leg(line, 2))
    assert found is not None
    assert (found.work, found.method) == (1000, Method.TRENCH)
    for ploughed, pulled, a_foot, method in (
        ("10.01", "12", 10, Method.TRENCH),
        ("10", "10", 10, Method.TRENCH),
        ("9.99", "12", 9.99, Method.PLOUGH),
        ("9", "0", 0, Method.PULL),
    ):
        keep(line.place, owner, "10", fixed="200", ploughed=ploughed, pulled=pulled)
        found = leg_cost(*seen_leg(line, 2))
        assert found is not None
        assert found.work == pytest.approx(a_foot * 100)
        assert found.method is method
        assert found.once == 200


def test_parts_of_a_split_leg_are_laid_each_in_its_own_way(owner: User) -> None:
    line = _struck()
    keep(line.place, owner, "10", "40", ploughed="6", pulled="3")
    box = make.point(property=line.place)
    split_leg(
        leg=line.legs[2], point=box, feet=30.0, from_second=False, on=make.TODAY, today=make.TODAY
    )
    first, second = Leg.objects.filter(split_from=line.legs[2]).order_by("starts_at_ft")
    Leg.objects.filter(pk=first.pk).update(cover=Cover.PAVING)
    Leg.objects.filter(pk=second.pk).update(in_conduit=True)
    found = leg_cost(*seen_leg(line, 2))
    assert found is not None
    assert found.work == pytest.approx(30 * 40 + 70 * 3)
    assert found.method is Method.SEVERAL
    assert "by several methods" in which_counts(found, found, line.place)


def test_methods_are_those_of_each_property(owner: User) -> None:
    lines = [_struck(), _struck()]
    places = [line.place for line in lines]
    keep(places[0], owner, "10", ploughed="6")
    keep(places[1], owner, "10", pulled="1")
    Leg.objects.filter(pk=lines[1].legs[2].pk).update(in_conduit=True)
    found = weigh_all(look(places, ALL), replace(ASSUMED, costs=kept_costs(places)))
    assert {one.place.pk: (one.leg.cost, one.how) for one in found.legs} == {
        places[0].pk: (600, "by plough"),
        places[1].pk: (100, "pulled through its conduit"),
    }
