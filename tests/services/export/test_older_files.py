"""Last week's export, brought after the ground or the numbers changed: history stays in place."""

from dataclasses import dataclass
from datetime import date

import pytest

from faults.cases.services.splitting import split_leg
from faults.load.services.register import UnableToLoad
from faults.models import Break, Fault, FaultStation, Reading
from sites.load.services.preview import Problem
from sites.models import Equipment, Leg, Schedule, Station, Wire, WireLeg
from sites.register.services.equipment import replace_equipment
from sites.register.services.renumber import renumber_stations
from sites.register.services.retire import retire_controller
from tests import make
from tests.services.export.there_and_back import (
    Lists,
    exported,
    files_of,
    load,
    look,
    rows_of,
)

pytestmark = pytest.mark.django_db


@dataclass(frozen=True)
class Pair:
    """Two valves of one controller; all history belongs to the one that began as number 5."""

    five: Station
    six: Station
    fault: Fault


@pytest.fixture
def pair() -> Pair:
    """Numbers 5 and 6, with a stopgap, a fault, a reading and a schedule on number 5."""
    clock = make.controller(property=make.place(code="P"), name="A")
    five, six = (make.station(controller=clock, number=n, run_length_ft=None) for n in (5, 6))
    make.stopgap(station=five, on=date(2025, 1, 1))
    make.reading(station=five, value=24.0)
    Schedule.objects.create(station=five, from_on=date(2025, 1, 1), minutes=10)
    return Pair(five, six, make.fault(five, key="F-1"))


def swap(pair: Pair) -> None:
    """Give each valve the other's number."""
    renumber_stations(controller=pair.five.controller, numbers={pair.five.pk: 6, pair.six.pk: 5})


def take_out(pair: Pair) -> None:
    """Retire the controller with both valves."""
    pair.fault.stations.all().delete()
    retire_controller(
        controller=pair.five.controller, on=make.TODAY, why="taken out", today=make.TODAY
    )


def problems(lists: Lists) -> list[Problem]:
    """Return what stops these lists."""
    return look(lists).problems


def only(lists: Lists, *names: str) -> Lists:
    """Return some of the lists."""
    return {f"{name}.csv": lists[f"{name}.csv"] for name in names}


def without_refs(lists: Lists) -> Lists:
    """Return the lists with the column of references cleared."""
    return {
        name: "\r\n".join(
            line if number == 0 or not text.startswith("ref,") else line[10:]
            for number, line in enumerate(text.splitlines())
        )
        for name, text in lists.items()
    }


def test_all_of_it_is_stopped_after_two_valves_swapped_numbers(pair: Pair) -> None:
    lists = exported()
    swap(pair)
    assert {each.sheet for each in problems(lists)} == {"stations"}
    with pytest.raises(UnableToLoad):
        load(*files_of(lists))


@pytest.mark.parametrize("name", ["stopgaps", "faults", "readings", "schedules"])
def test_each_list_alone_is_stopped_after_the_swap(pair: Pair, name: str) -> None:
    lists = only(exported(), name)
    swap(pair)
    assert len(problems(lists)) == 1


@pytest.mark.parametrize("name", ["stopgaps", "faults"])
def test_clearing_the_references_does_not_move_history_either(pair: Pair, name: str) -> None:
    lists = without_refs(only(exported(), name))
    swap(pair)
    assert ["had this number before" in each.text for each in problems(lists)] == [True]


def test_history_stayed_with_its_valve(pair: Pair) -> None:
    lists = exported()
    swap(pair)
    with pytest.raises(UnableToLoad):
        load(*files_of(lists))
    assert [each.station for each in FaultStation.objects.all()] == [pair.five]
    assert Reading.objects.get().station == pair.five
    assert pair.five.stopgaps.count() == 1
    assert pair.six.stopgaps.count() == 0


def test_an_export_made_after_the_swap_is_welcome(pair: Pair) -> None:
    swap(pair)
    assert look(exported()).is_empty


