"""Make finished work and batches of it, with defaults that hold."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from faults.billing.services.giving import give_to_books
from faults.models import BookBatch, DamageClaim, Job, JobLine, JobState, PersonThere
from sites.models import User
from tests import make, make_jobs


def done(**given: Any) -> Job:
    """Make a job that is finished, in an hour."""
    usual = {"state": JobState.DONE, "started_at": make.NOW, "ended_at": make.NOW}
    return make_jobs.job(**{**usual, "day": make.TODAY, "actual_minutes": 60, **given})


def line(**given: Any) -> JobLine:
    """Make a billable line of an hour and a half at 65, of finished work."""
    job = given.pop("job", None) or done()
    return make_jobs.line(job=job, **given)


def batch(
    *lines: JobLine, by: User | None = None, on: date = make.TODAY, today: date = make.TODAY
) -> BookBatch:
    """Give lines to the books."""
    rows: Sequence[JobLine] = lines or [line()]
    return give_to_books(lines=rows, given_on=on, by=by or make.user(), today=today)


def there(**given: Any) -> PersonThere:
    """Enter a person who traced for an hour."""
    job = given.pop("job", None) or done()
    usual = {"name": "Pip", "did": "tracing", "from_at": make.NOW, "minutes": 60}
    return PersonThere.objects.create(job=job, **{**usual, **given})


def claim(**given: Any) -> DamageClaim:
    """Claim damage from a third party."""
    case = given.pop("fault", None) or make.fault()
    usual = {"liable_party": "Trench and Sons", "made_on": make.TODAY}
    return DamageClaim.objects.create(fault=case, **{**usual, **given})
