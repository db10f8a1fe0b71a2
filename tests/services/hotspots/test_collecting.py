"""What counts, on which leg, and for how long it was watched."""

from datetime import date
from typing import Any

import pytest

from faults.cases.services.splitting import rejoin_leg, split_leg
from faults.models import Fault, Search
from reports.hotspots.services.ranking import look, ranked_view
from reports.hotspots.services.renewing import before_and_after
from reports.hotspots.services.scope import Family, Scope
from reports.hotspots.services.whole_legs import Stretch
from sites.models import Leg, Renewal
from tests import make
from tests.services.hotspots.trunk import ALL, SINCE, UNTIL, Trunk, trunk

pytestmark = pytest.mark.django_db

YEARS = (UNTIL - SINCE).days / 365.25


@pytest.fixture
def line() -> Trunk:
    """Three legs of 100, 200 and 300 ft."""
    return trunk()


def of(line: Trunk, leg: Leg, scope: Scope = ALL) -> Stretch:
    """Return the stretch that a leg is."""
    return line.seen(scope).stretches[leg.pk]


def test_a_leg_is_watched_for_its_feet_and_years(line: Trunk) -> None:
    one = of(line, line.legs[1])
    assert (one.since, one.until) == (SINCE, UNTIL)
    assert one.ground == pytest.approx(0.2 * YEARS)
    assert one.wire == pytest.approx(0.2 * YEARS)


def test_wires_add_up_and_a_retired_one_is_none(line: Trunk) -> None:
    for retired_on in (None, None, date(2021, 1, 1)):
        make.wire(property=line.place, retired_on=retired_on).lies.create(leg=line.legs[0])
    assert of(line, line.legs[0]).wire == pytest.approx(3 * 0.1 * YEARS)


def test_a_trench_through_many_stations_is_one_fault(line: Trunk) -> None:
    clock = line.station.controller
    stations = [make.station(controller=clock) for _ in range(23)]
    fault = make.fault(line.station, *stations, reported_on=date(2022, 3, 1))
    make.break_found(fault=fault, leg=line.legs[0], cause="trenching")
    assert len(of(line, line.legs[0]).events) == 1


def test_the_wire_alone_counts(line: Trunk) -> None:
    line.struck(line.legs[0], date(2022, 3, 1), cause="valve or water")
    withdrawn = line.struck(line.legs[0], date(2022, 3, 2))
    withdrawn.fault.stage = "withdrawn"
    withdrawn.fault.save()
    seen = line.seen()
    assert (seen.located, seen.unlocated) == (0, 0)


def test_without_records_since_the_first_fault_begins_the_watch(line: Trunk) -> None:
    line.place.records_since = None
    line.place.save()
    assert line.seen().without_records == 1
    assert line.seen().stretches == {}
    line.struck(line.legs[0], date(2023, 1, 1))
    one = of(line, line.legs[0])
    assert one.since == date(2023, 1, 1)
    assert len(one.events) == 1


def test_days_and_causes_in_view(line: Trunk) -> None:
    for day, cause in ((date(2021, 6, 1), "splice"), (date(2023, 6, 1), "root")):
        line.struck(line.legs[0], day, cause=cause)
    leg = line.legs[0]
    assert [e.cause for e in of(line, leg, Scope(UNTIL, date(2022, 1, 1))).events] == ["root"]
    assert [e.cause for e in of(line, leg, Scope(date(2022, 1, 1))).events] == ["splice"]
    assert [e.cause for e in of(line, leg, Scope(UNTIL, family=Family.WIRE)).events] == ["splice"]
    assert [e.cause for e in of(line, leg, Scope(UNTIL, cause="root")).events] == ["root"]
    assert of(line, leg, Scope(UNTIL, date(2024, 1, 1))).years == pytest.approx(1, abs=0.01)