def test_a_file_that_swaps_numbers_itself_takes_history_along(pair: Pair) -> None:
    lists = exported()
    stations = lists["stations.csv"].replace(",A,5,", ",A,x,").replace(",A,6,", ",A,5,")
    load(*files_of({"stations.csv": stations.replace(",A,x,", ",A,6,")}))
    pair.five.refresh_from_db()
    assert pair.five.number == 6
    assert pair.five.stopgaps.count() == 1


@pytest.fixture
def leg() -> Leg:
    """A leg of 100 ft with a wire in it, and a break 64 ft along."""
    place = make.place(code="P")
    leg = make.leg(property=place, label="L-1", length_ft=100.0)
    wire = make.wire(property=place, name="W")
    WireLeg.objects.create(wire=wire, leg=leg)
    clock = make.controller(property=place, name="A")
    fault = make.fault(make.station(controller=clock, run_length_ft=None), key="F-1")
    Break.objects.create(fault=fault, leg=leg, feet_along=64.0)
    return leg


def split(leg: Leg) -> None:
    """Split the leg 40 ft along."""
    box = make.point(property=leg.property, name="New box")
    split_leg(leg=leg, point=box, feet=40.0, from_second=False, on=make.TODAY, today=make.TODAY)


def test_a_list_of_wires_that_names_a_split_leg_is_stopped(leg: Leg) -> None:
    lists = only(exported(), "wires")
    split(leg)
    assert ["L-1" in each.text for each in problems(lists)] == [True]


def test_a_list_of_breaks_finds_the_part_in_which_each_lies(leg: Leg) -> None:
    lists = only(exported(), "breaks")
    split(leg)
    assert look(lists).is_empty


def test_the_parts_keep_wire_and_break_after_the_file_was_stopped(leg: Leg) -> None:
    lists = exported()
    split(leg)
    with pytest.raises(UnableToLoad):
        load(*files_of(lists))
    assert Wire.objects.get().legs.filter(retired_on=None).count() == 2
    assert Break.objects.get().feet_along == 24.0


def test_an_export_made_after_the_split_is_welcome(leg: Leg) -> None:
    split(leg)
    assert look(exported()).is_empty


def test_new_equipment_leaves_the_controller_what_it_was(pair: Pair) -> None:
    lists = exported()
    replace_equipment(
        controller=pair.five.controller,
        values={"label": "new clock"},
        brought={},
        on=make.TODAY,
        today=make.TODAY,
    )
    assert look(lists).is_empty
    assert Equipment.objects.filter(controller=pair.five.controller).exists()


def test_a_list_of_a_retired_controller_makes_no_second_valves(pair: Pair) -> None:
    lists = only(exported(), "stations")
    take_out(pair)
    assert {"was retired on" in each.text for each in problems(lists)} == {True}


def test_what_is_retired_is_not_written(pair: Pair) -> None:
    take_out(pair)
    lists = exported()
    counts = {name: len(rows_of(lists, name)) for name in ("controllers", "stations", "faults")}
    assert counts == {"controllers": 0, "stations": 0, "faults": 0}


def test_a_ref_of_a_retired_thing_is_no_new_one(pair: Pair) -> None:
    lists = only(exported(), "controllers")
    pair.five.controller.name = "Z"
    pair.five.controller.retired_on = make.TODAY
    pair.five.controller.save()
    preview = look(lists)
    assert preview.made.get("controllers", 0) == 0


def test_a_mistyped_ref_beside_a_known_number_is_a_problem(pair: Pair) -> None:
    lists = only(exported(), "stations")
    text = lists["stations.csv"].replace(pair.five.ref, "bbbbbbbbbb")
    assert [each.column for each in problems({"stations.csv": text})] == ["A ref"]


def test_the_ref_of_another_clients_station_is_a_problem(pair: Pair) -> None:
    other = make.station()
    text = exported()["stations.csv"].replace(pair.five.ref, other.ref).replace("A,5", "A,55")
    assert [each.column for each in problems({"stations.csv": text})] == ["A ref"]
