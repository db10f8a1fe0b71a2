"""Verbs on what a wire serves: a new wire, a spare that takes over, and back."""

from datetime import date, timedelta

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import Station, Wire, WireKind, Wiring
from sites.wires.services.guards import UnableOnTwoWirePath, UnableToChangeDays
from sites.wires.services.serving import (
    UnableToMoveBack,
    UnableToMoveToSpare,
    UnableToServe,
    free_spares,
    move_back,
    move_to_spare,
    serve_station,
)
from tests import make
from tests.make import TODAY
from tests.services.yard import LAID, Yard, latest_why, lay, legs_of

MOVED = date(2025, 3, 1)
Days = list[tuple[str, date | None, date | None]]


def feeds(station: Station) -> Days:
    """Return which wires have served a station over days."""
    rows = station.feeds.order_by("from_on", "pk").values_list("wire__name", "from_on", "to_on")
    return list(rows)


def terminals(wire: Wire) -> Days:
    """Return a wire's terminals over days."""
    rows = wire.terminations.order_by("pk").values_list("terminal", "from_on", "to_on")
    return list(rows)


def move(yard: Yard, *, on: date = MOVED, is_seen: bool = False) -> None:
    """Move the first station to the spare."""
    move_to_spare(station=yard.first, spare=yard.spare, on=on, is_seen=is_seen, today=TODAY)
    yard.spare.refresh_from_db()
    yard.w1.refresh_from_db()


def test_the_spare_serves_the_station_from_the_day(yard: Yard) -> None:
    move(yard)
    assert feeds(yard.first) == [("W1", LAID, MOVED), ("SP1", MOVED, None)]
    assert yard.spare.kind == WireKind.HOT


def test_the_spare_takes_the_terminal_over(yard: Yard) -> None:
    move(yard)
    assert terminals(yard.w1) == [("1", LAID, MOVED)]
    assert terminals(yard.spare) == [("", LAID, MOVED), ("1", MOVED, None)]


def test_the_old_wire_is_out_of_use_and_suspected_broken(yard: Yard) -> None:
    move(yard)
    assert (yard.w1.out_of_use_on, yard.w1.is_suspected_broken) == (MOVED, True)
    assert latest_why(yard.w1) == latest_why(yard.spare) == "Rowan:1 moved to spare SP1"


def test_a_wire_that_still_serves_another_station_stays_in_use(yard: Yard) -> None:
    other = make.station(controller=yard.clock, number=7)
    yard.w1.feeds.create(station=other, from_on=LAID)
    move(yard)
    assert (yard.w1.out_of_use_on, yard.w1.is_suspected_broken) == (None, False)
    assert terminals(yard.w1) == [("1", LAID, None)]
    assert terminals(yard.spare) == [("", LAID, None)]


def test_moved_back_later_both_moves_stand_in_the_days(yard: Yard) -> None:
    move(yard)
    move_back(station=yard.first, on=TODAY, today=TODAY)
    assert feeds(yard.first) == [
        ("W1", LAID, MOVED),
        ("SP1", MOVED, TODAY),
        ("W1", TODAY, None),
    ]
    assert terminals(yard.w1) == [("1", LAID, MOVED), ("1", TODAY, None)]


def test_moved_back_the_old_wire_is_in_use_and_the_spare_is_a_spare(yard: Yard) -> None:
    move(yard)
    move_back(station=yard.first, on=TODAY, today=TODAY)
    yard.spare.refresh_from_db()
    yard.w1.refresh_from_db()
    assert (yard.w1.out_of_use_on, yard.w1.is_suspected_broken) == (None, False)
    assert yard.spare.kind == WireKind.SPARE
    assert latest_why(yard.spare) == "Rowan:1 moved back to W1"


def test_moved_back_on_the_very_day_nothing_has_changed(yard: Yard) -> None:
    move(yard)
    move_back(station=yard.first, on=MOVED, today=TODAY)
    assert feeds(yard.first) == [("W1", LAID, None)]
    assert terminals(yard.w1) == [("1", LAID, None)]
    assert terminals(yard.spare) == [("", LAID, MOVED)]


def test_moved_back_it_can_be_moved_again(yard: Yard) -> None:
    move(yard)
    move_back(station=yard.first, on=MOVED, today=TODAY)
    yard.spare.refresh_from_db()
    move(yard, on=TODAY)
    assert feeds(yard.first) == [("W1", LAID, TODAY), ("SP1", TODAY, None)]


def test_a_spare_that_does_not_come_to_the_valve_is_refused(yard: Yard) -> None:
    yard.spare.lies.filter(leg=yard.b).delete()
    with pytest.raises(UnableToMoveToSpare, match="not known to run") as refusal:
        move(yard)
    assert refusal.value.field == "is_seen"


def test_a_spare_that_was_seen_there_lies_in_the_stations_legs(yard: Yard) -> None:
    yard.spare.lies.all().delete()
    move(yard, is_seen=True)
    assert legs_of(yard.spare) == {"a", "b"}


def test_a_hot_wire_is_no_spare(yard: Yard) -> None:
    with pytest.raises(UnableToServe, match="not a spare wire"):
        move_to_spare(station=yard.first, spare=yard.w2, on=TODAY, is_seen=True, today=TODAY)


