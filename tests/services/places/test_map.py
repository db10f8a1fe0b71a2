"""The ground as GeoJSON: read by a mapping library, and brought back by the register's loader."""

import json
from datetime import date
from pathlib import Path
from typing import Any

import geopandas
import pytest

from reports.places.services.map import blocks_of, map_of
from sites.kernel.engines.roles import Role
from sites.load.services.files import RegisterFile
from sites.models import Point, Property, User
from tests import make
from tests.services.load import check, counts, load

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    return make.user(Role.OWNER)


@pytest.fixture
def place() -> Property:
    return make.place(code="ELM")


def points(place: Property) -> tuple[Point, Point]:
    """Two boxes some hundred feet apart; the second lies north and east of the first."""
    return (
        make.point(property=place, name="Box 1", latitude=33.5, longitude=-117.7),
        make.point(property=place, name="Box 2", latitude=33.502, longitude=-117.696),
    )


def whole(user: User, place: Property) -> dict[str, Any]:
    made: dict[str, Any] = json.loads("".join(blocks_of(map_of(user, place))))
    return made


def of_kind(user: User, place: Property, kind: str) -> list[dict[str, Any]]:
    features = whole(user, place)["features"]
    return [each for each in features if each["properties"]["kind"] == kind]


def test_longitude_comes_first_as_rfc_7946_has_it(owner: User, place: Property) -> None:
    points(place)
    first, second = of_kind(owner, place, "point")
    assert first["geometry"] == {"type": "Point", "coordinates": [-117.7, 33.5]}
    assert second["properties"]["name"] == "Box 2"


def test_what_has_no_position_is_left_out(owner: User, place: Property) -> None:
    first, _second = points(place)
    nowhere = make.point(property=place, name="Box 3")
    make.leg(property=place, from_point=first, to_point=nowhere)
    make.station(controller=make.controller(property=place), valve_point=nowhere)
    assert {each["properties"]["kind"] for each in whole(owner, place)["features"]} == {"point"}


@pytest.mark.parametrize(
    ("feet", "end", "share"),
    [(0.0, 0, 0.0), (25.0, 0, 0.25), (100.0, 0, 1.0), (130.0, 0, 1.0), (25.0, 1, 0.75)],
)
def test_a_break_lies_along_its_leg_from_the_end_that_was_measured(
    owner: User, place: Property, feet: float, end: int, share: float
) -> None:
    ends = points(place)
    leg = make.leg(property=place, from_point=ends[0], to_point=ends[1], length_ft=100)
    fault = make.fault(make.station(controller=make.controller(property=place)))
    make.break_found(fault=fault, leg=leg, feet_along=feet, from_point=ends[end])
    (found,) = of_kind(owner, place, "break")
    assert found["geometry"]["coordinates"] == pytest.approx(
        [-117.7 + 0.004 * share, 33.5 + 0.002 * share], abs=1e-7
    )
    assert found["properties"]["position"] == "on the straight line of its leg"
    assert found["properties"]["fault_ref"] == fault.ref
    (line,) = of_kind(owner, place, "leg")
    assert line["properties"]["breaks"] == 1


def test_a_break_with_a_position_of_its_own_lies_there(owner: User, place: Property) -> None:
    ends = points(place)
    leg = make.leg(property=place, from_point=ends[0], to_point=ends[1], length_ft=100)
    fault = make.fault(make.station(controller=make.controller(property=place)))
    make.break_found(fault=fault, leg=leg, feet_along=10, latitude=33.501, longitude=-117.699)
    make.break_found(fault=fault, leg=leg, running_number=2)
    (found,) = of_kind(owner, place, "break")
    assert found["geometry"]["coordinates"] == [-117.699, 33.501]
    assert found["properties"]["position"] == "as entered"


def test_who_sees_no_faults_sees_breaks_without_them(place: Property) -> None:
    ends = points(place)
    leg = make.leg(property=place, from_point=ends[0], to_point=ends[1], length_ft=100)
    fault = make.fault(make.station(controller=make.controller(property=place)))
    make.break_found(fault=fault, leg=leg, feet_along=10)
    tracer = make.user(Role.TRACER, property=place)  # assigned to no fault
    (found,) = of_kind(tracer, place, "break")
    assert found["properties"]["fault_ref"] is None


def test_a_mapping_library_reads_it(owner: User, place: Property, tmp_path: Path) -> None:
    ends = points(place)
    make.leg(property=place, from_point=ends[0], to_point=ends[1])
    clock = make.controller(property=place)
    off = make.station(controller=clock, valve_point=ends[1])
    make.stopgap(station=off, on=date(2025, 2, 1))
    file = tmp_path / "elm.geojson"
    file.write_text("".join(blocks_of(map_of(owner, place))))
    read = geopandas.read_file(file)
    assert read.crs.to_epsg() == 4326
    assert sorted(read["kind"]) == ["leg", "point", "point", "station"]
    state = read[read["kind"] == "station"]["how_controlled"].item()
    assert state == "off"


def test_the_map_comes_back_as_it_went(owner: User, place: Property) -> None:
    ends = points(place)
    make.leg(property=place, from_point=ends[0], to_point=ends[1], length_ft=300)
    content = "".join(blocks_of(map_of(owner, place)))
    preview = check(RegisterFile("elm.geojson", content.encode()))
    assert preview.problems == []
    assert counts(preview)["points"][:2] == (0, 0)
    moved = content.replace("-117.696", "-117.695")
    preview = load(RegisterFile("elm.geojson", moved.encode()))
    assert preview.problems == []
    assert Point.objects.get(name="Box 2").longitude == -117.695


GPX = """<?xml version="1.0"?>
<gpx version="1.1" creator="a receiver" xmlns="http://www.topografix.com/GPX/1/1">
<wpt lat="33.501" lon="-117.699"><ele>12</ele><name>Box 1</name><desc>by the oak</desc></wpt>
<wpt lat="33.503" lon="-117.698"><name>Box 9</name><type>valve box</type></wpt>
<trk><trkseg><trkpt lat="33" lon="-117"/></trkseg></trk></gpx>"""


def test_waypoints_move_the_points_of_the_property_that_names_the_file(place: Property) -> None:
    points(place)
    preview = load(RegisterFile("ELM.gpx", GPX.encode()))
    assert preview.problems == []
    first = Point.objects.get(property=place, name="Box 1")
    assert (first.latitude, first.longitude) == (33.501, -117.699)
    assert Point.objects.get(property=place, name="Box 9").latitude == 33.503


def test_a_waypoint_that_is_new_says_what_it_is(place: Property) -> None:
    points(place)
    unsaid = GPX.replace("<type>valve box</type>", "")
    (problem,) = check(RegisterFile("ELM.gpx", unsaid.encode())).problems
    assert (problem.row, problem.column) == (3, "kind")
    assert "Say what it is" in problem.text


def test_others_geojson_is_read_by_the_names_of_its_points(place: Property) -> None:
    points(place)
    found = {
        "type": "FeatureCollection",
        "features": [
            {"type": "Feature", "properties": {"Name": "Box 1", "property": "elm"},
             "geometry": {"type": "Point", "coordinates": [-117.6991, 33.5011, 12.0]}},
            {"type": "Feature", "properties": None, "geometry": None},
        ],
    }  # fmt: skip
    load(RegisterFile("survey.geojson", json.dumps(found).encode()))
    assert Point.objects.get(name="Box 1").latitude == 33.5011
