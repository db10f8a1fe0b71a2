"""A fault's page: stage, stations, breaks found, and how it went."""

from datetime import date
from typing import Any

import pytest

from faults.models import Fault, FaultStation, StageMove
from sites.models import Leg, User
from tests import make
from tests.cast import Cast, Corner
from tests.web.fern_row import FernRow
from tests.web.pages import Sheet, open_page

pytestmark = pytest.mark.django_db


def opened(user: User, fault: Fault) -> Sheet:
    """Open the fault's page as this user."""
    return open_page(user, f"/faults/{fault.ref}/")


def stage_of(sheet: Sheet) -> tuple[list[str], list[str]]:
    """Return the stages of the way, and the one where the fault stands."""
    (way,) = [each for each in sheet.tree.find("ol") if "stages" in each.classes]
    items = way.find("li")
    return [i.words for i in items], [i.words for i in items if "aria-current" in i.attributes]


def leg(place: Any, label: str = "A-3") -> Leg:
    """Make a leg from box S1 to box S2."""
    ends = [make.point(property=place, name=name) for name in ("S1", "S2")]
    return make.leg(property=place, label=label, from_point=ends[0], to_point=ends[1])


def test_says_what_is_wrong_with_how_many_stations(fern: FernRow, manager: User) -> None:
    fault = make.fault(fern["A:2"], fern["A:4"], key="F-7", symptom="leak to earth")
    sheet = opened(manager, fault)
    assert sheet.heading == "F-7: leak to earth, 2 stations"
    assert "Reported 2025-05-01. Now: reported." in sheet.words


def test_a_fault_of_one_station_is_told_in_the_singular(fern: FernRow, manager: User) -> None:
    assert opened(manager, fern.fault).heading == "F-1: not known, one station"


def test_shows_where_on_the_way_it_stands(fern: FernRow, manager: User) -> None:
    fern.fault.stage = "agreed"
    fern.fault.save()
    way, here = stage_of(opened(manager, fern.fault))
    assert way == ["reported", "scheduled", "found", "agreed", "mended", "proven", "returned"]
    assert here == ["agreed"]


@pytest.mark.parametrize("stage", ["given up", "withdrawn"])
def test_a_fault_that_left_the_way_shows_none(fern: FernRow, manager: User, stage: str) -> None:
    fern.fault.stage, fern.fault.closed_on = stage, date(2025, 6, 1)
    fern.fault.save()
    sheet = opened(manager, fern.fault)
    assert f"Now: {stage}. Closed 2025-06-01." in sheet.words
    assert not [each for each in sheet.tree.find("ol") if "stages" in each.classes]


def test_lists_its_stations_with_stage_and_how_returned(fern: FernRow, manager: User) -> None:
    fault = make.fault(fern["A:4"], fern["A:2"], key="F-7")
    back = FaultStation.objects.get(fault=fault, station=fern["A:2"])
    back.stage, back.how_returned = "returned", "moved to a spare wire"
    back.save()
    rows = opened(manager, fault).rows("stations")
    assert [row[:4] for row in rows] == [
        ["A:2", "lawn A2", "returned", "moved to a spare wire"],
        ["A:4", "lawn A4", "reported", ""],
    ]


def test_a_break_is_told_with_place_depth_wires_and_mending(fern: FernRow, manager: User) -> None:
    found = fern.fault.breaks.create(
        cause="shovel",
        damage="nick",
        leg=leg(fern.property),
        feet_along=64,
        depth_in=17,
        found_on=date(2025, 5, 3),
        mended_on=date(2025, 5, 4),
        how_mended="splice remade",
    )
    found.wires.add(make.wire(property=fern.property, name="A-1 hot"))
    facts = opened(manager, fern.fault).facts("breaks")
    assert facts["Place"] == "leg A-3, 64 ft from S1"
    assert (facts["Cause"], facts["Depth"]) == ("shovel, nick", "17 in")
    assert (facts["Wires"], facts["Mended"]) == ("A-1 hot", "2025-05-04, splice remade")


def test_feet_are_told_from_the_end_that_they_were_taken_from(fern: FernRow, manager: User) -> None:
    where = leg(fern.property)
    fern.fault.breaks.create(leg=where, feet_along=20, from_point=where.to_point)
    assert opened(manager, fern.fault).facts("breaks")["Place"] == "leg A-3, 20 ft from S2"


def test_a_break_off_the_registered_legs_says_so(fern: FernRow, manager: User) -> None:
    fern.fault.breaks.create(cause="lightning")
    facts = opened(manager, fern.fault).facts("breaks")
    assert (facts["Place"], facts["Found"]) == ("not on a registered leg", "not known")


def test_breaks_bring_the_caution_before_digging_and_their_lack_does_not(
    fern: FernRow, manager: User
) -> None:
    caution = "have underground utilities marked"
    assert caution not in opened(manager, fern.fault).panel("breaks")
    fern.fault.breaks.create(cause="root")
    assert caution in opened(manager, fern.fault).panel("breaks")


def test_an_open_fault_without_breaks_is_not_found_yet(fern: FernRow, manager: User) -> None:
    assert "Not found yet." in opened(manager, fern.fault).panel("breaks")


def test_a_closed_fault_without_breaks_was_never_located(fern: FernRow, manager: User) -> None:
    fern.fault.stage, fern.fault.closed_on = "given up", date(2025, 6, 1)
    fern.fault.save()
    assert "the place of this fault is not known" in opened(manager, fern.fault).panel("breaks")


def moved(station: FaultStation, start: str, end: str, on: date | None, **given: Any) -> None:
    """Record one move."""
    StageMove.objects.create(
        fault_station=station, from_stage=start, to_stage=end, on=on, moved_at=make.NOW, **given
    )


def test_moves_of_several_stations_on_one_day_are_one_line_newest_first(
    fern: FernRow, manager: User
) -> None:
    fault = make.fault(fern["A:2"], fern["A:4"], key="F-7")
    for station in fault.stations.all():
        moved(station, "", "reported", date(2025, 5, 1))
        moved(station, "reported", "found", date(2025, 5, 9), why="by the gate", by=manager)
    assert opened(manager, fault).rows("moves") == [
        ["2025-05-09", f"reported → found: by the gate ({manager})", "A:2, A:4"],
        ["2025-05-01", "reported", "A:2, A:4"],
    ]


def test_a_move_without_a_day_says_so(fern: FernRow, manager: User) -> None:
    moved(fern.fault.stations.get(), "", "reported", None)
    assert opened(manager, fern.fault).column(0, "moves") == ["day not known"]


def test_history_is_for_our_own_people(cast: Cast, ours: Corner) -> None:
    assert "history" in opened(cast.technician, ours.fault).panels
    assert "history" not in opened(cast.client_user, ours.fault).panels
