"""Each station off central control has exactly one wait, always true, and every other has none."""

from datetime import date, timedelta
from typing import Any

import pytest
from django.core.management import call_command
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import given, settings
from hypothesis import strategies as st

from faults.cases.engines.stages import Stage
from faults.models import Asked, Fault, Job, JobState, Wait
from faults.waits.services.waits import KEPT, rebuild_all_waits, rebuild_waits
from sites.kernel.services.verbs import UnableToAct
from sites.models import SpellPart, Station
from sites.register.services.central import change_link
from sites.stopgaps.services.stopgaps import end_stopgaps, fit_stopgap
from tests import make
from tests.examples import examples
from tests.services.cases.scene import Scene, make_scene, move, reported
from tests.services.stopgaps.given import timer

pytestmark = pytest.mark.django_db

ON = date(2025, 5, 1)
TODAY = make.TODAY


def off(*stations: Station, on: date = ON, **given: Any) -> None:
    """Fit a battery timer on each, through the verb."""
    fit_stopgap(stations=list(stations), facts=timer(on, **given), today=TODAY)


def wait_of(station: Station) -> tuple[str, str]:
    """Return what the station waits on, and whose move it is."""
    return Wait.objects.values_list("waits_on", "mover").get(station=station)


def job(fault: Fault, **given: Any) -> Job:
    """Plan a visit to search, of two hours."""
    defaults = {"property": fault.property, "kind": "locate", "expected_minutes": 120}
    return Job.objects.create(**{**defaults, "fault": fault, **given})


def assert_waits_are_true() -> None:
    """Hold one wait per station off central, none for others, and all as from scratch."""
    off_now = set(SpellPart.objects.open().values_list("station", flat=True))
    kept = list(Wait.objects.order_by("station").values_list("station_id", *KEPT))
    assert {row[0] for row in kept} == off_now
    Wait.objects.all().delete()
    rebuild_all_waits()
    assert list(Wait.objects.order_by("station").values_list("station_id", *KEPT)) == kept


def test_a_station_that_goes_off_waits_on_somebody_to_report_it() -> None:
    scene = make_scene()
    off(scene.stations[0])
    assert wait_of(scene.stations[0]) == ("report", "ours")
    assert Wait.objects.count() == 1


def test_a_report_and_a_search_change_what_it_waits_on_at_once() -> None:
    scene = make_scene()
    off(*scene.stations)
    fault = reported(scene)
    assert wait_of(scene.stations[0]) == ("visit", "ours")
    move(scene, fault, Stage.FOUND)
    assert wait_of(scene.stations[1]) == ("ask", "ours")
    Asked.objects.create(fault=fault, asked_on=TODAY, asked_of="Ann", what="may we dig?")
    assert wait_of(scene.stations[1]) == ("answer", "client")


def test_the_last_step_takes_the_wait_away() -> None:
    scene = make_scene()
    off(*scene.stations)
    fault = reported(scene)
    for stage in (Stage.FOUND, Stage.AGREED, Stage.MENDED, Stage.PROVEN, Stage.RETURNED):
        move(scene, fault, stage)
    assert not Wait.objects.exists()


def test_a_job_for_one_station_leaves_the_others_waiting_for_a_visit() -> None:
    scene = make_scene()
    off(*scene.stations)
    one = job(reported(scene), day=date(2099, 1, 2))
    assert [wait_of(each)[0] for each in scene.stations] == ["visit day", "visit day"]
    one.stations.add(scene.stations[0])
    assert [wait_of(each)[0] for each in scene.stations] == ["visit day", "visit"]
    assert Wait.objects.get(station=scene.stations[0]).job == one


def test_a_job_held_for_access_is_the_clients_move() -> None:
    scene = make_scene()
    off(*scene.stations)
    job(reported(scene), held_for="access", held_since=TODAY)
    assert wait_of(scene.stations[0]) == ("access", "client")


def test_a_lost_link_waits_on_centrals_operator() -> None:
    scene = make_scene()
    change_link(controller=scene.stations[0].controller, state="link lost", on=ON, today=TODAY)
    assert {wait_of(each) for each in scene.stations} == {("link", "central")}


def test_the_clients_day_stands_beside_the_clients_choice() -> None:
    station = make.station()
    make.stopgap(station=station, reason="client's choice", agreed_until=date(2099, 9, 1))
    found = Wait.objects.get(station=station)
    assert (found.waits_on, found.until) == ("clients choice", date(2099, 9, 1))


def test_only_what_differs_is_written() -> None:
    scene = make_scene()
    off(*scene.stations)
    ids = [each.pk for each in scene.stations]
    assert rebuild_waits(ids) == 0
    Wait.objects.filter(station=ids[0]).update(mover="client")
    assert rebuild_waits(ids) == 1
    assert wait_of(scene.stations[0]) == ("report", "ours")


