"""Verbs on wires in the ground: lay, change, retire, out of use, and their inverses."""

from datetime import date, timedelta
from typing import Any

import pytest

from sites.kernel.services.verb_days import UnableToUseDay
from sites.models import AtPoint, Wire, WireKind, Wiring
from sites.wires.services.guards import UnableOnTwoWirePath
from sites.wires.services.laying import (
    UnableToLay,
    UnableToRetireWire,
    UnableToUseWire,
    bring_back_wire,
    change_wire,
    lay_wire,
    put_out_of_use,
    retire_wire,
    use_again,
)
from sites.wires.services.terminals import UnableToTerminate
from tests import make
from tests.make import TODAY
from tests.services.yard import Yard, latest_why, legs_of

LATER = TODAY + timedelta(days=1)


def lay(yard: Yard, **given: Any) -> Wire:
    """Lay a new hot wire to the north valve, on terminal 3."""
    values = {"name": given.pop("name", "W3"), "kind": given.pop("kind", WireKind.HOT)}
    defaults = {"legs": [yard.a, yard.b], "controller": yard.clock, "terminal": "3", "on": TODAY}
    return lay_wire(place=yard.place, values=values, **{**defaults, **given})


def free(yard: Yard, wire: Wire) -> None:
    """Let no station be served by a wire."""
    wire.feeds.update(to_on=date(2025, 1, 1))


def terminals(wire: Wire) -> list[tuple[str, date | None]]:
    """Return a wire's terminals, each with the day on which it ended."""
    return list(wire.terminations.order_by("pk").values_list("terminal", "to_on"))


def at(wire: Wire) -> dict[str, str]:
    """Return what a wire does at points."""
    return dict(wire.at_points.values_list("point__name", "how"))


def test_a_new_wire_lies_in_its_legs_and_ends_where_they_do(yard: Yard) -> None:
    wire = lay(yard)
    assert legs_of(wire) == {"a", "b"}
    assert at(wire) == {"clock": AtPoint.ENDS, "north valve": AtPoint.ENDS}
    assert terminals(wire) == [("3", None)]
    assert wire.history.count() == 1


def test_a_wire_is_named_once(yard: Yard) -> None:
    with pytest.raises(UnableToLay) as refusal:
        lay(yard, name="w1")
    assert refusal.value.field == "name"


def test_a_terminal_holds_one_hot_wire(yard: Yard) -> None:
    with pytest.raises(UnableToTerminate, match="Terminal 1 of Rowan holds wire W1"):
        lay(yard, terminal="1")


def test_commons_share_their_terminal(yard: Yard) -> None:
    assert lay(yard, kind=WireKind.COMMON, terminal="C").pk


def test_a_wire_lies_in_legs_of_its_property(yard: Yard) -> None:
    with pytest.raises(UnableToLay, match="of its property"):
        lay(yard, legs=[make.leg()])


