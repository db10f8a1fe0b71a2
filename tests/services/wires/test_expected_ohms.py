"""The expected ohms of a station.

O1 of the check values: coil 44, hot and common No. 18, 500 ft: 50.385 ohm, of which 6.385 wire.
"""

from datetime import date
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from sites.models import Feed, Station, Wire, Wiring
from sites.wires.services.expected import Expected, expected_for
from tests import make
from tests.services.yard import Yard, make_yard

pytestmark = pytest.mark.django_db

O1_OHMS, O1_WIRE_OHMS = 50.385, 6.385
OHM_18_PER_KFT, OHM_14_PER_KFT = 6.3849, 2.5254


def of(station: Station, **given: Any) -> Expected:
    """Return what this one station should read."""
    return expected_for([station.pk], **given)[station.pk]


def bare(**given: Any) -> Station:
    """Make the station of O1, known only by its own run and size."""
    return make.station(**{"run_length_ft": 500.0, "wire_size": "18", "coil_ohms": 44.0, **given})


@pytest.fixture
def yard() -> Yard:
    """The yard, its hot wires No. 18, its common No. 14, its coils 44 ohm."""
    made = make_yard()
    for wire, size in ((made.w1, "18 AWG"), (made.w2, "18 AWG"), (made.common, "14 AWG")):
        wire.size = size
        wire.save()
    for station in (made.first, made.second):
        station.coil_ohms = 44.0
        station.save()
    return made


def test_without_a_registered_wire_the_stations_own_run_and_size_count() -> None:
    found = of(bare())
    assert found.total_ohms == pytest.approx(O1_OHMS, abs=0.01)
    assert found.wire_ohms == pytest.approx(O1_WIRE_OHMS, abs=0.01)
    assert found.is_guessed


def test_a_cold_day_is_colder_for_the_wire_and_the_coil() -> None:
    # O2: a coil of 40 ohm at 20 C reads 37.64 at 5 C.
    station = bare(coil_ohms=40.0, run_length_ft=0.001)
    assert of(station, temperature_c=5.0).total_ohms == pytest.approx(37.64, abs=0.01)


def test_the_legs_of_its_wire_count_before_its_own_run(yard: Yard) -> None:
    wire = 0.180 * (OHM_18_PER_KFT + OHM_14_PER_KFT)
    found = of(yard.first)
    assert found.length_ft == 180.0
    assert found.wire_ohms == pytest.approx(wire, abs=0.001)
    assert found.total_ohms == pytest.approx(44.0 + wire, abs=0.001)


def test_a_run_that_was_not_surveyed_is_called_guessed(yard: Yard) -> None:
    assert not of(yard.first).is_guessed
    yard.b.is_surveyed = False
    yard.b.save()
    assert of(yard.first).is_guessed


def test_a_common_whose_size_is_not_known_is_taken_as_the_hot_and_called_guessed(
    yard: Yard,
) -> None:
    yard.common.size = ""
    yard.common.save()
    found = of(yard.first)
    assert found.wire_ohms == pytest.approx(0.360 * OHM_18_PER_KFT, abs=0.001)
    assert found.is_guessed


@pytest.mark.parametrize(
    ("given", "missing"),
    [
        ({"coil_ohms": None}, "coil ohms"),
        ({"coil_ohms": 0.0}, "coil ohms"),
        ({"run_length_ft": None}, "run length"),
        ({"wire_size": "thick"}, "wire size"),
    ],
)
def test_what_is_not_known_is_named_and_there_is_no_figure(
    given: dict[str, Any], missing: str
) -> None:
    found = of(bare(**given))
    assert (found.missing, found.total_ohms) == (missing, None)


def test_without_a_coil_the_wires_ohms_are_still_told() -> None:
    assert of(bare(coil_ohms=None)).wire_ohms == pytest.approx(O1_WIRE_OHMS, abs=0.01)


def test_a_two_wire_path_declines_by_name() -> None:
    found = of(bare(controller=make.controller(wiring=Wiring.TWO_WIRE)))
    assert (found.missing, found.total_ohms, found.wire_ohms) == ("two-wire path", None, None)


