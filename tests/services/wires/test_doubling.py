"""Doubling: two stations on one wire, as long as the client accepts it."""

from datetime import date, timedelta

import pytest

from sites.models import SpellPart, Station, StopgapKind, Wiring
from sites.stopgaps.services.stopgap_rules import UnableToFit
from sites.wires.services.doubling import (
    UnableToDouble,
    UnableToUndouble,
    double_stations,
    undo_doubling,
)
from sites.wires.services.guards import UnableOnTwoWirePath
from tests import make
from tests.make import TODAY
from tests.services.yard import LAID, Yard, latest_why

DOUBLED = date(2025, 4, 1)
ACCEPTED = date(2025, 3, 30)


def double(yard: Yard, **given: date | None) -> None:
    """Double the first station with the second."""
    days = {"on": DOUBLED, "accepted_by_client_on": ACCEPTED, **given}
    double_stations(station=yard.first, neighbour=yard.second, today=TODAY, **days)  # type: ignore[arg-type]
    yard.w1.refresh_from_db()


def wires(station: Station) -> list[tuple[str, date | None]]:
    """Return the wires that have served a station, each with the day on which that ended."""
    return list(station.feeds.order_by("pk").values_list("wire__name", "to_on"))


def on_a_timer(yard: Yard) -> None:
    """Put the first station on a battery timer."""
    make.stopgap(station=yard.first, on=date(2025, 2, 1))


def is_off(station: Station) -> bool:
    """Return whether a station is off central control now."""
    return SpellPart.objects.open().filter(station=station).exists()


def test_the_station_is_served_by_its_neighbours_wire(yard: Yard) -> None:
    double(yard)
    assert wires(yard.first) == [("W1", DOUBLED), ("W2", None)]
    assert wires(yard.second) == [("W2", None)]


def test_the_stopgap_says_when_the_client_accepted_it(yard: Yard) -> None:
    double(yard)
    stopgap = yard.first.stopgaps.get()
    assert (stopgap.kind, stopgap.accepted_by_client_on) == (StopgapKind.DOUBLED, ACCEPTED)
    assert stopgap.history.count() == 1


def test_its_own_wire_is_out_of_use_and_suspected_broken(yard: Yard) -> None:
    double(yard)
    assert (yard.w1.out_of_use_on, yard.w1.is_suspected_broken) == (DOUBLED, True)
    assert latest_why(yard.w1) == "Rowan:1 doubled with Rowan:2"


def test_its_timer_comes_out_and_it_is_back_on_central(yard: Yard) -> None:
    on_a_timer(yard)
    assert is_off(yard.first)
    double(yard)
    assert yard.first.stopgaps.get(kind="battery timer").removed_on == DOUBLED
    assert not is_off(yard.first)


def test_without_the_clients_day_it_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToFit) as refusal:
        double(yard, accepted_by_client_on=None)
    assert refusal.value.field == "accepted_by_client_on"
    assert wires(yard.first) == [("W1", None)]


def test_it_is_doubled_once(yard: Yard) -> None:
    double(yard)
    with pytest.raises(UnableToDouble, match="doubled already"):
        double(yard, on=TODAY)


def test_a_station_is_not_doubled_with_itself(yard: Yard) -> None:
    with pytest.raises(UnableToDouble) as refusal:
        double_stations(
            station=yard.first,
            neighbour=yard.first,
            on=DOUBLED,
            accepted_by_client_on=ACCEPTED,
            today=TODAY,
        )
    assert refusal.value.field == "neighbour"


def test_a_neighbour_without_a_wire_cannot_help(yard: Yard) -> None:
    yard.second.feeds.all().delete()
    with pytest.raises(UnableToDouble, match="No wire in use"):
        double(yard)


def test_a_two_wire_path_declines(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    yard.first.refresh_from_db()
    with pytest.raises(UnableOnTwoWirePath, match="Controller Rowan"):
        double(yard)


def test_undone_later_it_is_on_its_own_wire_again(yard: Yard) -> None:
    double(yard)
    undo_doubling(station=yard.first, on=TODAY, today=TODAY, why="W1 mended")
    yard.w1.refresh_from_db()
    assert wires(yard.first) == [("W1", DOUBLED), ("W2", TODAY), ("W1", None)]
    assert (yard.w1.out_of_use_on, yard.w1.is_suspected_broken) == (None, False)
    stopgap = yard.first.stopgaps.get()
    assert (stopgap.removed_on, stopgap.end_reason) == (TODAY, "W1 mended")
    assert yard.w1.terminations.get().to_on is None


def test_undone_later_the_timer_stays_out(yard: Yard) -> None:
    on_a_timer(yard)
    double(yard)
    undo_doubling(station=yard.first, on=TODAY, today=TODAY)
    assert yard.first.stopgaps.get(kind="battery timer").removed_on == DOUBLED


def test_undone_on_the_very_day_all_is_as_before(yard: Yard) -> None:
    on_a_timer(yard)
    double(yard)
    undo_doubling(station=yard.first, on=DOUBLED, today=TODAY)
    assert yard.first.feeds.get().from_on == LAID
    assert yard.first.stopgaps.get(kind="battery timer").removed_on is None
    assert is_off(yard.first)


def test_what_is_not_doubled_is_not_undone(yard: Yard) -> None:
    with pytest.raises(UnableToUndouble):
        undo_doubling(station=yard.first, on=TODAY, today=TODAY)


def test_it_is_not_undone_while_its_own_wire_serves_another(yard: Yard) -> None:
    double(yard)
    other = make.station(controller=yard.clock, number=7)
    yard.w1.feeds.create(station=other, from_on=TODAY - timedelta(days=1))
    with pytest.raises(UnableToUndouble, match="Rowan:7"):
        undo_doubling(station=yard.first, on=TODAY, today=TODAY)