def test_a_refused_verb_leaves_the_waits_alone() -> None:
    scene = make_scene()
    off(*scene.stations)
    fault = reported(scene)
    with pytest.raises(UnableToAct):
        move(scene, fault, Stage.PROVEN)
    assert wait_of(scene.stations[0]) == ("visit", "ours")


def test_a_day_that_goes_by_is_found_by_the_command(capsys: pytest.CaptureFixture[str]) -> None:
    scene = make_scene()
    off(scene.stations[0])
    one = job(reported(scene, scene.stations[0]), day=date(2099, 1, 2))
    Job.objects.filter(pk=one.pk).update(day=TODAY)  # as if the day had come and gone
    assert wait_of(scene.stations[0])[0] == "visit day"
    call_command("rebuild", "waits")
    assert wait_of(scene.stations[0])[0] == "visit result"
    assert capsys.readouterr().out == "waits: 1 changed\n"


def crowd(count: int) -> list[int]:
    """Make this many stations off central control with all that a wait is made of."""
    stations = []
    for number in range(count):
        scene = make_scene()
        stations.append(scene.stations[0].pk)
        off(scene.stations[0])
        fault = reported(scene, scene.stations[0])
        job(fault).stations.add(scene.stations[0])
        move(scene, fault, Stage.FOUND)
        if number % 3:
            Asked.objects.create(fault=fault, asked_on=TODAY, asked_of="Ann", what="dig?")
        if number % 3 == 2:
            move(scene, fault, Stage.AGREED)
    return stations


def test_many_stations_cost_no_query_more_than_few() -> None:
    costs = []
    for ids in (crowd(3), crowd(12)):
        Wait.objects.all().delete()
        with CaptureQueriesContext(connection) as asked:
            assert rebuild_waits(ids) == len(ids)
        costs.append(len(asked))
    assert costs[0] == costs[1]
    # Among them one for the newest bring-home tests, one to touch the kept counts.
    assert costs[0] <= 18


STEP = st.tuples(
    st.sampled_from(
        ["fit", "end", "link", "report", "move", "plan", "hold", "day", "done", "ask", "answer"]
    ),
    st.integers(0, 1),
    st.sampled_from(Stage),
    st.integers(0, 30),
)


def _act(scene: Scene, step: tuple[str, int, Stage, int]) -> None:
    name, which, stage, n = step
    station = Station.objects.get(pk=scene.stations[which].pk)
    fault = Fault.objects.order_by("-pk").first()
    one = Job.objects.order_by("-pk").first()
    asked = Asked.objects.filter(answer="").first()
    day = ON + timedelta(days=n)
    if name == "fit":
        off(station, on=day, reason="client's choice" if n % 3 == 0 else "wire")
    elif name == "end":
        end_stopgaps(stopgaps=list(station.stopgaps.open()), on=day, why="x", today=TODAY)
    elif name == "link":
        state = "link lost" if n % 2 else "linked"
        change_link(controller=station.controller, state=state, on=day, today=TODAY)
    elif name == "report":
        reported(scene, *scene.stations[which:], on=day)
    elif fault and name == "move":
        move(scene, fault, stage, why="as it came")
    elif fault and name == "plan":
        kind = ["locate", "dig and mend", "return to central"][n % 3]
        new = job(fault, kind=kind)
        if n % 2:
            new.stations.set([station])
    elif one and name == "hold":
        one.held_for, one.held_since = "weather", day
        one.save()
    elif one and name == "day":
        one.day = date(2099, 1, 1) if n % 2 else day
        one.save()
    elif one and name == "done":
        one.state, one.ended_at = JobState.DONE, make.NOW
        one.save()
    elif fault and name == "ask" and not fault.asked.filter(answer="").exists():
        Asked.objects.create(fault=fault, asked_on=day, asked_of="Ann", what="may we dig?")
    elif asked and name == "answer":
        asked.answer, asked.answered_on = "no" if n % 2 else "yes", TODAY
        asked.save()


@settings(max_examples=examples(40))
@given(st.lists(STEP, min_size=5, max_size=16))
def test_whatever_people_do_the_waits_are_as_from_scratch(steps: list[Any]) -> None:
    with transaction.atomic():
        scene = make_scene()
        off(scene.stations[0])
        for step in steps:
            try:
                with transaction.atomic():
                    _act(scene, step)
            except UnableToAct:
                continue
        assert_waits_are_true()
        transaction.set_rollback(True)


def test_a_correction_of_a_stopgap_is_a_correction_of_its_wait() -> None:
    station = make.station()
    stopgap = make.stopgap(station=station)
    assert wait_of(station) == ("report", "ours")
    stopgap.reason = "client's choice"
    stopgap.save()
    assert wait_of(station) == ("clients choice", "client")
