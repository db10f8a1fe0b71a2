"""What stations had cost on a past day: what the meter said then, and who sees the price."""

from datetime import UTC, date, datetime
from typing import Any

import pytest

from sites.kernel.engines.roles import Role
from sites.models import ClimateRow, Grant, Meter, Station, Stopgap, User
from sites.stopgaps.services.spells import rebuild_spells
from sites.water.services.ledger import rebuild_water
from sites.water.services.past import meters_on
from tests import make, make_water
from tests.web.off_central.past_day import at, file_of, off_over
from tests.web.pages import open_page

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def lawn() -> Station:
    """Make a lawn of which all is known, off since January, and its ledger."""
    if not ClimateRow.objects.exists():
        make_water.climate()
    station = make_water.lawn()
    make_water.tariff(station.controller.property)
    Stopgap.objects.filter(station=station).update(
        counted_from=date(2025, 1, 10),
        fitted_earliest=date(2025, 1, 10),
        fitted_latest=date(2025, 1, 10),
        removed_on=None,
    )
    rebuild_spells([station.pk])
    rebuild_water([station.pk])
    return station


def of(meter: Meter) -> tuple[Any, ...]:
    """Return what a meter says."""
    return (
        meter.excess_gal,
        meter.shortfall_gal,
        meter.cost,
        meter.month_excess_gal,
        meter.months,
        meter.months_known,
        meter.months_priced,
        meter.lacks,
    )


def test_water_of_today_is_what_the_meter_says() -> None:
    station = lawn()
    kept = Meter.objects.get(spell__station=station)
    assert kept.excess_gal
    assert of(meters_on([station.pk], make.TODAY)[station.pk]) == of(kept)


@pytest.mark.parametrize("day", [date(2025, 1, 10), date(2025, 2, 1), date(2025, 4, 17)])
def test_water_of_a_past_day_is_what_the_meter_said_on_that_day(day: date) -> None:
    station = lawn()
    # Since then it has been back on central, and off again.
    Stopgap.objects.filter(station=station).update(removed_on=date(2025, 4, 18))
    make.stopgap(station=station, on=date(2025, 4, 25))
    rebuild_spells([station.pk])
    now = meters_on([station.pk], day)[station.pk]
    Stopgap.objects.filter(station=station).exclude(removed_on=date(2025, 4, 18)).delete()
    Stopgap.objects.filter(station=station).update(removed_on=None)
    rebuild_spells([station.pk])
    rebuild_water([station.pk], at=datetime.combine(day, datetime.min.time(), UTC))
    assert of(now) == of(Meter.objects.get(spell__station=station))


def test_the_sum_of_a_day_is_the_sum_of_its_rows(manager: User) -> None:
    station = lawn()
    place = station.controller.property
    off_over((date(2025, 3, 1), None))
    page = open_page(manager, at("2025-04-17"))
    meter = meters_on([station.pk], date(2025, 4, 17))[station.pk]
    totals = page.response.context["totals"]
    assert meter.cost
    assert totals.excess_gal == meter.excess_gal
    assert [(each.currency, each.so_far) for each in totals.costs] == [("", meter.cost)]
    assert (totals.stations, totals.not_known) == (2, 1)
    shown = page.rows("list-title")
    assert shown[0][7] == f"{meter.excess_gal:,.0f} gal"
    assert shown[1][7].startswith("not known")
    written = file_of(manager, at("2025-04-17", export="csv"))
    column = written[0].index("Excess water (gal)")
    assert float(written[1][column]) == round(meter.excess_gal or 0, 2)
    own = open_page(manager, f"/properties/{place.ref}/?day=2025-04-17")
    assert own.response.context["totals"].excess_gal == meter.excess_gal
    assert file_of(manager, "/?day=2025-04-17&export=csv&sort=-cost") == written


def test_prices_of_a_past_day_are_seen_where_the_user_sees_prices() -> None:
    """A manager of one property who sees the other as a technician sees one cost of the two."""
    first, second = lawn(), lawn()
    one = make.user(Role.WATER_MANAGER, property=first.controller.property)
    Grant.objects.create(user=one, role=Role.TECHNICIAN.value, property=second.controller.property)
    written = file_of(one, at("2025-04-17", export="csv"))
    cost = written[0].index("It costs")
    by_place = {row[2]: row[cost] for row in written[1:]}
    assert float(by_place[first.controller.property.code]) > 0
    assert by_place[second.controller.property.code] == ""
    nobody = make.user(Role.TECHNICIAN)
    assert "It costs" not in open_page(nobody, at("2025-04-17")).panel("list-title")
