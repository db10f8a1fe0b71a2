"""Batteries, long spells and stations that central's schedule still counts on fall due."""

from datetime import date

import pytest

from faults.models import FollowUpKind
from sites.models import Central
from tests import make
from tests.services.due.helpers import ago, ahead, days_of, round_on

pytestmark = pytest.mark.django_db

BATTERY, LONG = FollowUpKind.BATTERY, FollowUpKind.SPELL_LONG
DISABLE = FollowUpKind.DISABLE_IN_CENTRAL


def test_a_battery_counts_from_its_last_change() -> None:
    device = make.device(battery_changed_on=ago(170))
    make.stopgap(station=make.station(), on=ago(400), device=device)
    round_on()
    assert days_of(BATTERY) == [ahead(10)]


@pytest.mark.parametrize(
    ("start", "end", "changed", "due"),
    [
        # 180 days after December 17 is June 15, after December 15 it is June 13.
        ("10-01", "06-14", date(2024, 12, 17), date(2025, 6, 14)),
        ("10-01", "06-14", date(2024, 12, 16), date(2025, 6, 14)),
        ("10-01", "06-14", date(2024, 12, 15), date(2025, 6, 13)),
        # On the day of the start-up it is no longer shut down.
        ("06-16", "05-01", date(2024, 12, 17), date(2025, 5, 1)),
        ("06-15", "05-01", date(2024, 12, 17), date(2025, 6, 15)),
        # Changed in the same winter, on the day of the shut-down or after it: it keeps its day.
        ("08-20", "12-16", date(2024, 12, 17), date(2025, 6, 15)),
        ("08-20", "12-17", date(2024, 12, 17), date(2025, 6, 15)),
        ("08-20", "12-18", date(2024, 12, 17), date(2024, 12, 18)),
        # It waters all year.
        ("", "", date(2024, 12, 17), date(2025, 6, 15)),
    ],
)
def test_a_battery_that_would_be_due_while_it_is_shut_down_is_due_before(
    start: str, end: str, changed: date, due: date
) -> None:
    place = make.place(season_start=start, season_end=end)
    device = make.device(property=place, battery_changed_on=changed)
    station = make.station(controller=make.controller(property=place))
    make.stopgap(station=station, on=ago(400), device=device)
    round_on()
    assert days_of(BATTERY) == [due]


def test_a_battery_that_was_never_changed_counts_from_the_first_fitting() -> None:
    device = make.device()
    for days in (175, 200):
        make.stopgap(on=ago(days), device=device)
    round_on()
    assert days_of(BATTERY) == [ago(20)]


def test_a_device_that_runs_nothing_any_more_lets_its_battery_go() -> None:
    gap = make.stopgap(on=ago(200), device=make.device())
    round_on()
    assert days_of(BATTERY) == [ago(20)]
    gap.removed_on = ago(0)
    gap.save()
    assert round_on()["lapsed"] >= 1
    assert (days_of(BATTERY), days_of(BATTERY, "lapsed")) == ([], [ago(20)])


def test_a_new_battery_lets_the_old_line_go_and_the_next_comes_in_its_time() -> None:
    device = make.device(battery_changed_on=ago(185))
    make.stopgap(on=ago(300), device=device)
    round_on()
    device.battery_changed_on = ago(0)
    device.save()
    round_on()
    assert days_of(BATTERY) == []
    round_on(ahead(151))
    assert days_of(BATTERY) == [ahead(180)]


def test_nobody_agreed_so_nothing_is_longer_than_agreed() -> None:
    make.stopgap(on=ago(1000))
    round_on()
    assert days_of(LONG) == []


def test_a_spell_past_what_was_agreed_falls_due_and_lapses_with_the_return() -> None:
    gap = make.stopgap(on=ago(200), accepted_by_client_on=ago(100))
    make.stopgap(on=ago(200), accepted_by_client_on=ago(59))
    round_on()
    # 90 days after the yes; the other's comes in 31 days, which is too far ahead to be raised.
    assert days_of(LONG) == [ago(10)]
    gap.removed_on = ago(1)
    gap.save()
    round_on()
    assert days_of(LONG) == []


def test_what_was_agreed_is_raised_thirty_days_ahead() -> None:
    make.stopgap(on=ago(200), accepted_by_client_on=ago(60))
    make.stopgap(on=ago(200), accepted_by_client_on=ago(61))
    round_on()
    assert sorted(days_of(LONG)) == [ahead(29), ahead(30)]


def test_a_day_that_the_client_agreed_to_comes_before_the_rules() -> None:
    make.stopgap(on=ago(100), agreed_until=ahead(20), accepted_by_client_on=ago(99))
    round_on()
    assert days_of(LONG) == [ahead(20)]


def test_a_retired_station_is_not_off_for_too_long() -> None:
    gap = make.stopgap(on=ago(100), agreed_until=ago(5))
    gap.station.retired_on = ago(1)
    gap.station.save()
    round_on()
    assert days_of(LONG) == []


def test_a_station_is_to_be_disabled_in_central_until_somebody_did() -> None:
    gap = make.stopgap(on=ago(3))
    round_on()
    assert days_of(DISABLE) == [ago(1)]
    gap.disabled_in_central_on = ago(0)
    gap.save()
    round_on()
    assert days_of(DISABLE) == []


def test_a_controller_that_is_not_meant_to_be_linked_has_no_schedule_to_change() -> None:
    clock = make.controller(central=Central.NOT_MEANT)
    make.stopgap(station=make.station(controller=clock), on=ago(3))
    round_on()
    assert days_of(DISABLE) == []


def test_a_stopgap_that_leaves_the_station_on_central_asks_for_nothing() -> None:
    make.stopgap(on=ago(3), kind="surface wire")
    round_on()
    assert days_of(DISABLE) == []