def test_a_two_wire_path_has_no_wires(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    with pytest.raises(UnableOnTwoWirePath, match="Controller Rowan"):
        lay(yard)


def test_a_wire_on_a_two_wire_path_is_not_changed(yard: Yard) -> None:
    yard.clock.wiring = Wiring.TWO_WIRE
    yard.clock.save()
    with pytest.raises(UnableOnTwoWirePath):
        change_wire(wire=yard.w1, values={"size": "14"}, legs=None)


def test_changing_where_it_lies_keeps_the_old_way_in_history(yard: Yard) -> None:
    change_wire(wire=yard.w2, values={}, legs=[yard.a, yard.b], why="traced")
    assert legs_of(yard.w2) == {"a", "b"}
    assert latest_why(yard.w2) == "traced (it lay in: a, c)"


def test_changing_the_rest_leaves_it_where_it_lies(yard: Yard) -> None:
    change_wire(wire=yard.w2, values={"colour": "blue"}, legs=None)
    yard.w2.refresh_from_db()
    assert (yard.w2.colour, legs_of(yard.w2)) == ("blue", {"a", "c"})


def test_laid_anew_it_no_longer_ends_where_it_did(yard: Yard) -> None:
    wire = lay(yard, legs=[yard.a])
    change_wire(wire=wire, values={}, legs=[yard.a, yard.c])
    assert at(wire) == {
        "clock": AtPoint.ENDS,
        "box": AtPoint.NOT_KNOWN,
        "south valve": AtPoint.ENDS,
    }


def test_a_wire_that_serves_a_station_stays(yard: Yard) -> None:
    with pytest.raises(UnableToRetireWire, match="Rowan:1"):
        retire_wire(wire=yard.w1, on=TODAY, today=TODAY)


def test_a_wire_is_not_retired_on_a_day_to_come(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        retire_wire(wire=yard.spare, on=LATER, today=TODAY)


def test_retired_it_leaves_its_terminal_and_brought_back_it_returns(yard: Yard) -> None:
    free(yard, yard.w1)
    retire_wire(wire=yard.w1, on=TODAY, today=TODAY, why="pulled out")
    assert (terminals(yard.w1), latest_why(yard.w1)) == ([("1", TODAY)], "pulled out")
    bring_back_wire(wire=yard.w1)
    yard.w1.refresh_from_db()
    assert (yard.w1.retired_on, terminals(yard.w1)) == (None, [("1", None)])


def test_it_does_not_return_to_a_terminal_that_is_taken(yard: Yard) -> None:
    free(yard, yard.w1)
    retire_wire(wire=yard.w1, on=TODAY, today=TODAY)
    lay(yard, terminal="1")
    with pytest.raises(UnableToTerminate):
        bring_back_wire(wire=yard.w1)


def test_it_does_not_return_to_a_leg_that_is_retired(yard: Yard) -> None:
    retire_wire(wire=yard.spare, on=TODAY, today=TODAY)
    yard.b.retired_on = TODAY
    yard.b.save()
    with pytest.raises(UnableToUseWire, match=r"b\. Bring"):
        bring_back_wire(wire=yard.spare)


def test_what_is_not_retired_is_not_brought_back(yard: Yard) -> None:
    with pytest.raises(UnableToUseWire, match="not retired"):
        bring_back_wire(wire=yard.w1)


def test_what_is_retired_is_not_retired_again(yard: Yard) -> None:
    retire_wire(wire=yard.spare, on=TODAY, today=TODAY)
    with pytest.raises(UnableToRetireWire, match="already"):
        retire_wire(wire=yard.spare, on=TODAY, today=TODAY)


def out_of_use(yard: Yard, wire: Wire) -> None:
    """Put a wire out of use today, suspected broken."""
    put_out_of_use(wire=wire, on=TODAY, is_suspected_broken=True, today=TODAY, why="dead")


def test_out_of_use_it_is_on_no_terminal_and_suspected(yard: Yard) -> None:
    out_of_use(yard, yard.spare)
    yard.spare.refresh_from_db()
    assert (yard.spare.out_of_use_on, yard.spare.is_suspected_broken) == (TODAY, True)
    assert terminals(yard.spare) == [("", TODAY)]
    assert latest_why(yard.spare) == "dead"


def test_used_again_it_is_on_its_terminal_and_not_suspected(yard: Yard) -> None:
    out_of_use(yard, yard.spare)
    use_again(wire=yard.spare, why="it was the splice")
    yard.spare.refresh_from_db()
    assert (yard.spare.out_of_use_on, yard.spare.is_suspected_broken) == (None, False)
    assert terminals(yard.spare) == [("", None)]


def test_a_serving_wire_is_not_put_out_of_use(yard: Yard) -> None:
    with pytest.raises(UnableToRetireWire, match="Move it to a spare"):
        out_of_use(yard, yard.w1)


def test_it_is_not_put_out_of_use_twice(yard: Yard) -> None:
    out_of_use(yard, yard.spare)
    with pytest.raises(UnableToRetireWire, match="already"):
        out_of_use(yard, yard.spare)


def test_what_is_in_use_is_not_used_again(yard: Yard) -> None:
    with pytest.raises(UnableToUseWire):
        use_again(wire=yard.w1)


def test_a_wire_is_not_put_out_of_use_on_a_day_to_come(yard: Yard) -> None:
    with pytest.raises(UnableToUseDay):
        put_out_of_use(wire=yard.spare, on=LATER, is_suspected_broken=False, today=TODAY)
