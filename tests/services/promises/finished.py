"""Faults that are over, with visits on known days."""

from datetime import date, timedelta

from faults.models import Fault, JobState
from tests import make, make_jobs

TODAY, NOW = make.TODAY, make.NOW


def ago(days: int) -> date:
    return TODAY - timedelta(days=days)


def finished(*, reported: int, visits: tuple[int, ...], closed: int) -> Fault:
    """Make a returned fault with visits so many days ago."""
    fault = make.fault(reported_on=ago(reported))
    for days in visits:
        make_jobs.job(
            fault=fault,
            state=JobState.DONE,
            day=ago(days),
            started_at=NOW - timedelta(days=days, hours=1),
            ended_at=NOW - timedelta(days=days),
        )
    Fault.objects.filter(pk=fault.pk).update(stage="returned", closed_on=ago(closed))
    fault.refresh_from_db()
    return fault
