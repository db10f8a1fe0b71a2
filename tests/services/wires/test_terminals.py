"""Verbs on terminals, and what wires do at a point."""

from datetime import date, timedelta

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import AtPoint, Wire, WireAtPoint, Wiring
from sites.wires.services.guards import UnableOnTwoWirePath, UnableToChangeDays
from sites.wires.services.terminals import (
    UnableToSayAtPoint,
    UnableToTerminate,
    say_at_point,
    take_off_terminal,
    terminate_wire,
)
from tests import make
from tests.make import TODAY
from tests.services.yard import LAID, Yard, latest_why

EARLIER = date(2025, 3, 1)


def ends(wire: Wire) -> list[tuple[str, date | None, date | None]]:
    """Return a wire's terminals over days."""
    rows = wire.terminations.order_by("pk").values_list("terminal", "from_on", "to_on")
    return list(rows)


def put_on(yard: Yard, wire: Wire, terminal: str, on: date = TODAY) -> None:
    """Put a wire on a terminal of the yard's controller."""
    terminate_wire(wire=wire, controller=yard.clock, terminal=terminal, on=on, today=TODAY)


def test_the_terminal_it_had_ends_on_the_day(yard: Yard) -> None:
    put_on(yard, yard.w1, "5")
    assert ends(yard.w1) == [("1", LAID, TODAY), ("5", TODAY, None)]


def test_put_back_on_the_very_day_nothing_has_changed(yard: Yard) -> None:
    put_on(yard, yard.w1, "5")
    put_on(yard, yard.w1, "1")
    assert ends(yard.w1) == [("1", LAID, None)]


def test_put_back_later_the_days_between_are_kept(yard: Yard) -> None:
    put_on(yard, yard.w1, "5", on=EARLIER)
    put_on(yard, yard.w1, "1")
    assert ends(yard.w1) == [("1", LAID, EARLIER), ("5", EARLIER, TODAY), ("1", TODAY, None)]


def test_each_change_has_its_history(yard: Yard) -> None:
    terminate_wire(
        wire=yard.w1, controller=yard.clock, terminal="5", on=TODAY, today=TODAY, why="burnt"
    )
    assert [latest_why(row) for row in yard.w1.terminations.all()] == ["burnt", "burnt"]


def test_a_terminal_that_is_taken_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToTerminate, match="holds wire W2") as refusal:
        put_on(yard, yard.w1, "2")
    assert refusal.value.field == "terminal"


def test_a_day_before_the_last_change_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToChangeDays, match="2020-01-01"):
        put_on(yard, yard.w1, "5", on=LAID - timedelta(days=1))


def test_a_day_to_come_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        put_on(yard, yard.w1, "5", on=TODAY + timedelta(days=1))


def test_a_retired_wire_is_put_on_no_terminal(yard: Yard) -> None:
    wire = make.wire(property=yard.place, retired_on=TODAY)
    with pytest.raises(UnableToTerminate, match="retired"):
        put_on(yard, wire, "5")


def test_another_propertys_controller_is_refused(yard: Yard) -> None:
    with pytest.raises(UnableToTerminate) as refusal:
        terminate_wire(
            wire=yard.w1, controller=make.controller(), terminal="5", on=TODAY, today=TODAY
        )
    assert refusal.value.field == "controller"


def test_a_two_wire_path_has_no_terminals(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    with pytest.raises(UnableOnTwoWirePath, match="Controller Rowan"):
        put_on(yard, yard.w1, "5")


def test_a_common_keeps_its_end_on_another_controller(yard: Yard) -> None:
    other = make.controller(property=yard.place, name="Alder")
    terminate_wire(wire=yard.common, controller=other, terminal="C", on=TODAY, today=TODAY)
    put_on(yard, yard.common, "C2")
    assert ends(yard.common) == [("C", LAID, TODAY), ("C", TODAY, None), ("C2", TODAY, None)]


def test_a_spare_is_taken_off_and_put_on_again(yard: Yard) -> None:
    take_off_terminal(wire=yard.spare, on=TODAY, today=TODAY)
    assert ends(yard.spare) == [("", LAID, TODAY)]
    put_on(yard, yard.spare, "")
    assert ends(yard.spare) == [("", LAID, None)]


def test_a_wire_that_serves_a_station_stays_on_its_terminal(yard: Yard) -> None:
    with pytest.raises(UnableToTerminate, match="Rowan:1"):
        take_off_terminal(wire=yard.w1, on=TODAY, today=TODAY)


def test_what_is_on_no_terminal_is_not_taken_off(yard: Yard) -> None:
    with pytest.raises(UnableToTerminate, match="on no terminal"):
        take_off_terminal(wire=make.wire(property=yard.place), on=TODAY, today=TODAY)


def test_what_wires_do_at_a_point_is_said_of_several_at_once(yard: Yard) -> None:
    said = {yard.w1: AtPoint.PASSES, yard.common: AtPoint.SPLICED}
    assert say_at_point(point=yard.box, hows=said, why="opened") == 2
    rows = WireAtPoint.objects.filter(point=yard.box)
    assert {row.wire.name: row.how for row in rows} == {"W1": "passes uncut", "COM": "spliced"}
    assert {latest_why(row) for row in rows} == {"opened"}


def test_what_was_said_already_is_no_change(yard: Yard) -> None:
    say_at_point(point=yard.box, hows={yard.w1: AtPoint.PASSES})
    assert say_at_point(point=yard.box, hows={yard.w1: AtPoint.PASSES}) == 0
    assert WireAtPoint.objects.get().history.count() == 1


def test_said_again_it_is_what_it_was(yard: Yard) -> None:
    for how in (AtPoint.PASSES, AtPoint.SPLICED, AtPoint.PASSES):
        say_at_point(point=yard.box, hows={yard.w1: how})
    at = WireAtPoint.objects.get()
    assert (at.how, at.history.count()) == ("passes uncut", 3)


def test_a_wire_that_does_not_come_to_the_point_does_nothing_there(yard: Yard) -> None:
    with pytest.raises(UnableToSayAtPoint, match="W1"):
        say_at_point(point=yard.south, hows={yard.w1: AtPoint.SPLICED})


def test_a_wire_on_a_two_wire_path_does_nothing_at_a_point(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    with pytest.raises(UnableOnTwoWirePath):
        say_at_point(point=yard.box, hows={yard.w1: AtPoint.SPLICED})
