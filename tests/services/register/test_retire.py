"""Retiring a station, a controller or a property from a day, and bringing it back."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.register.services import retire
from sites.register.services.retire import UnableToBringBack, UnableToRetire
from tests import make
from tests.services.stopgaps.given import DAY, TODAY, day, history, spells

pytestmark = pytest.mark.django_db


def of(level: str, station: Any) -> tuple[Any, Callable[..., None], Callable[..., None]]:
    """Return the row of this level, and the two verbs on it."""
    clock = station.controller
    return {
        "station": (
            station,
            lambda **given: retire.retire_station(station=station, **given),
            lambda **given: retire.bring_station_back(station=station, **given),
        ),
        "controller": (
            clock,
            lambda **given: retire.retire_controller(controller=clock, **given),
            lambda **given: retire.bring_controller_back(controller=clock, **given),
        ),
        "property": (
            clock.property,
            lambda **given: retire.retire_property(place=clock.property, **given),
            lambda **given: retire.bring_property_back(place=clock.property, **given),
        ),
    }[level]


LEVELS = pytest.mark.parametrize("level", ["station", "controller", "property"])


@LEVELS
def test_cuts_the_spell_on_that_day_and_coming_back_joins_it_again(level: str) -> None:
    station = make.stopgap(on=DAY).station
    row, go, come_back = of(level, station)
    go(on=day(9), why="built over", today=TODAY)
    assert spells(station) == [(DAY, day(9))]
    assert history(row)[-1] == ("~", "retired: built over")
    come_back(why="not built over")
    assert spells(station) == [(DAY, None)]
    assert row.retired_on is None


@LEVELS
def test_refuses_no_reason_a_day_to_come_and_a_second_time(level: str) -> None:
    _row, go, _ = of(level, make.station())
    with pytest.raises(UnableToRetire, match="why"):
        go(on=DAY, why=" ", today=TODAY)
    with pytest.raises(UnableToUseDay):
        go(on=date(2026, 1, 1), why="x", today=TODAY)
    go(on=DAY, why="x", today=TODAY)
    with pytest.raises(UnableToRetire, match="already"):
        go(on=DAY, why="x", today=TODAY)


@LEVELS
def test_refuses_a_day_before_a_stopgap_was_fitted(level: str) -> None:
    _row, go, _ = of(level, make.stopgap(on=day(5)).station)
    with pytest.raises(UnableToRetire, match="after this day"):
        go(on=DAY, why="x", today=TODAY)


@LEVELS
@pytest.mark.parametrize(("on", "is_kept"), [(4, False), (5, True), (6, True)])
def test_retires_on_the_day_of_the_last_stopgap_or_later(
    level: str, on: int, is_kept: bool
) -> None:
    station = make.stopgap(on=day(2), removed_on=day(3)).station
    make.stopgap(station=station, on=day(5))
    row, go, _ = of(level, station)
    if is_kept:
        go(on=day(on), why="x", today=TODAY)
        assert row.retired_on == day(on)
    else:
        with pytest.raises(UnableToRetire, match=f"on {day(5)}, after this day"):
            go(on=day(on), why="x", today=TODAY)


@LEVELS
@pytest.mark.parametrize(("ahead", "is_kept"), [(-1, True), (0, True), (1, False)])
def test_retires_today_and_not_tomorrow(level: str, ahead: int, is_kept: bool) -> None:
    row, go, _ = of(level, make.station())
    on = TODAY + timedelta(days=ahead)
    if is_kept:
        go(on=on, why="x", today=TODAY)
        assert row.retired_on == on
    else:
        with pytest.raises(UnableToUseDay):
            go(on=on, why="x", today=TODAY)


@pytest.mark.parametrize("level", ["controller", "property"])
def test_the_second_station_below_is_asked_too(level: str) -> None:
    first = make.station(number=1)
    second = make.station(controller=first.controller, number=2)
    make.stopgap(station=second, on=day(5))
    _row, go, _ = of(level, first)
    with pytest.raises(UnableToRetire, match="after this day"):
        go(on=day(4), why="x", today=TODAY)
    make.fault(second, key="FA-8")
    with pytest.raises(UnableToRetire, match="FA-8"):
        go(on=day(5), why="x", today=TODAY)


def test_a_stopgap_or_a_fault_next_door_does_not_keep_a_station() -> None:
    first = make.station(number=1)
    second = make.station(controller=first.controller, number=2)
    make.stopgap(station=second, on=day(5))
    make.fault(second)
    retire.retire_station(station=first, on=day(4), why="x", today=TODAY)
    assert first.retired_on == day(4)


@LEVELS
def test_bringing_back_refuses_what_is_in_care(level: str) -> None:
    _row, _, come_back = of(level, make.station())
    with pytest.raises(UnableToBringBack, match="in care"):
        come_back(why="x")


def test_refuses_a_station_on_which_others_depend() -> None:
    master = make.station(kind="master valve")
    make.station(controller=master.controller, depends_on=master)
    with pytest.raises(UnableToRetire, match="depend on it"):
        retire.retire_station(station=master, on=DAY, why="x", today=TODAY)


def test_a_station_does_not_come_back_to_a_number_that_was_given_on() -> None:
    station = make.station(number=7, retired_on=DAY)
    make.station(controller=station.controller, number=7, name="roses")
    with pytest.raises(UnableToBringBack, match="Number 7 belongs to roses"):
        retire.bring_station_back(station=station, why="x")


def test_what_stands_above_comes_back_first() -> None:
    place = make.place(retired_on=DAY)
    clock = make.controller(property=place, retired_on=DAY)
    station = make.station(controller=clock, retired_on=DAY)
    with pytest.raises(UnableToBringBack, match="first"):
        retire.bring_station_back(station=station, why="x")
    with pytest.raises(UnableToBringBack, match="first"):
        retire.bring_controller_back(controller=clock, why="x")


@LEVELS
def test_refuses_while_a_fault_is_open(level: str) -> None:
    station = make.station()
    fault = make.fault(station, key="FA-7")
    _row, go, _ = of(level, station)
    with pytest.raises(UnableToRetire, match=str(fault)):
        go(on=DAY, why="x", today=TODAY)


@pytest.fixture
def _someone_above_says_no() -> Iterator[None]:
    def no(_stations: object) -> str:
        return "FA-1 is open here."

    retire.ask_before_retiring(no)
    yield
    retire._checks.remove(no)


@pytest.mark.usefixtures("_someone_above_says_no")
def test_an_upper_app_may_say_why_not() -> None:
    with pytest.raises(UnableToRetire, match="FA-1 is open here"):
        retire.retire_station(station=make.station(), on=DAY, why="x", today=TODAY)


def test_counts_the_stopgaps_that_somebody_has_to_fetch() -> None:
    stopgap = make.stopgap()
    clock = stopgap.station.controller
    make.stopgap(station=make.station(controller=clock))
    make.stopgap(station=make.station(controller=make.controller(property=clock.property)))
    make.stopgap()
    assert retire.stopgaps_left_on(stopgap.station) == 1
    assert retire.stopgaps_left_on(clock) == 2
    assert retire.stopgaps_left_on(clock.property) == 3
