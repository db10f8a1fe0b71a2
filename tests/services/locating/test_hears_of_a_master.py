"""A master valve or pump that is dead explains that no station behind it runs."""

from datetime import timedelta
from typing import Any

import pytest

from faults.locating.engines.belief import Outside
from faults.locating.forms.searches import SaidForm
from faults.locating.services.neighbours import Master
from faults.models import KindOfTest, WalkNote
from faults.sheet.forms.search_step import search_step
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


def asked(way: Way) -> dict[str, list[str]]:
    """Return what phone and page ask about: the parts of both lists, by list."""
    (search,) = search_step(way.fault, list(way.fault.stations.all()), make.TODAY, at=make.NOW)[
        "searches"
    ]
    phone = {
        name: [said["check"] for _label, said in action["results"] if "check" in said]
        for name, action in search["actions"].items()
        if name != "read ohms"
    }
    for kind in (KindOfTest.CHECK, KindOfTest.MENDED):
        form = SaidForm(kind=kind, ground=state(way).ground, units="us", station=way.station)
        parts: Any = form.fields["check"]
        phone[kind.value] = [word for word, _label in parts.choices]
    return {**phone, "words": [search["actions"]["check controller"]["words"]]}


def test_only_a_station_that_may_have_a_master_valve_is_asked_about_it() -> None:
    way = make_searches.way(200, 300)
    alone = asked(way)
    assert not any("master" in parts for parts in alone.values())
    assert "master" not in alone["words"][0]
    assert "volts at the terminal" in alone["words"][0]
    behind_a_master(way)
    own = asked(way)
    assert all("master" in own[name] for name in own if name != "words")
    assert own["words"][0].endswith("and the master valve or pump")


def test_where_nobody_said_whether_it_depends_on_the_master_valve_the_words_say_so() -> None:
    way = make_searches.way(200, 300)
    neighbours = [beside(way, "does not", is_apart=True) for _ in range(2)]
    behind_a_master(way, *neighbours)
    way.station.depends_on = None
    way.station.save()
    unsure = asked(way)
    assert all("master" in unsure[name] for name in unsure if name != "words")
    assert "if this station depends on it" in unsure["words"][0]
    # Possible, but nobody knows that its neighbours share it: they do not accuse it.
    assert 0 < outside(way, Outside.MASTER) < 0.02
    assert outside(way, Outside.COMMON_TERMINAL) > 0.5
    # A pump start serves as a master does; a master itself depends on none.
    Station.objects.filter(kind=StationKind.MASTER_VALVE).update(kind=StationKind.PUMP_START)
    assert state(way).ground.others.master is Master.NOT_KNOWN
    way.station.kind = StationKind.MASTER_VALVE
    way.station.save()
    assert state(way).ground.others.master is Master.NONE
    assert outside(way, Outside.MASTER) == 0
