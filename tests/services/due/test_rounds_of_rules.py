"""A round raises each cause once, follows its rule, and never undoes what people did."""

from datetime import timedelta
from typing import Any

import pytest

from faults.due.services import raising
from faults.due.services.by_hand import (
    UnableToFinish,
    finish_follow_up,
    move_follow_up,
    reopen_follow_up,
)
from faults.due.services.rules import UnableToSetRule, rules_now, set_rule
from faults.models import FollowUp, FollowUpKind, FollowUpState
from tests import make
from tests.services.due.helpers import TODAY, ago, ahead, at, days_of, round_on

pytestmark = pytest.mark.django_db

BATTERY = FollowUpKind.BATTERY


@pytest.fixture
def row() -> FollowUp:
    """A battery that was due ten days ago."""
    make.stopgap(
        on=ago(190), device=make.device(), disabled_in_central_on=ago(190), station=quiet_station()
    )
    round_on()
    return FollowUp.objects.get(kind=BATTERY)


def quiet_station() -> Any:
    """A station whose controller asks for no check-up."""
    return make.station(controller=make.controller(wiring="two-wire path"))


def test_a_second_round_raises_nothing_again(row: FollowUp) -> None:
    assert round_on() == {}
    assert FollowUp.objects.filter(kind=BATTERY).count() == 1
    assert FollowUp.objects.count() == 2  # and a station that is off for long


def test_what_a_rule_raised_has_a_history(row: FollowUp) -> None:
    assert [each.history_change_reason for each in row.history.all()] == ["raised by its rule"]


def test_days_beyond_the_next_thirty_are_not_raised_yet() -> None:
    make.stopgap(on=ago(149), device=make.device(), station=quiet_station())
    round_on()
    assert days_of(BATTERY) == []
    round_on(ahead(1))
    assert days_of(BATTERY) == [ahead(31)]


def test_what_is_near_is_counted_by_the_day_at_the_property() -> None:
    place = make.place(time_zone="Pacific/Kiritimati")  # 14 hours before UTC: tomorrow at 17:00
    clock = make.controller(property=place, wiring="two-wire path")
    make.stopgap(
        on=ago(149), device=make.device(property=place), station=make.station(controller=clock)
    )
    round_on(TODAY, hour=9)
    assert days_of(BATTERY) == []
    round_on(TODAY, hour=10)
    assert days_of(BATTERY) == [ahead(31)]


def test_another_number_of_days_moves_what_is_open(row: FollowUp) -> None:
    set_rule(kind=BATTERY, is_on=True, days=200)
    assert round_on() == {"moved": 1}
    row.refresh_from_db()
    assert (row.due_on, row.ruled_on, row.sequence) == (ahead(10), ahead(10), 1)


def test_a_day_that_somebody_moved_is_theirs(row: FollowUp) -> None:
    move_follow_up(follow_up=row, to=ahead(3), why="with the next visit", today=TODAY)
    set_rule(kind=BATTERY, is_on=True, days=200)
    assert round_on() == {}
    assert days_of(BATTERY) == [ahead(3)]


def test_a_rule_that_is_off_lets_its_lines_go_and_on_again_brings_them_back(row: FollowUp) -> None:
    set_rule(kind=BATTERY, is_on=False, days=180)
    assert round_on() == {"lapsed": 1}
    assert round_on() == {}
    set_rule(kind=BATTERY, is_on=True, days=180)
    assert round_on() == {"came back": 1}
    row.refresh_from_db()
    assert (row.state, row.due_on, row.sequence) == (FollowUpState.OPEN, ago(10), 2)


def test_what_was_done_is_not_raised_again(row: FollowUp) -> None:
    finish_follow_up(follow_up=row, by=make.user(), today=TODAY)
    assert round_on() == {}
    assert round_on(ahead(30)) == {}
    assert days_of(BATTERY, "done") == [ago(10)]


def test_a_tick_that_was_taken_back_lapses_when_its_cause_is_gone(row: FollowUp) -> None:
    finish_follow_up(follow_up=row, by=make.user(), today=TODAY)
    assert row.device is not None
    row.device.battery_changed_on = TODAY
    row.device.save()
    reopen_follow_up(follow_up=row)
    assert round_on() == {"lapsed": 1}
    with pytest.raises(UnableToFinish, match="no longer needed"):
        finish_follow_up(follow_up=row, by=make.user(), today=TODAY)


def test_what_is_noted_by_hand_is_left_alone() -> None:
    noted = FollowUp.objects.create(
        property=make.place(), kind=FollowUpKind.BY_HAND, what="look", due_on=ago(100)
    )
    assert round_on() == {}
    noted.refresh_from_db()
    assert noted.state == FollowUpState.OPEN


def test_chunks_of_two_find_as_much_as_one_chunk(settings: Any) -> None:
    settings.FOLLOW_UP_CHUNK = 2
    for _ in range(7):
        make.stopgap(on=ago(190), device=make.device(), station=quiet_station())
    alive: list[int] = []
    raising.raise_by_rules(at=at(TODAY), go_on=lambda: alive.append(1))
    assert len(days_of(BATTERY)) == 7
    assert len(alive) >= 8
    set_rule(kind=BATTERY, is_on=False, days=180)
    assert round_on()["lapsed"] == 7


def test_whoever_comes_second_at_a_cause_leaves_it_to_the_first(
    row: FollowUp, monkeypatch: pytest.MonkeyPatch
) -> None:
    # The other worker commits between our look and our write: our look sees nothing.
    FollowUp.objects.all().delete()
    make_first = raising._made
    raced: list[str] = []

    def made(family: Any, one: Any, told: Any) -> FollowUp:
        if not raced:
            raced.append(one.cause)
            make_first(family, one, told).save()
        return make_first(family, one, told)

    monkeypatch.setattr(raising, "_made", made)
    round_on()
    assert raced
    assert len(days_of(BATTERY)) == 1


def test_every_kind_but_by_hand_has_a_rule_with_days_from_the_settings(settings: Any) -> None:
    rules = rules_now()
    assert set(rules) == set(FollowUpKind) - {FollowUpKind.BY_HAND}
    assert {kind.value: rule.days for kind, rule in rules.items()} == settings.FOLLOW_UP_DAYS
    assert {family.kind for family in raising.FAMILIES} == set(rules)
    assert all(rule.is_on and rule.explained for rule in rules.values())


def test_a_rule_is_kept_once_however_often_it_is_set() -> None:
    assert set_rule(kind=BATTERY, is_on=True, days=180) is None
    first = set_rule(kind=BATTERY, is_on=True, days=90)
    assert first is not None
    assert set_rule(kind=BATTERY, is_on=True, days=90) is None
    second = set_rule(kind=BATTERY, is_on=False, days=90)
    assert second == first
    assert first.history.count() == 2


@pytest.mark.parametrize(("kind", "days"), [(BATTERY, 3651), (FollowUpKind.BY_HAND, 5)])
def test_a_rule_that_makes_no_sense_is_refused(kind: FollowUpKind, days: int) -> None:
    with pytest.raises(UnableToSetRule):
        set_rule(kind=kind, is_on=True, days=days)


def test_a_whole_day_of_rounds_raises_as_much_as_one() -> None:
    make.stopgap(on=ago(190), device=make.device(), station=quiet_station())
    for quarter in range(0, 24, 6):
        raising.raise_by_rules(at=at(TODAY, 0) + timedelta(hours=quarter))
    assert len(days_of(BATTERY)) == 1
