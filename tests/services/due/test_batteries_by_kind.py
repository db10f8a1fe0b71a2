"""Batteries are due by the life of their kind, where anybody said how old sets were. Our rule."""

from datetime import date, timedelta

import pytest

from faults.due.services.stopgaps import fits_by_kind
from faults.models import FollowUp, FollowUpKind
from sites.models import Device
from sites.stopgaps.engines.battery_life import Life, fit_lives
from sites.stopgaps.services.batteries import change_battery, correct_battery, lives_by_kind
from tests import make
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
    assert fits_by_kind(180) == {}
    assert fits_by_kind(0) == {}


def test_a_kind_that_dies_early_falls_due_earlier_and_no_other() -> None:
    device, other = timer((ago(100), "AA", "")), timer((ago(170), "9 V", ""))
    round_on()
    assert not FollowUp.objects.filter(device=device).exists()
    timer((ago(400), "AA", ""), (ago(300), "AA", "empty"), (ago(200), "AA", "empty"))
    expected = fit_lives([Life(100, True), Life(100, True)], prior_days=180).due_days
    assert expected < 100
    round_on()
    assert due_day(device) == ago(100) + timedelta(days=expected)
    assert due_day(other) == ago(170) + timedelta(days=180)
