"""Scheduling a visit sends the job that is planned; it makes a second one only where none waits."""

from typing import Any

import pytest

from faults.models import Break, Crew, Fault, Job
from sites.kernel.engines.roles import Role
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.services.sheet.sending import send as send_from_phone
from tests.services.sheet.sending import thing
from tests.web.casework.test_moves import move_url
from tests.web.fault_scene import TODAY
from tests.web.pages import Sheet, open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def crew() -> Crew:
    return make_jobs.crew(make.user(Role.TECHNICIAN))


@pytest.fixture
def fault(ours: Corner) -> Fault:
    """Three stations of ours, reported."""
    return make.fault(*(make.station(controller=ours.controller) for _number in range(3)), key="T")


def _schedule(cast: Cast, fault: Fault, crew: Crew, *numbers: int, **given: Any) -> Sheet:
    rows = list(fault.stations.order_by("pk"))
    chosen = [str(rows[number].pk) for number in numbers or range(len(rows))]
    told = {"on": TODAY, "day": TODAY, "crew": crew.ref, **given}
    return send(cast.dispatcher, move_url(fault, "scheduled"), stations=chosen, **told)


def _stages(fault: Fault) -> list[str]:
    return list(fault.stations.order_by("pk").values_list("stage", flat=True))


def _stations(fault: Fault) -> list[Any]:
    return [row.station for row in fault.stations.order_by("pk")]


def test_the_planned_job_goes(cast: Cast, fault: Fault, crew: Crew) -> None:
    planned = make_jobs.job(fault=fault, expected_minutes=95, notes="gate by the shed")
    page = open_page(cast.dispatcher, move_url(fault, "scheduled"))
    assert "planned already, for 95 minutes, is sent" in page.words
    _schedule(cast, fault, crew)
    (job,) = fault.jobs.all()
    assert (job.pk, job.crew, str(job.day)) == (planned.pk, crew, TODAY)
    assert (job.expected_minutes, job.notes) == (95, "gate by the shed")
    assert _stages(fault) == ["scheduled"] * 3


def test_without_a_planned_job_one_is_made(cast: Cast, fault: Fault, crew: Crew) -> None:
    page = open_page(cast.dispatcher, move_url(fault, "scheduled"))
    assert "planned already" not in page.words
    _schedule(cast, fault, crew)
    assert fault.jobs.get().crew == crew


@pytest.mark.parametrize(
    "given",
    [
        {"kind": "dig and mend"},
        {"state": "withdrawn", "why_withdrawn": "twice"},
        {"crew": True, "day": make.TODAY},
    ],
)
def test_a_job_of_another_kind_or_with_a_crew_is_left_alone(
    cast: Cast, fault: Fault, crew: Crew, given: dict[str, Any]
) -> None:
    other = make_jobs.job(
        fault=fault, **given | ({"crew": make_jobs.crew()} if "crew" in given else {})
    )
    _schedule(cast, fault, crew)
    made = fault.jobs.exclude(pk=other.pk).get()
    assert made.crew == crew
    other.refresh_from_db()
    assert other.crew != crew


def test_a_job_of_another_fault_is_left_alone(cast: Cast, fault: Fault, crew: Crew) -> None:
    other = make_jobs.job(fault=make.fault(property=fault.property, key="U"))
    _schedule(cast, fault, crew)
    other.refresh_from_db()
    assert (other.crew, Job.objects.count()) == (None, 2)


def test_a_job_of_fewer_stations_takes_the_others_along(
    cast: Cast, fault: Fault, crew: Crew
) -> None:
    stations = _stations(fault)
    make_jobs.job(fault=fault, stations=stations[:1])
    _schedule(cast, fault, crew, 0, 1)
    job = fault.jobs.get()
    assert set(job.stations.all()) == set(stations[:2])
    assert _stages(fault) == ["scheduled", "scheduled", "reported"]


@pytest.mark.parametrize("names_them", [True, False])
def test_a_job_of_more_stations_keeps_the_rest(
    cast: Cast, fault: Fault, crew: Crew, names_them: bool
) -> None:
    stations = _stations(fault)
    planned = make_jobs.job(fault=fault, stations=stations if names_them else ())
    _schedule(cast, fault, crew, 0)
    made = fault.jobs.exclude(pk=planned.pk).get()
    assert list(made.stations.all()) == stations[:1]
    planned.refresh_from_db()
    assert (planned.crew, set(planned.stations.all())) == (None, set(stations[1:]))
    assert _stages(fault) == ["scheduled", "reported", "reported"]


def test_two_planned_jobs_are_asked_about(cast: Cast, fault: Fault, crew: Crew) -> None:
    stations = _stations(fault)
    for each in stations[:2]:
        make_jobs.job(fault=fault, stations=[each])
    page = _schedule(cast, fault, crew)
    assert "2 jobs are planned for these stations" in page.errors[0]
    assert (page.status, _stages(fault)) == (422, ["reported"] * 3)
    _schedule(cast, fault, crew, 1)
    assert fault.jobs.filter(crew=crew).get().stations.get() == stations[1]
    assert fault.jobs.count() == 2


def test_who_was_on_site_is_the_clients_person_and_never_ours(cast: Cast, ours: Corner) -> None:
    crew = make_jobs.crew(cast.technician)
    job = make_jobs.job(fault=ours.fault, crew=crew, day=make.TODAY)
    send_from_phone(
        cast.technician,
        thing(job, "found", cause="rodent"),
        thing(job, "found", cause="shovel", who_was_on_site="Pip, the gardener"),
    )
    kept = Break.objects.filter(fault=ours.fault).order_by("pk")
    assert list(kept.values_list("who_was_on_site", flat=True)) == ["", "Pip, the gardener"]