def test_a_renewal_starts_a_new_count(line: Trunk) -> None:
    leg = line.legs[0]
    for day in (date(2021, 1, 1), date(2022, 1, 1), date(2024, 1, 1)):
        line.struck(leg, day)
    Renewal.objects.create(leg=leg, on=date(2023, 1, 1), kind="new conduit")
    seen = line.seen()
    one = seen.stretches[leg.pk]
    assert (one.since, len(one.events), seen.before) == (date(2023, 1, 1), 1, 2)
    compared = before_and_after([one], seen, UNTIL)
    assert compared is not None
    assert (compared.first.count, compared.second.count) == (1, 2)
    assert compared.first.kft_years == pytest.approx(0.1 * 2, abs=0.001)
    assert compared.second.kft_years == pytest.approx(0.1 * 3, abs=0.001)
    others = [seen.stretches[leg.pk] for leg in line.legs[1:]]
    assert before_and_after(others, seen, UNTIL) is None


def test_a_retired_leg_is_no_hotspot_and_its_faults_are_told(line: Trunk) -> None:
    line.struck(line.legs[2], date(2021, 1, 1))
    line.legs[2].retired_on = date(2024, 1, 1)
    line.legs[2].save()
    seen = line.seen()
    assert line.legs[2].pk not in seen.stretches
    assert (seen.located, seen.before) == (0, 1)


def split(line: Trunk, leg: Leg, feet: float) -> tuple[Leg, Leg]:
    """Split a leg in 2024 and return its parts."""
    point = make.point(property=line.place)
    day = date(2024, 6, 1)
    return split_leg(leg=leg, point=point, feet=feet, from_second=False, on=day, today=day).both


