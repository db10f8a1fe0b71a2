"""A bring-home round on a phone: what it is given, what it sends, and what follows."""

from datetime import timedelta

import pytest

from faults.cases.engines.stages import Stage
from faults.models import FaultStation, Job, JobKind, Reading, SheetAnswer
from faults.readings.engines.bring_home import Verdict
from faults.readings.services.bring_home import homes_of
from faults.sheet.forms.homes import home_step
from sites.kernel.engines.roles import Role
from sites.models import Controller, Station, User
from tests import make, make_jobs
from tests.services.sheet.sending import answers, send, thing

pytestmark = pytest.mark.django_db

TODAY = make.TODAY


@pytest.fixture
def person() -> User:
    """Our technician."""
    return make.user(Role.TECHNICIAN)


@pytest.fixture
def clock() -> Controller:
    """A clock with three stations on timers, and one that central runs."""
    place = make.place(latitude=40.0, longitude=-105.0)
    clock = make.controller(property=place)
    for number in (1, 2, 3):
        made = make.station(controller=clock, number=number, run_length_ft=600.0, wire_size="14")
        made.valve_point = make.point(property=place, name=f"V{number}")
        made.save()
        make.stopgap(station=made, on=TODAY - timedelta(days=9), reason="valve or solenoid")
    make.station(controller=clock, number=4)
    return clock


def round_of(clock: Controller, person: User, **given: object) -> Job:
    """A round of the technician's crew."""
    crew = given.pop("crew", None) or make_jobs.crew(person)
    known = {"property": clock.property, "kind": JobKind.BRING_HOME, "crew": crew}
    return make_jobs.started(**known, **given)


def one_of(clock: Controller, number: int) -> Station:
    """A station by its number."""
    return clock.stations.get(number=number)


def loop(job: Job, station: Station, value: float = 3.0, **more: object) -> dict[str, object]:
    """A bring-home test as the phone sends it."""
    body = {"kind": "loop", "station": station.pk, "value": value, "is_open_apart": True, **more}
    return thing(job, "reading", **body)


def test_the_round_holds_what_stands_on_a_stopgap(clock: Controller, person: User) -> None:
    job = round_of(clock, person)
    rows = home_step(job, TODAY)["homes"]
    assert [row["name"] for row in rows] == [f"{clock.name}:{n}" for n in (1, 2, 3)]
    assert [row["box"] for row in rows] == ["V1", "V2", "V3"]
    named = round_of(clock, person, crew=job.crew, stations=[one_of(clock, 2)])
    assert [row["name"] for row in home_step(named, TODAY)["homes"]] == [f"{clock.name}:2"]


def test_the_bands_say_what_the_office_says(clock: Controller, person: User) -> None:
    job = round_of(clock, person)
    station = one_of(clock, 1)
    bands = home_step(job, TODAY)["homes"][0]["bands"]
    for ohms in (0.4, 1.5, 2.4, 3.0, 3.9, 9.0, 20.0):
        for name, apart in (("open", True), ("closed", False), ("", None)):
            said = next(band for band in bands[name] if band[0] is None or ohms <= band[0])
            row = make.reading(station=station, kind="loop", value=ohms, is_open_apart=apart)
            assert homes_of([station], today=TODAY)[0].verdict == Verdict(said[1])
            row.delete()


def test_without_a_run_the_phone_has_no_bands(clock: Controller, person: User) -> None:
    Station.objects.filter(controller=clock).update(run_length_ft=None)
    row = home_step(round_of(clock, person), TODAY)["homes"][0]
    assert (row["bands"], row["expected"]) == (None, "run not known")


def test_a_test_from_the_phone_is_kept_whole(clock: Controller, person: User) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    sent = loop(job, station, 43.0, across_ohms=40.0, is_open_apart=False, temperature=60)
    assert answers(send(person, sent, sent)) == [SheetAnswer.ACCEPTED] * 2
    row = Reading.objects.get(station=station)
    assert (row.kind, row.value, row.across_ohms, row.is_open_apart) == ("loop", 43.0, 40.0, False)
    assert row.temperature_f == pytest.approx(60.0)
    again = home_step(job, TODAY)["homes"][0]
    assert again["is_read"]
    assert "across a coil of 40" in again["said"]


def test_what_was_seen_apart_is_yes_no_or_nothing(clock: Controller, person: User) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    wrong = loop(job, station, is_open_apart="yes")
    assert answers(send(person, wrong)) == [SheetAnswer.REFUSED]
    assert answers(send(person, loop(job, station, is_open_apart=None))) == [SheetAnswer.ACCEPTED]
    assert Reading.objects.get(station=station).is_open_apart is None


def test_a_sound_wire_goes_on_to_the_proof_by_the_same_crew(
    clock: Controller, person: User
) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    rows = send(person, loop(job, station), thing(job, "home", minute=1, station=station.pk))
    assert answers(rows) == [SheetAnswer.ACCEPTED] * 2
    row = FaultStation.objects.get(station=station)
    assert row.stage == Stage.MENDED
    back = Job.objects.get(kind=JobKind.RETURN)
    assert (back.fault, back.crew, back.day) == (row.fault, job.crew, TODAY)
    assert list(back.stations.all()) == [station]


@pytest.mark.parametrize("ohms", [0.5, 30.0, 9_999_999.0])
def test_no_other_wire_is_led_home(clock: Controller, person: User, ohms: float) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    rows = send(person, loop(job, station, ohms), thing(job, "home", minute=1, station=station.pk))
    assert answers(rows) == [SheetAnswer.ACCEPTED, SheetAnswer.REFUSED]
    assert "Read it again" in rows[1].why
    assert not Job.objects.filter(kind=JobKind.RETURN).exists()


def test_a_tapped_mistake_is_taken_back(clock: Controller, person: User) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    first = loop(job, station)
    void = thing(job, "void", minute=1, of=first["id"])
    assert answers(send(person, first, void)) == [SheetAnswer.ACCEPTED] * 2
    assert homes_of([station], today=TODAY)[0].verdict is None


def test_a_crew_that_may_not_go_leaves_the_return_to_the_dispatcher(
    clock: Controller, person: User
) -> None:
    job, station = round_of(clock, person), one_of(clock, 1)
    assert job.crew is not None
    job.crew.retired_on = TODAY
    job.crew.save()
    send(person, loop(job, station), thing(job, "home", minute=1, station=station.pk))
    assert Job.objects.get(kind=JobKind.RETURN).crew is None
