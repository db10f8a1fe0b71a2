"""What the pages of jobs share: loading one, the way to it, and the page of a verb on it."""

from typing import TypeVar

from django.urls import reverse
from django.utils.translation import gettext as _

from faults.models import Job
from faults.work.queries.jobs import job_to_show
from sites.kernel.access import SignedInRequest, find
from sites.kernel.engines.roles import Action
from sites.kernel.views.verb_views import Crumbs, VerbView
from sites.models import Property

Row = TypeVar("Row")


def job_url(job: Job) -> str:
    """Return the address of a job's page."""
    return reverse("faults:job", args=[job.ref])


def job_crumbs(job: Job) -> Crumbs:
    """Return the way from all jobs to this one."""
    place = job.property
    return [
        (reverse("faults:jobs"), _("Jobs")),
        (reverse("reports:property", args=[place.ref]), place.code),
        (job_url(job), job.get_kind_display()),
    ]


def the_job(request: SignedInRequest, ref: str, action: Action) -> Job:
    """Return the job on which the user has the action, or 404."""
    return find(job_to_show(request.user, action), ref=ref)


class OfJobView(VerbView[Row]):
    """A verb on something of a job; the page leads back to the job."""

    @property
    def job(self) -> Job:
        """The job."""
        raise NotImplementedError

    def get_place(self) -> Property:
        """Return the property of the job."""
        return self.job.property

    def get_back(self) -> str:
        """Return the address of the job."""
        return job_url(self.job)

    def get_crumbs(self) -> Crumbs:
        """Return the way to the job."""
        return job_crumbs(self.job)


class JobView(OfJobView[Job]):
    """A verb on a job."""

    takes = "job"

    @property
    def job(self) -> Job:
        """The job itself."""
        return self.row

    def find(self) -> Job:
        """Return the job on which the user has the action."""
        return the_job(self.request, self.kwargs["ref"], self.may_do)
