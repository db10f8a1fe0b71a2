"""The ledger and the meters follow from the records, whatever changes and in whatever order."""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.test import override_settings

from sites.models import ClimateRow, Meter, Schedule, Spell, Station, Stopgap, WaterMonth
from sites.water.engines.money import to_cents
from sites.water.services import keeping
from sites.water.services.ledger import (
    due_stations,
    keep_water_true,
    rebuild_all_water,
    rebuild_due,
    rebuild_water,
)
from tests import make, make_water

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]

NOW = datetime(2026, 11, 20, 18, 0, tzinfo=UTC)
TODAY = NOW.date()


def meter(station: Station) -> Meter:
    """Return the meter of the station's last spell."""
    found = Meter.objects.filter(spell__station=station).order_by("-spell__from_on").first()
    assert found is not None
    return found


@pytest.fixture
def lawn() -> Station:
    """The first worked spell."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    station = make_water.lawn(removed_on=date(2025, 11, 11))
    make_water.tariff(station.controller.property)
    return station


def test_the_lawn_to_the_cent(lawn: Station) -> None:
    found = meter(lawn)
    assert (found.months, found.months_known, found.months_priced, found.lacks) == (5, 5, 5, "")
    assert found.applied_gal == 49_896
    assert found.needed_gal == pytest.approx(31_862.19, abs=0.01)
    assert found.excess_gal == pytest.approx(18_033.81, abs=0.01)
    assert found.shortfall_gal == 0
    assert found.cost is not None
    assert to_cents(found.cost) == Decimal("126.57")
    rows = WaterMonth.objects.filter(station=lawn).order_by("month")
    assert [row.days for row in rows] == [14, 31, 30, 31, 10]
    assert [round(row.excess_gal or 0, 2) for row in rows] == [
        138.23, 1361.92, 4830.86, 7186.75, 4516.05,
    ]  # fmt: skip
    assert {row.table for row in rows} == {"Valley"}


def test_the_shrubs_to_the_cent() -> None:
    name, eto, rain = make_water.SHRUB_TABLE
    make_water.climate(name, eto, rain_in=rain)
    place = make.place(climate_table=name)
    make_water.tariff(place, water_price="6.80", price_unit="kgal")
    found = meter(make_water.shrubs(place))
    assert found.excess_gal == pytest.approx(990.58, abs=0.01)
    assert found.shortfall_gal == pytest.approx(400.63, abs=0.01)
    assert found.cost is not None
    assert to_cents(found.cost) == Decimal("6.74")


def test_a_missing_flow_is_not_known_and_becomes_a_number(lawn: Station) -> None:
    facts = lawn.facts.get()
    facts.flow_gpm = None
    facts.save()
    found = meter(lawn)
    assert (found.excess_gal, found.cost, found.months_known) == (None, None, 0)
    assert found.lacks == "flow"
    facts.flow_gpm = 18
    facts.save()
    assert meter(lawn).excess_gal == pytest.approx(18_033.81, abs=0.01)


def test_a_month_that_is_not_known_leaves_the_others_as_a_least_sum(lawn: Station) -> None:
    ClimateRow.objects.get(month=10).delete()
    found = meter(lawn)
    assert (found.months, found.months_known, found.lacks) == (5, 4, "climate")
    assert found.excess_gal == pytest.approx(18_033.81 - 7186.75, abs=0.01)


def test_water_without_a_price_is_known_and_its_cost_is_not(lawn: Station) -> None:
    lawn.controller.property.tariffs.get().delete()
    found = meter(lawn)
    assert found.excess_gal == pytest.approx(18_033.81, abs=0.01)
    assert (found.cost, found.months_priced, found.lacks) == (None, 0, "price")


@pytest.mark.parametrize(
    "change",
    [
        lambda lawn: lawn.schedules.update_or_create(defaults={"minutes": 20}),
        lambda lawn: Schedule.objects.create(
            station=lawn, from_on=date(2025, 9, 1), days="every 2", minutes=5
        ),
        lambda lawn: lawn.outages.create(kind="switched off", from_on=date(2025, 8, 1)),
        lambda lawn: ClimateRow.objects.create(
            table="Valley", year=2025, month=8, eto_in=6, source="x"
        ),
        lambda lawn: ClimateRow.objects.create(
            table="own", property=lawn.controller.property, month=8, eto_in=6, source="x"
        ),
    ],
)  # fmt: skip
def test_each_change_makes_it_anew_at_once(lawn: Station, change: object) -> None:
    before = meter(lawn).excess_gal
    change(lawn)  # type: ignore[operator]
    assert meter(lawn).excess_gal != before
    assert rebuild_all_water(at=NOW) == 0


def test_a_propertys_season_and_table_count(lawn: Station) -> None:
    place = lawn.controller.property
    place.season_start, place.season_end = "03-01", "10-01"
    place.save()
    assert meter(lawn).applied_gal == 6048 + 12852 + 13608
    place.climate_table = "elsewhere"
    place.save()
    assert (meter(lawn).excess_gal, meter(lawn).lacks) == (None, "climate")


def test_a_table_of_its_own_goes_before_the_shared_one(lawn: Station) -> None:
    place = lawn.controller.property
    make_water.climate(place.code, [1.0] * 12, property=place)
    tables = WaterMonth.objects.filter(station=lawn).values_list("table", flat=True)
    assert set(tables) == {place.code}


def test_days_go_before_the_month_and_the_month_before_the_mean(lawn: Station) -> None:
    def needed() -> float:
        found = WaterMonth.objects.get(station=lawn, month=date(2025, 8, 1)).needed_gal
        assert found is not None
        return found

    common = {"table": "Valley", "year": 2025, "month": 8, "source": "x", "rain_in": 0}
    gal_per_in = 0.8 / 0.75 * 2400 * 144 / 231
    assert needed() == pytest.approx(7.2 * gal_per_in)
    ClimateRow.objects.create(**common, eto_in=6)
    assert needed() == pytest.approx(6 * gal_per_in)
    for day in range(1, 31):
        ClimateRow.objects.create(**common, day=day, eto_in=0.1)
    assert needed() == pytest.approx(6 * gal_per_in)
    ClimateRow.objects.create(**common, day=31, eto_in=0.1)
    assert needed() == pytest.approx(3.1 * gal_per_in)


def test_the_day_that_comes_is_found_and_nothing_else(lawn: Station) -> None:
    still = make_water.lawn(lawn.controller.property)
    rebuild_all_water(at=NOW)
    assert due_stations(at=NOW) == []
    tomorrow = NOW + timedelta(days=1)
    assert due_stations(at=tomorrow) == [still.pk]
    before = meter(still).applied_gal
    assert keep_water_true(at=tomorrow)["changed"] > 0
    found = meter(still)
    assert found.counted_until == TODAY + timedelta(days=1)
    assert found.applied_gal is not None
    assert before is not None
    assert found.applied_gal >= before
    assert due_stations(at=tomorrow) == []


def test_the_day_is_that_of_the_property() -> None:
    place = make.place(time_zone="Pacific/Auckland")
    station = make_water.lawn(place)
    rebuild_all_water(at=NOW)
    assert meter(station).counted_until == TODAY + timedelta(days=1)


def test_this_month_is_part_of_the_meter(lawn: Station) -> None:
    still = make_water.lawn(lawn.controller.property)
    row = WaterMonth.objects.get(station=still, month=date(2026, 11, 1))
    assert row.days == 19
    found = meter(still)
    assert (found.month_excess_gal, found.month_cost) == (row.excess_gal, row.cost)
    rebuild_water([still.pk], at=datetime(2026, 12, 1, 12, tzinfo=UTC))
    assert (meter(still).month_excess_gal, meter(still).month_cost) == (0, 0)
    assert meter(lawn).month_excess_gal is None


def test_a_stopgap_that_never_was_leaves_nothing_behind(lawn: Station) -> None:
    stopgap = Stopgap.objects.get(station=lawn)
    stopgap.removed_on = stopgap.counted_from
    stopgap.save()
    assert not WaterMonth.objects.filter(station=lawn).exists()
    assert not Meter.objects.filter(spell__station=lawn).exists()


def test_what_touches_many_is_marked_and_made_anew_later(
    lawn: Station, monkeypatch: pytest.MonkeyPatch
) -> None:
    others = [make_water.lawn(lawn.controller.property) for _ in range(2)]
    rebuild_all_water(at=NOW)
    monkeypatch.setattr(keeping, "MOST_AT_ONCE", 2)
    monkeypatch.setattr("sites.runs.services._set_off", lambda _run: None)
    before = meter(others[0]).excess_gal
    row = ClimateRow.objects.get(month=8)
    row.eto_in = 1.0
    row.save()
    assert {each.counted_until for each in Meter.objects.all()} == {None}
    assert meter(others[0]).excess_gal == before
    assert due_stations(at=NOW) == sorted([lawn.pk, *(each.pk for each in others)])
    rebuild_due(at=NOW)
    assert meter(others[0]).excess_gal != before
    assert rebuild_all_water(at=NOW) == 0


def test_the_command_mends_what_somebody_broke(
    lawn: Station, capsys: pytest.CaptureFixture[str]
) -> None:
    WaterMonth.objects.filter(station=lawn).update(excess_gal=1)
    Meter.objects.all().update(excess_gal=1)
    call_command("rebuild", "water")
    assert capsys.readouterr().out == "water: 6 changed\n"
    assert meter(lawn).excess_gal == pytest.approx(18_033.81, abs=0.01)


def test_rain_may_count_by_another_rule(lawn: Station) -> None:
    before = meter(lawn).needed_gal or 0
    with override_settings(EFFECTIVE_RAIN="none"):
        rebuild_all_water(at=NOW)
        assert (meter(lawn).needed_gal or 0) > before


def test_no_station_costs_a_query_more(lawn: Station, django_assert_num_queries: object) -> None:
    others = [make_water.lawn(lawn.controller.property).pk for _ in range(3)]

    def asked(ids: list[int]) -> int:
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        with CaptureQueriesContext(connection) as captured:
            rebuild_water(ids, at=NOW)
        return len(captured)

    assert asked([lawn.pk]) == asked([lawn.pk, *others])
    assert Spell.objects.count() == 4
