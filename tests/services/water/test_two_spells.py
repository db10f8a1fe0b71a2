"""Two spells of a station in one month: each has the water of the days on which it flowed."""

from datetime import date

import pytest

from sites.models import Meter, Station, WaterMonth
from tests import make, make_water

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]


@pytest.fixture
def lawn() -> Station:
    """The first worked spell."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    station = make_water.lawn(removed_on=date(2025, 11, 11))
    make_water.tariff(station.controller.property)
    return station


MARCH = [(date(2026, 3, 3), date(2026, 3, 13)), (date(2026, 3, 20), date(2026, 4, 1))]


@pytest.mark.parametrize(
    ("kinds", "applied", "excess"),
    [
        (("battery timer", "shut off"), (3000, 0), (2371.43, 0)),
        (("shut off", "battery timer"), (0, 3600), (0, 2845.71)),
    ],
)
def test_of_two_spells_in_a_month_each_has_the_water_of_its_own_days(
    kinds: tuple[str, str], applied: tuple[int, int], excess: tuple[float, float]
) -> None:
    # 300 gal are given and 62.857 needed on each day: the figures of a case worked by hand.
    area_sqft = 62.857142857 / (0.1 * 0.8 / 0.75 * 144 / 231)
    make_water.climate(eto_in=[0, 0, 3.1, *[0] * 9])
    place = make.place(climate_table="Valley")
    make_water.tariff(place, water_price="10", price_unit="kgal")
    station = make.station(controller=make.controller(property=place))
    make_water.facts(station, area_sqft=area_sqft, flow_gpm=30)
    make_water.schedule(station, days="every 1", starts="05:00", minutes=10)
    for kind, (start, end) in zip(kinds, MARCH, strict=True):
        make_water.stopgap(station, kind=kind, on=start, removed_on=end)
    found = Meter.objects.filter(spell__station=station).order_by("spell__from_on")
    assert [each.applied_gal for each in found] == pytest.approx(list(applied))
    assert [each.needed_gal for each in found] == pytest.approx([628.571, 754.286], abs=0.001)
    assert [each.excess_gal for each in found] == pytest.approx(list(excess), abs=0.01)
    assert [each.cost for each in found] == pytest.approx([e / 100 for e in excess], abs=0.001)
    # The month itself stays pooled over all its days off.
    row = WaterMonth.objects.get(station=station, month=date(2026, 3, 1))
    assert (row.days, row.applied_gal) == (22, pytest.approx(sum(applied)))
    assert row.excess_gal == pytest.approx(sum(applied) - 22 * 62.857142857)


def test_what_is_missing_of_one_spell_hides_nothing_of_the_other() -> None:
    make_water.climate(eto_in=[0, 0, 3.1, *[0] * 9])
    station = make.station(controller=make.controller(property=make.place(climate_table="Valley")))
    make_water.facts(station)
    for kind, (start, end) in zip(("battery timer", "shut off"), MARCH, strict=True):
        make_water.stopgap(station, kind=kind, on=start, removed_on=end)
    first, second = Meter.objects.filter(spell__station=station).order_by("spell__from_on")
    assert (first.applied_gal, first.lacks) == (None, "schedule")
    assert (second.applied_gal, second.excess_gal, second.months_known) == (0, 0, 1)


def test_spells_that_meet_no_month_in_common_add_up_to_the_ledger(lawn: Station) -> None:
    make_water.stopgap(lawn, on=date(2025, 12, 1), removed_on=date(2026, 2, 1))
    first, second = Meter.objects.filter(spell__station=lawn).order_by("spell__from_on")
    total = sum(each.excess_gal or 0 for each in WaterMonth.objects.filter(station=lawn))
    assert (first.excess_gal or 0) + (second.excess_gal or 0) == pytest.approx(total)
    assert (first.months, second.months) == (5, 2)
