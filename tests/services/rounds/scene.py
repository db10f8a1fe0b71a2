"""What the tests of rounds share: walked stations, visits that are made, how far they are."""

from datetime import datetime, timedelta
from typing import Any

from faults.models import (
    Job,
    Round,
    WalkNote,
)
from faults.rounds.services.of_job import progress_of_job
from faults.rounds.services.progress import Progress
from faults.work.services import finish_job, start_job
from sites.models import Controller, Station, User
from tests import make, make_jobs, make_rounds

TODAY = make.TODAY


def stations(clock: Controller) -> list[Station]:
    """Its stations by number."""
    return list(clock.stations.order_by("number"))


def at(days: int) -> datetime:
    """Noon so many days from today."""
    return make.NOW + timedelta(days=days)


def run(job: Job, user: User, *, days: int = 0, minutes: int = 30) -> None:
    """Start and finish a visit on a day."""
    job.refresh_from_db()
    job.crew, job.day = job.crew or make_jobs.crew(), TODAY + timedelta(days=days)
    job.save()
    start_job(job=job, at=at(days), today=job.day, by=user)
    finish_job(job=job, actual_minutes=minutes, at=at(days), by=user)


def seen(station: Station, *, days: int = 0, result: str = "works") -> WalkNote:
    """A station was seen on a walk."""
    day = TODAY + timedelta(days=days)
    return WalkNote.objects.create(station=station, seen_on=day, result=result)


def come(job: Job) -> Progress:
    """How far a visit is."""
    return progress_of_job(Job.objects.select_related("property").get(pk=job.pk))[0]


def visit(the_round: Round, **given: Any) -> Job:
    """Plan the round and return the job of its one visit."""
    (made,) = make_rounds.planned(the_round, **given)
    assert made.job is not None
    return made.job
