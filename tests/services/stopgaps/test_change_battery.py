"""Changing a battery set: per device, for all its valves."""

from datetime import date

import pytest

from sites.kernel.services.verb_days import UnableToCorrect, UnableToUseDay
from sites.stopgaps.services.batteries import (
    UnableToChangeBattery,
    battery_history,
    change_battery,
    correct_battery,
)
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history

pytestmark = pytest.mark.django_db


def test_keeps_the_day_and_the_kind_for_all_valves() -> None:
    timer = make.device()
    change_battery(device=timer, on=DAY, kind="9 V", today=TODAY)
    timer.refresh_from_db()
    assert (timer.battery_changed_on, timer.battery_kind) == (DAY, "9 V")
    assert [kind for kind, _ in history(timer)] == ["+", "~"]


def test_refuses_a_day_to_come_and_one_not_after_the_last() -> None:
    timer = make.device(battery_changed_on=DAY)
    with pytest.raises(UnableToUseDay):
        change_battery(device=timer, on=date(2026, 1, 1), kind="", today=TODAY)
    with pytest.raises(UnableToChangeBattery, match="correct it instead"):
        change_battery(device=timer, on=DAY, kind="", today=TODAY)


def test_correcting_takes_a_change_back() -> None:
    timer = make.device(battery_changed_on=DAY)
    change_battery(device=timer, on=day(30), kind="", today=TODAY)
    correct_battery(device=timer, on=DAY, kind="", why="another timer", today=TODAY)
    assert timer.battery_changed_on == DAY
    assert history(timer)[-1] == ("~", "was wrong: another timer")


def test_correcting_needs_words() -> None:
    with pytest.raises(UnableToCorrect):
        correct_battery(device=make.device(), on=None, kind="", why="", today=TODAY)


def test_the_history_tells_of_sets_and_not_of_other_edits() -> None:
    timer = make.device(name="T-1")
    change_battery(device=timer, on=DAY, kind="9 V", today=TODAY)
    timer.name = "T-2"
    timer.save()
    change_battery(device=timer, on=day(40), kind="9 V", today=TODAY)
    assert [each.on for each in battery_history(timer)] == [day(40), DAY]
