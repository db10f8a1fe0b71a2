"""What a return saves: the ledger's own water from a day on, and the battery visits that end."""

from datetime import date, timedelta
from decimal import Decimal

import pytest

from faults.prices.engines.pricing import Charge, Price, Prices, Scope
from faults.prices.services.holding import prices_at
from reports.returning.services.saving import Savings, Visits
from sites.models import Station
from sites.water.services.ahead import Saved, saved_between
from sites.water.services.gathered import Gathered, gather
from sites.water.services.metering import ledger_of
from tests import make, make_water

pytestmark = pytest.mark.django_db

FIRST, LAST = date(2025, 8, 1), date(2025, 11, 1)


def gathered(station: Station) -> Gathered:
    return gather([station.pk], ahead_from=FIRST)[0]


@pytest.fixture
def lawn() -> Station:
    make_water.climate()
    station = make_water.lawn()
    make_water.tariff(station.controller.property)
    return station


def test_whole_months_are_those_of_the_ledger(lawn: Station) -> None:
    one = gathered(lawn)
    rows = [row for row in ledger_of(one, until=LAST) if row.month >= FIRST]
    saved = saved_between(one, FIRST, LAST)
    assert len(rows) == 3
    assert saved.excess_gal == pytest.approx(sum(row.excess_gal or 0 for row in rows))
    assert saved.cost == pytest.approx(sum(row.cost or 0 for row in rows))
    assert saved.excess_gal
    assert saved.cost
    assert not saved.lacks


def test_the_days_until_it_is_back_are_not_saved(lawn: Station) -> None:
    one, middle = gathered(lawn), date(2025, 8, 17)
    parts = [saved_between(one, FIRST, middle), saved_between(one, middle, LAST)]
    whole = saved_between(one, FIRST, LAST)
    assert sum(part.cost or 0 for part in parts) == pytest.approx(whole.cost)
    assert 0 < (parts[1].cost or 0) < (whole.cost or 0)


def test_nothing_is_saved_once_the_day_is_reached(lawn: Station) -> None:
    one = gathered(lawn)
    assert saved_between(one, LAST, LAST) == Saved(0.0, 0.0, 0.0)
    assert saved_between(one, LAST + timedelta(days=1), LAST) == Saved(0.0, 0.0, 0.0)
    assert saved_between(one, LAST - timedelta(days=1), LAST).excess_gal != 0.0


def test_what_is_missing_is_named_and_never_0() -> None:
    make_water.climate()
    station = make_water.lawn(facts={"flow_gpm": None})
    saved = saved_between(gathered(station), FIRST, LAST)
    assert (saved.excess_gal, saved.cost, saved.lacks) == (None, None, {"flow"})


def test_without_a_price_the_water_is_known_and_its_money_is_not() -> None:
    make_water.climate()
    saved = saved_between(gathered(make_water.lawn()), FIRST, LAST)
    assert saved.excess_gal
    assert (saved.cost, saved.lacks) == (None, {"price"})


SINCE = date(2025, 1, 1)


@pytest.mark.parametrize(
    ("start", "until", "visits"),
    [
        # 180 days after 1 January is 30 June, 360 days after it 27 December.
        (date(2025, 6, 30), date(2025, 6, 30), 0),
        (date(2025, 6, 30), date(2025, 7, 1), 1),
        (date(2025, 6, 29), date(2025, 6, 30), 0),
        (date(2025, 7, 1), date(2025, 12, 27), 0),
        (date(2025, 7, 1), date(2025, 12, 28), 1),
        (date(2025, 6, 1), date(2025, 12, 28), 2),
        # Due before it is back: that visit is made in any case.
        (date(2025, 8, 1), date(2025, 9, 1), 0),
        (date(2024, 12, 1), date(2025, 7, 1), 1),
    ],
)
def test_visits_that_fall_due(start: date, until: date, visits: int) -> None:
    assert Visits(SINCE, 1).days(start, until, 180) == visits


def priced(rate: str) -> Prices:
    price = Price(Charge.TRACING, Decimal(rate))
    return Prices("USD", None, {(Charge.TRACING, ""): (price, Scope.COMPANY)})


def test_two_valves_on_one_battery_set_share_its_visits(lawn: Station) -> None:
    device = make.device(property=lawn.controller.property, battery_changed_on=SINCE)
    lawn.stopgaps.update(device=device)
    other = make_water.lawn(lawn.controller.property, controller=lawn.controller)
    other.stopgaps.update(device=device)
    found = Savings([lawn.pk, other.pk], today=FIRST)
    until = date(2026, 1, 1)
    for station in (lawn, other):
        saving = found.of(station.pk, priced("60"), FIRST, until)
        # Half of one visit of 20 minutes at 60 an hour.
        assert (saving.visits, saving.visits_cost) == (0.5, 10.0)
        assert saving.money == pytest.approx((saving.water.cost or 0) + 10)


def test_a_visit_without_a_rate_is_no_known_money(lawn: Station) -> None:
    device = make.device(property=lawn.controller.property, battery_changed_on=SINCE)
    lawn.stopgaps.update(device=device)
    prices = prices_at(lawn.controller.property, FIRST)
    found = Savings([lawn.pk], today=FIRST)
    saving = found.of(lawn.pk, prices, FIRST, date(2026, 1, 1))
    assert (saving.visits, saving.visits_cost, saving.money) == (1.0, None, None)
    # No visit falls due: then no rate is needed.
    assert found.of(lawn.pk, prices, FIRST, LAST).visits_cost == 0.0
