"""What was taken for granted stands beside the figure, and what is at least is said to be."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from sites.models import ClimateRow, Device, Meter, Station, Tariff, WaterMonth
from sites.stopgaps.engines.spells import Interval
from sites.water.services.neighbours import beside_neighbours
from sites.water.services.visits import battery_visits
from tests import make, make_water

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("late_autumn")]


@pytest.fixture
def lawn() -> Station:
    """The worked spell: 18 July to 11 November 2025."""
    make_water.climate(rain_in=make_water.RAIN_OF_THE_LAWN)
    station = make_water.lawn(removed_on=date(2025, 11, 11))
    make_water.tariff(station.controller.property)
    return station


def notes(station: Station) -> set[str]:
    """Return the notes of all months."""
    rows = WaterMonth.objects.filter(station=station).values_list("notes", flat=True)
    return {note for row in rows for note in row.split(";") if note}


def test_two_schedules_on_the_same_days_are_added_up_and_told(lawn: Station) -> None:
    assert "two schedules" not in notes(lawn)
    other = make_water.schedule(lawn, from_on=date(2025, 9, 1), days="every 1", minutes=10)
    assert "two schedules" in notes(lawn)
    first = lawn.schedules.exclude(pk=other.pk).get()
    first.to_on = date(2025, 9, 1)  # half-open: the day of the change has one
    first.save()
    assert "two schedules" not in notes(lawn)


def test_a_price_without_a_first_day_is_todays_price_for_past_years(lawn: Station) -> None:
    assert "price" in notes(lawn)
    Tariff.objects.update(from_on=date(2025, 1, 1))
    tariff = Tariff.objects.get()
    tariff.save()
    assert "price" not in notes(lawn)
    still = make_water.lawn(lawn.controller.property, on=date(2026, 6, 1))
    tariff.from_on = None
    tariff.save()
    assert "price" not in notes(still)


def test_a_day_from_temperatures_alone_is_marked(lawn: Station) -> None:
    days = [date(2025, 8, 1) + timedelta(days=n) for n in range(31)]
    for day in days:
        ClimateRow.objects.create(
            table="Valley", year=2025, month=8, day=day.day, eto_in=0.2, rain_in=0, source="x"
        )
    assert "estimated" not in notes(lawn)
    row = ClimateRow.objects.get(day=31)
    row.is_estimated = True
    row.save()
    marked = WaterMonth.objects.filter(station=lawn, notes__contains="estimated")
    assert [each.month for each in marked] == [date(2025, 8, 1)]


@pytest.mark.parametrize(("days", "same_rhythm"), [("every 3", True), ("every 2", False)])
def test_who_changes_only_the_minutes_keeps_the_rhythm(days: str, same_rhythm: bool) -> None:
    """Every 3 days from 1 July: 1, 4, ... 31 July, then 3 August; not 1 August again."""
    make_water.climate()
    station = make.station(controller=make.controller(property=make.place(climate_table="Valley")))
    make_water.facts(station, flow_gpm=1)
    first, change = date(2025, 7, 1), date(2025, 8, 1)
    make_water.schedule(station, from_on=first, to_on=change, days="every 3", starts="05:00")
    make_water.schedule(station, from_on=change, days=days, starts="05:00", minutes=10)
    make_water.stopgap(station, on=first, removed_on=date(2025, 8, 4))
    august = WaterMonth.objects.get(station=station, month=change)
    # 3 August alone; another rhythm begins on its own first day: 1 and 3 August.
    assert august.applied_gal == pytest.approx(10 if same_rhythm else 20)


@pytest.fixture
def timer(lawn: Station) -> Device:
    """A timer that ran the lawn and, until 1 September 2025, two more valves."""
    place = lawn.controller.property
    device = Device.objects.create(property=place, name="T-1")
    lawn.stopgaps.update(device=device)
    for _ in range(2):
        other = make.station(controller=lawn.controller)
        make.stopgap(
            station=other, device=device, on=date(2025, 7, 18), removed_on=date(2025, 9, 1)
        )
    return device


def changed(device: Device, *days: date) -> None:
    """Write down changes of its batteries."""
    for day in days:
        device.battery_changed_on = day
        device.save()


SPELL = Interval(date(2025, 7, 18), date(2025, 11, 11))


def test_a_set_is_shared_by_the_valves_of_its_day(lawn: Station, timer: Device) -> None:
    tariff = lawn.controller.property.tariffs.get()
    tariff.labour_rate = 60
    changed(timer, date(2025, 8, 31), date(2025, 9, 1))
    (found,) = battery_visits(lawn, days=SPELL, tariff=tariff)
    assert found.labour_cost is not None
    each = found.labour_cost / 2
    assert (found.visits, found.valves, found.is_shared) == (2, 3, True)
    # The last day of the three, then the first of this one alone.
    assert found.share_of_cost == pytest.approx(each / 3 + each)


def test_visits_are_at_least_where_the_device_was_written_down_later(
    lawn: Station, timer: Device
) -> None:
    changed(timer, date(2025, 8, 1))
    (found,) = battery_visits(lawn, days=SPELL, tariff=None)
    assert (found.visits, found.is_least) == (1, True)
    for on, is_least in ((SPELL.from_on, False), (SPELL.from_on + timedelta(days=1), True)):
        at = datetime(on.year, on.month, on.day, 12, tzinfo=UTC)
        timer.history.update(history_date=at)
        (found,) = battery_visits(lawn, days=SPELL, tariff=None)
        assert found.is_least is is_least


def test_neighbours_say_on_how_many_months_they_were_compared(lawn: Station) -> None:
    facts = lawn.facts.get()
    facts.plant_kind = "turf"
    facts.save()
    clock = lawn.controller
    clock.central = "linked"
    clock.save()
    beside = make.station(controller=clock)
    make_water.facts(beside, plant_kind="turf")
    make_water.schedule(beside, from_on=date(2025, 10, 1), run_by="central")
    found = beside_neighbours(lawn, days=SPELL, until=date(2026, 11, 20))
    assert found is not None
    assert (found.months, found.of_months) == (2, 5)


@pytest.mark.parametrize("exact", [True, False])
def test_gallons_and_money_are_at_least_alike(lawn: Station, exact: bool) -> None:
    found: Any = Meter.objects.get(spell__station=lawn)
    found.spell.from_is_exact = exact
    assert (found.is_least, found.cost_is_least) == (not exact, not exact)
    found.months_priced -= 1
    assert (found.is_least, found.cost_is_least) == (not exact, True)
