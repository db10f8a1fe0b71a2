"""A round on a phone: the walk with what is left, reasons for leaving one, faults out of it."""

from datetime import timedelta

import pytest

from faults.models import Fault, Job, JobKind, LeftOut, WalkNote
from faults.rounds.services.of_job import progress_of_job
from faults.sheet.forms.payload import sheet_payload
from sites.kernel.engines.roles import Role
from sites.models import Controller, Station, User
from tests import make, make_jobs, make_rounds
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


@pytest.fixture
def person() -> User:
    """Our technician."""
    return make.user(Role.TECHNICIAN)


@pytest.fixture
def clock() -> Controller:
    """Three valves along a line, numbered against the way that one walks."""
    place = make.place(latitude=40.0, longitude=-105.0)
    clock = make.controller(property=place, name="A")
    make.point(property=place, name="A", kind="controller", latitude=40.0, longitude=-105.0)
    for number, east in ((1, 0.003), (2, 0.001), (3, 0.002)):
        box = make.point(property=place, latitude=40.0, longitude=-105.0 + east)
        make.station(controller=clock, number=number, valve_point=box)
    return clock


def visit(clock: Controller, person: User, **given: object) -> Job:
    """A visit of a round that the technician's crew has begun."""
    (made,) = make_rounds.planned(make_rounds.round_over(clock.property, **given))
    job = made.job
    assert job is not None
    job.crew, job.day, job.state, job.started_at = (
        make_jobs.crew(person),
        TODAY,
        "started",
        make.NOW,
    )
    job.save()
    return job


def left_of(job: Job, person: User) -> dict[str, object]:
    """What the sheet says is left."""
    job = Job.objects.select_related("property", "crew").get(pk=job.pk)
    payload = sheet_payload(job=job, user=person, today=TODAY, at=make.NOW)
    steps = payload["steps"]
    assert isinstance(steps, list)
    (found,) = [step["left"] for step in steps if "left" in step]
    assert isinstance(found, dict)
    return found


def told(job: Job, person: User) -> list[tuple[str, bool, str]]:
    """The stations of the sheet: name, done, why left."""
    targets = left_of(job, person)["targets"]
    assert isinstance(targets, list)
    return [(each["name"], each["done"], each["why"]) for each in targets]


def one_of(clock: Controller, number: int) -> Station:
    """A station by its number."""
    return clock.stations.get(number=number)


def test_the_walk_goes_from_valve_to_valve_and_knows_what_is_done(
    clock: Controller, person: User
) -> None:
    job = visit(clock, person)
    assert [name for name, _done, _why in told(job, person)] == ["A:2", "A:3", "A:1"]
    rows = send(
        person,
        thing(job, "walk", station=one_of(clock, 2).pk, result="works"),
        thing(job, "left", station=one_of(clock, 3).pk, why="locked"),
    )
    assert answers(rows) == ["accepted"] * 2
    assert told(job, person) == [
        ("A:2", True, ""),
        ("A:3", False, "locked, no way in"),
        ("A:1", False, ""),
    ]
    # Recorded by another crew within the turn: nobody walks there again.
    WalkNote.objects.create(station=one_of(clock, 1), seen_on=TODAY, result="works")
    assert told(job, person)[2] == ("A:1", True, "")


def test_a_station_that_was_left_is_taken_back_or_done_later(
    clock: Controller, person: User
) -> None:
    job = visit(clock, person)
    left = thing(job, "left", station=one_of(clock, 1).pk, why="other", note="dog")
    other = thing(job, "left", station=one_of(clock, 2).pk, why="no time")
    rows = send(person, left, other, thing(job, "left back", minute=1, of=left["id"]))
    assert answers(rows) == ["accepted"] * 3
    assert [why for _name, _done, why in told(job, person)] == ["no time left", "", ""]
    send(person, thing(job, "walk", station=one_of(clock, 2).pk, result="works", minute=2))
    assert told(job, person)[0] == ("A:2", True, "")
    assert LeftOut.objects.count() == 2
    again = send(person, thing(job, "left back", minute=3, of=left["id"]))
    assert answers(again) == ["accepted"]