def test_a_wire_that_serves_two_stations_is_not_summed(yard: Yard) -> None:
    # W1 of both valves would be a, b and c; neither station's run is that long.
    Feed.objects.filter(station=yard.second).delete()
    Feed.objects.create(station=yard.second, wire=yard.w1)
    assert of(yard.first).length_ft == yard.first.run_length_ft
    assert of(yard.second).length_ft == yard.second.run_length_ft


def doubled(yard: Yard, on: date | None = None) -> None:
    """Let the wire of the first station run the second one too, from a day on."""
    Feed.objects.filter(station=yard.second).delete()
    Feed.objects.create(station=yard.second, wire=yard.w1, from_on=on)
    Station.objects.filter(pk__in=[yard.first.pk, yard.second.pk]).update(coil_ohms=30.0)


def test_two_stations_on_one_wire_read_both_coils_side_by_side(yard: Yard) -> None:
    single = of(yard.first)
    doubled(yard)
    for station in (yard.first, yard.second):
        found = of(station)
        assert (found.serves, found.missing, found.is_guessed) == (2, "", True)
        assert found.total_ohms == pytest.approx((found.wire_ohms or 0) + 15.0)
    assert single.serves == 1


def test_of_three_coils_a_third_is_left_and_one_not_known_hides_all(yard: Yard) -> None:
    doubled(yard)
    third = make.station(controller=yard.first.controller, coil_ohms=30.0)
    Feed.objects.create(station=third, wire=yard.w1)
    found = of(yard.first)
    assert found.total_ohms == pytest.approx((found.wire_ohms or 0) + 10.0)
    third.coil_ohms = None
    third.save()
    assert of(yard.first).missing == "coil ohms"


def test_two_coils_of_one_station_lie_side_by_side() -> None:
    # By hand: 44 x 22 / 66 = 14.67 beside the wire's own.
    found = of(bare(second_coil_ohms=22.0))
    assert found.total_ohms == pytest.approx(O1_WIRE_OHMS + 44 * 22 / 66, abs=0.01)
    assert (found.coils, found.serves, found.missing) == ((44.0, 22.0), 1, "")
    assert of(bare()).coils == (44.0,)
    # Not known stays not known; a second coil of 0 ohms is none that anybody measured.
    assert of(bare(coil_ohms=None, second_coil_ohms=22.0)).missing == "coil ohms"
    assert of(bare(second_coil_ohms=0.0)).coils == (44.0,)


def test_the_second_coil_of_another_station_on_the_wire_counts_too(yard: Yard) -> None:
    doubled(yard)
    Station.objects.filter(pk=yard.second.pk).update(second_coil_ohms=30.0)
    found = of(yard.first)
    assert found.total_ohms == pytest.approx((found.wire_ohms or 0) + 10.0)
    assert (found.coils, found.serves) == ((30.0, 30.0, 30.0), 2)


def test_a_doubled_station_without_a_run_takes_the_wires_legs(yard: Yard) -> None:
    doubled(yard)
    Station.objects.update(run_length_ft=None)
    found = of(yard.second)
    assert found.total_ohms is not None
    assert found.is_guessed


def test_it_is_one_circuit_since_the_day_of_the_change(yard: Yard) -> None:
    doubled(yard, date(2025, 3, 1))
    assert of(yard.first).as_now_since == date(2025, 3, 1)
    Feed.objects.filter(station=yard.second).update(to_on=date(2025, 5, 1))
    found = of(yard.first)
    assert (found.serves, found.as_now_since) == (1, date(2025, 5, 1))


def test_a_wire_that_served_it_once_does_not_count(yard: Yard) -> None:
    feed = Feed.objects.get(station=yard.first)
    feed.to_on = make.TODAY
    feed.save()
    spare: Wire = yard.spare
    spare.size = "14"
    spare.save()
    Feed.objects.create(station=yard.first, wire=spare, from_on=make.TODAY)
    assert of(yard.first).wire_ohms == pytest.approx(0.360 * OHM_14_PER_KFT, abs=0.001)


def _queries_for(stations: list[int]) -> int:
    with CaptureQueriesContext(connection) as asked:
        expected_for(stations)
    return len(asked)


def test_thirty_stations_take_as_many_queries_as_three() -> None:
    stations = [make_yard().first.pk for _ in range(30)]
    few = _queries_for(stations[:3])
    assert _queries_for(stations) == few <= 3
