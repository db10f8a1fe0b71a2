"""Renumbering the stations of a controller: each stays itself."""

import pytest

from sites.models import Controller, Station
from sites.register.services.renumber import UnableToRenumber, renumber_stations
from tests import make

pytestmark = pytest.mark.django_db


def clock_with(*numbers: int) -> tuple[Controller, list[Station]]:
    """Make a controller with stations of these numbers."""
    clock = make.controller()
    return clock, [make.station(controller=clock, number=number) for number in numbers]


def numbers(clock: Controller) -> dict[int, int]:
    """Return the number of each station by its id."""
    return dict(clock.stations.values_list("pk", "number"))


def test_two_swap_and_history_tells_one_change_of_each() -> None:
    clock, (five, six) = clock_with(5, 6)
    assert renumber_stations(controller=clock, numbers={five.pk: 6, six.pk: 5}) == 2
    assert numbers(clock) == {five.pk: 6, six.pk: 5}
    assert [row.number for row in five.history.order_by("history_id")] == [5, 6]
    assert [row.number for row in six.history.order_by("history_id")] == [6, 5]


def test_all_move_up_by_one() -> None:
    clock, stations = clock_with(1, 2, 3)
    renumber_stations(controller=clock, numbers={each.pk: each.number + 1 for each in stations})
    assert sorted(numbers(clock).values()) == [2, 3, 4]


def test_its_reference_and_what_it_went_through_stay() -> None:
    stopgap = make.stopgap(station=make.station(number=1))
    station = stopgap.station
    renumber_stations(controller=station.controller, numbers={station.pk: 9})
    station.refresh_from_db()
    assert (station.number, station.stopgaps.get()) == (9, stopgap)


def test_renumbering_back_undoes_it() -> None:
    clock, (five, six) = clock_with(5, 6)
    before = numbers(clock)
    renumber_stations(controller=clock, numbers={five.pk: 6, six.pk: 5})
    renumber_stations(controller=clock, numbers=before)
    assert numbers(clock) == before


def test_refuses_one_number_twice_and_names_both() -> None:
    clock, (five, _six) = clock_with(5, 6)
    with pytest.raises(UnableToRenumber, match=r"Number 6 is given to 5, 6"):
        renumber_stations(controller=clock, numbers={five.pk: 6})


def test_refuses_no_change_a_zero_and_a_strangers_station() -> None:
    clock, (five,) = clock_with(5)
    with pytest.raises(UnableToRenumber, match="No number is different"):
        renumber_stations(controller=clock, numbers={five.pk: 5})
    with pytest.raises(UnableToRenumber, match="start at 1"):
        renumber_stations(controller=clock, numbers={five.pk: 0})
    with pytest.raises(UnableToRenumber, match="Open the list again"):
        renumber_stations(controller=clock, numbers={make.station().pk: 7})


def test_the_number_of_a_retired_station_is_free() -> None:
    clock, (five,) = clock_with(5)
    make.station(controller=clock, number=6, retired_on=make.TODAY)
    renumber_stations(controller=clock, numbers={five.pk: 6})
    assert numbers(clock)[five.pk] == 6
