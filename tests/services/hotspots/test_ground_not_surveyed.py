"""Runs that a list of lengths implies are no ground without faults: they stand outside."""

from datetime import date

import pytest

from reports.hotspots.services.pictures import covers_of, shares_of
from reports.hotspots.services.ranking import look, ranked_view
from reports.hotspots.services.scope import Family, Scope
from tests import make
from tests.services.hotspots.trunk import ALL, UNTIL, Trunk, trunk

pytestmark = pytest.mark.django_db


@pytest.fixture
def line() -> Trunk:
    """Three surveyed legs, the first struck twice."""
    made = trunk()
    for day in (date(2021, 1, 1), date(2022, 1, 1)):
        made.struck(made.legs[0], day)
    return made


@pytest.fixture
def flat() -> Trunk:
    """A property of which only run lengths are known: its legs are implied."""
    made = trunk((900.0, 800.0))
    for leg in made.legs:
        leg.is_surveyed, leg.cover = False, ""
        leg.save()
    return made


def test_its_feet_change_no_rate_multiple_or_flag(line: Trunk, flat: Trunk) -> None:
    flat.struck(flat.legs[0], date(2021, 5, 1))
    flat.lost(date(2021, 6, 1))
    alone, both = look([line.place], ALL), look([line.place, flat.place], ALL)
    assert len(both.rows) == len(alone.rows) == 3
    assert both.ground_years == pytest.approx(alone.ground_years)
    for ours, theirs in zip(both.rows, alone.rows, strict=True):
        for name in ("located", "spread", "expected", "rate", "ratio", "p", "q", "is_flagged"):
            assert getattr(ours, name) == getattr(theirs, name), name
    assert [each.word for each in covers_of(both)] == ["turf"]


def test_its_faults_stand_outside_and_are_counted(line: Trunk, flat: Trunk) -> None:
    flat.struck(flat.legs[0], date(2021, 5, 1), cause="root")
    flat.struck(None, date(2021, 6, 1), cause="splice")
    flat.struck(None, date(2021, 7, 1), cause="splice").fault.stations.update(stage="mended")
    flat.lost(date(2021, 8, 1))
    flat.lost(date(2021, 9, 1), stage="reported")
    seen = look([line.place, flat.place], ALL).collected
    assert (seen.outside, seen.unlocated, seen.off_leg, seen.nowhere) == (4, 0, 0, 0)
    assert (seen.located, seen.still_sought) == (2, 1)


def test_causes_found_on_it_stay_in_the_shares(line: Trunk, flat: Trunk) -> None:
    flat.struck(flat.legs[0], date(2021, 5, 1), cause="root")
    for n in range(3):
        flat.struck(None, date(2021, 6, 1 + n), cause="splice")
    view = look([line.place, flat.place], ALL)
    assert [(each.cause, each.count) for each in shares_of(view)] == [
        ("splice", 3),
        ("rodent", 2),
        ("root", 1),
    ]
    only = look([line.place, flat.place], Scope(UNTIL, family=Family.WIRE))
    assert [event.cause for event in only.found] == ["splice"] * 3
    assert only.collected.outside == 3


def test_found_on_no_leg_of_surveyed_ground_is_found(line: Trunk) -> None:
    line.struck(None, date(2022, 3, 1), cause="root")
    line.lost(date(2022, 4, 1))
    view = look([line.place], ALL)
    seen = view.collected
    assert (seen.off_leg, seen.unlocated, seen.outside) == (1, 1, 0)
    assert sum(one.spread for one in view.stretches) == pytest.approx(2)
    assert [event.cause for event in view.found] == ["rodent", "rodent", "root"]


def test_found_before_records_were_kept_does_not_count(line: Trunk) -> None:
    since = line.place.records_since
    assert since is not None
    line.struck(None, since, cause="root")
    line.struck(None, date(since.year - 1, 12, 31), cause="root")
    view = look([line.place], ALL)
    assert [event.cause for event in view.found].count("root") == 1
    assert view.collected.before == 1


def test_the_valve_is_no_wire_though_it_was_found(line: Trunk) -> None:
    line.struck(None, date(2022, 3, 1), cause="valve or water")
    view = look([line.place], ALL)
    assert (view.collected.off_leg, len(view.found)) == (0, 2)


def test_a_run_partly_surveyed_keeps_only_its_surveyed_share(line: Trunk) -> None:
    line.legs[2].is_surveyed = False  # 300 of 600 ft
    line.legs[2].save()
    for event in list(line.seen().stretches[line.legs[0].pk].events):
        assert event.cause == "rodent"
    line.lost(date(2022, 4, 1))
    seen = line.seen()
    assert (seen.outside, seen.unlocated) == (0, 1)
    # 100 ft that broke twice, 200 ft and 300 ft that nobody saw: 3 + 2 + 3 parts.
    assert sum(one.spread for one in seen.stretches.values()) == pytest.approx(5 / 8)


def test_a_measured_length_brings_the_ground_in(line: Trunk, flat: Trunk) -> None:
    flat.struck(flat.legs[0], date(2021, 5, 1))
    for leg in flat.legs:
        leg.is_surveyed = True
        leg.save()
    seen = look([line.place, flat.place], ALL).collected
    assert (seen.outside, seen.located) == (0, 3)


def test_with_nothing_but_such_ground_there_is_no_ranking(flat: Trunk) -> None:
    flat.struck(flat.legs[0], date(2021, 5, 1))
    view = ranked_view(flat.seen(), ALL)
    assert (view.ranked, view.collected.outside, len(view.found)) == (None, 1, 1)


def test_a_fault_without_wire_still_lies_nowhere(line: Trunk) -> None:
    other = make.station(controller=line.station.controller)
    fault = make.fault(other, reported_on=date(2022, 1, 1), stage="returned")
    make.break_found(fault=fault, leg=None, cause="root", found_on=date(2022, 1, 2))
    seen = line.seen()
    assert (seen.off_leg, seen.nowhere, seen.outside) == (1, 1, 0)
