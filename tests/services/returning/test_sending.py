"""The chosen set sent to the tray: a visit for each fault and place, none twice, taken back."""

from dataclasses import replace
from typing import Any

import pytest

from faults.models import JobKind, JobState
from faults.work.services.planning import withdraw_job
from reports.returning.services.choosing import RETURN_FIRST
from reports.returning.services.sending import send_to_tray, take_back
from sites.models import Property, Run, RunState, User
from tests import make, make_jobs, make_water
from tests.services.returning.asking import ASKED, AT, TODAY, asked

pytestmark = pytest.mark.django_db


def run_of(user: User, **changes: Any) -> Run:
    return Run.objects.create(
        service=RETURN_FIRST, title="Return first", asked_by=user, asked_at=AT,
        state=RunState.DONE, result=asked(user, **changes),
        arguments={"asked": replace(ASKED, **changes).as_arguments()},
    )  # fmt: skip


def refs(run: Run) -> list[str]:
    return [row["station"] for row in run.result["in"]]


def test_the_set_goes_to_the_tray_as_one_visit_for_each_fault(
    manager: User, place: Property
) -> None:
    first = make_water.lawn(place)
    second = make_water.lawn(place, controller=first.controller)
    fault = make.fault(first, second)
    alone = make_water.lawn(place, controller=first.controller)
    run = run_of(manager)
    sent = send_to_tray(run=run, chosen=refs(run), by=manager, at=AT)
    by_kind = {job.kind: job for job in sent.planned}
    assert set(by_kind) == {JobKind.LOCATE.value, JobKind.BRING_HOME.value}
    assert set(by_kind[JobKind.LOCATE.value].stations.all()) == {first, second}
    assert by_kind[JobKind.LOCATE.value].fault == fault
    assert list(by_kind[JobKind.BRING_HOME.value].stations.all()) == [alone]
    assert all(job.crew is None and job.day is None for job in sent.planned)
    # The same again plans nothing twice.
    again = send_to_tray(run=run, chosen=refs(run), by=manager, at=AT)
    assert (again.planned, set(again.there)) == ([], set(sent.planned))


def test_only_what_is_ticked_and_in_the_set_is_planned(manager: User, place: Property) -> None:
    first, second = make_water.lawn(place), make_water.lawn(place)
    run = run_of(manager)
    sent = send_to_tray(run=run, chosen=[first.ref, "elsewhere"], by=manager, at=AT)
    (job,) = sent.planned
    assert list(job.stations.all()) == [first]
    assert second not in job.stations.all()


def test_a_visit_that_goes_there_already_is_kept(manager: User, place: Property) -> None:
    fault = make.fault(make_water.lawn(place))
    there = make_jobs.job(property=place, fault=fault, kind=JobKind.LOCATE)
    run = run_of(manager)
    sent = send_to_tray(run=run, chosen=refs(run), by=manager, at=AT)
    assert (sent.planned, sent.there) == ([], [there])


def test_what_was_sent_is_taken_back_unless_it_was_touched(manager: User, place: Property) -> None:
    make.fault(make_water.lawn(place))
    make.fault(make_water.lawn(place))
    run = run_of(manager)
    sent = send_to_tray(run=run, chosen=refs(run), by=manager, at=AT)
    kept, other = sent.planned
    kept.notes = "bring the long ladder"
    kept.save()
    run.refresh_from_db()
    back = take_back(run=run, by=manager, at=AT)
    other.refresh_from_db()
    assert (back.withdrawn, back.left) == (1, [kept])
    assert other.state == JobState.WITHDRAWN
    run.refresh_from_db()
    assert run.result["sent"] == []


def test_one_that_was_withdrawn_meanwhile_stays_withdrawn(manager: User, place: Property) -> None:
    make.fault(make_water.lawn(place))
    run = run_of(manager)
    (job,) = send_to_tray(run=run, chosen=refs(run), by=manager, at=AT).planned
    withdraw_job(job=job, why="no", by=manager, at=AT, today=TODAY)
    run.refresh_from_db()
    assert take_back(run=run, by=manager, at=AT).left == [job]