def test_splitting_a_leg_changes_no_answer(line: Trunk) -> None:
    leg = line.legs[1]
    for feet in (20.0, 120.0, 130.0):
        line.struck(leg, date(2022, 1, int(feet) // 10), feet_along=feet)
    line.struck(leg, date(2023, 1, 1))  # somewhere along it
    line.struck(line.legs[0], date(2023, 1, 1), feet_along=5.0)
    line.lost(date(2023, 2, 1))
    before = look([line.place], ALL)
    _first, second = split(line, leg, 80.0)
    after = look([line.place], ALL)
    assert [row.first.row.pk for row in after.rows] == [row.first.row.pk for row in before.rows]
    for ours, theirs in zip(after.rows, before.rows, strict=True):
        assert (ours.located, ours.is_flagged) == (theirs.located, theirs.is_flagged)
        for name in ("spread", "expected", "rate", "shrunken", "p", "q"):
            assert getattr(ours, name) == pytest.approx(getattr(theirs, name), rel=1e-9), name
    places = sorted(e.along_ft for e in of(line, leg).events if e.along_ft is not None)
    assert places == pytest.approx([20.0, 120.0, 130.0])
    split(line, second, 60.0)
    again = look([line.place], ALL)
    assert [row.p for row in again.rows] == pytest.approx([row.p for row in before.rows])


def test_a_leg_made_whole_again_counts_as_before(line: Trunk) -> None:
    leg = line.legs[1]
    line.struck(leg, date(2022, 1, 1), feet_along=120.0)
    before = of(line, leg)
    split(line, leg, 80.0)
    leg.refresh_from_db()
    rejoin_leg(leg=leg)
    after = of(line, leg)
    assert (after.ground, len(after.events)) == (pytest.approx(before.ground), 1)


def test_feet_from_the_far_end_are_turned_round(line: Trunk) -> None:
    leg = line.legs[1]
    line.struck(leg, date(2022, 1, 1), feet_along=30.0, from_point=leg.to_point)
    assert of(line, leg).events[0].along_ft == pytest.approx(170.0)


def test_a_fault_never_located_is_spread_by_feet_and_history(line: Trunk) -> None:
    line.lost(date(2022, 1, 1))
    assert [of(line, leg).spread for leg in line.legs] == pytest.approx([1 / 6, 2 / 6, 3 / 6])
    line.struck(line.legs[0], date(2021, 1, 1))
    seen = line.seen()
    assert [seen.stretches[leg.pk].spread for leg in line.legs] == pytest.approx(
        [2 / 7, 2 / 7, 3 / 7]
    )
    assert seen.unlocated == 1


def test_open_faults_count_when_they_have_a_place(line: Trunk) -> None:
    line.lost(date(2022, 1, 1), stage="scheduled")
    seen = line.seen()
    assert (seen.unlocated, seen.still_sought) == (0, 1)
    assert all(one.spread == 0 for one in seen.stretches.values())


def test_a_fault_of_a_station_without_a_wire_lies_nowhere_and_is_told(line: Trunk) -> None:
    other = make.station(controller=line.station.controller)
    make.fault(other, reported_on=date(2022, 1, 1), stage="given up")
    seen = line.seen()
    assert (seen.unlocated, seen.nowhere) == (1, 1)


def test_a_fault_that_ended_on_a_spare_lies_in_the_old_wire(line: Trunk) -> None:
    feed = line.station.feeds.get()
    feed.to_on = date(2022, 2, 1)
    feed.save()
    spare = make.wire(property=line.place, kind="spare")
    spare.lies.create(leg=make.leg(property=line.place))
    spare.feeds.create(station=line.station, from_on=date(2022, 2, 1))
    line.lost(date(2022, 1, 1), stage="returned")
    assert of(line, line.legs[2]).spread == pytest.approx(0.5)


def searched(line: Trunk, fault: Fault, outcome: str, final: dict[str, Any]) -> None:
    """End a search of the fault."""
    Search.objects.create(
        fault=fault,
        station=line.station,
        started_at=make.NOW,
        ended_at=make.NOW,
        outcome=outcome,
        final=final,
    )


def test_a_fault_that_was_searched_lies_where_its_search_left_it(line: Trunk) -> None:
    fault = line.lost(date(2022, 1, 1))
    first, second, _third = line.legs
    legs = {str(first.pk): 0.6, str(second.pk): 0.2}
    searched(line, fault, "given up", {"legs": legs, "outside": {"coil": 0.2}})
    assert [of(line, leg).spread for leg in line.legs] == pytest.approx([0.75, 0.25, 0])


def test_a_search_that_cleared_the_wire_leaves_no_fault_on_it(line: Trunk) -> None:
    fault = line.lost(date(2022, 1, 1))
    searched(line, fault, "not the wire", {})
    seen = line.seen()
    assert (seen.unlocated, seen.nowhere) == (0, 0)


@pytest.mark.parametrize("side", ["valve or water", "neither wire nor valve"])
def test_a_cause_outside_the_wire_lies_on_no_leg(line: Trunk, side: str) -> None:
    line.lost(date(2022, 1, 1), cause_side=side.replace("neither wire nor valve", "elsewhere"))
    assert line.seen().unlocated == 0


def test_a_controller_linked_again_was_no_wire(line: Trunk) -> None:
    fault = line.lost(date(2022, 1, 1), stage="returned")
    fault.stations.update(stage="returned", how_returned="controller linked again")
    assert line.seen().unlocated == 0


def test_a_cause_in_view_leaves_out_faults_of_which_nobody_knows_it(line: Trunk) -> None:
    line.lost(date(2022, 1, 1))
    assert line.seen(Scope(UNTIL, family=Family.GROUND)).unlocated == 0


def test_whole_properties_are_ranked_too(line: Trunk) -> None:
    other = trunk()
    for n in range(9):
        line.struck(line.legs[0], date(2021, 1, 1 + n))
    other.struck(other.legs[0], date(2021, 1, 1))
    view = look([line.place, other.place], ALL, by_properties=True)
    assert [(row.name, row.located) for row in view.rows] == [
        (line.place.code, 9),
        (other.place.code, 1),
    ]
    assert view.rows[0].is_flagged


def test_without_any_located_fault_there_is_no_ranking(line: Trunk) -> None:
    line.lost(date(2022, 1, 1))
    view = ranked_view(line.seen(), ALL)
    assert (view.ranked, list(view.rows)) == (None, [])
