"""What earlier visits used is no longer covered: the gate, the list and the fault's page agree."""

from datetime import timedelta
from decimal import Decimal

import pytest

from faults.models import Authority, Fault, Job
from faults.work.services import UnableToWork
from faults.work.services.gates import refuse_without_consent
from faults.work.services.readiness import readiness_of
from faults.work.services.ready_facts import facts_of
from tests import make, make_jobs
from tests.cast import Cast, Corner
from tests.make import NOW, TODAY
from tests.web.casework.test_moves import move_url
from tests.web.fault_scene import fault_page
from tests.web.pages import send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def _visit(fault: Fault, minutes: int, **given: object) -> Job:
    told = {"state": "done", "actual_minutes": minutes, "started_at": NOW - timedelta(days=2)}
    return make_jobs.job(fault=fault, **{**told, **given})


def _dig(fault: Fault, minutes: int = 60, **given: object) -> Job:
    told = {"kind": "dig and mend", "day": TODAY, "planned_depth_in": 18}
    return make_jobs.job(fault=fault, expected_minutes=minutes, **{**told, **given})


def _allow(fault: Fault, hours: int) -> None:
    make.authority(
        property=fault.property, up_to_hours=Decimal(hours), from_on=TODAY - timedelta(days=9)
    )


def _yes(fault: Fault, hours: int, days_ago: int = 1) -> None:
    day = TODAY - timedelta(days=days_ago)
    Authority.objects.create(fault=fault, given_by="Pip", given_on=day, up_to_hours=Decimal(hours))


def _consent(job: Job) -> tuple[str, str]:
    """What the list says of the consent; the gate has to say the same of a dig."""
    job = Job.objects.get(pk=job.pk)
    lines = readiness_of([job], today=TODAY)[job.pk].lines
    line = next(each for each in lines if each.subject.name == "CONSENT")
    if job.digs():
        try:
            refuse_without_consent(job, NOW)
        except UnableToWork as no:
            assert line.state.value == "not ready"
            return line.state.value, str(no)
        assert line.state.value == "ready"
    return line.state.value, line.words


@pytest.mark.parametrize(
    ("minutes", "state"), [(59, "ready"), (60, "ready"), (61, "not ready"), (180, "not ready")]
)
def test_a_standing_limit_covers_what_earlier_visits_left(
    ours: Corner, minutes: int, state: str
) -> None:
    _allow(ours.fault, 2)
    _visit(ours.fault, minutes)
    said, words = _consent(_dig(ours.fault))
    assert said == state
    if state == "not ready":
        assert "Earlier visits used" in words


def test_a_second_visit_and_a_second_person_count(cast: Cast, ours: Corner) -> None:
    _allow(ours.fault, 2)
    _visit(ours.fault, 30)
    dig = _dig(ours.fault)
    assert _consent(dig)[0] == "ready"
    second = _visit(ours.fault, 31)
    assert _consent(dig)[0] == "not ready"
    second.delete()
    assert _consent(dig)[0] == "ready"
    dig.crew = make_jobs.crew(cast.technician, cast.owner)
    dig.save()
    assert _consent(dig)[0] == "not ready"


def test_a_visit_under_way_counts_with_what_it_is_expected_to_take(ours: Corner) -> None:
    _allow(ours.fault, 2)
    running = _visit(
        ours.fault, 0, state="started", actual_minutes=None, expected_minutes=61, started_at=NOW
    )
    dig = _dig(ours.fault)
    assert _consent(dig)[0] == "not ready"
    Job.objects.filter(pk=running.pk).update(expected_minutes=60)
    assert _consent(dig)[0] == "ready"


def test_a_dig_under_way_is_not_counted_twice(ours: Corner) -> None:
    _allow(ours.fault, 1)
    assert _consent(_dig(ours.fault, state="started", started_at=NOW))[0] == "ready"


@pytest.mark.parametrize(("minutes", "state"), [(119, "ready"), (120, "not ready")])
def test_a_yes_that_is_used_up_lets_no_dig_go_until_a_second_one(
    ours: Corner, minutes: int, state: str
) -> None:
    ours.fault.stations.update(stage="agreed")
    _yes(ours.fault, 2, days_ago=3)
    _visit(ours.fault, minutes)
    dig = _dig(ours.fault)
    assert _consent(dig)[0] == state
    if state == "not ready":
        assert "2 of 2 man-hours are used" in _consent(dig)[1]
        _yes(ours.fault, 5, days_ago=1)
        assert _consent(dig)[0] == "ready"


def test_a_search_whose_hours_are_used_up_says_so(ours: Corner) -> None:
    _allow(ours.fault, 2)
    search = make_jobs.job(fault=ours.fault, day=TODAY)
    _visit(ours.fault, 119)
    assert _consent(search)[0] == "not needed"
    _visit(ours.fault, 1)
    state, words = _consent(search)
    assert (state, "2 of 2 man-hours are used" in words) == ("not ready", True)


def test_the_office_states_what_is_left_of_a_standing_limit(cast: Cast, ours: Corner) -> None:
    _allow(ours.fault, 3)
    ours.fault.stations.update(stage="found")
    _visit(ours.fault, 60)
    row = ours.fault.stations.get()
    told = {"stations": [str(row.pk)], "on": TODAY.isoformat(), "is_standing": "on"}
    page = send(cast.dispatcher, move_url(ours.fault, "agreed"), hours="2.01", **told)
    assert (page.status, "used 1 man-hours" in page.errors[0]) == (422, True)
    send(cast.dispatcher, move_url(ours.fault, "agreed"), hours="2", **told)
    assert ours.fault.stations.get().stage == "agreed"


def test_each_of_two_jobs_is_judged_by_its_own_propertys_authority() -> None:
    faults = [make.fault(make.station()) for _number in range(2)]
    jobs = [_dig(fault) for fault in faults]
    _allow(faults[0], 1)
    _allow(faults[1], 2)
    _visit(faults[0], 1)
    _visit(faults[1], 60)
    facts = facts_of(jobs)
    assert [facts.is_covered(job, TODAY) for job in jobs] == [False, True]
    Job.objects.filter(fault=faults[0], state="done").delete()
    _visit(faults[1], 1)
    facts = facts_of(jobs)
    assert [facts.is_covered(job, TODAY) for job in jobs] == [True, False]


def test_visits_of_no_fault_are_spent_on_none(cast: Cast, ours: Corner) -> None:
    _allow(ours.fault, 2)
    crew = make_jobs.crew(cast.technician)
    told = {"property": ours.property, "crew": crew, "day": TODAY}
    rounds = [
        make_jobs.started(kind="battery round", expected_minutes=300, **told)
        for _number in range(2)
    ]
    facts = facts_of([*rounds, _dig(ours.fault)])
    assert [facts.spent_before(job) for job in rounds] == [0, 0]
    assert _consent(_dig(ours.fault))[0] == "ready"


def test_the_faults_page_shows_the_running_sum(cast: Cast, ours: Corner) -> None:
    assert "man-hours" not in fault_page(cast.technician, ours.fault).words
    _visit(ours.fault, 390)
    words = fault_page(cast.technician, ours.fault).words
    assert "6.5 man-hours used. Nobody set a limit in hours." in words
    _allow(ours.fault, 8)
    words = fault_page(cast.technician, ours.fault).words
    assert "6.5 of 8 man-hours used." in words
    assert "leaves nothing" not in words
    _visit(ours.fault, 90)
    words = fault_page(cast.technician, ours.fault).words
    assert "8 of 8 man-hours used. The limit leaves nothing" in words
    assert "man-hours" not in fault_page(cast.client_user, ours.fault).words
