"""Batteries are due by the life of their kind, where anybody said how old sets were. Our rule."""

from datetime import date, timedelta

import pytest

from faults.due.services.stopgaps import fits_by_kind
from faults.models import FollowUp, FollowUpKind
from sites.models import Device, Property, Station
from sites.stopgaps.engines.battery_life import Conditions, Fits, Life, fit_lives
from sites.stopgaps.services.batteries import change_battery, correct_battery
from sites.water.services.battery_lives import InUse, conditions_of, lives_by_kind
from tests import make, make_water
from tests.services.due.helpers import TODAY, ago, round_on

pytestmark = pytest.mark.django_db


def timer(*changes: tuple[date, str, str]) -> Device:
    """A timer in the ground with these changes: the day, the kind, how the old set was."""
    station = make.station()
    device = make.device(property=station.controller.property)
    make.stopgap(station=station, device=device, on=ago(900))
    for on, kind, found in changes:
        change_battery(device=device, on=on, kind=kind, found=found, today=TODAY)
    return device


def due_day(device: Device) -> date:
    """When its batteries are due."""
    return FollowUp.objects.get(kind=FollowUpKind.BATTERY, device=device).due_on


def test_lives_are_read_from_changes_of_which_somebody_said_how_the_old_set_was() -> None:
    timer((ago(500), "9 V", ""), (ago(400), " 9  v", "empty"), (ago(250), "AA", "charged"))
    timer((ago(300), "9 V", "empty"), (ago(200), "9 V", ""), (ago(100), "", "empty"))
    assert lives_by_kind() == {
        "9 v": [Life(100, True), Life(150, False), Life(100, True)],
    }


def test_what_was_put_right_counts_as_it_was_put_right() -> None:
    device = timer((ago(300), "AA", ""), (ago(200), "AA", "empty"))
    correct_battery(device=device, on=ago(150), kind="AA", why="typo", found="charged", today=TODAY)
    assert lives_by_kind() == {"aa": [Life(150, False)]}
    correct_battery(device=device, on=ago(160), kind="AA", why="typo again", today=TODAY)
    assert lives_by_kind() == {"aa": [Life(140, False)]}


def test_without_lives_the_rules_own_days_count() -> None:
    device = timer((ago(170), "AA", ""))
    round_on()
    assert due_day(device) == ago(170) + timedelta(days=180)
    assert fits_by_kind(180) == Fits({})
    assert fits_by_kind(0) == Fits({})


def test_a_kind_that_dies_early_falls_due_earlier_and_no_other() -> None:
    device, other = timer((ago(100), "AA", "")), timer((ago(170), "9 V", ""))
    round_on()
    assert not FollowUp.objects.filter(device=device).exists()
    timer((ago(400), "AA", ""), (ago(300), "AA", "empty"), (ago(200), "AA", "empty"))
    lives = [Life(100, True), Life(100, True)]
    expected = fit_lives({"aa": lives}, prior_days=180).kinds["aa"].due_days
    assert expected < 100
    round_on()
    assert due_day(device) == ago(100) + timedelta(days=expected)
    assert due_day(other) == ago(170) + timedelta(days=180)


def valve_of(device: Device) -> Station:
    """The one valve that a timer runs."""
    return Station.objects.get(stopgaps__device=device)


def asked(device: Device, first: date, last: date) -> Conditions:
    (found,) = conditions_of([InUse(device.pk, first, last)])
    return found


def test_hours_are_those_of_all_valves_on_the_timer() -> None:
    """Seven days hold four of Mon, Tue, Thu, Sat: three times 14 minutes are 168 in a week."""
    device = timer()
    first = date(2025, 3, 3)
    week = first, first + timedelta(days=7)
    assert asked(device, *week) == Conditions()
    station = valve_of(device)
    one = make_water.schedule(station, from_on=first)
    assert asked(device, *week).hours == pytest.approx(168 / 60 / 7)
    # A day before its schedule begins: of that nobody said anything.
    assert asked(device, first - timedelta(days=1), week[1]).hours is None
    second = make.station(controller=station.controller)
    make.stopgap(station=second, device=device, on=first + timedelta(days=6))
    assert asked(device, *week).hours is None
    # The second valve is on it for the Sunday alone.
    make_water.schedule(second, days="every 1", starts="04:00", minutes=70)
    assert asked(device, *week).hours == pytest.approx((168 + 70) / 60 / 7)
    # What the clock runs is no work of the timer's, and without its days nothing is known.
    one.run_by = "controller"
    one.save()
    assert asked(device, *week).hours is None
    one.run_by, one.days = "battery timer", ""
    one.save()
    assert asked(device, *week).hours is None


def test_nothing_runs_outside_of_the_season() -> None:
    device = timer()
    station, place = valve_of(device), device.property
    make_water.schedule(station, days="every 1", starts="04:00", minutes=60)
    place.season_start, place.season_end = "03-10", "10-01"
    place.save()
    found = asked(device, date(2025, 3, 1), date(2025, 3, 21))
    assert (found.hours, found.cold) == (pytest.approx(11 / 20), pytest.approx(9 / 20))


def test_cold_is_read_from_the_climate_before_the_season() -> None:
    device = timer()
    whole = date(2025, 1, 1), date(2025, 3, 1)
    assert asked(device, *whole).cold is None
    Property.objects.filter(pk=device.property_id).update(
        season_start="02-01", season_end="11-01", climate_table="Valley"
    )
    assert asked(device, *whole).cold == pytest.approx(31 / 59)
    # An inch and a half in thirty days is the edge: January is below it, February on it.
    table = [0.0] * 12
    table[0], table[1] = 31 * 0.05 - 0.01, 28 * 0.05
    make_water.climate(eto_in=table)
    assert asked(device, *whole).cold == pytest.approx(31 / 59)
    assert asked(device, date(2025, 1, 31), date(2025, 2, 2)).cold == 0.5
    assert asked(device, date(2025, 2, 1), date(2025, 3, 1)).cold == 0.0


def test_a_timer_that_waters_more_is_due_sooner_than_its_kind_says() -> None:
    """By the company's own sets of the same kind: those that ran long died early."""
    for hours, days in ((120, 80), (120, 90), (15, 170), (15, 180)):
        device = timer((ago(800), "AA", ""), (ago(800 - days), "AA", "empty"))
        station = valve_of(device)
        make_water.schedule(
            station, from_on=ago(900), days="every 1", starts="04:00", minutes=hours
        )
    plain, busy, idle = (timer((ago(150), "AA", "")) for _ in range(3))
    for device, minutes in ((busy, 120), (idle, 15)):
        make_water.schedule(
            valve_of(device), from_on=ago(900), days="every 1", starts="04:00", minutes=minutes
        )
    fits = fits_by_kind(180)
    assert (fits.use.sets, fits.cold.sets) == (4, 0)
    assert fits.use.log_life < 0
    round_on()
    assert due_day(busy) < due_day(plain) < due_day(idle)
    assert due_day(plain) == ago(150) + timedelta(days=fits.kinds["aa"].due_days)
    days = fits.due_days("aa", Conditions(2.0))
    assert days is not None
    assert due_day(busy) == ago(150) + timedelta(days=days)