def test_a_spare_that_was_taken_meanwhile_is_refused(yard: Yard) -> None:
    seen = Wire.objects.get(pk=yard.spare.pk)
    move(yard)
    with pytest.raises(UnableToServe, match="not a spare wire"):
        move_to_spare(station=yard.second, spare=seen, on=TODAY, is_seen=True, today=TODAY)


def test_a_spare_out_of_use_is_refused(yard: Yard) -> None:
    yard.spare.out_of_use_on = TODAY
    yard.spare.save()
    with pytest.raises(UnableToServe, match="out of use"):
        move_to_spare(station=yard.first, spare=yard.spare, on=TODAY, is_seen=True, today=TODAY)


def test_a_move_before_the_last_change_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToChangeDays):
        move(yard, on=LAID - timedelta(days=1))


def test_a_move_on_a_day_to_come_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        move(yard, on=TODAY + timedelta(days=1))


def test_a_two_wire_path_has_no_spares(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    yard.first.refresh_from_db()
    with pytest.raises(UnableOnTwoWirePath, match="Controller Rowan"):
        move(yard)


def test_without_an_earlier_wire_there_is_no_way_back(yard: Yard) -> None:
    with pytest.raises(UnableToMoveBack):
        move_back(station=yard.first, on=TODAY, today=TODAY)


def test_there_is_no_way_back_to_a_wire_that_serves_another(yard: Yard) -> None:
    move(yard)
    other = make.station(controller=yard.clock, number=7)
    yard.w1.feeds.create(station=other, from_on=TODAY)
    with pytest.raises(UnableToMoveBack, match="Rowan:7"):
        move_back(station=yard.first, on=TODAY, today=TODAY)


def test_spares_of_the_controller_and_those_on_none_are_offered(yard: Yard) -> None:
    other = make.controller(property=yard.place)
    lay(yard.place, "SP-far", WireKind.SPARE, [yard.a], other, "")
    loose = make.wire(property=yard.place, name="SP0", kind=WireKind.SPARE)
    make.wire(property=yard.place, name="SP9", kind=WireKind.SPARE, retired_on=TODAY)
    assert free_spares(yard.clock) == [loose, yard.spare]


def test_a_new_wire_serves_the_station_and_the_old_one_again(yard: Yard) -> None:
    new = lay(yard.place, "W9", WireKind.HOT, [yard.a, yard.b], yard.clock, "9")
    serve_station(station=yard.first, wire=new, on=MOVED, today=TODAY)
    serve_station(station=yard.first, wire=yard.w1, on=TODAY, today=TODAY, why="new one dead")
    assert feeds(yard.first)[-1] == ("W1", TODAY, None)
    assert latest_why(yard.first.feeds.open().get()) == "new one dead"


def test_no_wire_may_serve_a_station(yard: Yard) -> None:
    serve_station(station=yard.first, wire=None, on=TODAY, today=TODAY)
    assert feeds(yard.first) == [("W1", LAID, TODAY)]


def test_a_wire_of_another_station_is_doubling(yard: Yard) -> None:
    with pytest.raises(UnableToServe, match="doubling") as refusal:
        serve_station(station=yard.first, wire=yard.w2, on=TODAY, today=TODAY)
    assert refusal.value.field == "wire"


def test_a_two_wire_path_is_served_by_no_wire(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    with pytest.raises(UnableOnTwoWirePath):
        serve_station(station=Station.objects.get(pk=yard.first.pk), wire=None, on=TODAY,
                      today=TODAY)  # fmt: skip


def test_moved_back_while_a_neighbour_holds_the_spare_it_stays_in_use(yard: Yard) -> None:
    move(yard)
    neighbour = make.station(controller=yard.clock, number=7)
    yard.spare.feeds.create(station=neighbour, from_on=MOVED)
    move_back(station=yard.first, on=TODAY, today=TODAY)
    yard.spare.refresh_from_db()
    assert yard.spare.kind == WireKind.HOT
    assert terminals(yard.spare) == [("", LAID, MOVED), ("1", MOVED, None)]
    assert feeds(neighbour) == [("SP1", MOVED, None)]
    assert feeds(yard.first) == [("W1", LAID, MOVED), ("SP1", MOVED, TODAY), ("W1", TODAY, None)]
    assert terminals(yard.w1)[0] == ("1", LAID, MOVED)
    assert "1" not in {terminal for terminal, _, to_on in terminals(yard.w1) if to_on is None}


@pytest.mark.parametrize(("ahead", "is_kept"), [(-1, False), (0, True), (1, True)])
def test_moved_back_on_the_day_of_the_move_or_later(yard: Yard, ahead: int, is_kept: bool) -> None:
    move(yard)
    on = MOVED + timedelta(days=ahead)
    if is_kept:
        move_back(station=yard.first, on=on, today=TODAY)
        assert feeds(yard.first)[-1][0] == "W1"
    else:
        with pytest.raises(UnableToChangeDays):
            move_back(station=yard.first, on=on, today=TODAY)