def test_what_cannot_be_left_is_refused_with_words(clock: Controller, person: User) -> None:
    job = visit(clock, person)
    for body, words in [
        ({"station": make.station().pk, "why": "locked"}, "not known here"),
        ({"device": 999, "why": "locked"}, "not known here"),
        ({"station": one_of(clock, 1).pk, "why": "bored"}, "Why is it left"),
        ({"station": one_of(clock, 1).pk, "why": "other"}, "in a few words"),
    ]:
        (row,) = send(person, thing(job, "left", **body))
        assert row.answer == "refused"
        assert words in row.why
    (row,) = send(person, thing(job, "left back", of=thing(job, "x")["id"]))
    assert "nothing to do" in row.why
    assert not LeftOut.objects.exists()


def test_what_was_seen_dead_becomes_one_fault_out_of_the_round(
    clock: Controller, person: User
) -> None:
    job = visit(clock, person)
    station = one_of(clock, 1)
    dead = thing(job, "walk", station=station.pk, result="does not")
    rows = send(person, dead, thing(job, "report", station=station.pk, minute=1))
    assert answers(rows) == ["accepted"] * 2
    fault = Fault.objects.get(stations__station=station)
    assert (fault.reported_on, fault.summary) == (TODAY, "seen not to work: station walk")
    assert list(progress_of_job(job)[0].faults) == [fault]
    targets = left_of(job, person)["targets"]
    assert isinstance(targets, list)
    assert [each["has_fault"] for each in targets] == [False, False, True]
    (again,) = send(person, thing(job, "report", station=station.pk, minute=2))
    assert (again.answer, Fault.objects.count()) == ("accepted", 1)


def test_batteries_and_readings_have_what_is_left_too(clock: Controller, person: User) -> None:
    timer = make.device(property=clock.property, name="T1")
    make.stopgap(station=one_of(clock, 2), device=timer, on=TODAY - timedelta(days=9))
    sets = visit(clock, person, purpose=JobKind.BATTERIES.value)
    assert told(sets, person) == [("T1", False, "")]
    assert left_of(sets, person)["done_by"] == {"kind": "battery"}
    (row,) = send(person, thing(sets, "left", device=timer.pk, why="not found"))
    assert row.answer == "accepted"
    assert told(sets, person) == [("T1", False, "valve or timer not found")]
    send(person, thing(sets, "battery", device=timer.pk, minute=1))
    assert told(sets, person) == [("T1", True, "")]


def test_a_walk_that_names_no_station_counts_all_of_its_property(
    clock: Controller, person: User
) -> None:
    job = make_jobs.started(property=clock.property, kind=JobKind.WALK, crew=make_jobs.crew(person))
    assert len(told(job, person)) == 3
    send(person, thing(job, "left", station=one_of(clock, 1).pk, why="unsafe"))
    assert told(job, person)[2] == ("A:1", False, "not safe to reach")


def test_a_walk_of_two_days_keeps_what_the_first_day_saw(clock: Controller, person: User) -> None:
    job = visit(clock, person)
    WalkNote.objects.create(station=one_of(clock, 2), seen_on=TODAY, result="works")
    at = make.NOW + timedelta(days=1)
    job = Job.objects.select_related("property", "crew").get(pk=job.pk)
    payload = sheet_payload(job=job, user=person, today=TODAY + timedelta(days=1), at=at)
    steps = payload["steps"]
    assert isinstance(steps, list)
    (walk,) = [step for step in steps if step["id"] == "walk"]
    assert [row["seen"] for row in walk["stations"]] == ["works", "", ""]


def test_how_the_old_set_was_comes_with_the_change_or_after_it(
    clock: Controller, person: User
) -> None:
    first, second = (make.device(property=clock.property, name=name) for name in ("T1", "T2"))
    for station, device in ((1, first), (2, second)):
        make.stopgap(station=one_of(clock, station), device=device, on=TODAY - timedelta(days=9))
    sets = visit(clock, person, purpose=JobKind.BATTERIES.value)
    rows = send(
        person,
        thing(sets, "battery", device=first.pk),
        thing(sets, "battery", device=first.pk, found="empty", minute=1),
        thing(sets, "battery", device=second.pk, found="charged", minute=2),
        thing(sets, "battery", device=second.pk, minute=3),
    )
    assert answers(rows) == ["accepted"] * 4
    for device, was in ((first, "empty"), (second, "charged")):
        device.refresh_from_db()
        assert (device.battery_changed_on, device.battery_found) == (TODAY, was)
    assert [each.is_done for each in progress_of_job(sets)[0].targets] == [True, True]
