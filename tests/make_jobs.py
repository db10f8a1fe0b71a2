"""Make crews, jobs and their lines, with defaults that hold; name only what the test is about."""

from datetime import date, time
from decimal import Decimal
from itertools import count
from typing import Any

from faults.models import Crew, CrewMember, Job, JobKind, JobLine, JobPhoto, JobState, SafetyAnswer
from faults.work.engines.safety import PRIVATE
from faults.work.services.photos import add_job_photo
from sites.models import User
from tests import make

_number = count(1)


def crew(*people: User, skill: int = 3, **given: Any) -> Crew:
    """Make a crew from 7 to 16 o'clock with these people in it, of one skill."""
    defaults = {
        "name": f"Crew {next(_number)}",
        "vehicle": "truck",
        "starts_at": time(7),
        "ends_at": time(16),
    }
    made = Crew.objects.create(**{**defaults, **given})
    for user in people:
        member(crew=made, user=user, skill=skill)
    return made


def member(**given: Any) -> CrewMember:
    """Add a user to a crew since the start of the year."""
    return CrewMember.objects.create(**{"from_on": date(2025, 1, 1), "skill": 3, **given})


def job(**given: Any) -> Job:
    """Make a planned locate job of an hour, on the fault's property or on one of its own."""
    stations, devices = given.pop("stations", ()), given.pop("devices", ())
    fault = given.get("fault")
    place = given.pop("property", None) or (fault.property if fault else make.place())
    defaults = {"property": place, "kind": JobKind.LOCATE, "expected_minutes": 60}
    made = Job.objects.create(**{**defaults, **given})
    made.stations.set(stations)
    made.devices.set(devices)
    return made


def started(**given: Any) -> Job:
    """Make a job that is under way."""
    usual = {"state": JobState.STARTED, "started_at": make.NOW, "day": make.TODAY}
    return job(**{**usual, **({} if "crew" in given else {"crew": crew()}), **given})


def line(**given: Any) -> JobLine:
    """Make a billable line of an hour and a half at 65."""
    owner = given.pop("job", None) or job()
    defaults = {
        "job": owner,
        "kind": "time",
        "on": make.TODAY,
        "what": "tracing",
        "quantity": Decimal("1.5"),
        "unit": "h",
        "unit_price": Decimal("65"),
    }
    return JobLine.objects.create(**{**defaults, **given})


def job_photo(**given: Any) -> JobPhoto:
    """Make a photo of four pixels, of a new job unless one is given."""
    owner = given.pop("job", None) or job()
    return add_job_photo(
        job=owner, photo=make.prepared_photo(), **{"by": None, "at": make.NOW, **given}
    )


def private_lines_known(job: Job) -> Job:
    """Say of a dig that its private lines are marked."""
    for prompt in PRIVATE:
        SafetyAnswer.objects.create(
            job=job, prompt=prompt.value, answer="marked: the client's electrician", at=make.NOW
        )
    return job
