"""A master valve or pump that is dead explains that no station behind it runs."""

from datetime import timedelta

import pytest

from faults.locating.engines.belief import Outside
from faults.models import WalkNote
from sites.models import Station, StationKind
from tests import make, make_searches
from tests.make_searches import Way
from tests.services.locating.test_hears import beside, outside, state

pytestmark = pytest.mark.django_db


def behind_a_master(way: Way, *others: Station) -> Station:
    """Make our station and others depend on a master valve."""
    master = make.station(controller=way.station.controller, kind=StationKind.MASTER_VALVE)
    for station in (way.station, *others):
        station.depends_on = master
        station.save()
    return master


def test_with_all_others_dead_their_master_valve_is_suspected_where_they_have_one() -> None:
    way = make_searches.way(200, 300)
    others = [beside(way, "does not", is_apart=True) for _ in range(3)]
    assert outside(way, Outside.MASTER) == 0
    behind_a_master(way, *others)
    # As likely as the common by what they do: by hand 1 to 3 before, and so after.
    ratio = outside(way, Outside.MASTER) / outside(way, Outside.COMMON_TERMINAL)
    assert ratio == pytest.approx(1 / 3)
    others[0].depends_on = None
    others[0].save()
    assert outside(way, Outside.MASTER) / outside(way, Outside.COMMON_TERMINAL) < ratio / 10


@pytest.mark.parametrize(("result", "least", "most"), [("does not", 0.9, 1), ("works", 0, 0.02)])
def test_what_was_seen_of_the_master_valve_explains_that_none_runs(
    result: str, least: float, most: float
) -> None:
    way = make_searches.way(200, 300)
    master = behind_a_master(way, *(beside(way, "does not", is_apart=True) for _ in range(3)))
    before = way.fault.reported_on - timedelta(days=1)
    WalkNote.objects.create(station=master, seen_on=before, result=result)
    assert not any("master" in each.words for each in state(way).known)
    WalkNote.objects.create(station=master, seen_on=way.fault.reported_on, result=result)
    assert least <= outside(way, Outside.MASTER) <= most
    (known,) = state(way).known
    assert known.said["is_right"] is (result == "works")
    # It is before our station, not beside it: it counts once.
    assert state(way).ground.others.dead == 3
